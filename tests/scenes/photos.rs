//! Tones of real photographs: steady under small changes, small colours found, and as good as grouping every pixel.

use crate::drawn::{Dice, through_jpeg};
use crate::every_pixel::{SAME_INERTIA, compare};
use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::photo::{Limits, Picture, Samples, decode};
use hillwash::region::Region;
use hillwash::tones::{Count, Tone, tones_of};
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

fn tones(picture: &Picture) -> Vec<Tone> {
    tones_of(picture, &Region::whole(), Count::Chosen)
        .unwrap()
        .tones
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

/// What was measured: all of them. One may slip where decoders or arithmetic differ.
const MEASURED_STEADY: usize = 17;

/// Blobs of one colour with a little texture and soft edges, a hundredth of the photo, through JPEG.
fn with_blobs(picture: &Picture, code: [u8; 3]) -> Picture {
    const BLOBS: usize = 12;
    let mut dice = Dice::new(u64::from(code[0]));
    let mut planted = rgb(picture).to_vec();
    let (width, height) = (picture.width as f64, picture.height as f64);
    let radius = (0.01 * width * height / BLOBS as f64 / std::f64::consts::PI).sqrt();
    let middles: Vec<(f64, f64)> = (0..BLOBS)
        .map(|_| {
            (
                dice.within(radius, width - radius),
                dice.within(radius, height - radius),
            )
        })
        .collect();
    for (at, pixel) in planted.as_chunks_mut::<3>().0.iter_mut().enumerate() {
        let (x, y) = ((at % picture.width) as f64, (at / picture.width) as f64);
        let inside = |(cx, cy): &(f64, f64)| radius - (x - cx).hypot(y - cy);
        let depth = middles.iter().map(inside).fold(f64::NEG_INFINITY, f64::max);
        if depth > 0.0 {
            let (cover, factor) = (depth.min(1.0), 1.0 + 0.06 * dice.normal());
            for (value, code) in pixel.iter_mut().zip(code) {
                let mixed = f64::from(*value) * (1.0 - cover) + f64::from(code) * factor * cover;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped"
                )]
                let code = mixed.round().clamp(0.0, 255.0) as u8;
                *value = code;
            }
        }
    }
    through_jpeg(picture.width, picture.height, &planted, 88)
}

/// Rust, moss, verdigris, lichen, ochre, slate blue, old red, orange: from memory, no source.
const PLANTED: [[u8; 3]; 8] = [
    [150, 75, 35],
    [95, 130, 50],
    [40, 110, 115],
    [225, 220, 190],
    [215, 180, 60],
    [60, 80, 150],
    [120, 40, 40],
    [215, 120, 60],
];
/// A colour so far from all tones of the bare photo is no part of it.
const FAR: f64 = 15.0;

#[test]
fn a_hundredth_of_rust_or_moss_planted_in_a_photo_is_found() {
    let (mut found, mut far_found, mut far, mut all) = (0, 0, 0, 0);
    for name in PHOTOS {
        let picture = photo(name);
        let bare = tones(&picture);
        for code in PLANTED {
            let colour = LabD65::from(Srgb8(code).to_linear());
            let off = |tones: &[Tone]| {
                let all = tones.iter().map(|t| delta_e00(t.colour, colour).0);
                all.fold(f64::INFINITY, f64::min)
            };
            let is_far = off(&bare) >= FAR;
            let is_found = off(&tones(&with_blobs(&picture, code))) <= STEADY;
            all += 1;
            found += usize::from(is_found);
            far += usize::from(is_far);
            far_found += usize::from(is_found && is_far);
        }
    }
    println!(
        "planted, 1 % of the photo: found within {STEADY} {found} of {all}; of those {FAR} from the bare photo's tones {far_found} of {far}"
    );
    assert!(100 * found >= 88 * all, "{found} of {all}");
    assert!(100 * far_found >= 95 * far, "{far_found} of {far}");
}

#[test]
fn weighted_grouping_is_as_good_as_grouping_every_pixel() {
    for name in [PHOTOS[0], PHOTOS[2], PHOTOS[3]] {
        for ratio in compare(name, &photo(name), &by_dice) {
            assert!(ratio <= SAME_INERTIA, "{name}: {ratio}");
        }
    }
}

/// Numbers from 0 to as much as is asked for, another row of them for each start.
fn by_dice(start: u64) -> Box<dyn FnMut(f64) -> f64> {
    let mut dice = Dice::new(start);
    Box::new(move |most| dice.within(0.0, most))
}
