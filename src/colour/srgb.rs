//! sRGB: linear light and the 8-bit code that files and screens use.

use palette::encoding::{IntoLinear, Srgb as SrgbCurve};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::LazyLock;

/// Linear light in the primaries of sRGB. Not clipped: values below 0 or above 1 lie outside sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LinearSrgb {
    /// Red.
    pub r: f64,
    /// Green.
    pub g: f64,
    /// Blue.
    pub b: f64,
}

/// Encoded sRGB, 8 bits a channel. Shown and written as `#rrggbb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Srgb8(pub [u8; 3]);

impl LinearSrgb {
    /// From values encoded by the sRGB curve, 0..1.
    ///
    /// # Source
    /// IEC 61966-2-1, by the `palette` crate.
    #[must_use]
    pub fn from_encoded(encoded: [f64; 3]) -> Self {
        let [r, g, b] = encoded.map(<SrgbCurve as IntoLinear<f64, f64>>::into_linear);
        Self { r, g, b }
    }

    /// Encoded and rounded to 8 bits; what lies outside sRGB is clipped.
    #[must_use]
    pub fn encode(self) -> Srgb8 {
        Srgb8([self.r, self.g, self.b].map(|linear| {
            let code = FROM.partition_point(|from| *from <= linear);
            u8::try_from(code).unwrap_or(u8::MAX)
        }))
    }
}

/// The light from which on each code above 0 is the nearest. Looking it up is faster than the curve's power, which
/// pictures would take for each pixel, and alike wherever this runs.
static FROM: LazyLock<[f64; 255]> = LazyLock::new(|| {
    std::array::from_fn(|below| {
        let edge = (f64::from(u8::try_from(below).unwrap_or(u8::MAX)) + 0.5) / 255.0;
        <SrgbCurve as IntoLinear<f64, f64>>::into_linear(edge)
    })
});

/// The light of each code.
static LIGHT: LazyLock<[f64; 256]> = LazyLock::new(|| {
    std::array::from_fn(|code| {
        let code = f64::from(u8::try_from(code).unwrap_or(u8::MAX));
        <SrgbCurve as IntoLinear<f64, f64>>::into_linear(code / 255.0)
    })
});

impl Srgb8 {
    /// Linear light of this code.
    #[must_use]
    pub fn to_linear(self) -> LinearSrgb {
        let [r, g, b] = self.0.map(|code| LIGHT[usize::from(code)]);
        LinearSrgb { r, g, b }
    }
}

impl fmt::Display for Srgb8 {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [r, g, b] = self.0;
        write!(f, "#{r:02x}{g:02x}{b:02x}")
    }
}

impl From<Srgb8> for String {
    fn from(colour: Srgb8) -> Self {
        colour.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use palette::encoding::FromLinear;

    #[test]
    fn codes_are_those_of_the_curve_rounded() {
        for step in -10..=10_010 {
            let linear = f64::from(step) / 10_000.0;
            let curve = <SrgbCurve as FromLinear<f64, f64>>::from_linear(linear.clamp(0.0, 1.0));
            let light = LinearSrgb {
                r: linear,
                ..LinearSrgb::default()
            };
            let code = f64::from(light.encode().0[0]);
            assert!((curve * 255.0 - code).abs() <= 0.5 + 1e-9, "{linear}");
        }
        let beyond = LinearSrgb {
            r: f64::NAN,
            g: f64::INFINITY,
            b: f64::NEG_INFINITY,
        };
        assert_eq!(beyond.encode(), Srgb8([0, 255, 0]));
    }
}
