//! Weighted k-means on bins against plain k-means on every pixel, on all shared photos, 4 and 8 tones.
//!
//! `cargo bench --profile dev --bench grouping`, about a minute. Reads the folder `photos` of the shared data
//! (`tests/README.md`), skips when it is absent. Stops
//! where the method, given many starts, falls behind; prints what the program's own starts reach.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its photos and prints its figures"
)]

mod every_pixel;
#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the test of the search uses more of it than this benchmark"
)]
mod exhaustive;
mod shared;

use every_pixel::{SAME_INERTIA, compare};
use exhaustive::Seeded;
use hillwash::photo::{Limits, decode};

fn seeded(start: u64) -> Box<dyn FnMut(f64) -> f64> {
    let mut numbers = Seeded(start);
    Box::new(move |most| most * numbers.share())
}

fn main() {
    let Some(folder) = shared::folder("photos") else {
        return;
    };
    let files = std::fs::read_dir(folder).unwrap();
    let mut files: Vec<_> = files.map(|file| file.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|end| end == "jpg"));
    files.sort();
    let mut ratios = Vec::new();
    for file in files {
        let picture = decode(&std::fs::read(&file).unwrap(), &Limits::default());
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        ratios.extend(compare(&name, &picture.unwrap().value, &seeded));
    }
    let within = ratios.iter().filter(|r| **r <= SAME_INERTIA).count();
    let worst = ratios.iter().copied().fold(0.0, f64::max);
    println!(
        "with the program's own starts: {within} of {} within {SAME_INERTIA}, worst {worst:.4}",
        ratios.len()
    );
}
