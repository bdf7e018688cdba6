//! Tones of real photographs: steady under small changes, and as good as grouping every pixel.

use crate::drawn::{Dice, through_jpeg};
use hillwash::colour::{OklabPoint, Srgb8, delta_e00};
use hillwash::photo::{Limits, Picture, Samples, decode};
use hillwash::region::Region;
use hillwash::tones::{Clustering, Count, Tone, WeightedColour, bins_of, group, tones_of};
use std::path::Path;

const PHOTOS: [&str; 6] = [
    "brick-houses-cobbled-street.jpg",
    "hillside-autumn-trees-hazy-crag.jpg",
    "pavilion-tile-roofs-hazy-lake.jpg",
    "rubble-stone-wall.jpg",
    "weathered-timber-cladding.jpg",
    "woodland-stream-mossy-rocks.jpg",
];

fn photo(name: &str) -> Picture {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-photos/brewery-yard")
        .join(name);
    decode(&std::fs::read(path).unwrap(), &Limits::default())
        .unwrap()
        .value
}

fn rgb(picture: &Picture) -> &[u8] {
    match &picture.samples {
        Samples::Rgb8(all) => all,
        Samples::Rgb16(_) => unreachable!("the sample photos have 8 bits"),
    }
}

fn half_size(picture: &Picture) -> Picture {
    let (width, height) = (
        u32::try_from(picture.width).unwrap(),
        u32::try_from(picture.height).unwrap(),
    );
    let whole = image::RgbImage::from_raw(width, height, rgb(picture).to_vec()).unwrap();
    let half = image::imageops::resize(
        &whole,
        width / 2,
        height / 2,
        image::imageops::FilterType::Triangle,
    );
    Picture::from_srgb8(picture.width / 2, picture.height / 2, half.into_raw()).unwrap()
}

/// Noise of a hundredth of the range of codes.
fn noisy(picture: &Picture) -> Picture {
    let mut dice = Dice::new(7);
    let moved = rgb(picture).iter().map(|code| {
        let noisy = (f64::from(*code) + 2.55 * dice.normal())
            .round()
            .clamp(0.0, 255.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped"
        )]
        let code = noisy as u8;
        code
    });
    Picture::from_srgb8(picture.width, picture.height, moved.collect()).unwrap()
}

/// How far the tones of one are from the nearest of another, by share.
fn moved(from: &[Tone], to: &[Tone]) -> (f64, f64) {
    let off: Vec<(f64, f64)> = from
        .iter()
        .map(|tone| {
            let all = to.iter().map(|t| delta_e00(t.colour, tone.colour).0);
            (all.fold(f64::INFINITY, f64::min), tone.share.value())
        })
        .collect();
    let worst = off.iter().map(|o| o.0).fold(0.0, f64::max);
    (worst, off.iter().map(|o| o.0 * o.1).sum())
}

/// Tones of the same photo at half size, at quality 75 and with noise of 1 % lie within so much of each other.
const STEADY: f64 = 2.0;

#[test]
fn tones_hold_when_the_photo_is_halved_recompressed_or_noisy() {
    let (mut steady, mut all) = (0, 0);
    for name in PHOTOS {
        let picture = photo(name);
        let tones = |picture: &Picture| {
            tones_of(picture, &Region::whole(), Count::Chosen)
                .unwrap()
                .tones
        };
        let usual = tones(&picture);
        for (change, other) in [
            ("half size", half_size(&picture)),
            (
                "quality 75",
                through_jpeg(picture.width, picture.height, rgb(&picture), 75),
            ),
            ("noise of 1 %", noisy(&picture)),
        ] {
            let other = tones(&other);
            let (worst, mean) = moved(&usual, &other);
            println!(
                "{name}, {change}: {} and {} tones, worst off {worst:.2}, mean by share {mean:.2}",
                usual.len(),
                other.len()
            );
            all += 1;
            steady += usize::from(worst <= STEADY);
        }
    }
    println!("within {STEADY}: {steady} of {all}");
    assert!(steady >= MEASURED_STEADY, "{steady} of {all}");
}

/// What was measured, of 18: a photo without gaps between its colours, parted another way, misses; so does fine texture
/// that halving blurs away. The rest of the way is still to go.
const MEASURED_STEADY: usize = 13;

/// Weighted and per-pixel grouping agree within so much of the sum of squares.
const SAME_INERTIA: f64 = 1.005;

fn squared(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum()
}

fn nearest(at: [f64; 3], centres: &[[f64; 3]]) -> (usize, f64) {
    let all = centres.iter().map(|c| squared(at, *c)).enumerate();
    all.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
}

/// Plain k-means over every pixel, written here: starts drawn far apart, the best of some.
fn every_pixel(pixels: &[[f64; 3]], count: usize, starts: u64) -> f64 {
    (0..starts)
        .map(|start| {
            let mut dice = Dice::new(start);
            let mut centres = vec![pixels[0]];
            while centres.len() < count {
                // k-means++ on one pixel in 50.
                let far: Vec<f64> = pixels
                    .iter()
                    .step_by(50)
                    .map(|p| nearest(*p, &centres).1)
                    .collect();
                let mut at = dice.within(0.0, far.iter().sum());
                let chosen = far
                    .iter()
                    .position(|f| {
                        at -= f;
                        at <= 0.0
                    })
                    .unwrap_or(0);
                centres.push(pixels[50 * chosen]);
            }
            let mut before = f64::INFINITY;
            loop {
                let mut sums = vec![([0.0; 3], 0.0); count];
                let mut inertia = 0.0;
                for pixel in pixels {
                    let (at, off) = nearest(*pixel, &centres);
                    inertia += off;
                    for (sum, v) in sums[at].0.iter_mut().zip(pixel) {
                        *sum += v;
                    }
                    sums[at].1 += 1.0;
                }
                for (centre, (sum, n)) in centres.iter_mut().zip(sums) {
                    if n > 0.0 {
                        *centre = sum.map(|v| v / n);
                    }
                }
                if inertia > before * 0.9999 {
                    return inertia;
                }
                before = inertia;
            }
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn weighted_grouping_is_as_good_as_grouping_every_pixel() {
    for name in [PHOTOS[0], PHOTOS[2], PHOTOS[3]] {
        let picture = photo(name);
        // Blown-out and crushed pixels are left out of the bins: compare on the pixels that count.
        let pixels: Vec<[f64; 3]> = rgb(&picture)
            .chunks_exact(3)
            .filter(|p| p.iter().all(|v| *v < 250) && p.iter().any(|v| *v > 8))
            .map(|p| OklabPoint::from(Srgb8([p[0], p[1], p[2]]).to_linear()).grouping())
            .collect();
        let kept: Vec<u8> = rgb(&picture)
            .chunks_exact(3)
            .filter(|p| p.iter().all(|v| *v < 250) && p.iter().any(|v| *v > 8))
            .flatten()
            .copied()
            .collect();
        let row = Picture::from_srgb8(kept.len() / 3, 1, kept).unwrap();
        let points: Vec<WeightedColour> = bins_of(&row, &Region::whole())
            .bins
            .iter()
            .map(|bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels))
            .collect();
        for count in [4, 8] {
            let ours = group(&points, &Clustering::of(count)).centres;
            let inertia: f64 = pixels.iter().map(|p| nearest(*p, &ours).1).sum();
            let ratio = inertia / every_pixel(&pixels, count, 3);
            println!("{name}, {count} tones: sum of squares over that of every pixel {ratio:.4}");
            assert!(ratio <= SAME_INERTIA, "{name}, {count}: {ratio}");
        }
    }
}
