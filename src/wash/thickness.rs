//! How thick a builder's wash really lies, from one photographed patch of it.

use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};
use crate::paint::{Ground, MixtureError, Prepared, Wash, WashPot};

/// What a patch shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmSeen {
    /// Wet film against a brushed coat; takes the place of [`crate::paint::FILM_OF_A_WASH`].
    pub film: f64,
    /// The thinnest film that predicts the patch as well, within what its photo may be off.
    pub thinnest: f64,
    /// The thickest.
    pub thickest: f64,
    /// How far the patch is from what that film predicts. When it is large, the paint and not the film is off.
    pub residual: DeltaE00,
}

/// Films that are looked at, against a brushed coat.
const THINNEST: f64 = 0.02;
const THICKEST: f64 = 8.0;
const GRID: u32 = 120;

/// Finds the film from a patch laid on a flat of the real base: `wash.film` and `wash.pool` are not used. `within` is how far the
/// photo's colours may be off: it says how far the film may be.
///
/// Film by film on a grid even in its logarithm, then golden-section search in the best bracket.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
pub fn film_seen(
    base: Xyz,
    parts: &[(&Prepared, f64)],
    wash: &Wash,
    seen: LabD65,
    within: DeltaE00,
) -> Result<FilmSeen, MixtureError> {
    let (pot, ground) = (WashPot::new(parts)?, Ground::new(base));
    let off = |log: f64| {
        let laid = Wash {
            film: log.exp(),
            ..*wash
        };
        delta_e00(pot.over(&ground, laid.thickness()).into(), seen).0
    };
    let (low, high) = (THINNEST.ln(), THICKEST.ln());
    let step = (high - low) / f64::from(GRID);
    let best = (0..=GRID)
        .map(|i| low + step * f64::from(i))
        .min_by(|a, b| off(*a).total_cmp(&off(*b)))
        .unwrap_or(low);
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut from, mut to) = ((best - step).max(low), (best + step).min(high));
    for _ in 0..40 {
        let (a, b) = (to - golden * (to - from), from + golden * (to - from));
        if off(a) < off(b) {
            to = b;
        } else {
            from = a;
        }
    }
    let log = f64::midpoint(from, to);
    let alike = off(log) + within.0;
    let grid = || (0..=GRID).map(|i| low + step * f64::from(i));
    let alike = || grid().filter(|at| off(*at) <= alike).chain([log]);
    Ok(FilmSeen {
        film: log.exp(),
        thinnest: alike().fold(high, f64::min).exp(),
        thickest: alike().fold(low, f64::max).exp(),
        residual: DeltaE00(off(log)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    #[test]
    fn a_patch_gives_its_film_back() {
        let paint = Prepared::from_colour(Srgb8([0x5a, 0x46, 0x34]).to_linear().into(), None, 1.0);
        let base = Srgb8([0xb5, 0x48, 0x3a]).to_linear().into();
        for film in [0.2, 0.5, 1.1] {
            let wash = Wash {
                film,
                ..Wash::thinned(12.0, 1.0)
            };
            let seen = crate::paint::wash_over(base, &[(&paint, 1.0)], &wash).unwrap();
            let asked = Wash::thinned(12.0, 1.0);
            let told = film_seen(
                base,
                &[(&paint, 1.0)],
                &asked,
                seen.flat.into(),
                DeltaE00(1.0),
            )
            .unwrap();
            assert!((told.film / film - 1.0).abs() < 1e-3, "{told:?} for {film}");
            assert!(told.residual.0 < 1e-3);
            assert!(told.thinnest < told.film && told.film < told.thickest);
        }
    }
}
