//! What a reader should know of the materials of a surface: what it may be, and how its tones compare with measured
//! ones.

use super::{PlanNote, SurfacePlan};
use crate::materials::State;

/// "measured, n = 18", for both ends.
fn counted(state: &State) -> String {
    let (from, to) = (state.from.counted(), state.to.counted());
    if state.from == state.to {
        from
    } else {
        format!("{from}, and {to}")
    }
}

/// What it cannot show, for both ends.
fn cannot_show(state: &State) -> String {
    let (from, to) = (state.from.cannot_show, state.to.cannot_show);
    if from == to {
        from.to_owned()
    } else {
        format!("{from}; {to}")
    }
}

/// Tones below this share are not compared with the material: joints, dirt, moss. Our choice.
const MAIN: f64 = 0.1;

pub(super) fn notes(surface: &SurfacePlan) -> Vec<PlanNote> {
    let wanted = &surface.wanted;
    let supposed = wanted.parts.iter().filter_map(|part| part.supposed);
    let mut notes: Vec<PlanNote> = supposed
        .take(1)
        .map(|supposed| PlanNote::Supposed {
            surface: wanted.name.clone(),
            supposed,
        })
        .collect();
    if let Some(state) = &wanted.wish.like {
        notes.push(PlanNote::NoPhoto {
            surface: wanted.name.clone(),
            words: format!(
                "no photo; its tones are those of {} ({}), a surface of that kind may be off by {:.0} (CIEDE2000); cannot show: {}",
                state.words(),
                counted(state),
                surface.tones.first().map_or(0.0, |tone| tone.wanted.target_uncertainty.0),
                cannot_show(state)
            ),
        });
    } else if let Some(material) = wanted.wish.material {
        let held: Vec<String> = surface
            .tones
            .iter()
            .map(|tone| &tone.wanted)
            .filter(|tone| tone.tone.share.value() >= MAIN)
            .map(|tone| {
                let words = material.holds(tone.tone.colour).words(material);
                format!("{} ({}) is {words}", tone.tone.role.word(), tone.tone.name)
            })
            .collect();
        notes.push(PlanNote::HeldAgainst {
            surface: wanted.name.clone(),
            words: held.join("; "),
        });
    }
    notes
}
