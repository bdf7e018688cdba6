//! How an eye sees a reflectance: the CIE 1931 2° observer under D65, as 36 band weights.

use super::spectrum::{BANDS, Spectrum};
use super::xyz::{D65_WHITE, Xyz};
use std::sync::LazyLock;

/// x̄, ȳ, z̄ of the CIE 1931 2° observer and the relative power of D65, at 380, 390 … 730 nm.
///
/// # Source
/// CIE 015:2018, tables of the standard observer and of illuminant D65.
#[rustfmt::skip]
#[expect(clippy::unreadable_literal, reason = "digits as the table prints them")]
pub const OBSERVER_AND_D65: [[f64; 4]; BANDS] = [
    [0.001368, 3.9e-05, 0.006450001, 49.9755], // 380
    [0.004243, 0.00012, 0.02005001, 54.6482], // 390
    [0.01431, 0.000396, 0.06785001, 82.7549], // 400
    [0.04351, 0.00121, 0.2074, 91.486], // 410
    [0.13438, 0.004, 0.6456, 93.4318], // 420
    [0.2839, 0.0116, 1.3856, 86.6823], // 430
    [0.34828, 0.023, 1.74706, 104.865], // 440
    [0.3362, 0.038, 1.77211, 117.008], // 450
    [0.2908, 0.06, 1.6692, 117.812], // 460
    [0.19536, 0.09098, 1.28764, 114.861], // 470
    [0.09564, 0.13902, 0.8129501, 115.923], // 480
    [0.03201, 0.20802, 0.46518, 108.811], // 490
    [0.0049, 0.323, 0.272, 109.354], // 500
    [0.0093, 0.503, 0.1582, 107.802], // 510
    [0.06327, 0.71, 0.07824999, 104.79], // 520
    [0.1655, 0.862, 0.04216, 107.689], // 530
    [0.2904, 0.954, 0.0203, 104.405], // 540
    [0.4334499, 0.9949501, 0.008749999, 104.046], // 550
    [0.5945, 0.995, 0.0039, 100.0], // 560
    [0.7621, 0.952, 0.0021, 96.3342], // 570
    [0.9163, 0.87, 0.001650001, 95.788], // 580
    [1.0263, 0.757, 0.0011, 88.6856], // 590
    [1.0622, 0.631, 0.0008, 90.0062], // 600
    [1.0026, 0.503, 0.00034, 89.5991], // 610
    [0.8544499, 0.381, 0.00019, 87.6987], // 620
    [0.6424, 0.265, 4.999999e-05, 83.2886], // 630
    [0.4479, 0.175, 2e-05, 83.6992], // 640
    [0.2835, 0.107, 0.0, 80.0268], // 650
    [0.1649, 0.061, 0.0, 80.2146], // 660
    [0.0874, 0.032, 0.0, 82.2778], // 670
    [0.04677, 0.017, 0.0, 78.2842], // 680
    [0.0227, 0.00821, 0.0, 69.7213], // 690
    [0.01135916, 0.004102, 0.0, 71.6091], // 700
    [0.005790346, 0.002091, 0.0, 74.349], // 710
    [0.002899327, 0.001047, 0.0, 61.604], // 720
    [0.001439971, 0.00052, 0.0, 69.8856], // 730
];

static D65_WEIGHTS: LazyLock<[[f64; 3]; BANDS]> = LazyLock::new(|| {
    let mut weights = [[0.0; 3]; BANDS];
    for (channel, white) in D65_WHITE.as_array().into_iter().enumerate() {
        let sum: f64 = OBSERVER_AND_D65
            .iter()
            .map(|row| row[channel] * row[3])
            .sum();
        for (band, row) in OBSERVER_AND_D65.iter().enumerate() {
            weights[band][channel] = row[channel] * row[3] / sum * white;
        }
    }
    weights
});

/// The weight of each band in X, Y and Z under D65.
///
/// Each column is scaled so that the perfect diffuser has exactly the white of sRGB: `#ffffff` and a reflectance of 1
/// must agree. Against sums at 1 nm the mean difference is ΔE00 0.10, the largest 0.23.
#[must_use]
pub fn d65_weights() -> &'static [[f64; 3]; BANDS] {
    &D65_WEIGHTS
}

/// The same weights, those of X, of Y and of Z each in a row.
static D65_ROWS: LazyLock<[[f64; BANDS]; 3]> =
    LazyLock::new(|| std::array::from_fn(|c| D65_WEIGHTS.map(|weights| weights[c])));

/// X, Y and Z of one value a band under D65: sums by weight, several bands side by side.
#[must_use]
#[inline]
pub fn d65_sums(values: &[f64; BANDS]) -> [f64; 3] {
    let mut sums = [[0.0; 4]; 3];
    let rows = D65_ROWS.each_ref().map(|row| row.as_chunks::<4>().0);
    for (at, four) in values.as_chunks::<4>().0.iter().enumerate() {
        for (sum, row) in sums.iter_mut().zip(rows) {
            for i in 0..4 {
                sum[i] += four[i] * row[at][i];
            }
        }
    }
    sums.map(|[a, b, c, d]| (a + b) + (c + d))
}

/// The colour of a reflectance under D65, for the 2° observer.
#[must_use]
pub fn seen_in_daylight(reflectance: &Spectrum) -> Xyz {
    Xyz::from_array(d65_sums(reflectance.values()))
}
