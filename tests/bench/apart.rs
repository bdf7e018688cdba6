//! What decoding in a process of its own would cost at least: starting it, and its pixels coming back through a pipe.
//!
//! `cargo bench --bench apart`. A picture of 24 megapixels, enlarged from a sample photograph, is decoded here and its
//! tones are found; then it is decoded by a child that writes as many bytes as it has pixels to its parent, which reads
//! them. Limits a child would be put under cost nothing beside that.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark makes its picture and prints its figures"
)]

use hillwash::photo::{Limits, decode};
use hillwash::region::Region;
use hillwash::tones::{Count, tones_of};
use image::imageops::FilterType;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const SIDES: (u32, u32) = (6000, 4000);
const ROUNDS: usize = 7;
const CHILD: &str = "as-child";

fn picture(at: &Path) {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard/woodland-stream-mossy-rocks.jpg");
    let large = image::open(sample)
        .unwrap()
        .resize_exact(SIDES.0, SIDES.1, FilterType::Triangle);
    large.into_rgb8().save(at).unwrap();
}

/// Decodes, and sends as many bytes as the picture has.
fn child(at: &str) {
    let bytes = std::fs::read(at).unwrap();
    let picture = decode(&bytes, &Limits::default()).unwrap().value;
    let pixels = vec![7_u8; 3 * picture.width * picture.height];
    std::io::stdout().lock().write_all(&pixels).unwrap();
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(at) = arguments.iter().position(|a| a == CHILD) {
        return child(&arguments[at + 1]);
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("large.jpg");
    picture(&file);
    let (mut here, mut apart, mut look) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let bytes = std::fs::read(&file).unwrap();
        let picture = decode(&bytes, &Limits::default()).unwrap().value;
        here.push(start.elapsed().as_secs_f64());
        assert!(tones_of(&picture, &Region::whole(), Count::Chosen).is_ok());
        look.push(start.elapsed().as_secs_f64());

        let start = Instant::now();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .arg(CHILD)
            .arg(&file)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut pixels = Vec::with_capacity(3 * picture.width * picture.height);
        child
            .stdout
            .take()
            .unwrap()
            .read_to_end(&mut pixels)
            .unwrap();
        assert!(
            child.wait().unwrap().success() && pixels.len() == 3 * picture.width * picture.height
        );
        apart.push(start.elapsed().as_secs_f64());
    }
    let [here, apart, look] = [here, apart, look].map(median);
    println!(
        "decoded here {:.0} ms, decoded apart {:.0} ms; decoded here with its tones {:.0} ms, so that a child adds {:.0} % to that",
        1e3 * here,
        1e3 * apart,
        1e3 * look,
        100.0 * (apart - here) / look
    );
}
