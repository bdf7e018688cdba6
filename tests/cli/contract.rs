//! The shape of the JSON answers that scripts and other builders rely on. Keys beyond these are free.

#![expect(
    clippy::panic,
    reason = "an answer without a promised key fails the test that asked for it"
)]

use hillwash::colour::{LabD65, Srgb8, delta_e00};
use serde_json::Value;

/// Shares are written with six decimals and there are at most 24 of them.
const SHARES_ROUNDED: f64 = 1e-5;

pub(crate) fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number \"{key}\" in {value:#}"))
}

pub(crate) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key]
        .as_str()
        .unwrap_or_else(|| panic!("no text \"{key}\" in {value:#}"))
}

pub(crate) fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    value[key]
        .as_array()
        .unwrap_or_else(|| panic!("no list \"{key}\" in {value:#}"))
}

/// `lab` as CIELAB, D65.
pub(crate) fn lab(value: &Value) -> LabD65 {
    let numbers: Vec<f64> = list(value, "lab")
        .iter()
        .filter_map(Value::as_f64)
        .collect();
    let [l, a, b] = *numbers
        .first_chunk()
        .unwrap_or_else(|| panic!("no three numbers of lab in {value:#}"));
    assert!(
        (0.0..=100.5).contains(&l) && a.abs() < 200.0 && b.abs() < 200.0,
        "{value:#}"
    );
    LabD65::new(l, a, b)
}

/// Difference between the `lab` of an answer and an encoded sRGB colour, CIEDE2000.
pub(crate) fn difference(value: &Value, colour: [u8; 3]) -> f64 {
    delta_e00(lab(value), LabD65::from(Srgb8(colour))).0
}

/// `lab` and `hex`.
pub(crate) fn colour(value: &Value) {
    lab(value);
    let hex = text(value, "hex");
    let digits = hex.strip_prefix('#').unwrap_or_default();
    assert!(
        digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit()),
        "{value:#}"
    );
}

/// The tones of a photo or of a surface.
pub(crate) fn tones(tones: &[Value]) {
    assert!(!tones.is_empty(), "at least one tone is there");
    for tone in tones {
        colour(tone);
        assert!((0.0..=1.0).contains(&number(tone, "share")), "{tone:#}");
        assert!(number(tone, "spread_de") >= 0.0, "{tone:#}");
        assert!(number(tone, "target_uncertainty_de") > 0.0, "{tone:#}");
        assert!(!text(tone, "name").is_empty(), "{tone:#}");
        assert!(!text(tone, "role").is_empty(), "{tone:#}");
    }
    let sum: f64 = tones.iter().map(|tone| number(tone, "share")).sum();
    assert!((sum - 1.0).abs() < SHARES_ROUNDED, "shares sum to {sum}");
}

/// Paints and their parts.
pub(crate) fn paints(paints: &[Value]) {
    assert!(!paints.is_empty(), "at least one paint is there");
    for paint in paints {
        assert!(!text(paint, "name").is_empty(), "{paint:#}");
        assert!(number(paint, "parts") > 0.0, "{paint:#}");
    }
}

/// Recipes: whole parts, a colour, a difference and how far to trust it.
pub(crate) fn recipes(recipes: &[Value]) {
    for recipe in recipes {
        paints(list(recipe, "paints"));
        for paint in list(recipe, "paints") {
            assert!(
                number(paint, "parts").fract().abs() < f64::EPSILON,
                "{recipe:#}"
            );
        }
        colour(recipe);
        assert!(number(recipe, "de2000") >= 0.0, "{recipe:#}");
        assert!(number(recipe, "uncertainty_de") > 0.0, "{recipe:#}");
    }
}

/// An answer as printed begins with its format.
pub(crate) fn begins_with_format(printed: &str, format: &str) {
    let first = printed.trim_start().trim_start_matches('{').trim_start();
    let dense = first.replacen(": ", ":", 1);
    assert!(
        dense.starts_with(&format!("\"format\":\"{format}\"")),
        "expected the format {format} first, found {}",
        first.lines().next().unwrap_or_default()
    );
}
