//! What a photo and its distance warrant: no band is planned darker or more colourful than that, whatever is stated.
//!
//! Over the shared photos where their folder is there, else over the bundled ones; cut into bands from the foot upwards, at
//! drawn distances and visibilities that need not fit them at all.

use crate::blends::Seeded;
use crate::haze::{channels, lab, metres, scene};
use crate::shared;
use hillwash::colour::LabD65;
use hillwash::depth::{PhotoAir, PlacedBand, SeenBand, moved_in_depth, read_air};
use hillwash::photo::{Limits, Picture, decode};
use hillwash::region::{Outline, Region};
use hillwash::scale_colour::{ScaleColour, thickness};
use hillwash::tones::{Count, tones_of};
use hillwash::units::{Metres, ScaleRatio};
use std::path::{Path, PathBuf};

/// Lightness and chroma are compared with so much to spare: means of colours in light are not quite means of Lab.
const SPARE: f64 = 0.5;
/// The weakest primary of grown things, earth and stone is at least this share of their strongest: as `depth` says, with its
/// source.
const LEAST: f64 = 0.07;

/// The farthest that a colour seen through air may be moved away from it: all of the air that may be before it taken out
/// (Koschmieder 1924), as far as what is left is a colour of a landscape.
fn without_all(seen: [f64; 3], air: [f64; 3], t: f64) -> [f64; 3] {
    let weakest = |c: [f64; 3]| c.iter().copied().fold(f64::INFINITY, f64::min);
    let strongest = |c: [f64; 3]| c.iter().copied().fold(0.0, f64::max);
    let share = LEAST.min(weakest(seen) / strongest(seen).max(1e-9));
    let full = ((1.0 - t) / t).min(1e6);
    let moved =
        |part: f64| -> [f64; 3] { std::array::from_fn(|k| seen[k] + part * (seen[k] - air[k])) };
    let fits = |part: f64| {
        let now = moved(part);
        weakest(now) >= share * strongest(now) && strongest(now) <= strongest(seen).max(1.0)
    };
    let (mut low, mut high) = (0.0, full);
    for _ in 0..if fits(full) { 0 } else { 80 } {
        let middle = 0.5 * (low + high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    moved(if fits(full) { full } else { low })
}

/// The least lightness and the most chroma that are warranted of a tone.
fn warranted(seen: LabD65, from: Metres, thickest: Metres, stands_for: Metres) -> (f64, f64) {
    let settings = ScaleColour::default();
    let air = channels(settings.air);
    let t = (-thickness(from.value(), thickest)).exp().max(1e-9);
    let more = (-thickness(stands_for.value(), settings.visibility)).exp();
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    let strongest = air.iter().copied().fold(0.0, f64::max);
    // From dull to glaring air, to the brightest there is.
    for level in [0.0, 0.6, 0.8, 1.0, 1.2, 1.0 / strongest] {
        let own = air.map(|v| (v * level).min(1.0));
        let bare = if level > 0.0 {
            without_all(channels(seen), own, t)
        } else {
            channels(seen)
        };
        let through = lab(std::array::from_fn(|k| {
            more * bare[k] + (1.0 - more) * air[k]
        }));
        least = least.min(through.l);
        most = most.max(through.chroma());
    }
    (least, most)
}

fn holds(bands: &[SeenBand], random: &mut Seeded, what: &str) {
    let settings = ScaleColour::default();
    let stated = (random.share() < 0.5).then(|| metres(200.0 * (random.share() * 5.5).exp()));
    let photo = read_air(bands, settings.air, None, stated);
    let thickest = match (stated, &photo.haze) {
        // A statement may be off by its own error twice over.
        (Some(stated), _) => Some(metres(stated.value() / 0.8_f64.exp())),
        (None, Some(_)) => Some(metres(300.0)),
        (None, None) => None,
    };
    for band in bands {
        let place = PlacedBand {
            distance: metres(20.0 * (random.share() * 4.0).exp()),
            scale: ScaleRatio::one_to(87.0).unwrap(),
            from: Some(band.from),
        };
        for tone in &band.tones {
            let planned = moved_in_depth(*tone, &settings, &place, &photo)
                .moved
                .colour;
            let told = format!(
                "{what}, from {} standing for {}, stated {stated:?}: {} to {}",
                band.from,
                place.distance,
                tone.to_srgb8(),
                planned.to_srgb8()
            );
            let weakest = channels(planned)
                .iter()
                .copied()
                .fold(f64::INFINITY, f64::min);
            assert!(weakest >= -1e-9, "{told}: outside sRGB");
            let (least, most) = match thickest {
                Some(thickest) => warranted(*tone, band.from, thickest, place.distance),
                // Where nothing is known, no more than its own photo.
                None => warranted(*tone, metres(0.0), metres(1000.0), place.distance),
            };
            assert!(planned.l >= least - SPARE, "{told}: darker than {least:.1}");
            assert!(
                planned.chroma() <= most + SPARE,
                "{told}: more colourful ({:.1}) than {most:.1}",
                planned.chroma()
            );
            if photo == PhotoAir::default() && tone.l < settings.air.l {
                assert!(planned.l >= tone.l - 1e-6, "{told}: darker than its photo");
                assert!(
                    planned.chroma() <= tone.chroma().max(settings.air.chroma()) + 1e-6,
                    "{told}: more colourful than its photo"
                );
            }
        }
    }
}

#[test]
fn no_drawn_band_is_planned_beyond_its_photo_and_its_distance() {
    let mut random = Seeded(2101);
    for number in 0..300 {
        let visibility = 300.0 * (random.share() * 5.0).exp();
        let (bands, _) = scene(&mut random, visibility);
        let bands: Vec<SeenBand> = bands.into_iter().map(|band| band.seen).collect();
        holds(&bands, &mut random, &format!("scene {number}"));
    }
}

fn photos() -> Vec<PathBuf> {
    let folder = shared::folder("photos").unwrap_or_else(|| {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard")
    });
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "jpg"))
        .collect();
    files.sort();
    files
}

/// Tones of four boxes from the foot of a picture upwards.
fn tones_upwards(picture: &Picture) -> Vec<Vec<LabD65>> {
    [0.80, 0.60, 0.40, 0.20]
        .iter()
        .map(|top| {
            let (top, foot) = (*top, top + 0.15);
            let outline = Outline::new(vec![[0.1, top], [0.9, top], [0.9, foot], [0.1, foot]]);
            let region = Region {
                outline: outline.unwrap(),
                leave_out: Vec::new(),
            };
            let tones = tones_of(picture, &region, Count::Exactly(3)).unwrap();
            tones.tones.iter().map(|tone| tone.colour).collect()
        })
        .collect()
}

#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "which photos there are only the disk tells"
)]
fn no_band_of_a_photo_is_planned_beyond_it_and_its_distance() {
    let mut random = Seeded(2102);
    let files = photos();
    assert!(files.len() >= 6, "{files:?}");
    for file in files {
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        let bytes = std::fs::read(&file).unwrap();
        let picture = decode(&bytes, &Limits::default()).unwrap().value;
        let tones = tones_upwards(&picture);
        for _ in 0..25 {
            let mut from = 3.0;
            let bands: Vec<SeenBand> = tones
                .iter()
                .map(|tones| {
                    from *= (random.share() * 3.0).exp();
                    SeenBand {
                        from: metres(from),
                        tones: tones.clone(),
                    }
                })
                .collect();
            holds(&bands, &mut random, &name);
        }
    }
}
