//! Dirt in the order of work: general before local, powder between two seals, the highlight last. Common practice, no
//! source.

use super::super::ids::PotId;
use super::super::mixed::MixedSurface;
use super::Dirt;
use super::blend::ThinnedMix;
use super::places::PlacePlan;
use crate::paint::MixingFamily;
use crate::rock::RockRole;
use crate::scene::Technique;

/// A step of dirt.
#[derive(Debug, Clone, PartialEq)]
pub enum DirtStep {
    /// Let what lies beneath harden before thinned paint goes over it.
    Harden {
        /// What it is painted with, when known.
        base: Option<MixingFamily>,
        /// What goes over it.
        wash: MixingFamily,
    },
    /// Lay a wash.
    Wash {
        /// How.
        technique: Technique,
        /// What.
        blend: ThinnedMix,
    },
    /// A colour of a rock scheme.
    Rock {
        /// Which.
        role: RockRole,
        /// Its pot, when it has one.
        pot: Option<PotId>,
        /// What.
        blend: Option<ThinnedMix>,
        /// Its share of the surface.
        share: f64,
    },
    /// Dirt in one place.
    Place {
        /// Its name.
        name: String,
        /// How.
        technique: Technique,
        /// What; `None` when the list has nothing for it.
        blend: Option<ThinnedMix>,
        /// Its share of the surface.
        share: f64,
    },
    /// Give powder a matt ground to hold on to.
    SealBeforePowder,
    /// Keep powder where it is.
    SealAfterPowder,
}

/// When a place is worked on: films first, then dabs, then powder, then the nearly dry brush.
fn turn(place: &PlacePlan) -> u8 {
    match place.technique {
        Technique::Filter => 0,
        Technique::Wash => 1,
        Technique::PinWash => 2,
        Technique::Streak => 3,
        Technique::Stipple => 4,
        Technique::Powder => 5,
        Technique::DryBrush => 6,
    }
}

/// The places of dirt in their turn; powder lies between two seals.
fn place_steps(dirt: &Dirt) -> Vec<DirtStep> {
    let mut steps = Vec::new();
    let mut places: Vec<&PlacePlan> = dirt.places.iter().collect();
    places.sort_by_key(|place| turn(place));
    let is_powder =
        |place: &&PlacePlan| place.technique == Technique::Powder && place.blend().is_some();
    let powders = places.iter().filter(|place| is_powder(place)).count();
    let mut laid = 0;
    for place in places {
        let powder = is_powder(&place);
        if powder && laid == 0 {
            steps.push(DirtStep::SealBeforePowder);
        }
        steps.push(DirtStep::Place {
            name: place.name.clone(),
            technique: place.technique,
            blend: place.blend().cloned(),
            share: place.share,
        });
        if powder {
            laid += 1;
            if laid == powders {
                steps.push(DirtStep::SealAfterPowder);
            }
        }
    }
    steps
}

/// Washes, places and powder of a surface, in order. The last, of a rock, is its light.
pub(in super::super) fn steps(surface: &MixedSurface, dirt: &Dirt) -> Vec<DirtStep> {
    let mut steps = Vec::new();
    let rock_step = |role: RockRole, steps: &mut Vec<DirtStep>| {
        let colours = dirt.rock.iter().flat_map(|rock| &rock.steps);
        steps.extend(colours.filter(|step| step.role == role).map(|step| {
            DirtStep::Rock {
                role,
                pot: step
                    .tone
                    .filter(|_| role != RockRole::DarkWash)
                    .and_then(|tone| surface.tones[tone].pot),
                blend: step.blend.clone(),
                share: step.share,
            }
        }));
    };
    rock_step(RockRole::Undercoat, &mut steps);
    rock_step(RockRole::MidTint, &mut steps);
    // The last wash of a rock is its dark wash; a filter may go before it.
    let rock_wash = dirt.rock.iter().filter_map(|rock| rock.wash.as_ref());
    let filters = rock_wash.flat_map(|wash| wash.washes.split_last().map_or(&[][..], |s| s.1));
    steps.extend(filters.map(|filter| DirtStep::Wash {
        technique: filter.technique,
        blend: filter.blend.clone(),
    }));
    rock_step(RockRole::DarkWash, &mut steps);
    if let Some(wash) = &dirt.wash {
        if let Some(first) = wash.washes.first() {
            steps.push(DirtStep::Harden {
                base: wash.base_family,
                wash: first.recipe.family,
            });
        }
        steps.extend(wash.washes.iter().map(|wash| DirtStep::Wash {
            technique: wash.technique,
            blend: wash.blend.clone(),
        }));
    }
    steps.extend(place_steps(dirt));
    rock_step(RockRole::Light, &mut steps);
    steps
}
