//! The space in which colours are grouped: Oklab with a and b doubled.

use crate::colour::{LabD65, LinearSrgb, OklabPoint, Xyz};

/// The colour at a place.
pub(in crate::tones) fn lab_of(at: [f64; 3]) -> LabD65 {
    LinearSrgb::from(OklabPoint::from_grouping(at)).into()
}

/// The place of a colour.
pub(in crate::tones) fn place_of(colour: LabD65) -> [f64; 3] {
    OklabPoint::from(Xyz::from(colour).to_linear_srgb()).grouping()
}

/// The weight for which all lighter items together are this part of the whole, which is 1.
pub(in crate::tones) fn least_weight(weights: impl Iterator<Item = f64>, part: f64) -> f64 {
    let mut weights: Vec<f64> = weights.collect();
    weights.sort_unstable_by(f64::total_cmp);
    let mut so_far = 0.0;
    weights
        .into_iter()
        .find(|w| {
            so_far += w;
            so_far > part
        })
        .unwrap_or(0.0)
}
