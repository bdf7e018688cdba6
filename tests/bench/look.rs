//! How much the tones of a photo cost beyond decoding it, and how much memory: ratios in one run.
//!
//! `cargo bench --bench look`. The rival is decoding alone, by the same decoder. The picture is a 24-megapixel JPEG made
//! here from a sample photograph, enlarged with noise; no camera wrote it. Peak memory is read on Linux only.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its picture and prints its figures"
)]

use hillwash::photo::{KnownLight, Limits, decode};
use hillwash::region::Region;
use hillwash::tones::{Count, bins_of, tones_of_bins};
use image::imageops::FilterType;
use image::{ImageFormat, RgbImage};
use std::io::Cursor;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

const WIDTH: u32 = 6000;
const HEIGHT: u32 = 4000;
const ROUNDS: usize = 9;
/// Targets of the design: the whole stage over decoding alone, and memory beyond pixels and file.
const TIME_TARGET: f64 = 1.20;
const MEMORY_TARGET_MB: f64 = 16.0;

fn picture() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard/woodland-stream-mossy-rocks.jpg");
    let small = image::load_from_memory(&std::fs::read(path).unwrap())
        .unwrap()
        .into_rgb8();
    let mut large: RgbImage = image::imageops::resize(&small, WIDTH, HEIGHT, FilterType::Triangle);
    let mut state = 1_u64;
    for value in large.iter_mut() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let noise = i16::try_from((state >> 60) & 7).unwrap() - 3;
        *value = u8::try_from((i16::from(*value) + noise).clamp(0, 255)).unwrap();
    }
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 90)
        .encode_image(&large)
        .unwrap();
    bytes
}

fn decode_alone(bytes: &[u8]) -> usize {
    let reader = image::ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
    reader.decode().unwrap().into_rgb8().into_raw().len()
}

fn look(bytes: &[u8]) -> usize {
    let mut picture = decode(bytes, &Limits::default()).unwrap().value;
    picture.correct(&KnownLight::Nothing).unwrap();
    let counted = bins_of(&picture, &Region::whole());
    tones_of_bins(&counted.bins, Count::Chosen)
        .unwrap()
        .tones
        .len()
}

fn seconds(work: impl FnOnce() -> usize) -> f64 {
    let start = Instant::now();
    assert!(work() > 0);
    start.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Peak resident memory of this process so far, megabytes.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<f64>()
        .ok()
        .map(|kb| kb / 1024.0)
}

/// Peak memory of a process of its own that does one thing with the picture in a file.
fn peak_of(what: &str, file: &Path) -> Option<f64> {
    let out = Command::new(std::env::current_exe().ok()?)
        .arg(what)
        .arg(file)
        .output()
        .ok()?;
    String::from_utf8(out.stdout).ok()?.trim().parse().ok()
}

fn main() {
    let args: Vec<String> = std::env::args().collect();
    if let [_, what, file] = &args[..] {
        let bytes = std::fs::read(file).unwrap();
        match what.as_str() {
            "decode-child" => assert!(decode_alone(&bytes) > 0),
            "look-child" => assert!(look(&bytes) > 0),
            _ => return,
        }
        println!("{}", peak_mb().unwrap_or(f64::NAN));
        return;
    }
    let bytes = picture();
    let (mut alone, mut whole) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        alone.push(seconds(|| decode_alone(&bytes)));
        whole.push(seconds(|| look(&bytes)));
    }
    let (alone, whole) = (median(alone), median(whole));
    println!(
        "look over decoding alone, {WIDTH} x {HEIGHT} JPEG: {:.2} ({:.0} ms over {:.0} ms; target {TIME_TARGET})",
        whole / alone,
        1e3 * whole,
        1e3 * alone
    );
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("picture.jpg");
    std::fs::write(&file, &bytes).unwrap();
    if let (Some(alone), Some(whole)) =
        (peak_of("decode-child", &file), peak_of("look-child", &file))
    {
        let pixels = f64::from(WIDTH) * f64::from(HEIGHT) * 3.0 / 1_048_576.0;
        #[expect(clippy::cast_precision_loss, reason = "a file of a few megabytes")]
        let file = bytes.len() as f64 / 1_048_576.0;
        println!(
            "peak memory: {whole:.0} MB, decoding alone {alone:.0} MB; pixels {pixels:.0} MB and file {file:.0} MB, beyond them {:.0} MB (target {MEMORY_TARGET_MB})",
            whole - pixels - file
        );
    }
}
