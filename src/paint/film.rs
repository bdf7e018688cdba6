//! A wash: a thin film of much-thinned paint over a base.

use super::kubelka_munk::{film_over, surface_inward, surface_outward};
use super::prepared::{MixtureError, Prepared, blended};
use super::reflectance::reconstruct;
use crate::colour::{BANDS, Spectrum, Xyz, seen_in_daylight};

/// Scattering thickness of a brushed coat of a paint of scattering 1.
///
/// Our choice, by measurement on 13 watercolours in 11 amounts each.
const BRUSHED_COAT: f64 = 10.0;
/// Wet film of a wash against that of a brushed coat. Common practice, no source.
pub const FILM_OF_A_WASH: f64 = 0.5;
/// How much thicker a wash lies in recesses than on flats. Common practice, no source: 2 light texture, 4 brick joints
/// and planks, 8 deep grooves.
pub const DEFAULT_POOL: f64 = 4.0;

/// How a wash is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wash {
    /// Volume share of paint in the wash, 0..1: 1 part paint to 9 thinner is 0.1.
    pub paint_share: f64,
    /// Passes, each of the same film.
    pub passes: f64,
    /// Wet film against a brushed coat; see [`FILM_OF_A_WASH`].
    pub film: f64,
    /// Thickness in recesses against flats; see [`DEFAULT_POOL`].
    pub pool: f64,
}

impl Wash {
    /// `thin` parts thinner to 1 part paint, with the default film and pool.
    #[must_use]
    pub fn thinned(thin: f64, passes: f64) -> Self {
        Self {
            paint_share: 1.0 / (1.0 + thin),
            passes,
            film: FILM_OF_A_WASH,
            pool: DEFAULT_POOL,
        }
    }
}

/// What a wash looks like once dry.
#[derive(Debug, Clone, Copy)]
pub struct Film {
    /// Scattering thickness on the flats, mean over the bands.
    pub tau_flat: f64,
    /// Colour of the flats.
    pub flat: Xyz,
    /// Colour in the recesses.
    pub recess: Xyz,
}

/// The colour of a base under a wash of paints mixed in parts by volume, on flats and in recesses.
///
/// Reflectances are held at 0.035 or more, so that no film or base is darker than L* 21.9 here, and nothing is added for
/// what the model misses of a colour, unlike in [`super::opaque_mix`]: near-blacks come out too light.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// Kubelka 1948 for the film, Saunderson 1942 for its surface.
pub fn wash_over(base: Xyz, parts: &[(&Prepared, f64)], wash: &Wash) -> Result<Film, MixtureError> {
    let blend = blended(parts)?;
    let ground = reconstruct(base).reflectance.map(surface_inward);
    let thickness = BRUSHED_COAT * wash.paint_share * wash.passes * wash.film;
    let at = |pool: f64| {
        let dry = std::array::from_fn(|band| {
            let tau = pool * thickness * blend.scattering.values()[band];
            surface_outward(film_over(
                ground.values()[band],
                blend.k_over_s.values()[band],
                tau,
            ))
        });
        seen_in_daylight(&Spectrum::new(dry))
    };
    #[expect(clippy::cast_precision_loss, reason = "36 bands")]
    let mean_scattering = blend.scattering.values().iter().sum::<f64>() / BANDS as f64;
    Ok(Film {
        tau_flat: thickness * mean_scattering,
        flat: at(1.0),
        recess: at(wash.pool),
    })
}
