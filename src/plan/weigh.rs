//! Which doubts matter: weighs each by how far it could change colours, and over how much of the layout.

use super::dirt::DirtNote;
use super::ids::ToneId;
use super::sighted::PartSeen;
use super::toned::SurfaceWanted;
use super::{Plan, PlanNote, TonesNote};
use crate::colour::{LabD65, delta_e00};
use crate::photo::PhotoWarning;
use crate::tones::NotFound;
use crate::units::SquareCentimetres;

/// How far a dark, unmended exposure may be off, CIEDE2000. Our choice.
const DARK_MAY_MISS: f64 = 8.0;
/// How far a light may be off that a known material contradicts. Our choice.
const CONTRADICTED: f64 = 5.0;
/// How far haze left in may be off. Our choice.
const HAZE_MAY_MISS: f64 = 4.0;
/// How far a strength that a screen colour does not show may move a mix. Our choice, from measured watercolours: what
/// one let-down takes off the mean error of their mixes.
const STRENGTH_MAY_MISS: f64 = 2.0;
/// How far a colour that nobody gave may be off: a usual recess, a usual place. Our choice.
const USUAL_MAY_MISS: f64 = 8.0;

/// How far a colour may be off that nothing holds, CIEDE2000. Our choice: what is quoted for a photo in unknown light.
const FAR_OFF: f64 = 10.0;

/// A doubt and its weight: mean difference over the layout that it could make, CIEDE2000. 0 for mere information.
#[expect(
    clippy::too_many_lines,
    reason = "the weight of each doubt, one after the other"
)]
pub(super) fn weight(note: &PlanNote, plan: &Plan<'_>) -> f64 {
    let area = |surface: &SurfaceWanted| surface.area.map_or(100.0, SquareCentimetres::value);
    let surfaces = || plan.surfaces.iter().map(|surface| &surface.wanted);
    let all: f64 = surfaces().map(area).sum::<f64>().max(1.0);
    let part = |name: &str| {
        let own = surfaces().filter(|surface| surface.name == name);
        own.map(area).sum::<f64>() / all
    };
    let of_photos = |keys: &[String]| {
        let shown = |part: &PartSeen| keys.contains(&plan.photos[part.photo].key);
        let seen = surfaces().filter(|surface| surface.parts.iter().any(shown));
        seen.map(area).sum::<f64>() / all
    };
    match note {
        PlanNote::LightUncorrected { photos } => FAR_OFF * of_photos(photos),
        PlanNote::LightDoubt { photo, .. } => CONTRADICTED * of_photos(std::slice::from_ref(photo)),
        PlanNote::Supposed { surface, supposed } => {
            let before = supposed.gains.off_before(LabD65::new(45.0, 0.0, 0.0));
            before.total.0 * part(surface)
        }
        PlanNote::Light { photo, report } => {
            report.uncertainty.0 * of_photos(std::slice::from_ref(photo))
        }
        PlanNote::Photo { photo, warning } => {
            may_miss(warning) * of_photos(std::slice::from_ref(photo))
        }
        PlanNote::Dark { surface } => DARK_MAY_MISS * part(surface),
        PlanNote::Lost {
            surface,
            blown_out,
            crushed,
        } => FAR_OFF * (blown_out + crushed) * part(surface),
        PlanNote::Air { surface, .. } => HAZE_MAY_MISS * part(surface),
        PlanNote::Tones(note) => tones_weight(note, part),
        PlanNote::OutOfReach {
            surface,
            tone,
            difference,
            ..
        } => difference.0 * share_of(plan, surface, tone) * part(surface),
        PlanNote::BlendOff {
            surface,
            difference,
            ..
        } => difference.0 * part(surface),
        PlanNote::MissingKind {
            surface, missing, ..
        } => FAR_OFF * missing.share * part(surface),
        PlanNote::KindsLeftOut {
            surface,
            means,
            gaps,
            ..
        } => {
            let off = |at: usize| means[at].0.hypot(gaps[at].0);
            (off(0) - off(1)).max(0.0) * part(surface)
        }
        PlanNote::LetDownWanted { .. } => STRENGTH_MAY_MISS,
        PlanNote::Dirt { surface, note } => dirt_weight(note) * part(surface),
        PlanNote::ImpossibleColour { .. } | PlanNote::LampByTemperature { .. } => 1.0,
        PlanNote::OutsideScreen { surface, .. } | PlanNote::DistancesDiffer { surface } => {
            part(surface)
        }
        PlanNote::DistanceUnknown { photo } => of_photos(std::slice::from_ref(photo)),
        PlanNote::Dried {
            surface,
            uncertainty,
            ..
        } => uncertainty.0 * part(surface),
        PlanNote::FewerPots(fewer) => {
            fewer.worst.as_ref().map_or(0.0, |(surface, _, then, now)| {
                (now.0 - then.0) * part(surface)
            })
        }
        PlanNote::AreaUnknown { .. }
        | PlanNote::HeldAgainst { .. }
        | PlanNote::NoPhoto { .. }
        | PlanNote::NoScatterList { .. }
        | PlanNote::MaterialsGuessed { .. }
        | PlanNote::HelpfulColour(_)
        | PlanNote::MediaOver { .. }
        | PlanNote::LetDown(_)
        | PlanNote::NotMixed { .. }
        | PlanNote::Haze { .. } => 0.0,
    }
}

/// How far a photo with such a warning may be off.
fn may_miss(warning: &PhotoWarning) -> f64 {
    match warning {
        PhotoWarning::Grey => FAR_OFF,
        PhotoWarning::ShortFilm | PhotoWarning::SkyTellsNothing => 0.0,
        _ => 2.0,
    }
}

/// A doubt about tones and its weight; `part` gives the part of the layout that a surface is.
fn tones_weight(note: &TonesNote, part: impl Fn(&str) -> f64) -> f64 {
    match note {
        TonesNote::ShadeAsked {
            surface,
            lit,
            shade,
        } => delta_e00(lit.colour, shade.colour).0 * shade.share.value() * part(surface),
        TonesNote::TwoSurfaces { surface, found } => found.apart() * part(surface),
        TonesNote::AlikeNotFound { surface, not_found } => apart(not_found) * part(surface),
        TonesNote::NothingToPick { surface, .. } => part(surface),
        TonesNote::PhotoOdd { surface, off, .. } => off.0 * part(surface),
        TonesNote::PhotoRelit { .. } => 0.0,
    }
}

/// How far joined tones are from their mean, if each is painted in its own colour.
fn apart(not_found: &NotFound) -> f64 {
    let named = || not_found.named.iter();
    let apart = named().flat_map(|one| named().map(|other| delta_e00(*one, *other).0));
    0.5 * apart.fold(0.0, f64::max)
}

/// The share of a surface that one of its tones has, by what they are called.
fn share_of(plan: &Plan<'_>, surface: &str, tone: &str) -> f64 {
    plan.surfaces
        .iter()
        .filter(|own| own.wanted.name == surface)
        .flat_map(|own| ToneId::all(own.tones.len()).map(move |t| (own, t)))
        .filter(|(own, t)| own.called(*t) == tone)
        .map(|(own, t)| own.tones[t].wanted.tone.share.value())
        .fold(0.0, f64::max)
}

fn dirt_weight(note: &DirtNote) -> f64 {
    match note {
        DirtNote::RecessUnknown | DirtNote::PaleOfTransparent { .. } => USUAL_MAY_MISS,
        DirtNote::FallsShort { flat, recess, .. } => flat.0.max(0.5 * recess.0),
        DirtNote::PlaceColour { .. } => 0.05 * USUAL_MAY_MISS,
        DirtNote::PlaceFar { off, .. } => 0.05 * off.0,
        DirtNote::Shade(_) => 0.2 * USUAL_MAY_MISS,
        // A share, a technique, a missing powder: small, or merely told.
        _ => 0.1,
    }
}

impl Plan<'_> {
    /// Its doubts, the one that could change most first; mere information comes last.
    #[must_use]
    pub fn doubts(&self) -> Vec<&PlanNote> {
        let mut weighed: Vec<(f64, &PlanNote)> = self
            .notes
            .iter()
            .map(|note| (weight(note, self), note))
            .collect();
        weighed.sort_by(|a, b| b.0.total_cmp(&a.0));
        weighed.into_iter().map(|(_, note)| note).collect()
    }
}
