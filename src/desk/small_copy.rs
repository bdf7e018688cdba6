//! What small copies of a photo share, in which the desk looks for outlines: counts as numbers, and their colours.

use crate::colour::LabD65;
use crate::photo::Picture;

#[expect(
    clippy::cast_precision_loss,
    reason = "pixel counts stay far below 2^52"
)]
pub(super) fn as_f64(n: usize) -> f64 {
    n as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and far below 2^52"
)]
pub(super) fn as_usize(v: f64) -> usize {
    v.max(0.0) as usize
}

/// Encoded values of a picture in CIELAB; what is no number is 0.
pub(super) fn labs_of(picture: &Picture, encoded: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let light = picture.light_of(encoded).into_iter();
    light
        .map(|light| {
            let LabD65 { l, a, b } = LabD65::from(light);
            [l, a, b].map(|v| if v.is_finite() { v } else { 0.0 })
        })
        .collect()
}
