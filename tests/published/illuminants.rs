//! The observer, D65, and the weights made of them.
//!
//! CIE 015:2018, tables of the CIE 1931 2° observer and of illuminant D65; IEC 61966-2-1:1999 for the white.

use crate::misses::Misses;
use crate::mixing_cases::mixing_cases;
use crate::table::{Row, rows};
use hillwash::colour::{
    BANDS, D65_WHITE, FIRST_NM, LabD65, OBSERVER_AND_D65, STEP_NM, Spectrum, Srgb8, d65_weights,
    seen_in_daylight,
};

const OBSERVER: &str = include_str!("data/cie1931_observer_10nm.csv");
const D65: &str = include_str!("data/illuminant_d65_10nm.csv");
const WHITE: &str = include_str!("data/illuminant_d65_white.csv");
/// Published values are typed in, not computed: not one digit may differ.
const TYPED: f64 = 0.0;
/// Sums of 36 products in double precision.
const SUMMED: f64 = 1e-12;
/// The white is printed to ten digits, 100 counting as white.
const WHITE_AS_PRINTED: f64 = 1e-9;

fn at_band(table: &[Row], band: u32) -> &Row {
    let nm = FIRST_NM + f64::from(band) * STEP_NM;
    table
        .iter()
        .find(|row| (row.number("wavelength_nm") - nm).abs() < 0.5)
        .unwrap_or_else(|| unreachable!("no row for {nm} nm"))
}

#[test]
fn the_tables_of_observer_and_d65_are_the_published_ones_to_the_last_digit() {
    let (observer, daylight) = (rows(OBSERVER), rows(D65));
    let mut misses = Misses::of("observer and D65");
    for (band, values) in (0..).zip(OBSERVER_AND_D65) {
        let row = at_band(&observer, band);
        let [x, y, z] = row.numbers(["xbar", "ybar", "zbar"]);
        let published = [x, y, z, at_band(&daylight, band).number("power")];
        let name = format!("{} nm", row.text("wavelength_nm"));
        for ((what, got), published) in ["x̄", "ȳ", "z̄", "D65"].iter().zip(values).zip(published)
        {
            misses.within(TYPED, &name, what, got, published);
        }
    }
    misses.none_among(4 * BANDS);
}

#[test]
fn the_white_is_d65_by_its_chromaticity() {
    let mut misses = Misses::of("white of D65");
    for row in rows(WHITE) {
        misses.three_within(
            WHITE_AS_PRINTED,
            row.text("illuminant"),
            ["X", "Y", "Z"],
            D65_WHITE.as_array(),
            row.numbers(["X", "Y", "Z"]).map(|v| v / 100.0),
        );
        let sum: f64 = D65_WHITE.as_array().iter().sum();
        let [x, y] = row.numbers(["x", "y"]);
        misses.within(SUMMED, "D65", "x", D65_WHITE.x / sum, x);
        misses.within(SUMMED, "D65", "y", D65_WHITE.y / sum, y);
    }
    misses.none_among(5);
}

#[test]
fn the_band_weights_are_those_computed_elsewhere() {
    let published = &mixing_cases()["weights_xyz_d65"];
    let mut misses = Misses::of("D65 weights");
    for (band, weights) in d65_weights().iter().enumerate() {
        for (channel, weight) in weights.iter().enumerate() {
            let wanted = published[band][channel].as_f64().unwrap_or(f64::NAN);
            let name = format!("band {band}");
            misses.within(SUMMED, &name, ["X", "Y", "Z"][channel], *weight, wanted);
        }
    }
    misses.none_among(3 * BANDS);
}

#[test]
fn a_perfect_diffuser_is_the_white_of_the_screen() {
    // IEC 61966-2-1: #ffffff is the white point.
    let seen = seen_in_daylight(&Spectrum::flat(1.0));
    let mut misses = Misses::of("perfect diffuser");
    misses.three_within(
        SUMMED,
        "reflectance 1",
        ["X", "Y", "Z"],
        seen.as_array(),
        D65_WHITE.as_array(),
    );
    misses.three_within(
        1e-9, // of L* = 100: a millionth of what an eye could see
        "reflectance 1",
        ["L*", "a*", "b*"],
        LabD65::from(seen).into(),
        [100.0, 0.0, 0.0],
    );
    let code = seen.to_linear_srgb().encode();
    misses.equal("reflectance 1", "sRGB", &code, &Srgb8([255, 255, 255]));
    misses.none_among(7);
}
