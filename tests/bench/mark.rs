//! Tones of a drawn outline from sums kept tile by tile, as a ratio to a full pass over the outline's pixels.
//!
//! `cargo bench --bench mark`. The picture has 24 megapixels, made here from a sample photograph, enlarged with noise. The
//! rival counts every pixel of the outline and groups the same way. Outlines are of different sizes; their corners move
//! between rounds, as in a drag: what follows such a drag (sums that move along, colours sorted as before) is timed too,
//! and held against tones chosen anew from a full count.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its picture and prints its figures"
)]

use hillwash::colour::delta_e00;
use hillwash::photo::{Picture, Samples};
use hillwash::region::{Outline, Region};
use hillwash::tones::{Bin, Count, Moving, Tiles, Tones, sorted_to_hold, tones_of_bins};
use image::imageops::FilterType;
use std::path::Path;
use std::time::Instant;

const WIDTH: u32 = 6000;
const HEIGHT: u32 = 4000;
const ROUNDS: u32 = 11;

fn picture() -> Picture {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard/woodland-stream-mossy-rocks.jpg");
    let small = image::load_from_memory(&std::fs::read(path).unwrap())
        .unwrap()
        .into_rgb8();
    let mut large = image::imageops::resize(&small, WIDTH, HEIGHT, FilterType::Triangle);
    let mut state = 1_u64;
    for value in large.iter_mut() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let noise = i16::try_from((state >> 60) & 7).unwrap() - 3;
        *value = u8::try_from((i16::from(*value) + noise).clamp(0, 255)).unwrap();
    }
    Picture::from_srgb8(WIDTH as usize, HEIGHT as usize, large.into_raw()).unwrap()
}

/// A seven-cornered outline about the middle; its first corner moves from round to round.
fn outline(reach: f64, round: u32) -> Region {
    let moved = 0.9 + 0.1 * f64::from(round) / f64::from(ROUNDS);
    let corner = |i: u32| {
        let turn = f64::from(i) / 7.0 * std::f64::consts::TAU;
        let reach = if i == 0 { reach * moved } else { reach };
        [0.5 + reach * turn.cos(), 0.5 + reach * turn.sin()]
    };
    Region {
        outline: Outline::new((0..7).map(corner).collect()).unwrap(),
        leave_out: Vec::new(),
    }
}

/// The histogram by a pass over every pixel of the outline: counts and sums of 6-bit bins.
fn full_pass(picture: &Picture, region: &Region) -> Vec<Bin> {
    let Samples::Rgb8(all) = &picture.samples else {
        return Vec::new();
    };
    let mut table = vec![[0_u32; 4]; 1 << 18];
    for row in 0..picture.height {
        for run in region.runs(row, picture.width, picture.height) {
            let first = row * picture.width;
            for pixel in all[3 * (first + run.start)..3 * (first + run.end)].chunks_exact(3) {
                let [r, g, b] = [pixel[0], pixel[1], pixel[2]].map(u32::from);
                let bin = &mut table[((r >> 2) << 12 | (g >> 2) << 6 | (b >> 2)) as usize];
                for (sum, v) in bin.iter_mut().zip([1, r & 3, g & 3, b & 3]) {
                    *sum += v;
                }
            }
        }
    }
    let filled: Vec<(u32, [u32; 4])> = (0..).zip(table).filter(|(_, bin)| bin[0] > 0).collect();
    let mean = |(at, [count, sums @ ..]): &(u32, [u32; 4])| {
        let high = [at >> 12, at >> 6 & 63, at & 63].map(|v| f64::from(v << 2));
        std::array::from_fn(|c| (high[c] + f64::from(sums[c]) / f64::from(*count)) / 255.0)
    };
    let encoded: Vec<[f64; 3]> = filled.iter().map(mean).collect();
    let light = picture.light_of(&encoded);
    light
        .into_iter()
        .zip(filled)
        .map(|(light, (codes, bin))| Bin {
            light,
            pixels: f64::from(bin[0]),
            near: 0.0,
            unmixed: 0.0,
            thin: 0.0,
            codes,
        })
        .collect()
}

fn milliseconds(work: impl FnOnce() -> usize) -> f64 {
    let start = Instant::now();
    assert!(work() > 0);
    1e3 * start.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// For each tone of the one, weighted by its share, the difference from the nearest of the other.
fn apart(one: &Tones, other: &Tones) -> f64 {
    let nearest = |colour| {
        let off = other.tones.iter().map(|t| delta_e00(t.colour, colour).0);
        off.fold(f64::INFINITY, f64::min)
    };
    one.tones
        .iter()
        .map(|tone| tone.share.value() * nearest(tone.colour))
        .sum()
}

/// A drag in steps: how long each takes, how often tones had to be chosen anew, how far they are from the settled ones.
fn drag(picture: &Picture, tiles: &Tiles, reach: f64) {
    const STEPS: u32 = 40;
    let at = |step: u32| {
        let turn = f64::from(step) / 6.0;
        let mut points = outline(reach, 0).outline.points().to_vec();
        points[0][0] = (points[0][0] + 0.3 * reach * turn.sin()).min(1.0);
        points[0][1] += 0.15 * reach * (1.0 - turn.cos());
        Region {
            outline: Outline::new(points).unwrap(),
            leave_out: Vec::new(),
        }
    };
    let start = tiles.counted(picture, &at(0)).bins;
    let (_, mut held) = sorted_to_hold(&start, Count::Chosen, &[]).unwrap();
    let mut moving = Moving::new(tiles, picture, &at(0));
    let (mut times, mut counting, mut off, mut anew) = (vec![], vec![], vec![], 0);
    for step in 1..=STEPS {
        let region = at(step);
        let mut bins = Vec::new();
        let mut tones = None;
        counting.push(milliseconds(|| {
            moving.go_to(tiles, picture, &region);
            bins = moving.counted_roughly(picture).bins;
            bins.len()
        }));
        let grouping = milliseconds(|| {
            let found = held.again(&bins).unwrap_or_else(|| {
                anew += 1;
                let (sorted, fresh) = sorted_to_hold(&bins, Count::Chosen, &[]).unwrap();
                held = fresh;
                sorted.tones
            });
            tones.insert(found).tones.len()
        });
        times.push(counting[counting.len() - 1] + grouping);
        let settled = tones_of_bins(&tiles.counted(picture, &region).bins, Count::Chosen).unwrap();
        off.push(apart(&tones.unwrap(), &settled));
    }
    times.sort_by(f64::total_cmp);
    off.sort_by(f64::total_cmp);
    println!(
        "  dragged: {:.1} ms a step (counting {:.1}), {:.1} ms at 95 %, chosen anew {anew} times of {STEPS}; from the settled tones ΔE00 {:.2}, {:.2} at 95 %",
        times[times.len() / 2],
        median(counting),
        times[times.len() * 95 / 100],
        off[off.len() / 2],
        off[off.len() * 95 / 100],
    );
}

fn main() {
    let picture = picture();
    let mut tiles = None;
    let made = milliseconds(|| tiles.insert(Tiles::of_picture(&picture)).bytes());
    let tiles = tiles.unwrap();
    let megabytes = f64::from(u32::try_from(tiles.bytes() >> 10).unwrap()) / 1024.0;
    println!("sums of 24 megapixels: {made:.0} ms once, {megabytes:.0} MB");
    for reach in [0.05, 0.15, 0.3, 0.49] {
        let (mut summed, mut passed, mut counting, mut counted) = (vec![], vec![], vec![], vec![]);
        for round in 0..ROUNDS {
            let region = outline(reach, round);
            let tones = |bins: &[Bin]| tones_of_bins(bins, Count::Chosen).unwrap().tones.len();
            counting.push(milliseconds(|| tiles.counted(&picture, &region).bins.len()));
            counted.push(milliseconds(|| full_pass(&picture, &region).len()));
            summed.push(milliseconds(|| {
                tones(&tiles.counted(&picture, &region).bins)
            }));
            passed.push(milliseconds(|| tones(&full_pass(&picture, &region))));
        }
        let area = 100.0 * outline(reach, 0).outline.area();
        let [summed, passed, counting, counted] = [summed, passed, counting, counted].map(median);
        println!(
            "outline of {area:.0} % of the photo: tones in {summed:.1} ms, {:.2} of a full pass ({passed:.1} ms); counting alone {counting:.1} ms, {:.2} of {counted:.1} ms",
            summed / passed,
            counting / counted
        );
        drag(&picture, &tiles, reach);
    }
}
