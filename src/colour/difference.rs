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

/// A difference that [`delta_e00`] never falls below, and much faster to work out.
#[must_use]
#[inline]
pub fn least_delta_e00(one: LabD65, other: LabD65) -> f64 {
    let [light, of_light, colour, of_colour] = least_parts(one, other, 0.0);
    ROUNDED * (light / of_light + colour / of_colour).sqrt()
}

/// True when every colour whose L\*, a\* and b\* differ from those of `other` by at most `off` each is farther than `most` from
/// `one`; false does not say that it is not. Lightness alone settles most of it.
#[must_use]
#[inline]
pub fn is_farther(one: LabD65, other: LabD65, off: f64, most: f64) -> bool {
    let middle = (f64::midpoint(one.l, other.l) - 50.0).abs() + off;
    let most = most / ROUNDED;
    if (one.l - other.l).abs() - off > most * (1.0 + 0.015 * middle) {
        return true;
    }
    let [light, of_light, colour, of_colour] = least_parts(one, other, off);
    light * of_colour + colour * of_light > most * most * of_light * of_colour
}

/// Room for what is lost by rounding.
const ROUNDED: f64 = 1.0 - 1e-9;

/// The square of a difference that [`delta_e00`] never falls below, for every colour within `off` of `other`, as two fractions:
/// lightness over its weight, colour over its weight.
///
/// With ΔL', ΔC', ΔH' over their weights as x, c and h, the square of the difference is x² + c² + h² + `R_T` c h, and the last
/// three come to at least (1 − |`R_T`|/2) (c² + h²). ΔC'² + ΔH'² is the square of the way between the points (a', b). `S_L` is at
/// most 1 + 0.015 |L' − 50|, and `S_H` below `S_C`, since T is at most 1.93. So no angle is needed: of `R_T` it is enough that
/// sin 2Δθ is at most sin 60°, and next to nothing (1.2e-6) where both colours are yellowish, for then their mean hue is at
/// least 95° from 275°.
///
/// # Source
/// Sharma, Wu and Dalal 2005, equations 2 to 22.
#[inline]
fn least_parts(one: LabD65, other: LabD65, off: f64) -> [f64; 4] {
    /// 25^7.
    const CHROMA: f64 = 6_103_515_625.0;
    const SIN_60: f64 = 0.866_025_403_784_438_7;
    /// G falls by no more than this much a unit of chroma.
    const G_FALLS: f64 = 0.04;
    let strong = |chroma: f64| {
        let squared = chroma * chroma;
        let seventh = squared * squared * squared * chroma;
        (seventh / (seventh + CHROMA)).sqrt()
    };
    let apart = |a: f64, b: f64| ((a - b).abs() - off).max(0.0);
    let middle = (f64::midpoint(one.l, other.l) - 50.0).abs() + off;
    let (light, of_light) = (apart(one.l, other.l), 1.0 + 0.015 * middle);
    let chroma = |lab: LabD65| (lab.a * lab.a + lab.b * lab.b).sqrt();
    let mean = f64::midpoint(chroma(one), chroma(other));
    let most_g = 0.5 * (1.0 - strong((mean - off).max(0.0)));
    let least_g = (most_g - 2.0 * G_FALLS * off).max(0.0);
    let most_chroma = (1.0 + most_g) * (mean + off);
    let turned = if one.b.min(other.b) >= off {
        1e-6
    } else {
        SIN_60 * strong(most_chroma)
    };
    let (a, b) = (
        (1.0 + least_g) * apart(one.a, other.a),
        apart(one.b, other.b),
    );
    let of_colour = 1.0 + 0.045 * most_chroma;
    [
        light * light,
        of_light * of_light,
        (1.0 - turned) * (a * a + b * b),
        of_colour * of_colour,
    ]
}

/// CIEDE2000 of small differences about one colour, as a quadratic form: for sums over many small errors, where the
/// full formula would take too long.
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

    /// Over all of CIELAB, near pairs and far ones, the palette's own figure as the judge.
    #[test]
    fn no_difference_falls_below_its_bound_and_most_are_near_it() {
        let mut seed = 26_u64;
        let mut share = move || {
            seed = (seed.wrapping_mul(6_364_136_223_846_793_005))
                .wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(seed >> 32).unwrap()) / 4_294_967_296.0
        };
        let (mut all, mut near) = (0, 0);
        for i in 0..400_000 {
            let wide = [2.0, 15.0, 60.0, 128.0][i % 4];
            let one = LabD65::new(
                100.0 * share(),
                wide * (2.0 * share() - 1.0),
                wide * (2.0 * share() - 1.0),
            );
            let far = [0.3, 3.0, 30.0, 150.0][i / 4 % 4];
            let mut moved = |v: f64, far: f64| v + far * (2.0 * share() - 1.0);
            let other = LabD65::new(moved(one.l, far), moved(one.a, far), moved(one.b, far));
            let real = delta_e00(one, other).0;
            let least = least_delta_e00(one, other);
            assert!(least <= real, "{one:?} {other:?}: {least} {real}");
            let off = [0.001, 0.02, 1.0][i % 3];
            let about = LabD65::new(
                moved(other.l, off),
                moved(other.a, off),
                moved(other.b, off),
            );
            assert!(
                !is_farther(one, about, off, real),
                "{one:?} {about:?} {off}"
            );
            if wide < 100.0 && one.b.min(other.b) > 0.0 {
                all += 1;
                near += usize::from(least_delta_e00(one, other) > 0.6 * real);
            }
        }
        assert!(5 * near > 4 * all, "{near} of {all}");
    }

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
