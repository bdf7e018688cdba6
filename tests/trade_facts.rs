//! What every modeller knows, as checks.
//!
//! The facts are common practice, no source, unless a line says otherwise: they come from the bench, not from the
//! code, and hold whatever model of mixing stands behind it. The paints are invented; their colours are typical ones.
#![expect(
    clippy::unwrap_used,
    reason = "an invented paint that does not mix is a fault of the test"
)]

use hillwash::colour::{LabD65, Srgb8, Xyz, plain_name};
use hillwash::mix::{PaintId, Search, Shelf};
use hillwash::paint::{Opacity, PaintList, Prepared, Wash, opaque_mix, wash_over};
use hillwash::rock::{RockRole, RockScheme, RockTone};
use hillwash::units::{ScaleRatio, UnitError};
use std::collections::BTreeSet;

fn colour(hex: [u8; 3]) -> Xyz {
    Xyz::from(Srgb8(hex).to_linear())
}

fn paint(hex: [u8; 3]) -> Prepared {
    Prepared::from_colour(colour(hex), None, 1.0)
}

fn mixed(parts: &[(&Prepared, f64)]) -> LabD65 {
    opaque_mix(parts).unwrap().into()
}

/// Typical blues, as a shelf has them: ultramarine, Prussian blue, cobalt, a railway blue.
const BLUES: [[u8; 3]; 4] = [
    [0x23, 0x2f, 0x8c],
    [0x1d, 0x36, 0x57],
    [0x2a, 0x55, 0xa5],
    [0x2f, 0x4f, 0x7f],
];
/// Typical yellows: lemon, chrome, golden.
const YELLOWS: [[u8; 3]; 3] = [[0xf0, 0xdf, 0x3c], [0xf2, 0xc1, 0x1d], [0xd8, 0xb0, 0x2c]];
/// Typical blacks.
const BLACKS: [[u8; 3]; 2] = [[0x1c, 0x1c, 0x1c], [0x10, 0x11, 0x13]];
/// CIELAB hue angles, degrees, that anybody calls green: yellow lies near 90, cyan near 200.
const GREEN: std::ops::Range<f64> = 110.0..190.0;
/// Below this chroma a colour is a grey to most people, whatever its hue angle.
const LEAST_COLOURFUL: f64 = 8.0;

fn lone_ratio(text: &str) -> Option<f64> {
    text.parse::<ScaleRatio>().ok().map(ScaleRatio::n)
}

#[test]
fn double_nought_is_1_to_76_and_half_nought_1_to_87() {
    // 00: British, common practice, no source. H0: NEM 010 and NMRA S-1, from memory.
    for (letter, n) in [
        ("00", 76.0),
        ("OO", 76.0),
        ("oo", 76.0),
        ("H0", 87.0),
        ("HO", 87.0),
        ("ho", 87.0),
    ] {
        assert_eq!(lone_ratio(letter), Some(n), "{letter}");
    }
}

#[test]
fn sizes_run_from_nought_down_to_z() {
    // Common practice, no source; the order of the letters is that of NEM 010, from memory. A larger N is a smaller
    // model.
    let falling = ["0", "00", "H0", "TT", "N", "Z"];
    for pair in falling.windows(2) {
        let (larger, smaller) = (
            ScaleRatio::of_letter(pair[0]).unwrap(),
            ScaleRatio::of_letter(pair[1]).unwrap(),
        );
        assert!(!larger.is_empty() && !smaller.is_empty(), "{pair:?}");
        for a in larger {
            for b in smaller {
                assert!(
                    a < b,
                    "{} 1:{a} must be larger than {} 1:{b}",
                    pair[0],
                    pair[1]
                );
            }
        }
    }
}

#[test]
fn letters_with_several_ratios_are_refused_with_all_of_them_listed() {
    // N is 1:160 on the continent and in America, 1:148 in Britain; 0 is 1:45 on the continent, 1:48 in America, 1:43.5
    // in Britain. Common practice, no source.
    for (letter, wanted) in [
        ("N", vec!["1:148", "1:160"]),
        ("0", vec!["1:43.5", "1:45", "1:48"]),
        ("O", vec!["1:43.5", "1:45", "1:48"]),
    ] {
        let refused = letter.parse::<ScaleRatio>();
        let Err(UnitError::SeveralRatios { ratios, .. }) = &refused else {
            unreachable!("{letter} gave {refused:?}");
        };
        let listed: BTreeSet<&str> = ratios.split(", ").collect();
        assert_eq!(listed, wanted.into_iter().collect(), "{letter}");
    }
    assert_eq!(lone_ratio("N 1:148"), Some(148.0));
    assert_eq!(lone_ratio("0 1:43.5"), Some(43.5));
}

#[test]
fn blue_and_yellow_make_a_green() {
    // Common practice, no source: yellow is the weak one, so blue goes into it and not the other way. Light added to
    // light would make a grey.
    for blue in BLUES {
        for yellow in YELLOWS {
            let (b, y) = (paint(blue), paint(yellow));
            let green = mixed(&[(&b, 1.0), (&y, 3.0)]);
            let pair = format!("{} and {} gave {green:?}", Srgb8(blue), Srgb8(yellow));
            assert!(GREEN.contains(&green.hue_degrees()), "{pair}");
            assert!(green.chroma() > LEAST_COLOURFUL, "{pair}");
        }
    }
}

#[test]
fn black_and_yellow_make_an_olive() {
    // Common practice, no source.
    for black in BLACKS {
        for yellow in YELLOWS {
            let (k, y) = (paint(black), paint(yellow));
            let olive = mixed(&[(&k, 1.0), (&y, 3.0)]);
            let pair = format!("{} and {} gave {olive:?}", Srgb8(black), Srgb8(yellow));
            assert!(
                (y.lab.hue_degrees()..GREEN.end).contains(&olive.hue_degrees()),
                "between yellow and green: {pair}"
            );
            assert!(olive.l < y.lab.l - 15.0, "much darker: {pair}");
            assert!(olive.chroma() > LEAST_COLOURFUL, "{pair}");
            assert!(
                plain_name(olive).contains("olive"),
                "{}: {pair}",
                plain_name(olive)
            );
        }
    }
}

#[test]
fn every_part_of_white_lightens_a_strong_blue() {
    // Common practice, no source.
    let white = Prepared::from_colour(colour([0xf4, 0xf4, 0xf0]), Some(Opacity::Opaque), 1.0);
    for blue in BLUES {
        let blue = paint(blue);
        let mut before = blue.lab.l;
        for parts in 1..=8 {
            let now = mixed(&[(&blue, 1.0), (&white, f64::from(parts))]).l;
            assert!(
                now > before + 0.5,
                "{parts} parts of white: {before} to {now}"
            );
            before = now;
        }
        assert!(
            before > blue.lab.l + 20.0,
            "eight parts: {} to {before}",
            blue.lab.l
        );
    }
}

/// How far the hue of blue oils moved with zinc white, degrees of CIELAB hue towards green: cobalt 6 and 18, ultramarine
/// 10 and 24 at one part and at nine parts of white. Worked out from the measured reflectances of Geldof et al. 2018,
/// *Reconstructing Van Gogh's palette to determine the optical characteristics of his paints*.
const MEASURED_DRIFT: f64 = 24.0;
/// Lightness of the lightest of those tints.
const MEASURED_UP_TO: f64 = 60.0;

#[test]
fn white_in_a_strong_blue_keeps_its_hue_within_the_measured_drift() {
    let white = Prepared::from_colour(colour([0xf4, 0xf4, 0xf0]), Some(Opacity::Opaque), 1.0);
    for blue in BLUES {
        let blue = paint(blue);
        for parts in 1..=9 {
            let tint = mixed(&[(&blue, 1.0), (&white, 0.5 * f64::from(parts))]);
            if tint.l > MEASURED_UP_TO {
                assert!(parts > 1, "no tint of {:?} was looked at", blue.lab);
                break;
            }
            let drift =
                (tint.hue_degrees() - blue.lab.hue_degrees() + 180.0).rem_euclid(360.0) - 180.0;
            assert!(
                drift.abs() <= MEASURED_DRIFT,
                "{parts} half parts of white in {:?}: hue moved by {drift:.0} degrees to {tint:?}",
                blue.lab
            );
        }
    }
}

#[test]
fn a_thin_dark_wash_ends_darker_in_a_recess_than_on_a_flat() {
    // Common practice, no source: it is what washes are for.
    let dark = paint([0x2b, 0x24, 0x1e]);
    for base in [[0xa4, 0x52, 0x3a], [0xcb, 0xbf, 0x9f], [0x8f, 0x8f, 0x8c]] {
        for thin in [16.0, 32.0, 64.0] {
            let film = wash_over(colour(base), &[(&dark, 1.0)], &Wash::thinned(thin, 1.0)).unwrap();
            let [base_l, flat, recess] =
                [colour(base), film.flat, film.recess].map(|xyz| LabD65::from(xyz).l);
            let what = format!(
                "1 to {thin} over {}: base {base_l}, flat {flat}, recess {recess}",
                Srgb8(base)
            );
            assert!(flat < base_l - 0.1, "{what}");
            assert!(recess < flat - 1.0, "{what}");
        }
    }
}

#[test]
fn a_thin_earth_over_white_is_a_tan_or_beige_and_no_brick_or_mustard() {
    // Common practice, no source: an umber thinned 1 to 12 stains white plastic like tea.
    for earth in [[0x49, 0x34, 0x2a], [0x5a, 0x46, 0x34]] {
        let umber = paint(earth);
        let over = colour([0xf2, 0xf1, 0xec]);
        let film = wash_over(over, &[(&umber, 1.0)], &Wash::thinned(12.0, 1.0)).unwrap();
        let tan = LabD65::from(film.flat);
        let what = format!("{} gave {tan:?}", Srgb8(earth));
        assert!(tan.chroma() < 25.0 && tan.l > 60.0, "{what}");
        assert!((40.0..95.0).contains(&tan.hue_degrees()), "{what}");
    }
}

#[test]
fn a_black_wash_as_thin_as_is_usual_greys_a_pale_wall_and_does_not_hide_it() {
    // Common practice, no source: 1 to 8 up to 1 to 20.
    let cream = colour([0xef, 0xe6, 0xcf]);
    for black in BLACKS {
        let black = paint(black);
        let over = |thin: f64| {
            let film = wash_over(cream, &[(&black, 1.0)], &Wash::thinned(thin, 1.0)).unwrap();
            LabD65::from(film.flat).l
        };
        let (usual, thin) = (over(16.0), over(64.0));
        assert!((35.0..85.0).contains(&usual), "1 to 16: L* {usual}");
        assert!(thin > 70.0, "1 to 64: L* {thin}");
    }
}

#[test]
fn a_pale_mortar_wash_of_opaque_paint_ends_lighter_in_the_joints_than_on_the_bricks() {
    // Common practice, no source: mortar is run into the joints as a thin pale wash.
    let mortar = Prepared::from_colour(colour([0xd9, 0xca, 0xa6]), Some(Opacity::Opaque), 1.0);
    for base in [[0x8a, 0x46, 0x32], [0x5d, 0x3d, 0x36], [0x56, 0x5b, 0x60]] {
        for thin in [8.0, 16.0, 32.0] {
            let film =
                wash_over(colour(base), &[(&mortar, 1.0)], &Wash::thinned(thin, 1.0)).unwrap();
            let [base_l, flat, recess] =
                [colour(base), film.flat, film.recess].map(|xyz| LabD65::from(xyz).l);
            assert!(
                base_l < flat && flat + 1.0 < recess,
                "1 to {thin} over {}",
                Srgb8(base)
            );
        }
    }
}

#[test]
fn a_rock_takes_about_four_colours_and_ends_with_the_lightest() {
    // Common practice, no source: undercoat, one or two tints, a dark wash, a dry-brushed light.
    let tone = |hex: [u8; 3], share: f64| RockTone {
        colour: colour(hex).into(),
        share,
        accent: false,
    };
    let rocks = [
        vec![
            tone([0x7a, 0x7b, 0x71], 0.5),
            tone([0x37, 0x38, 0x37], 0.3),
            tone([0xd0, 0xd0, 0xd2], 0.2),
        ],
        vec![tone([0x8a, 0x6e, 0x52], 0.9), tone([0xa0, 0x8e, 0x73], 0.1)],
        vec![tone([0x4a, 0x46, 0x44], 1.0)],
    ];
    for rock in rocks {
        let colours = RockScheme::of_tones(&rock).unwrap().colours;
        assert!((4..=5).contains(&colours.len()), "{colours:?}");
        assert_eq!(colours[0].role, RockRole::Undercoat);
        let (last, before) = colours.split_last().unwrap();
        assert_eq!(last.role, RockRole::Light);
        assert!(
            before.iter().all(|c| c.planned.l < last.planned.l),
            "{colours:?}"
        );
    }
}

#[test]
fn enamel_is_never_stirred_with_acrylic() {
    // Common practice, no source: white spirit and water part. Each target lies between an enamel and an acrylic, so
    // that a pot of both would come nearest.
    let list = "name,hex,medium\n\
        enamel black,#151515,enamel\n\
        acrylic white,#f4f4f0,acrylic\n\
        enamel yellow,#f2c11d,enamel\n\
        acrylic blue,#232f8c,acrylic\n\
        household cream,#e9dfc0,emulsion\n\
        lacquer red,#a02018,lacquer\n\
        oil umber,#3c2b1c,oil\n";
    let list =
        PaintList::parse("paints.csv", list.as_bytes(), &|_| Err("none".to_owned())).unwrap();
    let shelf = Shelf::new(&list);
    assert_eq!(shelf.stocks().len(), 7);
    // The binder is the first word of the name; acrylic and household emulsion are both thinned with water.
    let binder = |at: PaintId| match shelf[at].name.split(' ').next() {
        Some("acrylic" | "household") => "water",
        other => other.unwrap_or(""),
    };
    let search = Search {
        most_paints: 4,
        answers: 20,
        ..Search::default()
    };
    for target in [
        [0x80, 0x80, 0x7c],
        [0x3d, 0x6d, 0x4f],
        [0xee, 0xdb, 0x90],
        [0x55, 0x2a, 0x2a],
    ] {
        let target = LabD65::from(Srgb8(target));
        let recipes = shelf.recipes_near(target, &search);
        assert!(!recipes.is_empty(), "{target:?}");
        for recipe in &recipes {
            let in_pot: BTreeSet<&str> = recipe.parts.iter().map(|(at, _)| binder(*at)).collect();
            assert_eq!(in_pot.len(), 1, "{in_pot:?} for {target:?}: {recipe:?}");
        }
        assert!(
            recipes.iter().any(|recipe| {
                recipe.parts.len() > 1 && recipe.parts.iter().all(|(at, _)| binder(*at) == "water")
            }),
            "{target:?}: no pot of water-borne paints, which do mix"
        );
    }
}
