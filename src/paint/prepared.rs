//! Paints made ready for mixing, and the colour of an opaque mix.

use super::kubelka_munk::{PaintSurface, absorption_over_scattering, infinite_reflectance};
use super::list::{ColourSource, Opacity, Paint};
use super::make::{MIRROR_SHARE, Make};
use super::reading::likeliest;
use super::reflectance::reconstruct;
use crate::colour::{BANDS, LabD65, Spectrum, Xyz, seen_in_daylight};

/// A paint as the mixing model sees it.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// q = K/S a band, freed of the paint's surface.
    pub k_over_s: Spectrum,
    /// Relative scattering a band, white's being 1: how much the paint outweighs others in a mix, how far it hides.
    pub scattering: Spectrum,
    /// Share of light that the surface mirrors before it enters the paint; the same in all bands.
    pub mirror: f64,
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
    /// Body colour known by its colour alone, with what is known of opacity and tinting strength; called transparent, it is
    /// pure colour (see [`Make`]).
    #[must_use]
    pub fn from_colour(xyz: Xyz, opacity: Option<Opacity>, strength: f64) -> Self {
        Self::of_make(Make::told_by(None, opacity), xyz, opacity, strength)
    }

    /// From a colour alone and what the paint is made of: a typical scattering of such a colour, times a factor for the
    /// opacity word, times the strength.
    #[must_use]
    pub fn of_make(make: Make, xyz: Xyz, opacity: Option<Opacity>, strength: f64) -> Self {
        let factor = make.by_word(opacity) * strength;
        Self::of_colour(make, xyz, xyz, factor)
    }

    /// A paint whose own colour is `xyz`, but which mixes as a paint of the colour `likeliest` does.
    fn of_colour(make: Make, xyz: Xyz, likeliest: Xyz, factor: f64) -> Self {
        let reconstructed = reconstruct(likeliest);
        let scattering = make.scattering(&reconstructed.reflectance, xyz.y);
        Self {
            moved_toward_grey: reconstructed.moved_toward_grey,
            ..Self::from_reflectance(
                &reconstructed.reflectance,
                xyz,
                make.surface(&reconstructed.reflectance),
                scattering * factor,
            )
        }
    }

    /// The same paint with another relative scattering in each band, from a let-down.
    #[must_use]
    pub fn with_scattering(mut self, scattering: Spectrum) -> Self {
        self.scattering = scattering;
        self
    }

    /// From a listed paint, its let-down aside: its measured spectrum where it has one, else from its colour. Body colour
    /// known by a screen colour mixes as the likeliest colour that would be read so.
    #[must_use]
    pub fn from_paint(paint: &Paint) -> Self {
        let strength = paint.strength.unwrap_or(1.0);
        let make = Make::told_by(paint.medium, paint.opacity);
        let factor = make.by_word(paint.opacity) * strength;
        let Some(spectrum) = &paint.measured else {
            let xyz = Xyz::from(paint.colour);
            let mixes_as = match (make, paint.source) {
                (Make::BodyColour, ColourSource::Hex) => likeliest(paint.colour),
                _ => xyz,
            };
            return Self::of_colour(make, xyz, mixes_as, factor);
        };
        let xyz = seen_in_daylight(spectrum);
        let scattering = make.scattering(spectrum, xyz.y) * factor;
        Self::from_reflectance(spectrum, xyz, make.surface(spectrum), scattering)
    }

    /// A pot mixed in parts by volume that dried to `seen`, as one paint: it scatters as its paints do together, and its
    /// reflectance is the predicted one, bent by the ratio of what was seen to what was predicted, each reconstructed from
    /// its colour. The bend is our choice: it keeps the shape that the paints give.
    ///
    /// # Errors
    /// [`MixtureError`] when all parts are zero, or one is negative or no number.
    pub fn of_pot(parts: &[(&Self, f64)], seen: Xyz) -> Result<Self, MixtureError> {
        let blend = blended(parts)?;
        let surface = PaintSurface::mirroring(blend.mirror);
        let was = reconstruct(colour_of(&blend.k_over_s, blend.mirror)).reflectance;
        let is = reconstruct(seen);
        let bent = Spectrum::new(std::array::from_fn(|band| {
            let predicted = surface.outward(infinite_reflectance(blend.k_over_s.values()[band]));
            predicted * is.reflectance.values()[band] / was.values()[band]
        }));
        let darkest = bent.values().iter().fold(1.0, |a: f64, b| a.min(*b));
        let surface = PaintSurface::mirroring(blend.mirror.min(MIRROR_SHARE * darkest));
        let pot =
            Self::from_reflectance(&bent, seen, surface, 1.0).with_scattering(blend.scattering);
        Ok(Self {
            moved_toward_grey: is.moved_toward_grey,
            ..pot
        })
    }

    fn from_reflectance(
        reflectance: &Spectrum,
        xyz: Xyz,
        surface: PaintSurface,
        scattering: f64,
    ) -> Self {
        let held = |r: f64| r.clamp(surface.k1 + LEAST_INSIDE, R_MAX);
        let k_over_s = reflectance.map(|r| absorption_over_scattering(surface.inward(held(r))));
        let alone = colour_of(&k_over_s, surface.k1);
        Self {
            k_over_s,
            scattering: Spectrum::flat(scattering),
            mirror: surface.k1,
            residual: xyz.blend(1.0, alone, -1.0),
            xyz,
            lab: xyz.into(),
            moved_toward_grey: 0.0,
        }
    }
}

/// Highest reflectance that we assume for a paint, and the least that comes from inside it: what keeps K/S a number.
pub(super) const R_MAX: f64 = 0.985;
const LEAST_INSIDE: f64 = 1e-6;

/// The colour of an endless layer with q = K/S, its surface included.
pub(super) fn colour_of(k_over_s: &Spectrum, mirror: f64) -> Xyz {
    seen_in_daylight(&seen_of(k_over_s, mirror))
}

fn seen_of(k_over_s: &Spectrum, mirror: f64) -> Spectrum {
    let surface = PaintSurface::mirroring(mirror);
    k_over_s.map(|q| surface.outward(infinite_reflectance(q)))
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

/// A mixture: its q = K/S, its scattering, what its surface mirrors, and the sum of its parts.
#[derive(Debug)]
pub(super) struct Mixture {
    pub(super) k_over_s: Spectrum,
    pub(super) scattering: Spectrum,
    pub(super) mirror: f64,
    pub(super) total: f64,
}

/// Mixes K and S by volume share, and what the surfaces mirror likewise (our choice: no source).
///
/// # Source
/// Duncan 1940, *The colour of pigment mixtures*: K and S of a mixture are the sums of those of its paints.
pub(super) fn blended(parts: &[(&Prepared, f64)]) -> Result<Mixture, MixtureError> {
    if parts.iter().any(|(_, p)| !p.is_finite() || *p < 0.0) {
        return Err(MixtureError::BadParts);
    }
    let total: f64 = parts.iter().map(|(_, p)| p).sum();
    if total <= 0.0 {
        return Err(MixtureError::Empty);
    }
    let mut absorption = [0.0; BANDS];
    let mut scattering = [0.0; BANDS];
    let mut mirror = 0.0;
    for (paint, p) in parts {
        let share = p / total;
        mirror += share * paint.mirror;
        for band in 0..BANDS {
            let s = share * paint.scattering.values()[band];
            scattering[band] += s;
            absorption[band] += s * paint.k_over_s.values()[band];
        }
    }
    Ok(Mixture {
        k_over_s: Spectrum::new(std::array::from_fn(|band| {
            absorption[band] / scattering[band]
        })),
        scattering: Spectrum::new(scattering),
        mirror,
        total,
    })
}

/// The colour of paints mixed in parts by volume, laid thick enough to cover what is beneath.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// Kubelka and Munk 1931 with Saunderson's surface (1942); Duncan 1940 for the sums of K and S.
pub fn opaque_mix(parts: &[(&Prepared, f64)]) -> Result<Xyz, MixtureError> {
    let blend = blended(parts)?;
    let mut xyz = colour_of(&blend.k_over_s, blend.mirror);
    for (paint, p) in parts {
        xyz = xyz.blend(1.0, paint.residual, p / blend.total);
    }
    Ok(xyz.clamped())
}

/// The reflectance of paints mixed in parts by volume, laid thick enough to cover what is beneath, before adding what
/// the model misses of each paint's own colour.
///
/// # Errors
/// [`MixtureError`] when all parts are zero, or one is negative or no number.
///
/// # Source
/// As [`opaque_mix`].
pub fn opaque_reflectance(parts: &[(&Prepared, f64)]) -> Result<Spectrum, MixtureError> {
    let blend = blended(parts)?;
    Ok(seen_of(&blend.k_over_s, blend.mirror))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Srgb8, delta_e00};
    use crate::paint::PaintList;

    fn listed(columns: &str, cells: &str) -> Prepared {
        let text = format!("name,{columns},medium,opacity\npot,{cells}\n");
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        Prepared::from_paint(&list.paints()[0])
    }

    fn tint(pot: &Prepared) -> LabD65 {
        let white = Prepared::from_colour(Xyz::from(LabD65::new(96.0, 0.0, 2.0)), None, 1.0);
        opaque_mix(&[(pot, 1.0), (&white, 6.0)]).unwrap().into()
    }

    #[test]
    fn a_dark_pot_read_off_a_screen_tints_greyer_than_a_measured_one_and_is_alone_what_was_read() {
        let read = LabD65::from(Srgb8([0x1c, 0x1c, 0x2c]));
        let measured = format!("{},{},{}", read.l, read.a, read.b);
        let [screen, measured] = [
            listed("hex", "#1c1c2c,acrylic,"),
            listed("lab_l,lab_a,lab_b", &format!("{measured},acrylic,")),
        ];
        for pot in [&screen, &measured] {
            let alone = opaque_mix(&[(pot, 3.0)]).unwrap().into();
            assert!(delta_e00(alone, read).0 < 1e-6, "{alone:?}");
        }
        let [greyer, as_read] = [&screen, &measured].map(tint);
        assert!(
            greyer.chroma() < 0.9 * as_read.chroma(),
            "{greyer:?}, {as_read:?}"
        );
        assert!(
            (greyer.l - as_read.l).abs() < 1.5,
            "{greyer:?}, {as_read:?}"
        );
    }

    #[test]
    fn a_pure_colour_read_off_a_screen_mixes_as_it_was_read() {
        let read = LabD65::from(Srgb8([0x1c, 0x1c, 0x2c]));
        let lab = format!("{},{},{}", read.l, read.a, read.b);
        let screen = listed("hex", "#1c1c2c,watercolour,");
        let measured = listed("lab_l,lab_a,lab_b", &format!("{lab},watercolour,"));
        assert!(delta_e00(tint(&screen), tint(&measured)).0 < 1e-6);
    }
}
