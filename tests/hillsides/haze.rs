//! Haze of drawn scenes whose true air is known, and what must hold whatever the distances.

use crate::blends::Seeded;
use hillwash::colour::{LabD65, LinearSrgb, delta_e00};
use hillwash::depth::{PhotoAir, PlacedBand, SeenBand, moved_in_depth, read_air, without_haze};
use hillwash::scale_colour::{ScaleColour, thickness};
use hillwash::units::{Metres, ScaleRatio};

/// Means and deviations of the natural logarithm of linear red, green and blue.
///
/// # Source
/// Spectra of the Python package earthlib 1.1.0 (MIT): PROSAIL canopies (thrice, since hills are green), soils of the
/// ICRAF–ISRIC library, litter, bark and straw. Channels of one material go together but for the canopy's blue.
const MATERIALS: [([f64; 3], [f64; 3]); 7] = [
    ([-2.993, -2.676, -4.104], [0.57, 0.38, 0.36]),
    ([-2.993, -2.676, -4.104], [0.57, 0.38, 0.36]),
    ([-2.993, -2.676, -4.104], [0.57, 0.38, 0.36]),
    ([-1.336, -1.868, -2.458], [0.47, 0.53, 0.57]),
    ([-2.013, -2.421, -2.973], [0.48, 0.57, 0.63]),
    ([-1.729, -2.1, -2.539], [0.37, 0.44, 0.5]),
    ([-1.971, -2.345, -2.927], [0.49, 0.53, 0.61]),
];

/// Of less light than this nothing can be got back.
const SEEN_THROUGH: f64 = 0.15;

pub(crate) fn metres(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

pub(crate) fn lab([r, g, b]: [f64; 3]) -> LabD65 {
    LinearSrgb { r, g, b }.into()
}

pub(crate) fn channels(colour: LabD65) -> [f64; 3] {
    let LinearSrgb { r, g, b } = hillwash::colour::Xyz::from(colour).to_linear_srgb();
    [r, g, b]
}

/// About a bell curve, middle 0, deviation 1.
fn bell(random: &mut Seeded) -> f64 {
    (0..12).map(|_| random.share()).sum::<f64>() - 6.0
}

pub(crate) struct DrawnBand {
    /// As its distance is told: by eye, so off by a fifth.
    pub(crate) seen: SeenBand,
    /// Its tones without air.
    bare: Vec<LabD65>,
    /// Share of its light that came through.
    clear: f64,
}

/// Two to four bands through one air: each of a material or two, sunlit, half lit and in shade; and the sky at the horizon.
pub(crate) fn scene(random: &mut Seeded, visibility: f64) -> (Vec<DrawnBand>, LabD65) {
    scene_in(random, visibility, Light::Day)
}

/// What lights a drawn scene.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Light {
    /// The day.
    Day,
    /// An evening with yellow to red haze, or the day as a camera set for lamps takes it.
    Warm,
}

/// The same, in such light.
fn scene_in(random: &mut Seeded, visibility: f64, light: Light) -> (Vec<DrawnBand>, LabD65) {
    let (bands, sky, _) = scene_and_air(random, visibility, light);
    (bands, sky)
}

/// The same, and the colour of the air.
fn scene_and_air(
    random: &mut Seeded,
    visibility: f64,
    light: Light,
) -> (Vec<DrawnBand>, LabD65, LabD65) {
    let count = 2 + (random.share() * 3.0) as usize;
    // From white mist to blue haze, dull to bright.
    let level = random.between(0.35, 0.8);
    let [red, blue] = if light == Light::Warm {
        [random.between(1.05, 1.5), random.between(0.45, 0.8)]
    } else {
        [random.between(0.82, 1.0), random.between(0.97, 1.25)]
    };
    let air = [red, 1.0, blue].map(|v| (level * v).min(1.0));
    let exposure = (0.5 + 0.3 * bell(random)).exp();
    let mut distances: Vec<f64> = (0..count)
        .map(|i| {
            if i == 0 {
                random.between(10.0, 80.0)
            } else {
                60.0 * (random.share() * 4.4).exp()
            }
        })
        .collect();
    distances.sort_by(f64::total_cmp);
    let bands = distances
        .into_iter()
        .map(|distance| {
            let t = (-thickness(distance, metres(visibility))).exp();
            let (logs, off) = MATERIALS[(random.share() * 7.0) as usize];
            let level = bell(random);
            let own: [f64; 3] = std::array::from_fn(|k| (logs[k] + level * off[k]).exp());
            let shade = (-1.9 + 0.4 * bell(random)).exp();
            let mut band = DrawnBand {
                seen: SeenBand {
                    from: metres(distance * (0.2 * bell(random)).exp()),
                    tones: Vec::new(),
                },
                bare: Vec::new(),
                clear: t,
            };
            for light in [1.0, 0.45, shade] {
                let bare = own.map(|v| (exposure * v * light).min(1.0));
                let hazy: [f64; 3] = std::array::from_fn(|k| {
                    (t * bare[k] + (1.0 - t) * air[k]) * (0.04 * bell(random)).exp()
                });
                band.bare.push(lab(bare));
                band.seen
                    .tones
                    .push(lab(hazy.map(|v| v.clamp(0.0003, 1.0))));
            }
            band
        })
        .collect();
    // Its light is that of the air, but for where the sun stands and for the camera.
    let brighter = (0.15 * bell(random)).exp();
    let sky = air.map(|v| (v * brighter * (0.04 * bell(random)).exp()).min(1.0));
    (bands, lab(sky), lab(air))
}

/// Sums of differences from the true colours of the bands behind the first, of those that can be seen through the air:
/// as photographed, and cleared; and their number.
fn errors(bands: &[DrawnBand], photo: &PhotoAir) -> ([f64; 2], f64) {
    let (mut sums, mut count) = ([0.0; 2], 0.0);
    for band in bands[1..].iter().filter(|band| band.clear > SEEN_THROUGH) {
        for (seen, bare) in band.seen.tones.iter().zip(&band.bare) {
            let cleared = without_haze(*seen, band.seen.from, photo);
            sums[0] += delta_e00(*seen, *bare).0;
            sums[1] += delta_e00(cleared.colour, *bare).0;
            count += 1.0;
        }
    }
    (sums, count)
}

fn told(bands: &[DrawnBand], sky: Option<LabD65>, stated: Option<Metres>) -> PhotoAir {
    let seen: Vec<SeenBand> = bands.iter().map(|band| band.seen.clone()).collect();
    read_air(&seen, ScaleColour::default().air, sky, stated)
}

#[test]
fn haze_read_from_bands_beats_leaving_it_in() {
    // (what, visibilities, warm air, most mean error that is left against leaving the haze in; of that, with the sky)
    let mut misses = Vec::new();
    for (name, [least, most], light, bound, by_sky) in [
        (
            "mist, 0.5 to 3 km",
            [500.0, 3000.0],
            Light::Day,
            0.85,
            1.005,
        ),
        (
            "haze, 3 to 30 km",
            [3000.0, 30_000.0],
            Light::Day,
            0.8,
            1.005,
        ),
        (
            "clear, 300 km",
            [300_000.0, 300_000.0_f64],
            Light::Day,
            1.05,
            1.02,
        ),
        ("warm mist", [500.0, 3000.0], Light::Warm, 1.0, 0.85),
        ("warm haze", [3000.0, 30_000.0], Light::Warm, 1.0, 0.85),
    ] {
        let mut random = Seeded(18);
        let (mut left_in, mut cleared, mut worse, mut all) = (0.0, 0.0, 0, 0.0);
        let (mut with_sky, mut worse_by_sky) = (0.0, 0);
        for _ in 0..120 {
            let visibility = least * (most / least).powf(random.share());
            let (bands, sky) = scene_in(&mut random, visibility, light);
            let ([before, after], tones) = errors(&bands, &told(&bands, None, None));
            let ([_, with_it], _) = errors(&bands, &told(&bands, Some(sky), None));
            left_in += before;
            cleared += after;
            all += tones;
            with_sky += with_it;
            worse += u32::from(after > before + tones);
            worse_by_sky += u32::from(with_it > before + tones);
        }
        println!(
            "{name}: ΔE00 {:.2} left in, {:.2} read from the bands, {:.2} with the sky; worse by more than 1 in {worse} and {worse_by_sky} of 120",
            left_in / all,
            cleared / all,
            with_sky / all
        );
        for (what, error, most, worse) in [
            ("bands", cleared, bound * left_in, worse),
            ("bands and sky", with_sky, by_sky * cleared, worse_by_sky),
        ] {
            // By the scene's air alone warm mist makes a twentieth of the scenes worse.
            if error > most || worse > 8 {
                misses.push(format!(
                    "{name}, {what}: {error} of {most}, worse in {worse}"
                ));
            }
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

/// The colour of the air that is told lies within its ± in about two of three drawn scenes, by the bands alone and with the
/// sky, in mist and in haze.
#[test]
fn the_air_that_is_told_is_right_within_its_uncertainty() {
    let mut misses = Vec::new();
    for (name, [least, most], light) in [
        ("mist", [500.0, 3000.0_f64], Light::Day),
        ("haze", [3000.0, 30_000.0], Light::Day),
        ("warm mist", [500.0, 3000.0], Light::Warm),
    ] {
        let mut random = Seeded(41);
        let (mut told_of, mut inside, mut quoted) = ([0, 0], [0, 0], [0.0, 0.0]);
        for _ in 0..300 {
            let visibility = least * (most / least).powf(random.share());
            let (bands, sky, air) = scene_and_air(&mut random, visibility, light);
            for (at, by) in [None, Some(sky)].into_iter().enumerate() {
                // Warm air without a sky is taken for the scene's own: nothing in the bands tells its hue.
                if light == Light::Warm && by.is_none() {
                    continue;
                }
                if let Some(haze) = told(&bands, by, None).haze {
                    told_of[at] += 1;
                    quoted[at] += haze.air_within.0;
                    inside[at] += u32::from(delta_e00(haze.air, air).0 <= haze.air_within.0);
                }
            }
        }
        for at in 0..2 {
            if told_of[at] == 0 {
                continue;
            }
            let share = f64::from(inside[at]) / f64::from(told_of[at]);
            println!(
                "{name}, {}: air within its ± in {:.0} % of {} (± {:.1})",
                ["bands", "and sky"][at],
                100.0 * share,
                told_of[at],
                quoted[at] / f64::from(told_of[at])
            );
            if !(0.6..=0.82).contains(&share) {
                misses.push(format!("{name}: {share}"));
            }
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

/// Any distances and any visibility, stated or not: what is planned is a colour that a landscape can have, and no more
/// colourful or darker than the photo without all of its air would be.
#[test]
fn whatever_is_stated_the_plan_stays_a_colour_of_a_landscape() {
    let mut random = Seeded(77);
    let settings = ScaleColour::default();
    for number in 0..300 {
        let visibility = 300.0 * (random.share() * 5.0).exp();
        let (bands, sky) = scene(&mut random, visibility);
        let stated = (number % 2 == 0).then(|| metres(50.0 * (random.share() * 8.0).exp()));
        let photo = told(&bands, (number % 3 == 0).then_some(sky), stated);
        for band in &bands {
            let place = PlacedBand {
                distance: metres(random.between(1.0, 2000.0)),
                scale: ScaleRatio::one_to(87.0).unwrap(),
                from: Some(metres(3.0 * (random.share() * 8.0).exp())),
            };
            for tone in &band.seen.tones {
                let out = moved_in_depth(*tone, &settings, &place, &photo);
                let (seen, planned) = (channels(*tone), channels(out.moved.colour));
                let least = planned.iter().copied().fold(f64::INFINITY, f64::min);
                let most = planned.iter().copied().fold(0.0, f64::max);
                let of_seen = seen.iter().copied().fold(f64::INFINITY, f64::min)
                    / seen.iter().copied().fold(0.0, f64::max);
                let told = format!("scene {number}: {seen:?} to {planned:?}");
                assert!(least >= -1e-9 && most <= 1.0 + 1e-9, "{told}");
                assert!(least >= of_seen.min(0.07) * most - 1e-9, "{told}");
                assert!(out.doubt.0.is_finite() && out.doubt.0 >= 0.0, "{told}");
            }
        }
    }
}

/// One material behind ever more air: with distance chroma and contrast fall and lightness nears that of the air.
#[test]
fn bands_of_one_material_pale_with_distance() {
    let settings = ScaleColour::default();
    let air = channels(settings.air);
    for (visibility, stated) in [
        (800.0, None),
        (3000.0, None),
        (3000.0, Some(3000.0)),
        (20_000.0, None),
    ] {
        for own in [[0.05, 0.07, 0.016], [0.26, 0.15, 0.09], [0.13, 0.09, 0.05]] {
            let distances = [20.0, 60.0, 150.0, 600.0, 2500.0];
            let bands: Vec<SeenBand> = distances
                .iter()
                .map(|d| {
                    let t = (-thickness(*d, metres(visibility))).exp();
                    let through = |v: f64, k: usize| t * v + (1.0 - t) * 0.8 * air[k];
                    SeenBand {
                        from: metres(*d),
                        tones: [1.0, 0.25]
                            .iter()
                            .map(|light| lab(std::array::from_fn(|k| through(own[k] * light, k))))
                            .collect(),
                    }
                })
                .collect();
            let photo = read_air(&bands, settings.air, None, stated.map(metres));
            let mut before: Option<[LabD65; 2]> = None;
            for (band, stands_for) in bands.iter().zip([80.0, 100.0, 130.0, 170.0, 230.0]) {
                let place = PlacedBand {
                    distance: metres(stands_for),
                    scale: ScaleRatio::one_to(87.0).unwrap(),
                    from: Some(band.from),
                };
                let now = [0, 1].map(|i| {
                    moved_in_depth(band.tones[i], &settings, &place, &photo)
                        .moved
                        .colour
                });
                if let Some(before) = before {
                    let contrast = |pair: [LabD65; 2]| pair[0].l - pair[1].l;
                    let told = format!("visibility {visibility}, {own:?}: {before:?} to {now:?}");
                    assert!(
                        now[0].chroma() < before[0].chroma().max(settings.air.chroma()) + 0.3,
                        "{told}"
                    );
                    assert!(contrast(now) < contrast(before) + 0.3, "{told}");
                    assert!(now[1].l > before[1].l - 0.3, "{told}");
                }
                before = Some(now);
            }
        }
    }
}

/// Found on a real kind of case: a misty wood whose far band is green still must not come out as pure green.
#[test]
fn more_knowledge_never_makes_a_far_band_more_than_its_photo_warrants() {
    let tone = |r: u8, g: u8, b: u8| LabD65::from(hillwash::colour::Srgb8([r, g, b]));
    let bands = [
        SeenBand {
            from: metres(20.0),
            tones: vec![tone(0x2c, 0x30, 0x14), tone(0x6a, 0x72, 0x2e)],
        },
        SeenBand {
            from: metres(150.0),
            tones: vec![tone(0x4a, 0x52, 0x26), tone(0x70, 0x80, 0x35)],
        },
        SeenBand {
            from: metres(600.0),
            tones: vec![tone(0x60, 0x74, 0x2c), tone(0x7b, 0x91, 0x33)],
        },
    ];
    let settings = ScaleColour::default();
    let photo = read_air(&bands, settings.air, None, None);
    for band in &bands {
        for seen in &band.tones {
            let cleared = without_haze(*seen, band.from, &photo);
            // Its blue is nearly nothing already: air before it would be seen there.
            assert!(
                delta_e00(cleared.colour, *seen).0 < 3.0,
                "{} m: {} to {}, {:?}",
                band.from,
                seen.to_srgb8(),
                cleared.colour.to_srgb8(),
                photo.haze
            );
        }
    }
}

#[test]
fn where_nothing_is_known_nothing_is_taken_out() {
    let seen = LabD65::new(45.0, -12.0, 20.0);
    let one = [SeenBand {
        from: metres(600.0),
        tones: vec![seen],
    }];
    let photo = read_air(&one, ScaleColour::default().air, None, None);
    assert_eq!(photo, PhotoAir::default(), "one distance tells nothing");
    assert_eq!(without_haze(seen, metres(600.0), &photo).colour, seen);
    // And where hardly any light came through, nothing is taken out either, whatever is stated.
    let photo = read_air(&one, ScaleColour::default().air, None, Some(metres(100.0)));
    let back = without_haze(seen, metres(600.0), &photo).colour;
    assert!(delta_e00(back, seen).0 < 0.5, "{back:?}");
}
