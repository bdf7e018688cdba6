//! Dry again: the colour that a surface photographed in rain has when dry.
//!
//! In: the colour of a wet surface. Out: its dry colour, and how far to trust it. A film of water sends part of the
//! light that the surface scatters back down onto it, and the surface itself mirrors less of it under water, so that
//! more is absorbed: wet things are darker. It knows nothing of photographs and scenes.

use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00, seen_in_daylight};
use crate::paint::reconstruct;

/// Refractive index of water.
const WATER: f64 = 1.333;
/// Refractive index of most minerals, wood and leaves, about. Our choice among 1.4 to 1.6.
const MATTER: f64 = 1.5;
/// Reflectance of water for light from straight above, which does not reach the surface below.
const FRONT: f64 = 0.02;

/// A wet colour as it should be when dry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dried {
    /// The dry colour.
    pub colour: LabD65,
    /// How far it moved.
    pub by: DeltaE00,
    /// Two in three real surfaces should fall within this much of it: half of the move, since nobody knows how wet the
    /// surface was, and measured sands depart from either theory by about as much. Our choice.
    pub uncertainty: DeltaE00,
}

/// Reflectance of a smooth boundary for light from all directions, from the thinner side; `n` is the ratio of refractive
/// indices, above 1.
///
/// # Source
/// The mean of Fresnel's reflectance over the hemisphere in closed form, as Lekner and Dorf 1988 use it; a test compares
/// it with the integral.
#[must_use]
pub fn diffuse_reflectance(n: f64) -> f64 {
    let n2 = n * n;
    let n4 = n2 * n2;
    0.5 + (n - 1.0) * (3.0 * n + 1.0) / (6.0 * (n + 1.0).powi(2))
        + n2 * (n2 - 1.0).powi(2) / (n2 + 1.0).powi(3) * ((n - 1.0) / (n + 1.0)).ln()
        - 2.0 * n * n2 * (n2 + 2.0 * n - 1.0) / ((n2 + 1.0) * (n4 - 1.0))
        + 8.0 * n4 * (n4 + 1.0) / ((n2 + 1.0) * (n4 - 1.0).powi(2)) * n.ln()
}

/// Share of scattered light that the underside of a film of water sends back.
fn sent_back() -> f64 {
    1.0 - (1.0 - diffuse_reflectance(WATER)) / (WATER * WATER)
}

/// The reflectance of a dry one when it is wet, 0..1 both.
///
/// # Source
/// Lekner and Dorf 1988, *Why some things are darker when wet*, extending Ångström 1925: the film absorbs
/// (1 − R) a / (1 − p (1 − a)), where p is what its underside sends back and a the absorption of the surface under water,
/// which is larger than in air: in proportion to what enters where little is absorbed, the same where all is
/// (interpolated between; from memory).
#[must_use]
pub fn wet_reflectance(dry: f64) -> f64 {
    let absorbed_dry = 1.0 - dry.clamp(0.0, 1.0);
    let enters = (1.0 - diffuse_reflectance(MATTER / WATER)) / (1.0 - diffuse_reflectance(MATTER));
    let a = absorbed_dry * (enters * (1.0 - absorbed_dry) + absorbed_dry);
    let a = a.clamp(0.0, 1.0);
    1.0 - FRONT - (1.0 - FRONT) * a / (1.0 - sent_back() * (1.0 - a))
}

/// The dry reflectance of a wet one: the inverse of [`wet_reflectance`], by halving; held at 1.
#[must_use]
pub fn dry_reflectance(wet: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if wet_reflectance(middle) < wet {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Dries a colour, wavelength by wavelength.
#[must_use]
pub fn dried(wet: LabD65) -> Dried {
    let reflectance = reconstruct(Xyz::from(wet)).reflectance;
    let colour = LabD65::from(seen_in_daylight(&reflectance.map(dry_reflectance)));
    let by = delta_e00(wet, colour);
    Dried {
        colour,
        by,
        uncertainty: DeltaE00(by.0 / 2.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    /// Fresnel's reflectance over the hemisphere, weighted by the cosine, by the midpoint rule.
    fn integrated(n: f64) -> f64 {
        let steps = 20_000;
        (0..steps)
            .map(|i| {
                let s2 = (f64::from(i) + 0.5) / f64::from(steps);
                let c = (1.0 - s2).sqrt();
                let t = (1.0 - s2 / (n * n)).sqrt();
                let rs = ((c - n * t) / (c + n * t)).powi(2);
                let rp = ((n * c - t) / (n * c + t)).powi(2);
                0.5 * (rs + rp) / f64::from(steps)
            })
            .sum()
    }

    #[test]
    fn the_closed_form_is_fresnels_mean() {
        for n in [1.1, 1.125, 1.333, 1.5, 1.8] {
            assert!((diffuse_reflectance(n) - integrated(n)).abs() < 1e-4, "{n}");
        }
    }

    #[test]
    fn water_sends_back_a_little_less_than_half() {
        // Lekner and Dorf 1988; Ångström's 1 − 1/n² is 0.437.
        assert!((sent_back() - 0.474).abs() < 0.002, "{}", sent_back());
    }

    #[test]
    fn what_is_wetted_and_dried_is_as_before() {
        for dry in [0.02, 0.1, 0.3, 0.6, 0.9] {
            let wet = wet_reflectance(dry);
            assert!(wet < dry, "{dry}: wet {wet}");
            assert!((dry_reflectance(wet) - dry).abs() < 1e-9);
        }
    }

    #[test]
    fn a_dried_colour_is_lighter_and_says_its_doubt() {
        for code in [[0x5a, 0x4a, 0x3c], [0x2b, 0x2b, 0x2b], [0x4f, 0x6a, 0x35]] {
            let wet = LabD65::from(Srgb8(code));
            let dry = dried(wet);
            assert!(
                dry.colour.l > wet.l && dry.uncertainty.0 > 0.0 && dry.uncertainty.0 < dry.by.0
            );
        }
    }
}
