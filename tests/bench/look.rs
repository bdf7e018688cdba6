//! How much the tones of a photo cost beyond decoding it, and how much memory: ratios in one run.
//!
//! `cargo bench --bench look`. The rival is decoding alone, by the same decoder. The picture is a 24-megapixel JPEG made
//! here from a sample photograph, enlarged with noise; no camera wrote it. Peak memory is read on Linux only; time is
//! that of the processor there, elsewhere that of the clock.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its picture and prints its figures"
)]

mod large_picture;

use hillwash::photo::{KnownLight, Limits, decode};
use hillwash::region::Region;
use hillwash::tones::{Count, tones_of};
use image::ImageFormat;
use large_picture::{HEIGHT, Stopwatch, WIDTH, jpeg, peak_mb};
use std::io::Cursor;
use std::path::Path;
use std::process::Command;

const ROUNDS: u32 = 15;
/// Targets of the design: the whole stage over decoding alone, and memory beyond pixels and file.
const TIME_TARGET: f64 = 1.20;
const MEMORY_TARGET_MB: f64 = 16.0;

fn decode_alone(bytes: &[u8]) -> usize {
    let reader = image::ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
    reader.decode().unwrap().into_rgb8().into_raw().len()
}

fn look(bytes: &[u8]) -> usize {
    let mut picture = decode(bytes, &Limits::default()).unwrap().value;
    picture.correct(&KnownLight::Nothing).unwrap();
    tones_of(&picture, &Region::whole(), Count::Chosen)
        .unwrap()
        .tones
        .len()
}

fn seconds(work: impl FnOnce() -> usize) -> f64 {
    let watch = Stopwatch::start();
    assert!(work() > 0);
    watch.seconds()
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
    let bytes = jpeg();
    let (mut alone, mut whole) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        alone.push(seconds(|| decode_alone(&bytes)));
        whole.push(seconds(|| look(&bytes)));
    }
    // Means, not medians: the system counts a processor's time in steps of some milliseconds.
    let mean = |all: Vec<f64>| all.iter().sum::<f64>() / f64::from(ROUNDS);
    let (alone, whole) = (mean(alone), mean(whole));
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
