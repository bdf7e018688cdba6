//! From the wanted colours of tones to pots and mixes.

use super::answers::Answers;
use super::ids::{PotId, SurfaceId, ToneId};
use super::mixed::{Kit, Mixed, MixedPot, MixedPots, MixedSurface, TonePlan};
use super::picked::PickedOut;
use super::toned::{Toned, TonedSurface, TonedTone};
use super::variety::picked_out;
use super::{Wishes, light, pots};
use crate::colour::{LabD65, delta_e00};
use crate::mix::{Recipe, Search};
use rayon::prelude::*;

impl Toned {
    /// Every tone that is brushed on in its pot, with its mixes.
    #[must_use]
    pub fn mixed(self, kit: &Kit<'_>, wishes: &Wishes) -> Mixed {
        let (shelf, search) = (kit.shelf, &wishes.search);
        search.begin("mixing", 0);
        let wanted = pots::Brushed::on(&self.surfaces, kit.paints);
        let mut answers = Answers::none_yet(kit, search);
        let tones = self.surfaces.iter().flat_map(|surface| &surface.tones);
        let targets: Vec<LabD65> = tones.map(|tone| tone.moved.colour).collect();
        // All that will be asked for at once, so that no core waits for the last mix of a few.
        let in_pots = wanted.in_pots();
        answers.for_all(&[pots::firsts(&in_pots), targets.clone()].concat());
        let mut found = pots::gathered(in_pots, &mut answers);
        let fewer = wishes
            .most_pots
            .map(|most| pots::fewer(&mut found, most, &self.surfaces));
        let pots = MixedPots(pots::measured(found, &self.surfaces));
        let mut answers = answers.for_all(&targets).into_iter();
        let picked = pots.picked_out(&self.surfaces, kit);
        let mut surfaces = Vec::with_capacity(self.surfaces.len());
        let own = wanted.unpainted.into_iter().zip(picked.iter().cloned());
        for ((at, surface), (unpainted, picked)) in self.surfaces.into_iter().enumerate().zip(own) {
            let id = SurfaceId(at);
            let tones = surface.tones.into_iter().enumerate().zip(&mut answers);
            let tones = tones.map(|((t, tone), own)| {
                let pot = pots.painting(id, Some(ToneId(t)));
                let chosen = pot.and_then(|pot| pots[pot].recipe.as_ref());
                let recipes = offered(&tone, chosen, own, search);
                TonePlan {
                    under_lamp: (kit.lamp.as_ref())
                        .map(|lamp| light::under(&tone, recipes.first(), lamp, shelf)),
                    wanted: tone,
                    pot,
                    recipes,
                }
            });
            surfaces.push(MixedSurface {
                tones: tones.collect(),
                wanted: surface.wanted,
                zones: surface.zones,
                unpainted,
                clean_pot: pots.painting(id, None),
                picked,
            });
        }
        Mixed {
            layout: self.layout,
            photos: self.photos,
            surfaces,
            pots: pots.with_taken(&picked.concat()),
            fewer,
        }
    }
}

impl MixedPots {
    /// The pot that a tone is painted from, or the clean base of a surface.
    fn painting(&self, surface: SurfaceId, tone: Option<ToneId>) -> Option<PotId> {
        let holds = |pot: &MixedPot| {
            let mut members = pot.members.iter();
            members.any(|member| member.surface == surface && member.tone == tone)
        };
        self.0.iter().position(holds).map(PotId)
    }

    /// What is picked out of the body of each surface.
    fn picked_out(&self, surfaces: &[TonedSurface], kit: &Kit<'_>) -> Vec<Vec<PickedOut>> {
        let surfaces = surfaces.par_iter().enumerate();
        let picked = surfaces.map(|(at, surface)| {
            let id = SurfaceId(at);
            let (body, base) = (self.painting(id, Some(ToneId(0))), self.painting(id, None));
            let pot = body.or(base).map(|pot| (pot, &self[pot], body.is_none()));
            let tone = surface.tones.first();
            tone.map_or_else(Vec::new, |tone| picked_out(&surface.wanted, tone, pot, kit))
        });
        picked.collect()
    }
}

/// The mixes offered for a tone: that of its pot first, with the difference from this tone's own planned colour.
fn offered(
    tone: &TonedTone,
    of_pot: Option<&Recipe>,
    mut own: Vec<Recipe>,
    search: &Search,
) -> Vec<Recipe> {
    if let Some(recipe) = of_pot {
        own.retain(|other| other.parts != recipe.parts);
        own.insert(
            0,
            Recipe {
                difference: delta_e00(tone.moved.colour, recipe.colour),
                ..recipe.clone()
            },
        );
        own.truncate(search.answers.max(1));
    }
    own
}
