//! Depth: the haze of real photos against the rule's, and facts of the trade.

use hillwash::colour::{LabD65, Srgb8};
use hillwash::depth::{Lies, PhotoAir, PlacedBand, SeenBand, moved_in_depth, placed, read_air};
use hillwash::photo::{Limits, decode};
use hillwash::region::{Outline, Region};
use hillwash::scale_colour::ScaleColour;
use hillwash::tones::{Count, tones_of};
use hillwash::units::{Metres, Millimetres, ScaleRatio};

const HILL: &[u8] =
    include_bytes!("../../sample-photos/brewery-yard/hillside-autumn-trees-hazy-crag.jpg");
const LAKE: &[u8] =
    include_bytes!("../../sample-photos/brewery-yard/pavilion-tile-roofs-hazy-lake.jpg");

/// What is seen, how far away (estimated by looking at the picture), and a box around it.
type Sight = (&'static str, f64, [f64; 4]);

/// Woods of one photo each, near to far.
const SIGHTS: [(&str, &[u8], [Sight; 3]); 2] = [
    (
        "hillside",
        HILL,
        [
            ("spruce at the meadow", 90.0, [0.715, 0.47, 0.765, 0.60]),
            ("larches", 180.0, [0.10, 0.40, 0.30, 0.52]),
            ("wooded slope", 3500.0, [0.46, 0.34, 0.60, 0.43]),
        ],
    ),
    (
        "lake",
        LAKE,
        [
            ("trees below the pavilion", 20.0, [0.05, 0.86, 0.29, 0.98]),
            ("island", 1000.0, [0.70, 0.535, 0.76, 0.555]),
            ("far shore", 3000.0, [0.55, 0.488, 0.85, 0.503]),
        ],
    ),
];

fn metres(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

/// The tones in a box, the darkest first.
fn tones_in(photo: &[u8], [left, top, right, bottom]: [f64; 4]) -> Vec<LabD65> {
    let picture = decode(photo, &Limits::default()).unwrap().value;
    let outline = Outline::new(vec![
        [left, top],
        [right, top],
        [right, bottom],
        [left, bottom],
    ]);
    let region = Region {
        outline: outline.unwrap(),
        leave_out: Vec::new(),
    };
    let mut tones: Vec<LabD65> = tones_of(&picture, &region, Count::Exactly(3))
        .unwrap()
        .tones
        .iter()
        .map(|tone| tone.colour)
        .collect();
    tones.sort_by(|a, b| a.l.total_cmp(&b.l));
    tones
}

/// A place so far from the eye, of a colour photographed from `from`.
fn at(distance: f64, from: f64) -> PlacedBand {
    PlacedBand {
        distance: metres(distance),
        scale: ScaleRatio::one_to(87.0).unwrap(),
        from: Some(metres(from)),
    }
}

#[test]
fn far_woods_lighten_as_in_the_photos() {
    let settings = ScaleColour::default();
    for (name, photo, sights) in SIGHTS {
        let bands: Vec<SeenBand> = sights
            .iter()
            .map(|(_, distance, part)| SeenBand {
                from: metres(*distance),
                tones: tones_in(photo, *part),
            })
            .collect();
        let seen: Vec<LabD65> = bands.iter().map(|band| band.tones[0]).collect();
        let (_, near, _) = sights[0];
        let predicted: Vec<LabD65> = sights
            .iter()
            .map(|(_, distance, _)| {
                let place = at(distance - near, 0.0);
                moved_in_depth(seen[0], &settings, &place, &PhotoAir::default())
                    .moved
                    .colour
            })
            .collect();
        for (i, (what, distance, _)) in sights.iter().enumerate() {
            println!(
                "{name}, {what} at {distance} m: shadows L* {:.0} b* {:.0}, predicted L* {:.0} b* {:.0}",
                seen[i].l, seen[i].b, predicted[i].l, predicted[i].b
            );
        }
        for i in 1..sights.len() {
            let what = sights[i].0;
            assert!(
                predicted[i].l > predicted[i - 1].l,
                "{name}, {what}: predicted"
            );
            assert!(
                seen[i].l > seen[i - 1].l,
                "{name}, {what}: in the photo {seen:?}"
            );
        }
        let last = sights.len() - 1;
        assert!(
            predicted[last].b < predicted[0].b,
            "{name}: predicted bluer"
        );
        assert!(seen[last].b < seen[0].b, "{name}: in the photo {seen:?}");
        let haze = read_air(&bands, settings.air, None, None).haze.unwrap();
        println!(
            "{name}: visibility {:.1} km within a factor of {:.1}",
            haze.visibility.value() / 1000.0,
            haze.within
        );
    }
}

#[test]
fn farther_bands_of_one_tone_are_never_darker_and_more_colourful() {
    // Common practice, no source. Under clear air, for tones a hillside has; those lighter than the air itself, which no
    // slope is, may darken.
    let settings = ScaleColour {
        visibility: metres(20_000.0),
        ..ScaleColour::default()
    };
    for code in [
        [0x2b, 0x2d, 0x1a],
        [0x58, 0x81, 0x3a],
        [0xad, 0x7a, 0x46],
        [0x8a, 0x46, 0x32],
        [0x86, 0x70, 0x5a],
        [0xb0, 0xa5, 0x8f],
    ] {
        let tone = LabD65::from(Srgb8(code));
        let mut before = tone;
        for distance in [50.0, 120.0, 400.0, 1500.0, 6000.0] {
            let now = moved_in_depth(tone, &settings, &at(distance, 0.0), &PhotoAir::default())
                .moved
                .colour;
            let darker = now.l < before.l - 1e-9;
            // Far off, the air's own faint blue takes over from what is left of the tone's colour.
            let richer = now.chroma() > before.chroma().max(settings.air.chroma()) + 1e-9;
            assert!(
                !darker && !richer,
                "{} at {distance} m: {before:?} to {now:?}",
                Srgb8(code)
            );
            before = now;
        }
    }
}

#[test]
fn forced_perspective_puts_a_band_farther_off() {
    let lies = |depth: f64, scale: Option<f64>| Lies {
        model_depth: Some(Millimetres::new(depth).unwrap()),
        scale: scale.map(|n| ScaleRatio::one_to(n).unwrap()),
        from: None,
    };
    let eye = Millimetres::new(900.0).unwrap();
    let own = ScaleRatio::one_to(87.0).unwrap();
    let plain = placed(&[lies(300.0, None), lies(1100.0, None)], own, eye);
    let forced = placed(&[lies(300.0, None), lies(1100.0, Some(160.0))], own, eye);
    // 0.9 m and 0.3 m at 1:87 are 104.4 m; 0.8 m more is 69.6 m at 1:87 and 128 m at 1:160.
    for (found, wanted) in [(plain[0], 104.4), (plain[1], 174.0), (forced[1], 232.4)] {
        assert!((found.distance.value() - wanted).abs() < 1e-6, "{found:?}");
    }
}
