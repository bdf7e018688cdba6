//! From the colours under a lamp to those that look the same in daylight.

use crate::colour::{D65_WHITE, Xyz};
use crate::linear::{Matrix3, inverse, times};

/// X, Y, Z under some lamp for the 2° observer; Y = 1 is the perfect diffuser under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LitXyz(pub [f64; 3]);

impl LitXyz {
    /// Scaled so that the lamp's white becomes that of D65: CIELAB of the result is CIELAB relative to the lamp's own
    /// white, as CIE 015 has it for the metamerism index. It is no prediction of what an adapted eye sees.
    #[must_use]
    pub fn to_own_white(self, white: Self) -> Xyz {
        let d65 = D65_WHITE.as_array();
        Xyz::from_array(std::array::from_fn(|i| self.0[i] / white.0[i] * d65[i]))
    }
}

/// X, Y, Z to the sharpened cone responses of CAT16.
///
/// # Source
/// Li, Li, Wang, Xu, Luo, Cui, Melgosa, Brill and Pointer 2017, *Comprehensive color solutions: CAM16, CAT16, and
/// CAM16-UCS*.
const CAT16: Matrix3 = [
    [0.401_288, 0.650_173, -0.051_461],
    [-0.250_268, 1.204_414, 0.045_854],
    [-0.002_079, 0.048_952, 0.953_127],
];

/// The colour under a light of white `to` that looks like `colour` under one of white `from` to an eye fully adapted to
/// either.
///
/// # Source
/// CAT16 with degree of adaptation 1 (Li et al. 2017). Real eyes adapt less to very warm lamps.
#[must_use]
pub fn cat16(colour: LitXyz, from: LitXyz, to: LitXyz) -> LitXyz {
    let [cones, from, to] = [colour, from, to].map(|xyz| times(&CAT16, &xyz.0));
    let scaled = std::array::from_fn(|i| cones[i] * to[i] / from[i]);
    inverse(&CAT16).map_or(colour, |back| LitXyz(times(&back, &scaled)))
}

/// The colour in daylight (D65) that looks like `colour` under a lamp of this white.
#[must_use]
pub fn adapted_to_daylight(colour: LitXyz, white: LitXyz) -> Xyz {
    Xyz::from_array(cat16(colour, white, LitXyz(D65_WHITE.as_array())).0)
}
