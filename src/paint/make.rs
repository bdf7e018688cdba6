//! What kind of paint a colour is of: it decides how much light the surface mirrors, and how strongly the paint
//! scatters.

use super::kubelka_munk::PaintSurface;
use super::list::Opacity;
use super::medium::Medium;
use crate::colour::Spectrum;

/// What a paint is made of, which its colour does not show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Make {
    /// Pigments with white or filler: most craft and household paints.
    #[default]
    BodyColour,
    /// Pigment alone in its medium: watercolours, inks, artists' oils, and whatever a list calls transparent.
    PureColour,
}

impl Make {
    /// Chosen by what a list says of a paint. If the list says nothing, it is body colour.
    #[must_use]
    pub fn told_by(medium: Option<Medium>, opacity: Option<Opacity>) -> Self {
        let pure = matches!(
            medium,
            Some(Medium::Watercolour | Medium::Ink | Medium::Oil)
        ) || matches!(
            opacity,
            Some(Opacity::Transparent | Opacity::SemiTransparent)
        );
        if pure {
            Self::PureColour
        } else {
            Self::BodyColour
        }
    }

    /// The surface of a paint of this reflectance: a pure colour's mirrors 2.5 %, yet never more than four fifths of what
    /// comes back from its darkest band; we assume that the surface of body colour mirrors nothing into the photo.
    ///
    /// Our choice, by measurement: `WHY.md` beside this file has the table.
    pub(super) fn surface(self, reflectance: &Spectrum) -> PaintSurface {
        let darkest = reflectance.values().iter().fold(1.0, |a: f64, b| a.min(*b));
        PaintSurface::mirroring(self.mirror_over(darkest))
    }

    /// The same for one band of a thing that reflects `seen` of it.
    fn mirror_over(self, seen: f64) -> f64 {
        match self {
            Self::BodyColour => 0.0,
            Self::PureColour => MIRROR.min(MIRROR_SHARE * seen),
        }
    }

    /// Scattering against that of white, 0..=1, of a paint of this reflectance and luminous reflectance Y.
    ///
    /// Body colour owes its light to white, so it scatters nearly as much of it as its brightest band sends back; of pure
    /// colour the square root of Y. Our choice, by measurement: `WHY.md` beside this file has the table.
    pub(super) fn scattering(self, reflectance: &Spectrum, y: f64) -> f64 {
        match self {
            Self::BodyColour => {
                let brightest = reflectance.values().iter().fold(0.0, |a: f64, b| a.max(*b));
                let judged = (1.15 * brightest.max(DARKEST_POT).powf(0.8)).min(1.0);
                judged * (brightest / DARKEST_POT).min(1.0).powf(IN_BLACKS)
            }
            Self::PureColour => y.max(LEAST_Y).sqrt(),
        }
    }

    /// How much less a paint scatters that a list calls so.
    ///
    /// Our choice, by measurement on watercolours (opaque, semi-opaque, transparent); the step between is between.
    pub(super) fn by_word(self, opacity: Option<Opacity>) -> f64 {
        match (opacity, self) {
            (Some(Opacity::Opaque), _) | (None, Self::BodyColour) => 1.0,
            (Some(Opacity::SemiOpaque), _) | (None, Self::PureColour) => 0.7,
            (Some(Opacity::SemiTransparent), _) => 0.6,
            (Some(Opacity::Transparent), _) => 0.5,
        }
    }
}

/// Most light that the surface of a pure colour mirrors; within the published .02 to .04 (Saunderson 1942).
const MIRROR: f64 = 0.025;
/// The largest share of the light of a band that is mirrored.
pub(super) const MIRROR_SHARE: f64 = 0.8;
/// The darkest pots that body colour was judged by. Nothing was measured of darker ones: their scattering is let fall more
/// slowly, so that a black tints strongly and, thinned as usual, does not hide what it is laid on. Common practice, no source.
const DARKEST_POT: f64 = 0.04;
const IN_BLACKS: f64 = 0.35;
/// The least Y that we assume for a pure colour.
const LEAST_Y: f64 = 0.001;
