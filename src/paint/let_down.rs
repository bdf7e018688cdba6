//! Tinting strength from a let-down: a mix with white of known parts, whose dried colour was seen.

use super::kubelka_munk::{absorption_over_scattering, surface_inward};
use super::prepared::{Prepared, colour_of};
use super::reflectance::reconstruct;
use crate::colour::{BANDS, DeltaE00, LabD65, Spectrum, Xyz, delta_e00};

/// What a let-down tells of a paint.
#[derive(Debug, Clone, Copy)]
pub struct LetDownFit {
    /// Scattering of the paint relative to the white, one figure for all bands.
    pub strength: f64,
    /// How far the let-down's colour is from the one that this strength foretells.
    pub residual: DeltaE00,
    /// Relative scattering a band, to mix with.
    pub scattering: Spectrum,
}

/// Above this residual swatch and let-down disagree, and only the one figure is used. Our choice.
pub const DISAGREES: f64 = 5.0;
/// Bounds and steps of the search in ln s.
const LOWEST: f64 = 0.001;
const HIGHEST: f64 = 6.0;
const STEPS: u32 = 240;

/// The strength that makes a let-down's colour come out best, and the half-way correction a band.
///
/// `share` is the paint's share by volume, the rest is `white`. The white counts as of scattering 1.
///
/// # Source
/// Duncan 1940 for the mix. The half-way exponent ½, the bounds and the grid are our choice, made by measurement: the
/// full correction of a photographed let-down over-fits.
#[must_use]
pub fn from_seen_colour(paint: &Prepared, white: &Prepared, share: f64, seen: Xyz) -> LetDownFit {
    let target = LabD65::from(seen);
    let miss = |log_s: f64| {
        let s = log_s.exp();
        let mix = std::array::from_fn(|band| {
            let (q, w) = (paint.k_over_s.values()[band], white.k_over_s.values()[band]);
            (share * s * q + (1.0 - share) * w) / (share * s + (1.0 - share))
        });
        delta_e00(colour_of(&Spectrum::new(mix)).into(), target).0
    };
    let (low, high) = (LOWEST.ln(), HIGHEST.ln());
    let step = (high - low) / f64::from(STEPS);
    let best = (0..=STEPS)
        .map(|i| low + step * f64::from(i))
        .min_by(|a, b| miss(*a).total_cmp(&miss(*b)))
        .unwrap_or(0.0);
    let log_s = golden_section(&miss, (best - step).max(low), (best + step).min(high));
    let (strength, residual) = (log_s.exp(), miss(log_s));
    let scattering = if residual > DISAGREES {
        Spectrum::flat(strength)
    } else {
        two_constant(paint, white, share, &reconstruct(seen).reflectance)
            .map(|s| (strength * s).sqrt())
    };
    LetDownFit {
        strength,
        residual: DeltaE00(residual),
        scattering,
    }
}

/// The same from a measured let-down: the full two-constant form is right there.
#[must_use]
pub fn from_measured(
    paint: &Prepared,
    white: &Prepared,
    share: f64,
    seen: &Spectrum,
) -> LetDownFit {
    let by_colour = from_seen_colour(paint, white, share, crate::colour::seen_in_daylight(seen));
    LetDownFit {
        scattering: two_constant(paint, white, share, seen),
        ..by_colour
    }
}

/// S a band, from masstone and let-down: K = (1−c)(Qt − qw) / (c (1 − Qt/q)), S = K/q, held in 0.003..=1.5.
fn two_constant(paint: &Prepared, white: &Prepared, share: f64, seen: &Spectrum) -> Spectrum {
    let scattering: [f64; BANDS] = std::array::from_fn(|band| {
        let q = paint.k_over_s.values()[band];
        let seen_q = absorption_over_scattering(surface_inward(seen.values()[band]));
        let ratio = (seen_q / q).min(0.9);
        let above_white = (seen_q - white.k_over_s.values()[band]).max(1e-5);
        let absorption = (1.0 - share) * above_white / (share * (1.0 - ratio));
        (absorption / q).clamp(0.003, 1.5)
    });
    Spectrum::new(scattering)
}

/// Minimum of a function within a bracket.
///
/// # Source
/// Kiefer 1953, *Sequential minimax search for a maximum*.
fn golden_section(of: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut at_a, mut at_b) = (of(a), of(b));
    for _ in 0..60 {
        if at_a < at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - ratio * (high - low);
            at_a = of(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + ratio * (high - low);
            at_b = of(b);
        }
    }
    f64::midpoint(low, high)
}
