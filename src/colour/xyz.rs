//! CIE XYZ under D65, 2° observer.

use super::srgb::LinearSrgb;

/// Tristimulus values under D65 for the 2° observer; Y = 1 is the perfect diffuser.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, the luminous reflectance.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// The white of sRGB, chromaticity (0.31270, 0.32900).
///
/// # Source
/// IEC 61966-2-1: the white point by its chromaticity; X = x/y, Z = (1 − x − y)/y.
pub const D65_WHITE: Xyz = Xyz {
    x: 0.31270 / 0.32900,
    y: 1.0,
    z: (1.0 - 0.31270 - 0.32900) / 0.32900,
};

/// Linear sRGB to XYZ, from the primaries and the white.
///
/// # Source
/// IEC 61966-2-1 primaries (0.64, 0.33), (0.30, 0.60), (0.15, 0.06); double-precision matrix of them.
const FROM_LINEAR_SRGB: [[f64; 3]; 3] = [
    [
        0.412_390_799_265_959_4,
        0.357_584_339_383_877_96,
        0.180_480_788_401_834_24,
    ],
    [
        0.212_639_005_871_510_3,
        0.715_168_678_767_755_9,
        0.072_192_315_360_733_7,
    ],
    [
        0.019_330_818_715_591_86,
        0.119_194_779_794_626_1,
        0.950_532_152_249_660_5,
    ],
];

impl Xyz {
    /// From X, Y, Z in this order.
    #[must_use]
    pub const fn from_array([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }

    /// X, Y, Z in this order.
    #[must_use]
    pub const fn as_array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }

    /// The weighted sum `a·self + b·other`: light added to light.
    #[must_use]
    pub fn blend(self, a: f64, other: Self, b: f64) -> Self {
        Self {
            x: a * self.x + b * other.x,
            y: a * self.y + b * other.y,
            z: a * self.z + b * other.z,
        }
    }

    /// Negative values raised to 0.
    #[must_use]
    pub fn clamped(self) -> Self {
        Self {
            x: self.x.max(0.0),
            y: self.y.max(0.0),
            z: self.z.max(0.0),
        }
    }

    /// The grey of the same Y.
    #[must_use]
    pub fn grey_of_same_y(self) -> Self {
        Self {
            x: D65_WHITE.x * self.y,
            y: self.y,
            z: D65_WHITE.z * self.y,
        }
    }

    /// Linear sRGB, not clipped: components outside 0..1 are colours outside sRGB.
    #[must_use]
    pub fn to_linear_srgb(self) -> LinearSrgb {
        let [r, g, b] = multiply(&to_linear_srgb_matrix(), self.as_array());
        LinearSrgb { r, g, b }
    }
}

impl From<LinearSrgb> for Xyz {
    fn from(rgb: LinearSrgb) -> Self {
        Self::from_array(multiply(&FROM_LINEAR_SRGB, [rgb.r, rgb.g, rgb.b]))
    }
}

fn multiply(matrix: &[[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// The inverse of the matrix above, by cofactors.
const fn to_linear_srgb_matrix() -> [[f64; 3]; 3] {
    let m = FROM_LINEAR_SRGB;
    let c00 = m[1][1] * m[2][2] - m[1][2] * m[2][1];
    let c01 = m[1][2] * m[2][0] - m[1][0] * m[2][2];
    let c02 = m[1][0] * m[2][1] - m[1][1] * m[2][0];
    let det = m[0][0] * c00 + m[0][1] * c01 + m[0][2] * c02;
    [
        [
            c00 / det,
            (m[0][2] * m[2][1] - m[0][1] * m[2][2]) / det,
            (m[0][1] * m[1][2] - m[0][2] * m[1][1]) / det,
        ],
        [
            c01 / det,
            (m[0][0] * m[2][2] - m[0][2] * m[2][0]) / det,
            (m[0][2] * m[1][0] - m[0][0] * m[1][2]) / det,
        ],
        [
            c02 / det,
            (m[0][1] * m[2][0] - m[0][0] * m[2][1]) / det,
            (m[0][0] * m[1][1] - m[0][1] * m[1][0]) / det,
        ],
    ]
}
