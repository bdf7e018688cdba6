//! The pixels about a point.

use super::drawing::Point;
use super::refused::lab;
use crate::colour::{LabD65, LinearSrgb, plain_name};
use crate::photo::Picture;
use serde_json::{Value, json};

/// Half the side of the square of pixels in the loupe.
const LOUPE: usize = 7;
/// Half the side of the square whose mean the loupe shows.
const POINTED_AT: usize = 1;

/// The pixels about a point: the mean of the innermost in words and numbers, and all of them to be shown large.
pub(super) fn pointed_at(picture: &Picture, at: Point) -> Value {
    use std::fmt::Write;
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a fraction of a pixel count, clamped to it"
    )]
    let place = |v: f64, length: usize| {
        ((v.clamp(0.0, 1.0) * length as f64) as usize).min(length.saturating_sub(1))
    };
    let (x, y) = (place(at[0], picture.width), place(at[1], picture.height));
    let side = 2 * LOUPE + 1;
    let encoded: Vec<[f64; 3]> = (0..side * side)
        .map(|i| {
            let near = |v: usize, step: usize, length: usize| {
                (v + step).saturating_sub(LOUPE).min(length - 1)
            };
            let column = near(x, i % side, picture.width);
            let row = near(y, i / side, picture.height);
            picture.encoded(row, column)
        })
        .collect();
    let light = picture.light_of(&encoded);
    let inner = |i: &usize| {
        (i % side).abs_diff(LOUPE) <= POINTED_AT && (i / side).abs_diff(LOUPE) <= POINTED_AT
    };
    let within: Vec<&LinearSrgb> = (0..light.len()).filter(inner).map(|i| &light[i]).collect();
    #[expect(clippy::cast_precision_loss, reason = "nine")]
    let mean = |channel: fn(&LinearSrgb) -> f64| {
        within.iter().map(|light| channel(light)).sum::<f64>() / within.len() as f64
    };
    let colour = LabD65::from(LinearSrgb {
        r: mean(|light| light.r),
        g: mean(|light| light.g),
        b: mean(|light| light.b),
    });
    let pixels = light.iter().fold(String::new(), |mut text, light| {
        let [r, g, b] = light.encode().0;
        let _ = write!(text, "{r:02x}{g:02x}{b:02x}");
        text
    });
    json!({
        "hex": colour.to_srgb8().to_string(),
        "lab": lab(colour),
        "name": plain_name(colour),
        "side": side,
        "pixels": pixels,
        "x": x,
        "y": y,
    })
}
