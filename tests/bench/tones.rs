//! The tones stage against k-means on every pixel: time, peak memory and sum of squares in one run.
//!
//! `cargo bench --bench tones`. The rival is `kmeans_colors` as its documentation shows it (Lab, its usual convergence
//! and rounds, three runs), on all 24 megapixels, asked for 8 colours as we are. The picture is made here from a sample
//! photograph, enlarged with noise; no camera wrote it. Each side runs in a process of its own. Time is that of the
//! processor where the system tells it (Linux), so that other work on the machine counts for little.
//!
//! Sums of squares are taken over all pixels, each colour of 8 bits counted as often as it occurs, in the space tones
//! are grouped in (Oklab, a and b doubled) and in the rival's own. The best known is plain k-means over all these
//! colours from many starts: an upper bound of the optimum, not the optimum.
//!
//! `cargo bench --bench tones -- --picture FILE.jpg` writes the picture and stops: for the rivals in `rivals/`.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "a benchmark reads its picture, prints its figures, and a count of pixels fits"
)]

mod large_picture;

use hillwash::colour::{LabD65, LinearSrgb, OklabPoint, Srgb8, Xyz};
use hillwash::photo::{KnownLight, Limits, Picture, decode};
use hillwash::region::Region;
use hillwash::tones::{Clustering, Count, WeightedColour, bins_of, group, sorted};
use kmeans_colors::{Kmeans, get_kmeans};
use large_picture::{HEIGHT, Stopwatch, WIDTH, jpeg, peak_mb};
use palette::cast::from_component_slice;
use palette::{IntoColor, Lab, Srgb};
use rayon::prelude::*;
use std::path::Path;
use std::process::Command;

/// Colours asked for.
const COUNT: usize = 8;
/// Runs of our side; the median counts. The rival runs once.
const ROUNDS: usize = 5;
/// What the rival's documentation names as usual.
const RIVAL_RUNS: u64 = 3;
const RIVAL_ROUNDS: usize = 20;
const RIVAL_CONVERGED: f32 = 5.0;
/// Starts of plain k-means for the best known.
const STARTS: u64 = 30;
/// Targets of the design.
const TIMES_FASTER: f64 = 100.0;
const INERTIA_TARGET: f64 = 1.001;

type Place = [f64; 3];

/// What a side did: seconds of decoding and of the rest, megabytes at most, centres in the grouping space.
struct Side {
    decoding: f64,
    tones: f64,
    peak: f64,
    centres: Vec<Place>,
}

impl Side {
    fn print(&self) {
        println!("{} {} {}", self.decoding, self.tones, self.peak);
        for [x, y, z] in &self.centres {
            println!("{x} {y} {z}");
        }
    }

    /// Runs a side in a process of its own.
    fn run(what: &str, file: &Path) -> Self {
        let out = Command::new(std::env::current_exe().unwrap())
            .arg(what)
            .arg(file)
            .output()
            .unwrap();
        assert!(out.status.success(), "{what}");
        let text = String::from_utf8(out.stdout).unwrap();
        let mut rows = text.lines().map(|line| {
            let row: Vec<f64> = line
                .split_whitespace()
                .map(|v| v.parse().unwrap())
                .collect();
            [row[0], row[1], row[2]]
        });
        let [decoding, tones, peak] = rows.next().unwrap();
        Self {
            decoding,
            tones,
            peak,
            centres: rows.collect(),
        }
    }
}

fn ours(bytes: &[u8]) -> Side {
    let watch = Stopwatch::start();
    let mut picture = decode(bytes, &Limits::default()).unwrap().value;
    let decoding = watch.seconds();
    let watch = Stopwatch::start();
    picture.correct(&KnownLight::Nothing).unwrap();
    let counted = bins_of(&picture, &Region::whole());
    let found = sorted(&counted.bins, Count::Exactly(COUNT)).unwrap();
    let tones = watch.seconds();
    let centres = found.tones.tones.iter();
    Side {
        decoding,
        tones,
        peak: peak_mb().unwrap_or(f64::NAN),
        centres: centres.map(|tone| grouping(tone.colour)).collect(),
    }
}

/// As the documentation of `kmeans_colors` shows it.
fn rival(bytes: &[u8]) -> Side {
    let watch = Stopwatch::start();
    let pixels = image::load_from_memory(bytes)
        .unwrap()
        .into_rgb8()
        .into_raw();
    let decoding = watch.seconds();
    let watch = Stopwatch::start();
    let lab: Vec<Lab> = from_component_slice::<Srgb<u8>>(&pixels)
        .iter()
        .map(|x| x.into_linear().into_color())
        .collect();
    let mut result = Kmeans::new();
    for i in 0..RIVAL_RUNS {
        let run = get_kmeans(COUNT, RIVAL_ROUNDS, RIVAL_CONVERGED, false, &lab, i);
        if run.score < result.score {
            result = run;
        }
    }
    let tones = watch.seconds();
    let centres = result.centroids.iter();
    Side {
        decoding,
        tones,
        peak: peak_mb().unwrap_or(f64::NAN),
        centres: centres
            .map(|c| grouping(LabD65::new(f64::from(c.l), f64::from(c.a), f64::from(c.b))))
            .collect(),
    }
}

fn grouping(colour: LabD65) -> Place {
    OklabPoint::from(Xyz::from(colour).to_linear_srgb()).grouping()
}

fn lab_of(place: Place) -> Place {
    let lab = LabD65::from(LinearSrgb::from(OklabPoint::from_grouping(place)));
    [lab.l, lab.a, lab.b]
}

fn squared(a: Place, b: Place) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum()
}

fn nearest(at: Place, centres: &[Place]) -> (usize, f64) {
    let mut best = (0, f64::INFINITY);
    for (i, centre) in centres.iter().enumerate() {
        let off = squared(at, *centre);
        if off < best.1 {
            best = (i, off);
        }
    }
    best
}

/// Every colour of 8 bits that occurs, and how often.
fn colours(picture: &[u8]) -> Vec<(Srgb8, f64)> {
    let mut counts = vec![0_u32; 1 << 24];
    for pixel in picture.chunks_exact(3) {
        let at = pixel.iter().fold(0, |at, v| (at << 8) | usize::from(*v));
        counts[at] += 1;
    }
    (0_u32..)
        .zip(counts)
        .filter(|(_, count)| *count > 0)
        .map(|(at, count)| {
            let [_, r, g, b] = at.to_be_bytes();
            (Srgb8([r, g, b]), f64::from(count))
        })
        .collect()
}

fn sum_of_squares(points: &[(Place, f64)], centres: &[Place]) -> f64 {
    let each = points.iter();
    each.map(|(at, count)| count * nearest(*at, centres).1)
        .sum()
}

/// Plain k-means over all colours from one k-means++ start.
fn plain(points: &[(Place, f64)], seed: u64) -> Vec<Place> {
    let mut state = 2 * seed + 1;
    let mut random = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut centres: Vec<Place> = Vec::new();
    let mut far: Vec<f64> = points.iter().map(|(_, count)| *count).collect();
    while centres.len() < COUNT {
        let mut at = random() * far.iter().sum::<f64>();
        let chosen = far.iter().position(|f| {
            at -= f;
            at <= 0.0
        });
        centres.push(points[chosen.unwrap_or(0)].0);
        for (far, (place, count)) in far.iter_mut().zip(points) {
            *far = count * nearest(*place, &centres).1;
        }
    }
    let mut before = f64::INFINITY;
    loop {
        let mut sums = [([0.0; 3], 0.0); COUNT];
        let mut inertia = 0.0;
        for (place, count) in points {
            let (at, off) = nearest(*place, &centres);
            inertia += count * off;
            for (sum, v) in sums[at].0.iter_mut().zip(place) {
                *sum += count * v;
            }
            sums[at].1 += count;
        }
        for (centre, (sum, count)) in centres.iter_mut().zip(sums) {
            if count > 0.0 {
                *centre = sum.map(|v| v / count);
            }
        }
        if inertia > before * (1.0 - 1e-6) {
            return centres;
        }
        before = inertia;
    }
}

/// The least sum of squares found: from many plain starts, and from our grouping of all colours with as many.
fn best_known(points: &[(Place, f64)]) -> f64 {
    let weighted: Vec<WeightedColour> = points
        .iter()
        .map(|(at, count)| WeightedColour::new(*at, *count))
        .collect();
    let restarts = Clustering {
        restarts: 100,
        ..Clustering::into_groups(COUNT)
    };
    let grouped = sum_of_squares(points, &group(&weighted, &restarts).centres);
    (0..STARTS)
        .into_par_iter()
        .map(|seed| sum_of_squares(points, &plain(points, seed)))
        .reduce(|| grouped, f64::min)
}

fn compare(picture: &Picture, ours: &Side, rival: &Side) {
    let hillwash::photo::Samples::Rgb8(pixels) = &picture.samples else {
        unreachable!("a JPEG has 8 bits")
    };
    let counted = colours(pixels);
    let places: Vec<(Place, f64)> = counted
        .iter()
        .map(|(colour, count)| (OklabPoint::from(colour.to_linear()).grouping(), *count))
        .collect();
    let best = best_known(&places);
    let (we, they) = (
        sum_of_squares(&places, &ours.centres) / best,
        sum_of_squares(&places, &rival.centres) / best,
    );
    let pixels: f64 = counted.iter().map(|(_, count)| count).sum();
    println!("least sum of squares known: {:.6} a pixel", best / pixels);
    println!(
        "sum of squares over all pixels in Oklab (a, b doubled), over the best of {STARTS} starts on {} colours: ours {we:.4} (target {INERTIA_TARGET}), kmeans_colors {they:.4}",
        counted.len()
    );
    let lab: Vec<(Place, f64)> = counted
        .iter()
        .map(|(colour, count)| {
            let lab = LabD65::from(colour.to_linear());
            ([lab.l, lab.a, lab.b], *count)
        })
        .collect();
    let in_lab = |side: &Side| {
        let centres: Vec<Place> = side.centres.iter().map(|c| lab_of(*c)).collect();
        sum_of_squares(&lab, &centres)
    };
    println!(
        "sum of squares in Lab, its own space: ours over kmeans_colors {:.4}",
        in_lab(ours) / in_lab(rival)
    );
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args[..] {
        ["ours-child", file] => return ours(&std::fs::read(file).unwrap()).print(),
        ["rival-child", file] => return rival(&std::fs::read(file).unwrap()).print(),
        ["--picture", file, ..] => return std::fs::write(file, jpeg()).unwrap(),
        _ => {}
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("picture.jpg");
    let bytes = jpeg();
    std::fs::write(&file, &bytes).unwrap();
    let mut rounds: Vec<Side> = (0..ROUNDS / 2)
        .map(|_| Side::run("ours-child", &file))
        .collect();
    let rival = Side::run("rival-child", &file);
    rounds.extend((ROUNDS / 2..ROUNDS).map(|_| Side::run("ours-child", &file)));
    let time = |of: fn(&Side) -> f64| median(rounds.iter().map(of).collect());
    let (alone, whole) = (
        time(|side| side.tones),
        time(|side| side.tones + side.decoding),
    );
    println!("{WIDTH} x {HEIGHT} JPEG, {COUNT} tones");
    println!(
        "without decoding: ours {:.0} ms, kmeans_colors {:.1} s: {:.0} times faster",
        1e3 * alone,
        rival.tones,
        rival.tones / alone
    );
    println!(
        "decoding and all: ours {:.0} ms, kmeans_colors {:.1} s: {:.0} times faster (target {TIMES_FASTER:.0})",
        1e3 * whole,
        rival.tones + rival.decoding,
        (rival.tones + rival.decoding) / whole
    );
    println!(
        "peak memory: ours {:.0} MB, kmeans_colors {:.0} MB",
        median(rounds.iter().map(|side| side.peak).collect()),
        rival.peak
    );
    let picture = decode(&bytes, &Limits::default()).unwrap().value;
    compare(&picture, &rounds[0], &rival);
}
