//! Paints made ready for mixing, and the colour of an opaque mix.

use super::kubelka_munk::{
    R_MAX, R_MIN, absorption_over_scattering, infinite_reflectance, surface_inward, surface_outward,
};
use super::list::{Opacity, Paint};
use super::reflectance::reconstruct;
use crate::colour::{BANDS, LabD65, Spectrum, Xyz, seen_in_daylight};

/// A paint as the mixing model sees it.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// q = K/S a band, freed of the paint's surface.
    pub k_over_s: Spectrum,
    /// Relative scattering a band: how much the paint outweighs others in a mix.
    pub scattering: Spectrum,
    /// What the model misses of the paint's own colour; one paint alone must give exactly its own colour.
    pub residual: Xyz,
    /// The paint's own colour.
    pub xyz: Xyz,
    /// The same as CIELAB.
    pub lab: LabD65,
    /// Above 0 when no surface can have the listed colour (see [`super::Reconstructed`]).
    pub moved_toward_grey: f64,
}

impl Prepared {
    /// From a colour alone, with what is known of opacity and tinting strength.
    ///
    /// Scattering is Y^½ (Y at least 0.035) times a factor for the opacity word times the strength. The exponent and
    /// the factors (opaque 1, semi-opaque 0.7, semi-transparent 0.6, transparent 0.5, unknown 0.7) are our choice,
    /// made by measurement on watercolours, oils and artists' acrylics.
    #[must_use]
    pub fn from_colour(xyz: Xyz, opacity: Option<Opacity>, strength: f64) -> Self {
        let reconstructed = reconstruct(xyz);
        Self::from_reflectance(
            &reconstructed.reflectance,
            xyz,
            opacity,
            strength,
            reconstructed.moved_toward_grey,
        )
    }

    /// The same paint with another relative scattering a band, as a let-down tells it.
    #[must_use]
    pub fn with_scattering(mut self, scattering: Spectrum) -> Self {
        self.scattering = scattering;
        self
    }

    /// From a listed paint, its let-down aside: its measured spectrum where it has one, else from its colour.
    #[must_use]
    pub fn from_paint(paint: &Paint) -> Self {
        let strength = paint.strength.unwrap_or(1.0);
        match &paint.measured {
            Some(spectrum) => Self::from_reflectance(
                spectrum,
                seen_in_daylight(spectrum),
                paint.opacity,
                strength,
                0.0,
            ),
            None => Self::from_colour(Xyz::from(paint.colour), paint.opacity, strength),
        }
    }

    /// A pot mixed in parts by volume that dried to `seen`, as one paint: it scatters as its paints do together, and its
    /// reflectance is the predicted one, bent by the ratio of what was seen to what was predicted, each reconstructed from
    /// its colour. The bend is our choice: it keeps the shape that the paints give.
    ///
    /// # Errors
    /// [`MixtureError`] when all parts are zero, or one is negative or no number.
    pub fn of_pot(parts: &[(&Self, f64)], seen: Xyz) -> Result<Self, MixtureError> {
        let blend = blended(parts)?;
        let was = reconstruct(colour_of(&blend.k_over_s)).reflectance;
        let is = reconstruct(seen);
        let bent = Spectrum::new(std::array::from_fn(|band| {
            let predicted = surface_outward(infinite_reflectance(blend.k_over_s.values()[band]));
            predicted * is.reflectance.values()[band] / was.values()[band]
        }));
        let pot = Self::from_reflectance(&bent, seen, None, 1.0, is.moved_toward_grey);
        Ok(pot.with_scattering(blend.scattering))
    }

    fn from_reflectance(
        reflectance: &Spectrum,
        xyz: Xyz,
        opacity: Option<Opacity>,
        strength: f64,
        moved_toward_grey: f64,
    ) -> Self {
        let k_over_s =
            reflectance.map(|r| absorption_over_scattering(surface_inward(r.clamp(R_MIN, R_MAX))));
        let opacity_factor = match opacity {
            Some(Opacity::Opaque) => 1.0,
            Some(Opacity::SemiOpaque) | None => 0.7,
            Some(Opacity::SemiTransparent) => 0.6,
            Some(Opacity::Transparent) => 0.5,
        };
        let scattering = Spectrum::flat(xyz.y.max(R_MIN).sqrt() * opacity_factor * strength);
        let alone = colour_of(&k_over_s);
        Self {
            k_over_s,
            scattering,
            residual: xyz.blend(1.0, alone, -1.0),
            xyz,
            lab: xyz.into(),
            moved_toward_grey,
        }
    }
}

/// The colour of an endless layer with q = K/S, its surface included.
pub(super) fn colour_of(k_over_s: &Spectrum) -> Xyz {
    seen_in_daylight(&k_over_s.map(|q| surface_outward(infinite_reflectance(q))))
}

/// Why a mixture has no colour.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MixtureError {
    /// Nothing in the pot.
    #[error("found no paint with more than 0 parts, expected at least one")]
    Empty,
    /// A part count that is negative or no number.
    #[error("found a part count that is negative or no number, expected 0 or more")]
    BadParts,
}

/// A mixture: its q = K/S, its scattering, and the sum of its parts.
#[derive(Debug)]
pub(super) struct Blend {
    pub(super) k_over_s: Spectrum,
    pub(super) scattering: Spectrum,
    pub(super) total: f64,
}

/// Mixes K and S by volume share.
///
/// # Source
/// Duncan 1940, *The colour of pigment mixtures*: K and S of a mixture are the sums of those of its paints.
pub(super) fn blended(parts: &[(&Prepared, f64)]) -> Result<Blend, MixtureError> {
    if parts.iter().any(|(_, p)| !p.is_finite() || *p < 0.0) {
        return Err(MixtureError::BadParts);
    }
    let total: f64 = parts.iter().map(|(_, p)| p).sum();
    if total <= 0.0 {
        return Err(MixtureError::Empty);
    }
    let mut absorption = [0.0; BANDS];
    let mut scattering = [0.0; BANDS];
    for (paint, p) in parts {
        let share = p / total;
        for band in 0..BANDS {
            let s = share * paint.scattering.values()[band];
            scattering[band] += s;
            absorption[band] += s * paint.k_over_s.values()[band];
        }
    }
    Ok(Blend {
        k_over_s: Spectrum::new(std::array::from_fn(|band| {
            absorption[band] / scattering[band]
        })),
        scattering: Spectrum::new(scattering),
        total,
    })
}

/// The colour of paints mixed in parts by volume, laid thick enough to hide what is beneath.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// Kubelka and Munk 1931 with Saunderson's surface (1942); Duncan 1940 for the sums of K and S.
pub fn opaque_mix(parts: &[(&Prepared, f64)]) -> Result<Xyz, MixtureError> {
    let blend = blended(parts)?;
    let mut xyz = colour_of(&blend.k_over_s);
    for (paint, p) in parts {
        xyz = xyz.blend(1.0, paint.residual, p / blend.total);
    }
    Ok(xyz.clamped())
}

/// The reflectance of paints mixed in parts by volume, laid thick enough to hide what is beneath, before what the model
/// misses of each paint's own colour is added.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// As [`opaque_mix`].
pub fn opaque_reflectance(parts: &[(&Prepared, f64)]) -> Result<Spectrum, MixtureError> {
    Ok(blended(parts)?
        .k_over_s
        .map(|q| surface_outward(infinite_reflectance(q))))
}
