//! How time and memory grow with what is put in: megapixels, tones asked for, paints on the list, photos in a scene, and
//! the whole demo scene. Every row is also a ratio to the first of its group, so that machines can be compared.
//!
//! `cargo bench --bench growth`; with `-- picture` the growth of `mix` alone, drawn into `tests/growth.svg`. The program itself
//! is run, one process a row, and tells by `--timings` what processors spent, on Unix; peak memory is read every few
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
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const ROUNDS: usize = 3;
const MEGAPIXELS: [u32; 4] = [6, 12, 24, 48];
const TONES: [u32; 4] = [2, 4, 6, 8];
const PAINTS: [usize; 8] = [10, 30, 100, 200, 300, 600, 1000, 3000];
/// What `mix` may take, processor and list: milliseconds and paints.
const AIMS: [(f64, f64); 4] = [
    (100.0, 100.0),
    (300.0, 150.0),
    (1000.0, 300.0),
    (3000.0, 800.0),
];
/// Colours that `mix` is asked for, one after the other: searches differ.
const COLOURS: [&str; 5] = ["#7a5b48", "#4f5a3a", "#b9a888", "#33373b", "#8c6a52"];
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

/// What a run of the program takes.
struct Took {
    /// By the clock, milliseconds.
    clock: f64,
    /// Of processors, milliseconds; no number where the system does not tell.
    processor: f64,
    /// Most memory, megabytes.
    peak: f64,
}

/// The medians of some runs of the program, and the most memory of any.
fn run(folder: &Path, arguments: &[&str]) -> Took {
    let runs: Vec<Took> = (0..ROUNDS).map(|_| run_once(folder, arguments)).collect();
    let median = |of: fn(&Took) -> f64| {
        let mut all: Vec<f64> = runs.iter().map(of).collect();
        all.sort_by(f64::total_cmp);
        all[ROUNDS / 2]
    };
    Took {
        clock: median(|took| took.clock),
        processor: median(|took| took.processor),
        peak: runs.iter().map(|took| took.peak).fold(0.0, f64::max),
    }
}

fn run_once(folder: &Path, arguments: &[&str]) -> Took {
    let mut peak = 0.0_f64;
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_hillwash"))
        .args(arguments)
        .arg("--timings")
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        peak = peak.max(peak_mb(child.id()));
        std::thread::sleep(Duration::from_millis(2));
    };
    let clock = 1e3 * start.elapsed().as_secs_f64();
    assert!(status.success(), "{arguments:?}");
    let mut told = String::new();
    child.stderr.unwrap().read_to_string(&mut told).unwrap();
    let sum = told.lines().find(|line| line.starts_with("in all"));
    let seconds = sum.and_then(|sum| sum.split_whitespace().rev().nth(1)?.parse::<f64>().ok());
    Took {
        clock,
        processor: seconds.map_or(f64::NAN, |seconds| 1e3 * seconds),
        peak,
    }
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
        println!("\n| {of} | ms | processor ms | of the first | peak MB |\n|---|---|---|---|---|");
        Self { first: None }
    }

    fn row(&mut self, what: &str, took: &Took) {
        let Took {
            clock,
            processor,
            peak,
        } = took;
        let first = *self.first.get_or_insert(*processor);
        println!(
            "| {what} | {clock:.0} | {processor:.0} | {:.2} | {peak:.0} |",
            processor / first
        );
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

/// How `mix` grows with the list; gives paints and milliseconds of processors, the mean over some colours.
fn mixes(at: &Path) -> Vec<(f64, f64)> {
    let mut group = Group::new("`mix`, paints on the list, mean of five colours");
    let mut rows = Vec::new();
    for paints in PAINTS {
        std::fs::write(at.join("paints.csv"), paint_list(paints)).unwrap();
        let took: Vec<Took> = COLOURS
            .iter()
            .map(|colour| run(at, &["mix", colour, "--paints", "paints.csv"]))
            .collect();
        #[expect(
            clippy::cast_precision_loss,
            reason = "a few colours, a few thousand paints"
        )]
        let (count, listed) = (took.len() as f64, paints as f64);
        let took = Took {
            clock: took.iter().map(|took| took.clock).sum::<f64>() / count,
            processor: took.iter().map(|took| took.processor).sum::<f64>() / count,
            peak: took.iter().map(|took| took.peak).fold(0.0, f64::max),
        };
        rows.push((listed, took.processor));
        group.row(&paints.to_string(), &took);
    }
    rows
}

/// A number with its thousands apart.
fn grouped(number: f64) -> String {
    if number < 1000.0 {
        return format!("{number:.0}");
    }
    format!("{:.0},{:03.0}", (number / 1000.0).floor(), number % 1000.0)
}

/// Both axes logarithmic: 10 to 3,000 paints, 3 ms to 1 s. Figures stand under the line, where nothing else does.
fn drawn(rows: &[(f64, f64)]) -> String {
    let x = |paints: f64| 52.0 + 380.0 * (paints / 10.0).log10() / 300_f64.log10();
    let y = |ms: f64| 242.0 - 186.0 * (ms / 3.0).log10() / (1000.0 / 3.0_f64).log10();
    let mut svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 460 290\" font-family=\"sans-serif\" font-size=\"11\" fill=\"#333\">\n<title>Processor time of mix by the length of the list</title>\n<rect width=\"460\" height=\"290\" fill=\"#fff\"/>\n<text x=\"16\" y=\"22\" font-size=\"13\" font-weight=\"bold\" fill=\"#111\">Mixes for one colour, by the length of the list</text>\n<text x=\"16\" y=\"38\" fill=\"#555\">milliseconds of processors, whole program, mean of five colours</text>\n".to_owned();
    for ms in [3.0, 10.0, 30.0, 100.0, 300.0, 1000.0] {
        let at = y(ms);
        let _ = writeln!(
            svg,
            "<path d=\"M52 {at:.1}H432\" stroke=\"#e2e2e2\"/><text x=\"45\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#555\">{}</text>",
            at + 4.0,
            grouped(ms)
        );
    }
    for paints in [10.0, 30.0, 100.0, 300.0, 1000.0, 3000.0] {
        let at = x(paints);
        let _ = writeln!(
            svg,
            "<path d=\"M{at:.1} 242v4\" stroke=\"#999\"/><text x=\"{at:.1}\" y=\"258\" text-anchor=\"middle\" fill=\"#555\">{}</text>",
            grouped(paints)
        );
    }
    svg.push_str("<text x=\"242\" y=\"278\" text-anchor=\"middle\" fill=\"#555\">paints on the list</text>\n");
    let line = |points: &[(f64, f64)]| {
        let points: Vec<String> = points
            .iter()
            .map(|(paints, ms)| format!("{:.1},{:.1}", x(*paints), y(*ms)))
            .collect();
        points.join(" ")
    };
    let _ = writeln!(
        svg,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"#9a5b13\" stroke-width=\"1.5\" stroke-dasharray=\"5 4\"/><text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#9a5b13\">aim: below this line</text>",
        line(&AIMS),
        x(760.0),
        y(345.0)
    );
    let _ = writeln!(
        svg,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"#1a5fb4\" stroke-width=\"2\"/>",
        line(rows)
    );
    for (paints, ms) in rows {
        let (x, y) = (x(*paints), y(*ms));
        let _ = writeln!(
            svg,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\" fill=\"#1a5fb4\"/><text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"#1a5fb4\" stroke=\"#fff\" stroke-width=\"3\" paint-order=\"stroke\">{}</text>",
            x + 3.0,
            y + 17.0,
            grouped(*ms)
        );
    }
    svg.push_str("</svg>\n");
    svg
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    if std::env::args().any(|argument| argument == "picture") {
        let rows = mixes(at);
        let out = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/growth.svg");
        std::fs::write(out, drawn(&rows)).unwrap();
        return;
    }
    println!("median of {ROUNDS} runs, whole processes");

    let mut group = Group::new("`look`, megapixels");
    for megapixels in MEGAPIXELS {
        std::fs::write(at.join("picture.jpg"), picture(megapixels)).unwrap();
        group.row(&megapixels.to_string(), &run(at, &["look", "picture.jpg"]));
    }

    std::fs::write(at.join("picture.jpg"), picture(24)).unwrap();
    let mut group = Group::new("`look`, 24 megapixels, tones asked for");
    for tones in TONES {
        let tones = tones.to_string();
        group.row(
            &tones,
            &run(at, &["look", "picture.jpg", "--tones", &tones]),
        );
    }

    mixes(at);

    std::fs::copy(sample("paints.csv"), at.join("paints.csv")).unwrap();
    let mut group = Group::new("`plan`, photos of 1.3 megapixels, a surface each");
    for photos in PHOTOS {
        let scene = many_photos(at, photos);
        std::fs::write(at.join("scene.toml"), scene).unwrap();
        group.row(
            &photos.to_string(),
            &run(at, &["plan", "scene.toml", "--no-cache"]),
        );
    }

    let mut group = Group::new("`plan`, the demo scene");
    let scene = sample("scene.toml");
    let scene = scene.to_str().unwrap();
    let out = at.join("schedule");
    let out = out.to_str().unwrap();
    group.row(
        "all of it",
        &run(at, &["plan", scene, "--out", out, "--no-cache"]),
    );
}
