//! Oklab, and the form of it in which tones are grouped.

use super::srgb::LinearSrgb;
use palette::convert::FromColorUnclamped;
use palette::{LinSrgb, Oklab};

/// Oklab (Ottosson 2020): L 0..1, a and b roughly −0.4..0.4.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OklabPoint {
    /// Lightness.
    pub l: f64,
    /// Greenish to reddish.
    pub a: f64,
    /// Bluish to yellowish.
    pub b: f64,
}

/// How much more a and b count than L when tones are grouped.
///
/// Plain Oklab overweights lightness and returns a ladder of greys from a photograph of brick; with 2 to 2.5 the mean
/// difference of pixels from their tone falls (ΔE00 7.60 to 6.89 on one photo, 7.05 to 5.42 on another).
const CHROMA_WEIGHT: f64 = 2.0;

impl From<LinearSrgb> for OklabPoint {
    /// # Source
    /// Björn Ottosson 2020, *A perceptual color space for image processing*, by the `palette` crate.
    fn from(rgb: LinearSrgb) -> Self {
        let lab = Oklab::<f64>::from_color_unclamped(LinSrgb::new(rgb.r, rgb.g, rgb.b));
        Self {
            l: lab.l,
            a: lab.a,
            b: lab.b,
        }
    }
}

impl From<OklabPoint> for LinearSrgb {
    fn from(point: OklabPoint) -> Self {
        let rgb = LinSrgb::<f64>::from_color_unclamped(Oklab::new(point.l, point.a, point.b));
        Self {
            r: rgb.red,
            g: rgb.green,
            b: rgb.blue,
        }
    }
}

impl OklabPoint {
    /// L, 2a, 2b: the space in which tones are grouped.
    #[must_use]
    pub fn grouping(self) -> [f64; 3] {
        [self.l, CHROMA_WEIGHT * self.a, CHROMA_WEIGHT * self.b]
    }

    /// Back from [`OklabPoint::grouping`].
    #[must_use]
    pub fn from_grouping([l, a, b]: [f64; 3]) -> Self {
        Self {
            l,
            a: a / CHROMA_WEIGHT,
            b: b / CHROMA_WEIGHT,
        }
    }
}
