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

/// Tones of the same photo at half size, at quality 75 and with noise of 1 % lie within so much of each other: each of
/// one from the nearest of the other, both ways, accents and shades as well.
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
            let (back, _) = moved(&other, &usual);
            let worst = worst.max(back);
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

/// What was measured, of 18. All that miss are of two photos: the pavilion has small heaps of one hue that are accents in
/// one copy and parts of others in the next; the rubble wall is one heap without gaps, at the edge of being worth a third
/// pot. The rest of the way is still to go.
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

/// Groups a photo by its bins, with the starts the program takes and with many more, and by every pixel. Gives the sums of
/// squares of the first two over the last.
fn over_every_pixel(picture: &Picture, count: usize) -> [f64; 2] {
    // Blown-out and crushed pixels are left out of the bins: compare on the pixels that count.
    let kept: Vec<[u8; 3]> = rgb(picture)
        .as_chunks::<3>()
        .0
        .iter()
        .copied()
        .filter(|p| p.iter().all(|v| *v < 250) && p.iter().any(|v| *v > 8))
        .collect();
    let pixels: Vec<[f64; 3]> = kept
        .iter()
        .map(|p| OklabPoint::from(Srgb8(*p).to_linear()).grouping())
        .collect();
    let row = Picture::from_srgb8(kept.len(), 1, kept.concat()).unwrap();
    let points: Vec<WeightedColour> = bins_of(&row, &Region::whole())
        .bins
        .iter()
        .map(|bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels))
        .collect();
    let usual = Clustering::of(count);
    let of_every_pixel = every_pixel(&pixels, count, 3);
    [usual.restarts, MANY_STARTS].map(|restarts| {
        let ours = group(&points, &Clustering { restarts, ..usual }).centres;
        let inertia: f64 = pixels.iter().map(|p| nearest(*p, &ours).1).sum();
        inertia / of_every_pixel
    })
}

/// So many starts that what is left is the difference of the methods, not the luck of a start.
const MANY_STARTS: u64 = 100;

/// Compares 4 and 8 tones, and gives how far the program with its own starts stays behind.
fn compare(name: &str, picture: &Picture) -> Vec<f64> {
    let each = [4, 8].map(|count| {
        let [usual, many] = over_every_pixel(picture, count);
        println!(
            "{name}, {count} tones: sum of squares over that of every pixel {usual:.4}, of {MANY_STARTS} starts {many:.4}"
        );
        assert!(many <= SAME_INERTIA, "{name}, {count}: {many}");
        usual
    });
    each.to_vec()
}

#[test]
fn weighted_grouping_is_as_good_as_grouping_every_pixel() {
    for name in [PHOTOS[0], PHOTOS[2], PHOTOS[3]] {
        for ratio in compare(name, &photo(name)) {
            assert!(ratio <= SAME_INERTIA, "{name}: {ratio}");
        }
    }
}

/// `cargo test --test scenes every_shared -- --ignored --nocapture`; asserts the method with many starts, and prints what
/// the program's own starts reach.
#[test]
#[ignore = "reads ../shared/photos and takes minutes"]
fn weighted_grouping_is_as_good_on_every_shared_photo() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/photos");
    let Ok(files) = std::fs::read_dir(&folder) else {
        println!("skipped: no ../shared/photos beside the checkout");
        return;
    };
    let mut files: Vec<_> = files.map(|file| file.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|end| end == "jpg"));
    files.sort();
    let mut ratios = Vec::new();
    for file in files {
        let picture = decode(&std::fs::read(&file).unwrap(), &Limits::default());
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        ratios.extend(compare(&name, &picture.unwrap().value));
    }
    let within = ratios
        .iter()
        .filter(|ratio| **ratio <= SAME_INERTIA)
        .count();
    let worst = ratios.iter().copied().fold(0.0, f64::max);
    println!(
        "with the program's own starts: {within} of {} within {SAME_INERTIA}, worst {worst:.4}",
        ratios.len()
    );
}
