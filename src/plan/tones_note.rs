//! What a reader should know of the tones of a surface: pairs put to them, and what was done with several photos.

use super::SurfacePlan;
use super::shadow::{Verdict, verdict};
use super::sighted::PhotoSeen;
use crate::colour::DeltaE00;
use crate::tones::{NotFound, PartNote, Tone};

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
    /// Tones that its scene says to be one are not all there.
    AlikeNotFound {
        /// The surface.
        surface: String,
        /// Which.
        not_found: NotFound,
    },
}

/// The pairs that the user is asked about.
fn asked(surface: &SurfacePlan) -> Vec<TonesNote> {
    let wish = surface.wanted.wish.shade;
    surface
        .tones
        .iter()
        .filter_map(|tone| Some((&tone.wanted.tone, tone.wanted.tone.shade_of.as_ref()?)))
        .filter(|(_, shade)| verdict(wish, shade) == Verdict::PaintedAndAsked)
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
    asked.into_iter().chain(not_found).chain(of_parts)
}
