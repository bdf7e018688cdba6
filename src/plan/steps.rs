//! Order of work. All of it is common practice, no source; the label comes first.

use super::ZonePlan;
use super::dirt::Dirt;
use super::dirt::{self, DirtStep};
use super::ids::{PotId, ToneId};
use super::mixed::{MixedPots, MixedSurface};
use super::picked::PickedOut;
use crate::colour::{LabD65, Srgb8};
use crate::paint::{Grain, Medium, MixingFamily, PaintList};
use crate::scatter::{LaidKind, ScatterKind};
use crate::scene::Treatment;
use crate::tones::Role;
use crate::units::Millilitres;

/// What a step does.
#[derive(Debug, Clone, PartialEq)]
pub enum StepKind {
    /// Wash off grease and mould release, rub down shine.
    Clean,
    /// Plaster dried through and dusted: soap and sanding do it no good.
    Dust,
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
        /// The pot.
        pot: PotId,
        /// Coats.
        coats: u32,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// Some units of the body, in a mix from its pot.
    PickOut(PickedOut),
    /// A further tone over part of the body.
    Tone {
        /// The pot.
        pot: PotId,
        /// Its role.
        role: Role,
        /// Its share of the surface.
        share: f64,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// Ground colour below scatter.
    Ground {
        /// The zone, where there are several.
        zone: Option<String>,
        /// The pot.
        pot: PotId,
        /// What is in the pot.
        family: Option<MixingFamily>,
    },
    /// Glue that dries clear, and one grain of scatter strewn into it.
    Strew {
        /// The zone, where there are several.
        zone: Option<String>,
        /// The grain.
        grain: Grain,
        /// The kinds with what to strew of each; none where the scene has no list.
        kinds: Vec<(String, LaidKind)>,
        /// What the hill looks like after it.
        after: LabD65,
        /// Glue for this pass.
        glue: Option<Millilitres>,
        /// True for the first pass of its zone.
        first: bool,
    },
    /// Take off what does not hold.
    Tidy,
    /// Washes, rock schemes, places.
    Dirt(DirtStep),
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

/// A matt mid grey: the primer that we assume if the list has none.
const USUAL_PRIMER: Srgb8 = Srgb8([0x8a, 0x8a, 0x88]);

/// What steps take their paints and scatter from.
pub(super) struct With<'a> {
    pub(super) pots: &'a MixedPots,
    pub(super) paints: &'a PaintList,
    pub(super) kinds: &'a [ScatterKind],
}

/// The steps for one surface, in order.
pub(super) fn of_surface(
    surface: &MixedSurface,
    zones: &[ZonePlan],
    dirt: &Dirt,
    with: &With<'_>,
) -> Vec<Step> {
    let treatment = surface.wanted.treatment;
    let mut steps = Vec::new();
    let listed = |medium: Medium| {
        with.paints
            .paints()
            .iter()
            .find(|paint| paint.medium == Some(medium))
    };
    if treatment == Treatment::Scatter {
        steps.extend(strewing(zones, with));
    } else {
        steps.push(if treatment == Treatment::Rock {
            StepKind::Dust
        } else {
            StepKind::Clean
        });
        if treatment != Treatment::Wash {
            let primer = listed(Medium::Primer);
            steps.push(StepKind::Prime {
                primer: primer.map(|p| p.name.clone()),
                colour: primer.map_or_else(|| USUAL_PRIMER.into(), |p| p.colour),
            });
        }
        steps.push(StepKind::TestPatch);
        if treatment == Treatment::Coat {
            steps.extend(coats(surface, with.pots));
        }
        steps.extend(dirt::steps(surface, dirt).into_iter().map(StepKind::Dirt));
        steps.push(StepKind::Varnish {
            varnish: listed(Medium::Varnish).map(|p| p.name.clone()),
        });
    }
    steps.into_iter().map(|kind| Step { kind }).collect()
}

/// The grounds of all zones, then the far zone before the near one so that no sleeve drags over fresh work (common
/// practice, no source), each in passes.
fn strewing(zones: &[ZonePlan], with: &With<'_>) -> Vec<StepKind> {
    let zones = || {
        zones
            .iter()
            .rev()
            .filter_map(|zone| Some((zone, zone.strewn.as_ref()?)))
    };
    let name = |zone: &ZonePlan| zone.wanted.band.as_ref().map(|band| band.name.clone());
    let mut steps: Vec<StepKind> = zones()
        .filter_map(|(zone, strewn)| {
            let pot = strewn.pot?;
            Some(StepKind::Ground {
                zone: name(zone),
                pot,
                family: with.pots[pot].family(),
            })
        })
        .collect();
    for (zone, strewn) in zones() {
        let Some(blend) = &strewn.blend else { continue };
        steps.extend(strewn.layers.iter().enumerate().map(|(pass, layer)| {
            StepKind::Strew {
                zone: name(zone),
                grain: layer.grain,
                kinds: layer
                    .kinds
                    .iter()
                    .map(|laid| (with.kinds[blend.parts[laid.at].0].name.clone(), *laid))
                    .collect(),
                after: layer.after,
                glue: strewn.glue_a_pass,
                first: pass == 0,
            }
        }));
    }
    steps.push(StepKind::Tidy);
    steps
}

/// Body and further tones of a painted surface.
fn coats(surface: &MixedSurface, pots: &MixedPots) -> Vec<StepKind> {
    let mut tones: Vec<(u8, ToneId)> = ToneId::all(surface.tones.len())
        .map(|at| (laying_order(surface.tones[at].wanted.tone.role), at))
        .collect();
    tones.sort_unstable();
    let mut steps = Vec::new();
    if let Some(pot) = surface.clean_pot {
        steps.push(StepKind::Body {
            pot,
            coats: surface.wanted.coats,
            family: pots[pot].family(),
        });
    }
    let picked = surface.picked.iter().cloned();
    let mut picked = picked.map(StepKind::PickOut).peekable();
    if surface.clean_pot.is_some() {
        steps.extend(picked.by_ref());
    }
    for (_, at) in tones {
        let tone = &surface.tones[at].wanted.tone;
        let Some(pot) = surface.tones[at].pot else {
            continue;
        };
        let family = pots[pot].family();
        steps.push(if tone.role == Role::Body {
            StepKind::Body {
                pot,
                coats: surface.wanted.coats,
                family,
            }
        } else {
            StepKind::Tone {
                pot,
                role: tone.role,
                share: tone.share.value(),
                family,
            }
        });
        if tone.role == Role::Body {
            steps.extend(picked.by_ref());
        }
    }
    steps
}

/// Body first, what differs in hue next, then the dark, then the light, accents last.
fn laying_order(role: Role) -> u8 {
    match role {
        Role::Body => 0,
        Role::Variation => 1,
        Role::Shade | Role::Recess => 2,
        Role::Light => 3,
        Role::Accent => 4,
    }
}
