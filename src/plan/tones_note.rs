//! What a reader should know of the tones of a surface: pairs to decide, and what was done with several photos.

use super::SurfacePlan;
use super::shadow::{PairVerdict, verdict};
use super::sighted::PhotoSeen;
use crate::colour::{DeltaE00, delta_e00};
use crate::region::Outline;
use crate::scene::Treatment;
use crate::tones::{NotFound, PartNote, Side, Tone, side_by_side};

/// What a reader should know of the tones of a surface.
#[derive(Debug, Clone, PartialEq)]
pub enum TonesNote {
    /// Two tones may be light and shade of one material, or two paints.
    ShadeAsked {
        /// The surface.
        surface: String,
        /// The lighter tone.
        lit: Box<Tone>,
        /// The darker one.
        shade: Box<Tone>,
    },
    /// The light of a photo was brought to that of another of the same surface.
    PhotoRelit {
        /// The surface.
        surface: String,
        /// The photo's name in the scene.
        photo: String,
        /// The photo it was brought to.
        like: String,
        /// Factors of red, green and blue.
        by: [f64; 3],
    },
    /// A photo does not look like the others of the same surface.
    PhotoOdd {
        /// The surface.
        surface: String,
        /// The photo's name in the scene.
        photo: String,
        /// How far its tones are from theirs.
        off: DeltaE00,
        /// True when it was left out.
        left_out: bool,
    },
    /// Two surfaces seem to lie side by side in its outline.
    TwoSurfaces {
        /// The surface.
        surface: String,
        /// Which two, and where.
        found: Box<TwoSurfaces>,
    },
    /// Its units were to be picked out, and none are.
    NothingToPick {
        /// The surface.
        surface: String,
        /// True when they differ, and no paint brings its pot nearer to any.
        differ: bool,
    },
    /// The scene joins tones that are not all there.
    AlikeNotFound {
        /// The surface.
        surface: String,
        /// Which.
        not_found: NotFound,
    },
}

/// Two surfaces that seem to lie side by side in one outline.
#[derive(Debug, Clone, PartialEq)]
pub struct TwoSurfaces {
    /// Where the border runs, in the photo.
    pub border: [[f64; 2]; 2],
    /// Where the first lies.
    pub side: Side,
    /// What there is most of in the first, and in the second.
    pub tones: [Tone; 2],
    /// The share of the first.
    pub share: f64,
    /// An outline for each; none where the border leaves more than one part on a side.
    pub outlines: Option<[Outline; 2]>,
}

impl TwoSurfaces {
    /// How far the smaller of the two is from what there is most of, by its share.
    pub(super) fn apart(&self) -> f64 {
        let [one, other] = &self.tones;
        delta_e00(one.colour, other.colour).0 * self.share.min(1.0 - self.share)
    }
}

/// A painted surface whose outline seems to hold two.
fn two_surfaces(surface: &SurfacePlan) -> Option<TwoSurfaces> {
    if surface.wanted.treatment == Treatment::Scatter || surface.wanted.wish.one_surface {
        return None;
    }
    let tones: Vec<&Tone> = surface.tones.iter().map(|t| &t.wanted.tone).collect();
    surface.wanted.parts.iter().find_map(|part| {
        let found = side_by_side(part.map.as_ref()?, &tones)?;
        let border = found.border_within(part.span);
        let [one, other] = &found.tones;
        Some(TwoSurfaces {
            border,
            side: found.side,
            tones: [tones[*one.first()?].clone(), tones[*other.first()?].clone()],
            share: found.share,
            outlines: part.region.outline.cut_by(border),
        })
    })
}

/// The pairs that the user is asked about.
fn asked(surface: &SurfacePlan) -> Vec<TonesNote> {
    let wish = surface.wanted.wish.shade;
    surface
        .tones
        .iter()
        .filter_map(|tone| Some((&tone.wanted.tone, tone.wanted.tone.shade_of.as_ref()?)))
        .filter(|(_, shade)| verdict(wish, shade) == PairVerdict::PaintedAndAsked)
        .map(|(tone, shade)| TonesNote::ShadeAsked {
            surface: surface.wanted.name.clone(),
            lit: Box::new(surface.tones[shade.lit].wanted.tone.clone()),
            shade: Box::new(tone.clone()),
        })
        .collect()
}

/// The notes of one surface: first the pairs put to the user, then the photos.
pub(super) fn notes(
    surface: &SurfacePlan,
    photos: &[PhotoSeen],
) -> impl Iterator<Item = TonesNote> {
    let wanted = &surface.wanted;
    let asked = asked(surface);
    let name = |part: usize| photos[wanted.parts[part].photo].key.clone();
    let of_parts: Vec<TonesNote> = wanted
        .part_notes
        .iter()
        .map(|note| match note {
            PartNote::Relit { part, like, by } => TonesNote::PhotoRelit {
                surface: wanted.name.clone(),
                photo: name(*part),
                like: name(*like),
                by: *by,
            },
            PartNote::Outlier {
                part,
                off,
                left_out,
            } => TonesNote::PhotoOdd {
                surface: wanted.name.clone(),
                photo: name(*part),
                off: *off,
                left_out: *left_out,
            },
        })
        .collect();
    let not_found = wanted.not_found.iter();
    let not_found = not_found.map(|not_found| TonesNote::AlikeNotFound {
        surface: wanted.name.clone(),
        not_found: not_found.clone(),
    });
    let two = two_surfaces(surface).map(|found| TonesNote::TwoSurfaces {
        surface: wanted.name.clone(),
        found: Box::new(found),
    });
    let nothing = (wanted.wish.variety == Some(true) && surface.picked.is_empty()).then(|| {
        TonesNote::NothingToPick {
            surface: wanted.name.clone(),
            differ: wanted.variety.is_some(),
        }
    });
    asked
        .into_iter()
        .chain(two)
        .chain(nothing)
        .chain(not_found)
        .chain(of_parts)
}
