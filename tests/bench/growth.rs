//! How time and memory grow with what is put in: megapixels, tones asked for, paints on the list, photos in a scene, and
//! the whole demo scene. Every row is also a ratio to the first of its group, so that machines can be compared.
//!
//! `cargo bench --bench growth`. The program itself is run, one process a row; peak memory is read every few
//! milliseconds while it runs, on Linux only. Pictures are enlarged from a sample photograph and paints are drawn from a
//! seed; no camera or maker is behind either.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark lays out its files and prints its figures"
)]

#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the test of the search uses more of it than this benchmark"
)]
mod exhaustive;

use exhaustive::Seeded;
use image::RgbImage;
use image::imageops::FilterType;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const ROUNDS: usize = 3;
const MEGAPIXELS: [u32; 4] = [6, 12, 24, 48];
const TONES: [u32; 4] = [2, 4, 6, 8];
const PAINTS: [usize; 6] = [10, 30, 60, 120, 250, 500];
const PHOTOS: [usize; 3] = [1, 10, 100];
/// Sides of a 6-megapixel picture.
const BASE: (u32, u32) = (3000, 2000);

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard")
        .join(name)
}

fn picture(megapixels: u32) -> Vec<u8> {
    let small =
        image::load_from_memory(&std::fs::read(sample("woodland-stream-mossy-rocks.jpg")).unwrap())
            .unwrap()
            .into_rgb8();
    let larger = (f64::from(megapixels) / 6.0).sqrt();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "sides of some thousand pixels"
    )]
    let side = |base: u32| (f64::from(base) * larger).round() as u32;
    let large: RgbImage =
        image::imageops::resize(&small, side(BASE.0), side(BASE.1), FilterType::Triangle);
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 90)
        .encode_image(&large)
        .unwrap();
    bytes
}

/// Median milliseconds and peak megabytes of some runs of the program.
fn run(folder: &Path, arguments: &[&str]) -> (f64, f64) {
    let mut times = Vec::new();
    let mut peak = 0.0_f64;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let mut child = Command::new(env!("CARGO_BIN_EXE_hillwash"))
            .args(arguments)
            .current_dir(folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            peak = peak.max(peak_mb(child.id()));
            std::thread::sleep(Duration::from_millis(2));
        };
        times.push(1e3 * start.elapsed().as_secs_f64());
        assert!(status.success(), "{arguments:?}");
    }
    times.sort_by(f64::total_cmp);
    (times[ROUNDS / 2], peak)
}

fn peak_mb(process: u32) -> f64 {
    std::fs::read_to_string(format!("/proc/{process}/status"))
        .ok()
        .and_then(|status| {
            let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
            line.split_whitespace().nth(1)?.parse::<f64>().ok()
        })
        .map_or(f64::NAN, |kb| kb / 1024.0)
}

/// Prints one group of rows.
struct Group {
    first: Option<f64>,
}

impl Group {
    fn new(of: &str) -> Self {
        println!("\n| {of} | ms | of the first | peak MB |\n|---|---|---|---|");
        Self { first: None }
    }

    fn row(&mut self, what: &str, (ms, peak): (f64, f64)) {
        let first = *self.first.get_or_insert(ms);
        println!("| {what} | {ms:.0} | {:.2} | {peak:.0} |", ms / first);
    }
}

fn paint_list(paints: usize) -> String {
    let mut random = Seeded(7);
    let mut list = "name,hex,medium,opacity\n".to_owned();
    for n in 0..paints {
        let _ = writeln!(list, "paint {n},{},acrylic,", random.target().to_srgb8());
    }
    list
}

/// A scene of so many photos, one surface each.
fn many_photos(folder: &Path, photos: usize) -> String {
    let mut scene =
        "title = \"Many walls\"\nscale = \"1:87\"\npaints = \"paints.csv\"\n".to_owned();
    let bytes = std::fs::read(sample("woodland-stream-mossy-rocks.jpg")).unwrap();
    for n in 0..photos {
        std::fs::write(folder.join(format!("{n}.jpg")), &bytes).unwrap();
        let _ = write!(
            scene,
            "[photos.p{n}]\nfile = \"{n}.jpg\"\n[[surface]]\nname = \"Wall {n}\"\nphoto = \"p{n}\"\nregion = [[0.1,0.1],[0.9,0.1],[0.9,0.9],[0.1,0.9]]\n"
        );
    }
    scene
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    println!("median of {ROUNDS} runs, whole processes");

    let mut group = Group::new("`look`, megapixels");
    for megapixels in MEGAPIXELS {
        std::fs::write(at.join("picture.jpg"), picture(megapixels)).unwrap();
        group.row(&megapixels.to_string(), run(at, &["look", "picture.jpg"]));
    }

    std::fs::write(at.join("picture.jpg"), picture(24)).unwrap();
    let mut group = Group::new("`look`, 24 megapixels, tones asked for");
    for tones in TONES {
        let tones = tones.to_string();
        group.row(&tones, run(at, &["look", "picture.jpg", "--tones", &tones]));
    }

    let mut group = Group::new("`mix`, paints on the list");
    for paints in PAINTS {
        std::fs::write(at.join("paints.csv"), paint_list(paints)).unwrap();
        group.row(
            &paints.to_string(),
            run(at, &["mix", "#7a5b48", "--paints", "paints.csv"]),
        );
    }

    std::fs::copy(sample("paints.csv"), at.join("paints.csv")).unwrap();
    let mut group = Group::new("`plan`, photos of 1.3 megapixels, a surface each");
    for photos in PHOTOS {
        let scene = many_photos(at, photos);
        std::fs::write(at.join("scene.toml"), scene).unwrap();
        group.row(&photos.to_string(), run(at, &["plan", "scene.toml"]));
    }

    let mut group = Group::new("`plan`, the demo scene");
    let scene = sample("scene.toml");
    let scene = scene.to_str().unwrap();
    let out = at.join("schedule");
    let out = out.to_str().unwrap();
    group.row("all of it", run(at, &["plan", scene, "--out", out]));
}
