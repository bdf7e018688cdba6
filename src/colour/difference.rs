//! How far apart two colours look.

use super::lab::LabD65;
use palette::Lab;
use palette::color_difference::Ciede2000;
use palette::white_point::D65;
use serde::{Deserialize, Serialize};

/// A CIEDE2000 difference, never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DeltaE00(pub f64);

/// CIEDE2000 between two colours, with all weights 1.
///
/// # Source
/// Sharma, Wu and Dalal 2005, *The CIEDE2000 color-difference formula*, by the `palette` crate.
#[must_use]
pub fn delta_e00(one: LabD65, other: LabD65) -> DeltaE00 {
    let one = Lab::<D65, f64>::new(one.l, one.a, one.b);
    let other = Lab::<D65, f64>::new(other.l, other.a, other.b);
    DeltaE00(one.difference(other))
}

/// A difference that [`delta_e00`] never falls below, quick to work out: its share of lightness alone, `|ΔL| / S_L`. What
/// chroma and hue add is never negative, since `|R_T|` is at most 2.
///
/// # Source
/// Sharma, Wu and Dalal 2005, equations 15 and 22.
#[must_use]
pub fn least_delta_e00(one: LabD65, other: LabD65) -> f64 {
    let off = f64::midpoint(one.l, other.l) - 50.0;
    let off = off * off;
    (one.l - other.l).abs() / (1.0 + 0.015 * off / (20.0 + off).sqrt())
}

/// CIEDE2000 of small differences about one colour, as a quadratic form: for sums over many small errors, where the full
/// formula would be asked too often.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallDifferences([[f64; 3]; 3]);

/// How far apart the colours are whose differences the form is taken from, in CIELAB.
const APART: f64 = 0.2;

impl SmallDifferences {
    /// About this colour.
    ///
    /// # Source
    /// The second derivatives of the squared difference, taken numerically: Pant and Farup 2012, *Riemannian formulation
    /// and comparison of color difference formulas*, have them in closed form.
    #[must_use]
    pub fn about(colour: LabD65) -> Self {
        let square = |[l, a, b]: [f64; 3]| {
            let moved =
                |by: f64| LabD65::new(colour.l + by * l, colour.a + by * a, colour.b + by * b);
            (delta_e00(moved(-0.5 * APART), moved(0.5 * APART)).0 / APART).powi(2)
        };
        let axis = |i: usize| std::array::from_fn(|k| f64::from(u8::from(k == i)));
        let own = [0, 1, 2].map(|i| square(axis(i)));
        Self(std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                if i == k {
                    return own[i];
                }
                let (one, other): ([f64; 3], [f64; 3]) = (axis(i), axis(k));
                let both = square(std::array::from_fn(|c| one[c] + other[c]));
                0.5 * (both - own[i] - own[k])
            })
        }))
    }

    /// The square of the difference that a change of L*, a*, b* makes.
    #[must_use]
    pub fn square_of(&self, [l, a, b]: [f64; 3]) -> f64 {
        let m = &self.0;
        let cross = m[0][1] * l * a + m[0][2] * l * b + m[1][2] * a * b;
        (m[0][0] * l * l + m[1][1] * a * a + m[2][2] * b * b + 2.0 * cross).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_differences_are_what_the_full_formula_gives() {
        for colour in [
            LabD65::new(50.0, 0.0, 0.0),
            LabD65::new(35.0, 12.0, 18.0),
            LabD65::new(80.0, -20.0, 40.0),
            LabD65::new(25.0, 10.0, -45.0),
        ] {
            let near = SmallDifferences::about(colour);
            for [l, a, b] in [[0.4, 0.0, 0.0], [0.2, -0.3, 0.4], [-0.3, 0.4, 0.1]] {
                let moved =
                    |by: f64| LabD65::new(colour.l + by * l, colour.a + by * a, colour.b + by * b);
                let full = delta_e00(moved(-0.5), moved(0.5)).0;
                let quick = near.square_of([l, a, b]).sqrt();
                assert!(
                    (full - quick).abs() < 0.03 * full,
                    "{colour:?}: {full} {quick}"
                );
            }
        }
    }
}
