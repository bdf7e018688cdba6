//! Tones of drawn pictures whose colours and areas are known.
//!
//! The picture is drawn by code: five flat colours in bands of known width, each sample moved by a seeded noise of up
//! to two codes. What comes back is compared with what was drawn.

use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::photo::Picture;
use hillwash::region::Region;
use hillwash::tones::{Count, Tones, tones_of};

const WIDTH: usize = 240;
const HEIGHT: usize = 100;
/// Noise of two codes has a mean of nothing: what is left of it in the mean of a thousand pixels, and the change of
/// mean from codes to Oklab, stay well below what an eye can see side by side.
const SAME_COLOUR: f64 = 1.0;
/// One point of area: where two colours meet, a pixel may be counted to its neighbour.
const SAME_SHARE: f64 = 0.01;
/// Largest change of a code by noise.
const NOISE: i16 = 2;

/// A colour and how many rows of the picture it fills.
type Band = ([u8; 3], usize);

/// Scenes as a builder photographs them, colours far enough apart to be five pots.
const SCENES: [(&str, [Band; 5]); 3] = [
    (
        "brick yard",
        [
            ([0x9c, 0x4f, 0x3a], 40),
            ([0xc8, 0xbd, 0xa4], 24),
            ([0x5c, 0x74, 0x38], 18),
            ([0x3a, 0x3d, 0x44], 12),
            ([0x6f, 0x8f, 0xb4], 6),
        ],
    ),
    (
        "quarry",
        [
            ([0x8e, 0x8b, 0x84], 34),
            ([0x4b, 0x46, 0x40], 26),
            ([0xd9, 0xd2, 0xc0], 20),
            ([0x7a, 0x57, 0x2e], 12),
            ([0x35, 0x52, 0x28], 8),
        ],
    ),
    (
        "station",
        [
            ([0xe2, 0xcf, 0x9a], 30),
            ([0x7b, 0x1e, 0x22], 25),
            ([0x1f, 0x4a, 0x34], 20),
            ([0xb2, 0xb6, 0xba], 15),
            ([0x2a, 0x24, 0x20], 10),
        ],
    ),
];

/// A seeded sequence of numbers (the generator of Steele, Lea and Flood 2014, *Fast splittable pseudorandom
/// number generators*, from memory).
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> i16 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        let steps = u64::try_from(2 * NOISE + 1).unwrap_or(1);
        i16::try_from(z % steps).unwrap_or(0) - NOISE
    }
}

fn drawn(bands: &[Band; 5], seed: u64) -> Picture {
    let mut noise = Noise(seed);
    let rgb: Vec<u8> = bands
        .iter()
        .flat_map(|(colour, rows)| std::iter::repeat_n(*colour, rows * WIDTH))
        .flatten()
        .map(|code| {
            let moved = i16::from(code) + noise.next();
            u8::try_from(moved.clamp(0, 255)).unwrap_or(code)
        })
        .collect();
    Picture::from_srgb8(WIDTH, HEIGHT, rgb)
        .unwrap_or_else(|| unreachable!("bands fill the picture"))
}

/// What differs from what was drawn.
fn faults(bands: &[Band; 5], found: &Tones) -> Vec<String> {
    let mut faults = Vec::new();
    if found.tones.len() != bands.len() {
        faults.push(format!(
            "{} tones for {} colours",
            found.tones.len(),
            bands.len()
        ));
    }
    for (colour, rows) in bands {
        let drawn = LabD65::from(Srgb8(*colour));
        let Some(nearest) = found.tones.iter().min_by(|a, b| {
            delta_e00(a.colour, drawn)
                .0
                .total_cmp(&delta_e00(b.colour, drawn).0)
        }) else {
            return vec!["no tones".to_owned()];
        };
        let off = delta_e00(nearest.colour, drawn).0;
        let share = f64::from(u32::try_from(*rows).unwrap_or(0)) / 100.0;
        let share_off = (nearest.share.value() - share).abs();
        if off > SAME_COLOUR || share_off > SAME_SHARE {
            faults.push(format!(
                "{} over {share}: nearest tone {} over {}, ΔE00 {off:.2}",
                Srgb8(*colour),
                nearest.colour.to_srgb8(),
                nearest.share.value()
            ));
        }
    }
    faults
}

fn every_scene_comes_back(count: Count) {
    let mut all = Vec::new();
    for (name, bands) in &SCENES {
        for seed in 1..=4 {
            let picture = drawn(bands, seed);
            let found = tones_of(&picture, &Region::whole(), count);
            let wrong = match found {
                Ok(found) => faults(bands, &found),
                Err(error) => vec![error.to_string()],
            };
            all.extend(
                wrong
                    .into_iter()
                    .map(|fault| format!("{name}, seed {seed}: {fault}")),
            );
        }
    }
    assert!(all.is_empty(), "{count:?}\n{}", all.join("\n"));
}

#[test]
fn five_drawn_colours_come_back_when_five_are_asked_for() {
    every_scene_comes_back(Count::Exactly(5));
}

#[test]
fn five_drawn_colours_come_back_when_the_number_is_left_open() {
    every_scene_comes_back(Count::Chosen);
}

#[test]
fn a_tone_that_is_off_or_of_the_wrong_share_is_noticed() {
    let (_, bands) = &SCENES[0];
    let mut other = *bands;
    other[0].0 = [0x9c, 0x4f, 0x40];
    (other[1].1, other[2].1) = (26, 16);
    let picture = drawn(&other, 1);
    let found = tones_of(&picture, &Region::whole(), Count::Exactly(5));
    let noticed = found.map(|found| faults(bands, &found).len());
    assert_eq!(noticed, Ok(3));
}
