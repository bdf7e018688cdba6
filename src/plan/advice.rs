//! What would help a plan, and what to be careful of: the most helpful extra colour, and one medium over another.

use super::mixed::{Kit, MixedSurface};
use super::{PlanNote, StepKind, SurfacePlan};
use crate::colour::LabD65;
use crate::mix::{Helpful, OUT_OF_REACH, Recipe, Search};
use crate::paint::{MixingFamily, over_advice};

/// All of it.
pub(super) fn notes(surfaces: &[SurfacePlan], helpful: Option<&Helpful>) -> Vec<PlanNote> {
    let helpful = helpful.copied().map(PlanNote::HelpfulColour);
    let mut notes: Vec<PlanNote> = helpful.into_iter().collect();
    notes.extend(surfaces.iter().flat_map(media_over));
    notes
}

/// The colour that would help most with the tones no mix comes near.
pub(super) fn helpful_colour(
    surfaces: &[MixedSurface],
    kit: &Kit<'_>,
    search: &Search,
) -> Option<Helpful> {
    let out: Vec<LabD65> = surfaces
        .iter()
        .flat_map(|surface| &surface.tones)
        .filter(|tone| {
            let near = |recipe: &Recipe| recipe.difference.0 <= OUT_OF_REACH;
            tone.pot.is_some() && !tone.recipes.is_empty() && !tone.recipes.iter().any(near)
        })
        .map(|tone| tone.wanted.moved.colour)
        .collect();
    let one = Search {
        answers: 1,
        ..*search
    };
    let best = kit.recipes_for_all(&out, &one).into_iter();
    let best = out.into_iter().zip(best);
    let best = best.filter_map(|(wanted, found)| Some((wanted, found.into_iter().next()?)));
    kit.shelf.most_helpful_beyond(best.collect())
}

/// Where the steps of a surface lay one medium over another, once each.
fn media_over(surface: &SurfacePlan) -> Vec<PlanNote> {
    let families: Vec<MixingFamily> = surface
        .steps
        .iter()
        .filter_map(|step| match step.kind {
            StepKind::Body { family, .. }
            | StepKind::Tone { family, .. }
            | StepKind::Ground { family, .. } => family,
            _ => None,
        })
        .collect();
    let mut pairs: Vec<(MixingFamily, MixingFamily)> = families
        .windows(2)
        .map(|pair| (pair[1], pair[0]))
        .filter(|(over, under)| over != under && over_advice(*over, *under).is_some())
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs
        .into_iter()
        .map(|(over, under)| PlanNote::MediaOver {
            surface: surface.wanted.name.clone(),
            over,
            under,
        })
        .collect()
}
