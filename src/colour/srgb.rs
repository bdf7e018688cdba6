//! sRGB: linear light and the 8-bit code that files and screens use.

use palette::encoding::{FromLinear, IntoLinear, Srgb as SrgbCurve};
use serde::{Deserialize, Serialize};
use std::fmt;

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
            let encoded = <SrgbCurve as FromLinear<f64, f64>>::from_linear(linear.clamp(0.0, 1.0));
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to 0..=255 before"
            )]
            let code = (encoded * 255.0).round().clamp(0.0, 255.0) as u8;
            code
        }))
    }
}

impl Srgb8 {
    /// Linear light of this code.
    #[must_use]
    pub fn to_linear(self) -> LinearSrgb {
        LinearSrgb::from_encoded(self.0.map(|code| f64::from(code) / 255.0))
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
