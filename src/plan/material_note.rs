//! What a reader should know of the materials of a surface: what it may be, and how its tones lie to what was measured.

use super::{PlanNote, SurfacePlan};
use crate::scene::Scene;

/// Tones below this share are not held against the material: joints, dirt, moss. Our choice.
const MAIN: f64 = 0.1;

pub(super) fn notes(surface: &SurfacePlan, scene: &Scene) -> Vec<PlanNote> {
    let Some(own) = scene.surfaces.iter().find(|s| s.name == surface.name) else {
        return Vec::new();
    };
    let supposed = surface.parts.iter().filter_map(|part| part.supposed);
    let mut notes: Vec<PlanNote> = supposed
        .take(1)
        .map(|supposed| PlanNote::Supposed {
            surface: surface.name.clone(),
            supposed,
        })
        .collect();
    if let Some(state) = &own.like {
        notes.push(PlanNote::NoPhoto {
            surface: surface.name.clone(),
            words: format!(
                "no photo; its tones are those of {} ({} measured; cannot show: {})",
                state.words(),
                state.from.count,
                state.from.cannot_show
            ),
        });
    } else if let Some(material) = own.material {
        let held: Vec<String> = surface
            .tones
            .iter()
            .filter(|tone| tone.tone.share.value() >= MAIN)
            .map(|tone| {
                let words = material.holds(tone.tone.colour).words(material);
                format!("{} ({}) is {words}", tone.tone.role.word(), tone.tone.name)
            })
            .collect();
        notes.push(PlanNote::HeldAgainst {
            surface: surface.name.clone(),
            words: held.join("; "),
        });
    }
    notes
}
