//! Order of work. All of it is common practice, no source; the label comes first.

use super::SurfacePlan;
use super::pots::Pot;
use crate::colour::{LabD65, Srgb8};
use crate::paint::{Medium, MixingFamily, PaintList};
use crate::scene::Treatment;
use crate::tones::Role;

/// What a step does.
#[derive(Debug, Clone, PartialEq)]
pub enum StepKind {
    /// Wash off grease and mould release, rub down shine.
    Clean,
    /// An even ground that later coats hold on to.
    Prime {
        /// The list's own primer, when it has one.
        primer: Option<String>,
        /// Its colour; a mid grey when the list has none.
        colour: LabD65,
    },
    /// Paint a patch on scrap and let it dry.
    TestPatch,
    /// The body all over.
    Body {
        /// Number of the pot.
        pot: usize,
        /// Coats.
        coats: u32,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// A further tone over part of the body.
    Tone {
        /// Number of the pot.
        pot: usize,
        /// Its role.
        role: Role,
        /// Its share of the surface.
        share: f64,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// Ground colour below scatter.
    Ground {
        /// Number of the pot.
        pot: usize,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// Strew.
    Strew,
    /// Varnish.
    Varnish {
        /// The list's own varnish, when it has one.
        varnish: Option<String>,
    },
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What to do.
    pub kind: StepKind,
}

/// A matt mid grey: what a primer is taken to be when the list has none.
const USUAL_PRIMER: Srgb8 = Srgb8([0x8a, 0x8a, 0x88]);

/// The steps for one surface, in order.
pub(super) fn of(surface: &SurfacePlan, pots: &[Pot], paints: &PaintList) -> Vec<Step> {
    let family_of = |pot: usize| pots[pot].recipe.as_ref().map(|recipe| recipe.family);
    let mut steps = Vec::new();
    let listed = |medium: Medium| {
        paints
            .paints()
            .iter()
            .find(|paint| paint.medium == Some(medium))
    };
    if surface.treatment == Treatment::Scatter {
        if let Some(pot) = surface.tones.first().and_then(|tone| tone.pot) {
            steps.push(StepKind::Ground {
                pot: pots[pot].number,
                family: family_of(pot),
            });
        }
        steps.push(StepKind::Strew);
    } else {
        steps.push(StepKind::Clean);
        let primer = listed(Medium::Primer);
        steps.push(StepKind::Prime {
            primer: primer.map(|p| p.name.clone()),
            colour: primer.map_or_else(|| USUAL_PRIMER.into(), |p| p.colour),
        });
        steps.push(StepKind::TestPatch);
        let mut tones: Vec<(u8, usize)> = surface
            .tones
            .iter()
            .enumerate()
            .map(|(i, tone)| (laying_order(tone.tone.role), i))
            .collect();
        tones.sort_unstable();
        for (_, i) in tones {
            let tone = &surface.tones[i];
            let Some(pot) = tone.pot else { continue };
            let (number, family) = (pots[pot].number, family_of(pot));
            steps.push(if tone.tone.role == Role::Body {
                StepKind::Body {
                    pot: number,
                    coats: surface.coats,
                    family,
                }
            } else {
                StepKind::Tone {
                    pot: number,
                    role: tone.tone.role,
                    share: tone.tone.share.value(),
                    family,
                }
            });
        }
        steps.push(StepKind::Varnish {
            varnish: listed(Medium::Varnish).map(|p| p.name.clone()),
        });
    }
    steps.into_iter().map(|kind| Step { kind }).collect()
}

/// Body first, what differs in hue next, then the dark, then the light, accents last.
fn laying_order(role: Role) -> u8 {
    match role {
        Role::Body => 0,
        Role::Variation => 1,
        Role::Shade => 2,
        Role::Light => 3,
        Role::Accent => 4,
    }
}
