//! A grey card, and a known colour, in a drawn scene under lamps.
//!
//! Chart reflectances: 24-patch chart, 380–780 nm at 5 nm (N. Ohta's measurements), and CIE 015:2018 illuminants A and
//! LED-B1, both as carried by colour-science 0.4.7 (BSD-3-Clause): the tristimulus values of the patches under each lamp
//! were computed from them. `patches_under_lamps.csv` keeps X, Y, Z (perfect diffuser Y = 100) and CIELAB under D65.

use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::photo::{KnownLight, Picture, Reference, ReferenceKnown, Samples};
use hillwash::region::{Outline, Region};
use hillwash::tones::{Count, tones_of};

const PATCHES: &str = include_str!("data/patches_under_lamps.csv");
/// Acceptance of the photo work, for neutrals.
const NEUTRALS: f64 = 2.0;
/// Lamps are drawn so dim that orange light stays inside sRGB's range.
const DIM: f64 = 0.4;
/// Pixels of each patch, in a row.
const SIDE: usize = 20;

struct Patch {
    number: usize,
    lamp: String,
    xyz: [f64; 3],
}

fn patches() -> Vec<Patch> {
    PATCHES
        .lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("patch"))
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            Patch {
                number: cells[0].parse().unwrap(),
                lamp: cells[1].to_owned(),
                xyz: std::array::from_fn(|i| cells[2 + i].parse::<f64>().unwrap() / 100.0),
            }
        })
        .collect()
}

/// The sRGB curve (IEC 61966-2-1) at 16 bits: at 8 bits the blue under a lamp is a few codes, and rounding shows.
fn encoded16(light: f64) -> u16 {
    let v = light.clamp(0.0, 1.0);
    let code = if v <= 0.003_130_8 {
        12.92 * v
    } else {
        1.055 * v.powf(1.0 / 2.4) - 0.055
    };
    (code * 65535.0).round() as u16
}

/// All patches in one row, as a camera without any white balance would take them under a lamp: tristimulus values straight
/// to sRGB.
fn drawn(under: &[&Patch]) -> Picture {
    let row: Vec<u16> = under
        .iter()
        .flat_map(|patch| {
            let [x, y, z] = patch.xyz.map(|v| v * DIM);
            let light = Xyz { x, y, z }.to_linear_srgb();
            [light.r, light.g, light.b].map(encoded16).repeat(SIDE)
        })
        .collect();
    let width = under.len() * SIDE;
    let mut picture = Picture::from_srgb8(width, SIDE, vec![0; width * SIDE * 3]).unwrap();
    picture.samples = Samples::Rgb16(row.repeat(SIDE));
    picture
}

fn under<'a>(all: &'a [Patch], lamp: &str) -> Vec<&'a Patch> {
    let found: Vec<&Patch> = all.iter().filter(|p| p.lamp == lamp).collect();
    assert_eq!(found.len(), 24);
    found
}

/// The middle of a patch of [`drawn`].
fn patch_region(number: usize) -> Region {
    let at = |n: f64| n / 24.0;
    let (l, r) = (at(number as f64 - 0.9), at(number as f64 - 0.1));
    Region {
        outline: Outline::new(vec![[l, 0.1], [r, 0.1], [r, 0.9], [l, 0.9]]).unwrap(),
        leave_out: Vec::new(),
    }
}

fn daylight(all: &[Patch], number: usize) -> Xyz {
    let patch = all
        .iter()
        .find(|p| p.lamp == "D65" && p.number == number)
        .unwrap();
    Xyz::from_array(patch.xyz)
}

#[test]
fn a_grey_card_brings_neutrals_home_from_under_a_lamp() {
    let all = patches();
    for lamp in ["A", "LED-B1"] {
        let mut picture = drawn(&under(&all, lamp));
        // Patch 22, neutral 5, is the card; its daylight luminance is its reflectance.
        picture
            .correct(&KnownLight::Neutral {
                region: patch_region(22),
                reflectance: Some(daylight(&all, 22).y),
            })
            .unwrap();
        for number in 19..=24 {
            let seen = tones_of(&picture, &patch_region(number), Count::Exactly(1))
                .unwrap()
                .tones[0]
                .colour;
            let off = delta_e00(seen, LabD65::from(daylight(&all, number))).0;
            println!("{lamp}: patch {number} off by {off:.2}");
            assert!(off <= NEUTRALS, "{lamp}, patch {number}: {off}");
        }
    }
}

#[test]
fn a_known_colour_brings_those_near_it_home_from_under_a_lamp() {
    /// Compared colours are neighbours on the chart of colours; those further apart are no comparison side by side.
    const NEIGHBOURS: f64 = 25.0;
    /// What an uncertainty means throughout: two in three.
    const TWO_IN_THREE: f64 = 0.67;
    let all = patches();
    for lamp in ["A", "LED-B1"] {
        let drawn = drawn(&under(&all, lamp));
        let (mut pairs, mut inside, mut sum, mut bare) = (0_u32, 0_u32, 0.0, 0.0);
        for beside in 1..=24 {
            let reference = Reference {
                region: patch_region(beside),
                colour: daylight(&all, beside).into(),
                known: ReferenceKnown::Stated,
            };
            let mut picture = drawn.clone();
            picture
                .correct(&KnownLight::Reference(reference.clone()))
                .unwrap();
            for number in (1..=24).filter(|number| *number != beside) {
                let truth = LabD65::from(daylight(&all, number));
                if delta_e00(truth, reference.colour).0 > NEIGHBOURS {
                    continue;
                }
                let seen = picture.reading(&patch_region(number)).unwrap().colour;
                let off = delta_e00(seen, truth).0;
                pairs += 1;
                sum += off;
                inside += u32::from(off <= reference.uncertainty_of(seen).0);
                let seen = drawn.reading(&patch_region(number)).unwrap().colour;
                bare += delta_e00(seen, truth).0;
            }
        }
        let mean = |sum: f64| sum / f64::from(pairs);
        println!(
            "{lamp}: {pairs} pairs of patches, off by ΔE00 {:.1} on average (without a reference {:.1}), within what is said in {inside}",
            mean(sum),
            mean(bare)
        );
        assert!(
            f64::from(inside) >= TWO_IN_THREE * f64::from(pairs),
            "{lamp}: {inside} of {pairs}"
        );
        assert!(mean(sum) < mean(bare));
    }
}
