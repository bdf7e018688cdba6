//! How a red-green deficient eye sees a colour, to find pairs that colour alone must not distinguish.

use super::{LabD65, LinearSrgb, delta_e00};

/// The two kinds of red-green deficiency, each at its strongest; weaker ones lie between these and full colour vision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dichromat {
    /// Without the cones for long waves.
    Protan,
    /// Without the cones for middle waves.
    Deutan,
}

impl Dichromat {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Protan, Self::Deutan];

    /// The colour as this eye should see it, as linear light that full colour vision would match; not clipped.
    ///
    /// # Source
    /// Machado, Oliveira and Fernandes 2009, *A physiologically-based model for simulation of color vision deficiency*,
    /// IEEE TVCG 15(6), matrices for severity 1.0, applied to linear sRGB.
    #[must_use]
    pub fn sees(self, light: LinearSrgb) -> LinearSrgb {
        let matrix = match self {
            Self::Protan => [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
            Self::Deutan => [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
        };
        let [r, g, b] =
            matrix.map(|[red, green, blue]| red * light.r + green * light.g + blue * light.b);
        LinearSrgb { r, g, b }
    }
}

/// We assume that a deficient eye confuses two colours below this difference, and that full colour vision tells them
/// apart above it (CIEDE2000). Our choice.
const TELLS_APART: f64 = 5.0;

/// Whether full colour vision tells two colours apart that a red-green deficient eye confuses.
#[must_use]
pub fn confused(one: LabD65, other: LabD65) -> bool {
    let seen = |eye: Dichromat, colour: LabD65| {
        let LinearSrgb { r, g, b } = eye.sees(colour.to_srgb8().to_linear());
        let clipped = LinearSrgb {
            r: r.clamp(0.0, 1.0),
            g: g.clamp(0.0, 1.0),
            b: b.clamp(0.0, 1.0),
        };
        LabD65::from(clipped)
    };
    delta_e00(one, other).0 >= TELLS_APART
        && Dichromat::BOTH
            .into_iter()
            .any(|eye| delta_e00(seen(eye, one), seen(eye, other)).0 < TELLS_APART)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    #[test]
    fn brick_and_moss_of_one_lightness_are_confused_brick_and_slate_are_not() {
        let lab = |code| LabD65::from(Srgb8(code));
        assert!(confused(lab([0x8a, 0x5a, 0x3c]), lab([0x66, 0x6a, 0x3a])));
        assert!(!confused(lab([0x8a, 0x4a, 0x3c]), lab([0x3a, 0x40, 0x4a])));
        assert!(!confused(lab([0x80, 0x80, 0x80]), lab([0x81, 0x80, 0x80])));
    }
}
