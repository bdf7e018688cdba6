//! Colours under lamps: CIE illuminants, adaptation and metamerism.
//!
//! CIE 015:2018; Li et al. 2017 (CAT16). What the tables cannot show stands at their heads.

use crate::misses::Misses;
use crate::table::{Row, rows};
use hillwash::colour::{BANDS, DeltaE00, LabD65, Spectrum, Xyz, delta_e00};
use hillwash::lamps::{
    Lamp, LitXyz, MismatchCorrection, PairOfColours, cat16, special_metamerism_index,
};

const PATCHES: &str = include_str!("data/chart24_reflectance_10nm.csv");
const PATCHES_LIT: &str = include_str!("data/chart24_under_lamps.csv");
const PAIRS: &str = include_str!("data/metamer_reflectances_10nm.csv");
const PAIRS_LIT: &str = include_str!("data/metamer_index.csv");
const TEMPERATURES: &str = include_str!("data/colour_temperatures.csv");
/// Stated with the tables.
const AS_COMPUTED: f64 = 1e-6;
/// The 36 bands against sums at 5 nm on the 24 patches, as stated with the weights: mean 0.07, at most 0.21. Here the
/// white of D65 by its chromaticity comes on top, at most 0.02.
const BANDS_MEAN: f64 = 0.08;
const BANDS_WORST: f64 = 0.23;
/// The same on the drawn pairs, whose spectra have more bumps than a chart's: our choice, a fifth of what shows.
const BANDS_INDEX: f64 = 0.4;
/// Whites of the carried lamps, Y 100: sums of the columns of the weights.
const D65_SUMMED: [f64; 3] = [95.042_966_940, 100.0, 108.880_054_694];
/// Sums at 5 nm from 380 to 780 nm against the formula of daylight, which its own components meet to about 1e-4.
const ON_CHROMATICITY: f64 = 1.2e-4;

fn spectrum(table: &[Row], column: &str) -> Spectrum {
    let values: Vec<f64> = table.iter().map(|row| row.number(column)).collect();
    Spectrum::new(<[f64; BANDS]>::try_from(values).unwrap_or_else(|_| unreachable!("36 rows")))
}

fn lamp(name: &str) -> Lamp {
    Lamp::named(name).unwrap_or_else(|| unreachable!("{name}"))
}

fn white_of(name: &str) -> LitXyz {
    LitXyz(lamp(name).white().0.map(|v| 100.0 * v))
}

/// X, Y, Z scaled from one white to the program's D65, so that CIELAB is relative to that white.
fn to_white(xyz: [f64; 3], white: [f64; 3]) -> Xyz {
    LitXyz(xyz).to_own_white(LitXyz(white))
}

#[test]
fn adaptation_is_the_published_one() {
    let mut misses = Misses::of("CAT16");
    for row in rows(PATCHES_LIT) {
        let name = format!("{} under {}", row.text("patch"), row.text("lamp"));
        let lit = LitXyz(row.numbers(["X", "Y", "Z"]));
        let adapted = cat16(lit, white_of(row.text("lamp")), LitXyz(D65_SUMMED)).0;
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["X", "Y", "Z"],
            adapted,
            row.numbers(["X_cat16", "Y_cat16", "Z_cat16"]),
        );
        misses.three_within(
            AS_COMPUTED,
            &name,
            ["L*", "a*", "b*"],
            LabD65::from(to_white(adapted, D65_SUMMED)).into(),
            row.numbers(["L_cat16", "a_cat16", "b_cat16"]),
        );
    }
    misses.none_among(3 * 24 * 6);
}

#[test]
fn chart_patches_under_lamps_have_their_published_colours() {
    let table = rows(PATCHES);
    let mut misses = Misses::of("patches under lamps");
    let mut sum = 0.0;
    for row in rows(PATCHES_LIT) {
        let lit = lamp(row.text("lamp")).colour_of(&spectrum(&table, row.text("patch")));
        let [l, a, b] = row.numbers(["L_cat16", "a_cat16", "b_cat16"]);
        let off = delta_e00(lit, LabD65::new(l, a, b)).0;
        sum += off;
        let name = format!("{} under {}", row.text("patch"), row.text("lamp"));
        misses.within(BANDS_WORST, &name, "ΔE00", off, 0.0);
    }
    misses.within(BANDS_MEAN, "all", "mean ΔE00", sum / 72.0, 0.0);
    misses.none_among(73);
}

/// The two lines of a pair, under D65 and under a lamp.
fn lit_pair(row: &Row, white: [f64; 3]) -> PairOfColours {
    PairOfColours {
        standard: to_white(row.numbers(["X_std", "Y_std", "Z_std"]), white),
        sample: to_white(row.numbers(["X_spl", "Y_spl", "Z_spl"]), white),
    }
}

#[test]
fn the_metamerism_index_is_the_published_one() {
    let table = rows(PAIRS_LIT);
    let mut misses = Misses::of("metamerism index");
    let mut daylight = None;
    for row in &table {
        if row.text("lamp") == "D65" {
            daylight = Some(lit_pair(row, D65_SUMMED));
            continue;
        }
        let (Some(reference), name) = (daylight, row.text("lamp")) else {
            unreachable!("each pair begins with D65")
        };
        let test = lit_pair(row, white_of(name).0);
        let place = format!("{} under {name}", row.text("pair"));
        for (what, correction, column) in [
            (
                "additive",
                MismatchCorrection::Additive,
                "dE00_additive_corrected",
            ),
            (
                "multiplicative",
                MismatchCorrection::Multiplicative,
                "dE00_XYZ_multiplicative_corrected",
            ),
        ] {
            let DeltaE00(got) = special_metamerism_index(reference, test, correction);
            misses.within(AS_COMPUTED, &place, what, got, row.number(column));
        }
    }
    misses.none_among(24 * 4 * 2);
}

#[test]
fn pairs_of_reflectances_drift_apart_as_published() {
    let table = rows(PAIRS);
    let mut misses = Misses::of("drift of pairs");
    for row in rows(PAIRS_LIT)
        .iter()
        .filter(|row| row.text("lamp") != "D65")
    {
        let [standard, sample] =
            ["std", "spl"].map(|s| spectrum(&table, &format!("{}_{s}", row.text("pair"))));
        let got = lamp(row.text("lamp")).drift(&standard, &sample).0;
        let place = format!("{} under {}", row.text("pair"), row.text("lamp"));
        let published = row.number("dE00_XYZ_multiplicative_corrected");
        misses.within(BANDS_INDEX, &place, "index", got, published);
    }
    misses.none_among(24 * 4);
}

#[test]
fn colour_temperatures_have_their_published_chromaticities() {
    let mut misses = Misses::of("colour temperatures");
    let mut compared = 0;
    for row in rows(TEMPERATURES) {
        let kelvin = row.number("T_K");
        let columns = if kelvin < 4000.0 {
            ["x_planck", "y_planck"]
        } else {
            ["x_cie_d", "y_cie_d"]
        };
        let white = Lamp::of_temperature(kelvin).white().0;
        let sum: f64 = white.iter().sum();
        for (column, got) in columns.into_iter().zip(white) {
            compared += 1;
            misses.within(
                ON_CHROMATICITY,
                row.text("T_K"),
                column,
                got / sum,
                row.number(column),
            );
        }
    }
    misses.none_among(compared);
}
