//! Steps of the order of work, in words.

use crate::plan::{PotId, Pots, Step, StepKind};
use crate::report::dirt::words::dirt_step_text;
use crate::report::hills::words::strew_text;
use crate::report::tones::variety::pick_text;
use crate::report::words::{about, zone_prefix};
use crate::tones::Role;

fn named_pot(pot: PotId, pots: &Pots) -> String {
    let pot = &pots[pot];
    format!("pot {} ({})", pot.number, pot.label())
}

fn drying(family: Option<crate::paint::MixingFamily>) -> String {
    family.map_or_else(String::new, |family| {
        format!(" Let it dry {} before the next coat.", family.drying())
    })
}

/// One step of the order of work.
#[must_use]
pub fn step_text(step: &Step, pots: &Pots) -> String {
    match &step.kind {
        StepKind::Clean => "Wash the parts in lukewarm water with a drop of washing-up liquid, rinse, let them dry; dull any shine with fine abrasive. Parts of plaster get neither: let them dry through, brush off the dust.".to_owned(),
        StepKind::Dust => "Let plaster dry right through, a day or more, and brush off the dust; no soap on it, and no sanding.".to_owned(),
        StepKind::Prime { primer, colour } => match primer {
            Some(name) => format!("Prime with {name} ({}); let it dry as its label says.", colour.to_srgb8()),
            None => format!("Prime in a matt mid grey (near {}); a darker or lighter primer shifts thin coats.", colour.to_srgb8()),
        },
        StepKind::TestPatch => "Mix a few drops first, brush them on primed scrap and let the patch dry: paint shifts as it dries. Judge it beside the photo in the light of the layout.".to_owned(),
        StepKind::Body { pot, coats, family } => format!(
            "Brush {} over the whole surface in {}.{}",
            named_pot(*pot, pots),
            if *coats == 1 { "one coat".to_owned() } else { format!("{coats} thin coats") },
            drying(*family)
        ),
        StepKind::PickOut(picked) => pick_text(picked, &named_pot(picked.pot, pots)),
        StepKind::Tone { pot, role, share, family } => {
            let pot = named_pot(*pot, pots);
            let about = about(*share);
            let how = match role {
                Role::Body | Role::Variation => format!("Pick out {about} of the surface in {pot}, in irregular patches."),
                Role::Shade => format!("Lay {pot} over {about} of the surface, where the photo is dark: low, sheltered, between the parts."),
                Role::Recess => format!("Work {pot} into the recesses and wipe the flats clean: about {about} of the surface, where rain does not reach."),
                Role::Light if *share > 0.3 => format!("Lay {pot} over {about} of the surface in irregular patches, where the photo is light; let the body show between them."),
                Role::Light => format!("Lay {pot} over {about} of the surface, where light and rain fall; a nearly dry brush keeps its edges soft."),
                Role::Accent => format!("Touch in {pot} on {about} of the surface, only where the photo has it."),
            };
            format!("{how}{}", drying(*family))
        }
        StepKind::Ground { zone, pot, family } => format!(
            "{}aint the ground all over in {} before anything is strewn; it may show through.{}",
            zone.as_deref().map_or_else(|| "P".to_owned(), |zone| format!("{}p", zone_prefix(Some(zone)))),
            named_pot(*pot, pots),
            drying(*family)
        ),
        StepKind::Strew { .. } => strew_text(&step.kind),
        StepKind::Tidy => "When the glue is dry, vacuum off the loose scatter through a cloth and keep it for patching.".to_owned(),
        StepKind::Dirt(step) => dirt_step_text(step, &|pot| named_pot(pot, pots)),
        StepKind::Varnish { varnish } => match varnish {
            Some(name) => format!("When all is dry for a day, seal with {name}. Varnish darkens and deepens colours a little: try it on the test patch first."),
            None => "When all is dry for a day, seal with a matt varnish. Varnish darkens and deepens colours a little: try it on the test patch first.".to_owned(),
        },
    }
}
