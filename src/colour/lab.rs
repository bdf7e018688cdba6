//! CIELAB under D65.

use super::cube_root::cube_roots;
use super::srgb::{LinearSrgb, Srgb8};
use super::xyz::{D65_WHITE, Xyz};
use serde::{Deserialize, Serialize};

/// CIELAB, D65 white, 2° observer. What users and files see.
///
/// # Source
/// CIE 015:2018, section 8.2.1, with the exact rationals 216/24389 and 24389/27.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 3]", into = "[f64; 3]")]
pub struct LabD65 {
    /// L*, lightness, 0..100.
    pub l: f64,
    /// a*, greenish to reddish.
    pub a: f64,
    /// b*, bluish to yellowish.
    pub b: f64,
}

const EPSILON: f64 = 216.0 / 24389.0;
const KAPPA: f64 = 24389.0 / 27.0;

/// f(X/Xn), f(Y/Yn), f(Z/Zn), of ratios whose cube roots are known.
fn f(ratios: [f64; 3], roots: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| {
        if ratios[i] > EPSILON {
            roots[i]
        } else {
            (KAPPA * ratios[i] + 16.0) / 116.0
        }
    })
}

/// X/Xn, Y/Yn, Z/Zn, and their cube roots.
fn ratios(xyz: Xyz) -> ([f64; 3], [f64; 3]) {
    let ratios = [
        xyz.x / D65_WHITE.x,
        xyz.y / D65_WHITE.y,
        xyz.z / D65_WHITE.z,
    ];
    (ratios, cube_roots(ratios))
}

fn lab_of([fx, fy, fz]: [f64; 3]) -> LabD65 {
    LabD65 {
        l: 116.0 * fy - 16.0,
        a: 500.0 * (fx - fy),
        b: 200.0 * (fy - fz),
    }
}

fn f_inverse(f: f64) -> f64 {
    let cubed = f * f * f;
    if cubed > EPSILON {
        cubed
    } else {
        (116.0 * f - 16.0) / KAPPA
    }
}

impl LabD65 {
    /// From L*, a*, b*.
    #[must_use]
    pub const fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }

    /// Chroma C*ab.
    #[must_use]
    pub fn chroma(self) -> f64 {
        self.a.hypot(self.b)
    }

    /// Hue angle hab in degrees, 0..360.
    #[must_use]
    pub fn hue_degrees(self) -> f64 {
        self.b.atan2(self.a).to_degrees().rem_euclid(360.0)
    }

    /// The nearest colour a screen can show, 8 bits a channel.
    #[must_use]
    pub fn to_srgb8(self) -> Srgb8 {
        Xyz::from(self).to_linear_srgb().encode()
    }
}

impl From<Xyz> for LabD65 {
    fn from(xyz: Xyz) -> Self {
        let (ratios, roots) = ratios(xyz);
        lab_of(f(ratios, roots))
    }
}

impl From<LabD65> for Xyz {
    fn from(lab: LabD65) -> Self {
        let fy = (lab.l + 16.0) / 116.0;
        Self {
            x: D65_WHITE.x * f_inverse(fy + lab.a / 500.0),
            y: D65_WHITE.y * f_inverse(fy),
            z: D65_WHITE.z * f_inverse(fy - lab.b / 200.0),
        }
    }
}

/// How CIELAB changes about a colour with small changes of XYZ.
#[derive(Debug, Clone, Copy)]
pub struct LabSlope([f64; 3]);

impl LabSlope {
    /// About this colour: the derivatives of f(X/Xn), f(Y/Yn), f(Z/Zn) by X, Y, Z.
    #[must_use]
    pub fn at(xyz: Xyz) -> Self {
        let (ratios, roots) = ratios(xyz);
        Self::of_ratios(ratios, roots)
    }

    /// The same, and the colour itself.
    #[must_use]
    pub fn and_colour(xyz: Xyz) -> (Self, LabD65) {
        let (ratios, roots) = ratios(xyz);
        (Self::of_ratios(ratios, roots), lab_of(f(ratios, roots)))
    }

    fn of_ratios(ratios: [f64; 3], roots: [f64; 3]) -> Self {
        let white = D65_WHITE.as_array();
        Self(std::array::from_fn(|i| {
            let slope = if ratios[i] > EPSILON {
                roots[i] / (3.0 * ratios[i])
            } else {
                KAPPA / 116.0
            };
            slope / white[i]
        }))
    }

    /// The change of L*, a*, b* with a change of X, Y, Z.
    #[must_use]
    pub fn change_with(self, change: [f64; 3]) -> [f64; 3] {
        let [x, y, z] = std::array::from_fn(|i| self.0[i] * change[i]);
        [116.0 * y, 500.0 * (x - y), 200.0 * (y - z)]
    }
}

impl From<LinearSrgb> for LabD65 {
    fn from(rgb: LinearSrgb) -> Self {
        Xyz::from(rgb).into()
    }
}

impl From<Srgb8> for LabD65 {
    fn from(rgb: Srgb8) -> Self {
        rgb.to_linear().into()
    }
}

impl From<[f64; 3]> for LabD65 {
    fn from([l, a, b]: [f64; 3]) -> Self {
        Self { l, a, b }
    }
}

impl From<LabD65> for [f64; 3] {
    fn from(lab: LabD65) -> Self {
        [lab.l, lab.a, lab.b]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lab_goes_to_xyz_and_back_over_the_whole_cube() {
        for l in [0.0, 5.0, 8.0, 50.0, 100.0] {
            for a in [-100.0, -3.0, 0.0, 60.0] {
                for b in [-100.0, 0.0, 4.0, 90.0] {
                    let there = LabD65::new(l, a, b);
                    let back = LabD65::from(Xyz::from(there));
                    assert!(
                        (back.l - l).abs() < 1e-9
                            && (back.a - a).abs() < 1e-9
                            && (back.b - b).abs() < 1e-9
                    );
                }
            }
        }
    }
}
