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
        let codes = &*CODES;
        Srgb8([self.r, self.g, self.b].map(|linear| codes.nearest(linear)))
    }
}

/// Light from 0 to 1 in so many equal steps, a power of two: each holds two codes' edges at most.
const STEPS: usize = 4096;

/// Codes by their light. Looking them up is faster than the curve's power, which pictures would take for each pixel, and
/// alike wherever this runs.
struct CodesOfLight {
    /// The light from which on each code above 0 is the nearest.
    from: [f64; 255],
    /// The nearest code where each step of light begins.
    at_step: [u8; STEPS + 1],
}

static CODES: LazyLock<CodesOfLight> = LazyLock::new(|| {
    let from: [f64; 255] = std::array::from_fn(|below| {
        let edge = (f64::from(u8::try_from(below).unwrap_or(u8::MAX)) + 0.5) / 255.0;
        <SrgbCurve as IntoLinear<f64, f64>>::into_linear(edge)
    });
    #[expect(clippy::cast_precision_loss, reason = "a small count")]
    let at_step = std::array::from_fn(|step| {
        let light = step as f64 / STEPS as f64;
        u8::try_from(from.partition_point(|from| *from <= light)).unwrap_or(u8::MAX)
    });
    CodesOfLight { from, at_step }
});

impl CodesOfLight {
    /// 0 for what is no number.
    fn nearest(&self, light: f64) -> u8 {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a step; what lies outside is clipped"
        )]
        let step = (light * STEPS as f64) as usize;
        let mut code = self.at_step[step.min(STEPS)];
        while self
            .from
            .get(usize::from(code))
            .is_some_and(|from| *from <= light)
        {
            code += 1;
        }
        code
    }
}

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
        // At each edge, and next to it.
        for (code, from) in (0..u8::MAX).zip(CODES.from) {
            for (light, expected) in [(from.next_down(), code), (from, code + 1)] {
                assert_eq!(CODES.nearest(light), expected, "{light}");
            }
        }
        let beyond = LinearSrgb {
            r: f64::NAN,
            g: f64::INFINITY,
            b: f64::NEG_INFINITY,
        };
        assert_eq!(beyond.encode(), Srgb8([0, 255, 0]));
    }
}
