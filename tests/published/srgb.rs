//! sRGB codes to linear light, XYZ, CIELAB and Oklab, and back.
//!
//! IEC 61966-2-1:1999; CIE 015:2018; Ottosson 2020, *A perceptual color space for image processing*.

use crate::misses::Misses;
use crate::table::rows;
use hillwash::colour::{LabD65, OklabPoint, Srgb8, Xyz};

const CONVERSIONS: &str = include_str!("data/srgb_conversions.csv");
const OKLAB_PAIRS: &str = include_str!("data/oklab_author_pairs.csv");
/// Stated with the table: ten digits of values up to 100, computed in double precision.
const AS_COMPUTED: f64 = 1e-6;
/// Half of the last of the three decimals that are printed. The pairs are given for XYZ while the library starts from
/// linear sRGB, whose matrix is rounded on its own; the half decimal holds that too (4.0e-4 at worst).
const AS_PRINTED: f64 = 5e-4;

#[test]
fn two_hundred_srgb_codes_reach_their_computed_values() {
    let mut misses = Misses::of("sRGB conversions");
    for row in rows(CONVERSIONS) {
        let code = Srgb8([row.code("r8"), row.code("g8"), row.code("b8")]);
        let name = code.to_string();
        let linear = code.to_linear();
        let xyz = Xyz::from(linear);
        let lab = LabD65::from(code);
        let oklab = OklabPoint::from(linear);
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["linear red", "linear green", "linear blue"],
            [linear.r, linear.g, linear.b],
            row.numbers(["lin_r", "lin_g", "lin_b"]),
        );
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["X", "Y", "Z"],
            xyz.as_array(),
            row.numbers(["x", "y", "z"]),
        );
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["L*", "a*", "b*"],
            lab.into(),
            row.numbers(["lab_l", "lab_a", "lab_b"]),
        );
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["Oklab L", "Oklab a", "Oklab b"],
            [oklab.l, oklab.a, oklab.b],
            row.numbers(["oklab_l", "oklab_a", "oklab_b"]),
        );
    }
    misses.none_among(200 * 12);
}

#[test]
fn published_lab_values_come_back_as_their_srgb_codes() {
    let mut misses = Misses::of("CIELAB to sRGB");
    for row in rows(CONVERSIONS) {
        let code = Srgb8([row.code("r8"), row.code("g8"), row.code("b8")]);
        let lab = LabD65::from(row.numbers(["lab_l", "lab_a", "lab_b"]));
        misses.equal(&code.to_string(), "from Lab", &lab.to_srgb8(), &code);
    }
    misses.none_among(200);
}

#[test]
fn the_pairs_of_the_oklab_author_come_out() {
    let mut misses = Misses::of("Oklab of the author's pairs");
    for row in rows(OKLAB_PAIRS) {
        let xyz = Xyz::from_array(row.numbers(["X", "Y", "Z"]));
        let oklab = OklabPoint::from(xyz.to_linear_srgb());
        misses.three_within(
            AS_PRINTED,
            &format!("XYZ {:?}", xyz.as_array()),
            ["L", "a", "b"],
            [oklab.l, oklab.a, oklab.b],
            row.numbers(["oklab_l", "oklab_a", "oklab_b"]),
        );
    }
    misses.none_among(4 * 3);
}
