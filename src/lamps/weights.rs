//! Band weights: built-in tables, and the same sums for lamps known by temperature or spectrum.

use crate::colour::{BANDS, FIRST_NM, STEP_NM};
use std::sync::LazyLock;

/// Headed by its source.
const BAND_WEIGHTS: &str = include_str!("band_weights.csv");
const OBSERVER: &str = include_str!("observer_5nm.csv");
const DAYLIGHT: &str = include_str!("daylight_components.csv");

/// Rows of numbers below a header; lines that begin with # are left out.
fn table(text: &str) -> (Vec<&str>, Vec<Vec<f64>>) {
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let header = lines.next().unwrap_or_default().split(',').collect();
    let rows = lines
        .map(|line| {
            line.split(',')
                .filter_map(|cell| cell.parse().ok())
                .collect()
        })
        .collect();
    (header, rows)
}

static OBSERVER_ROWS: LazyLock<Vec<Vec<f64>>> = LazyLock::new(|| table(OBSERVER).1);
static DAYLIGHT_ROWS: LazyLock<[Vec<(f64, f64)>; 3]> = LazyLock::new(|| {
    let rows = table(DAYLIGHT).1;
    std::array::from_fn(|c| rows.iter().map(|row| (row[0], row[c + 1])).collect())
});

/// The weights of a CIE illuminant, Y of the white 1.
pub(super) fn of_illuminant(name: &str) -> Option<[[f64; 3]; BANDS]> {
    let (header, rows) = table(BAND_WEIGHTS);
    let at = header
        .iter()
        .position(|column| *column == format!("{name}_X"))?;
    let mut weights = [[0.0; 3]; BANDS];
    for (weight, row) in weights.iter_mut().zip(&rows) {
        *weight = std::array::from_fn(|c| row[at + c] / 100.0);
    }
    Some(weights)
}

/// The weights of a spectral power, from products at 5 nm: a point between two bands is shared half and half, what lies
/// beyond 730 nm goes to the last band. The sum of Y is 1.
pub(super) fn of_power(power: impl Fn(f64) -> f64) -> [[f64; 3]; BANDS] {
    let mut weights = [[0.0; 3]; BANDS];
    for row in OBSERVER_ROWS.iter() {
        let nm = row[0];
        let at = (nm - FIRST_NM) / STEP_NM;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the table begins with the first band"
        )]
        let below = (at.floor() as usize).min(BANDS - 1);
        let above = (below + usize::from(at.fract() > 0.0)).min(BANDS - 1);
        for band in [below, above] {
            for c in 0..3 {
                weights[band][c] += 0.5 * power(nm) * row[c + 1];
            }
        }
    }
    let y: f64 = weights.iter().map(|w| w[1]).sum();
    weights.map(|w| w.map(|v| v / y))
}

/// The value between points sorted by wavelength; beyond the ends nothing.
pub(super) fn interpolated(points: &[(f64, f64)], nm: f64) -> f64 {
    let after = points.partition_point(|(at, _)| *at < nm);
    match (
        after.checked_sub(1).and_then(|i| points.get(i)),
        points.get(after),
    ) {
        (_, Some(&(at, value))) if (at - nm).abs() < 1e-9 => value,
        (Some(&(a, va)), Some(&(b, vb))) => va + (vb - va) * (nm - a) / (b - a),
        _ => 0.0,
    }
}

/// Planck's law, relative power.
pub(super) fn planck(nm: f64, kelvin: f64) -> f64 {
    const C2: f64 = 1.4388e-2;
    let metres = nm * 1e-9;
    (560.0 / nm).powi(5) / (C2 / (metres * kelvin)).exp_m1()
}

/// A phase of daylight, relative power; 4000 K to 25 000 K.
///
/// # Source
/// CIE 015:2018: chromaticity of daylight by its correlated colour temperature, and its three components.
pub(super) fn daylight(nm: f64, kelvin: f64) -> f64 {
    let t = kelvin;
    let x = if t <= 7000.0 {
        0.244_063 + 0.099_11e3 / t + 2.967_8e6 / t.powi(2) - 4.607_0e9 / t.powi(3)
    } else {
        0.237_040 + 0.247_48e3 / t + 1.901_8e6 / t.powi(2) - 2.006_4e9 / t.powi(3)
    };
    let y = -3.0 * x * x + 2.87 * x - 0.275;
    let m = 0.0241 + 0.2562 * x - 0.7341 * y;
    let m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / m;
    let m2 = (0.03 - 31.4424 * x + 30.0717 * y) / m;
    let [s0, s1, s2] = [0, 1, 2].map(|c| interpolated(&DAYLIGHT_ROWS[c], nm));
    s0 + m1 * s1 + m2 * s2
}
