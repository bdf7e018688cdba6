//! The third stage: what is stirred in which pot, and the mixes that are offered for each tone.

use super::ids::{PotId, SurfaceId, ToneId};
use super::light::{self, UnderLamp};
use super::pots::{self, FewerPots, Member};
use super::sighted::PhotoSeen;
use super::toned::{Layout, SurfaceWanted, Toned, TonedTone};
use super::zones::TonedZone;
use super::{AsBuilt, Wishes};
use crate::colour::{LabD65, delta_e00};
use crate::lamps::Lamp;
use crate::mix::{Recipe, Search, Shelf};
use crate::paint::{MixingFamily, PaintList, ScatterList};
use crate::units::Millilitres;
use std::ops::Index;

/// What a layout is painted and strewn from, and what was learnt on it.
#[derive(Debug, Clone)]
pub struct Kit<'a> {
    /// The paints.
    pub paints: &'a PaintList,
    /// The same, prepared.
    pub shelf: &'a Shelf,
    /// The scatter, where there is a list of it.
    pub scatter: Option<&'a ScatterList>,
    /// The lamp over the layout, when it is not daylight.
    pub lamp: Option<Lamp>,
    /// Patches that were dried so far, as logged beside the scene.
    pub as_built: Vec<AsBuilt>,
}

impl<'a> Kit<'a> {
    /// Paints alone, in daylight: no scatter, no patches.
    #[must_use]
    pub fn new(paints: &'a PaintList, shelf: &'a Shelf) -> Self {
        Self {
            paints,
            shelf,
            scatter: None,
            lamp: None,
            as_built: Vec::new(),
        }
    }
}

/// A layout whose pots are known.
#[derive(Debug)]
pub struct Mixed {
    /// What holds for the whole layout.
    pub layout: Layout,
    /// Photos as read.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<MixedSurface>,
    /// Pots, in the order in which they were found.
    pub pots: MixedPots,
    /// What having fewer pots costs, where that was wanted.
    pub fewer: Option<FewerPots>,
}

/// A surface whose tones have their mixes.
#[derive(Debug)]
pub struct MixedSurface {
    /// What is wanted of it as a whole.
    pub wanted: SurfaceWanted,
    /// Its tones, largest share first.
    pub tones: Vec<TonePlan>,
    /// Its bands, or itself as one zone; at least one.
    pub zones: Vec<TonedZone>,
    /// Tones that no pot is mixed for: the wash stands for them, or the rock scheme does without.
    pub unpainted: Vec<ToneId>,
    /// The pot of a body that is painted clean, in the base of its wash: the wash brings it to the photographed tones.
    pub clean_pot: Option<PotId>,
}

/// What is planned for one tone.
#[derive(Debug)]
pub struct TonePlan {
    /// What it is to come to.
    pub wanted: TonedTone,
    /// Its pot; `None` where the tone is strewn or left to the lamps, not painted.
    pub pot: Option<PotId>,
    /// Mixes, the soundest first. Differences are from this tone's planned colour.
    pub recipes: Vec<Recipe>,
    /// It and its mix under the lamps; `None` where the lamps are daylight.
    pub under_lamp: Option<UnderLamp>,
}

/// One mix to make, or one bottle to use as it is; it has no number yet.
#[derive(Debug, Clone)]
pub struct MixedPot {
    /// ISCC–NBS name of its colour.
    pub name: &'static str,
    /// The colour asked.
    pub colour: LabD65,
    /// What is painted with it; the first gave it its colour.
    pub members: Vec<Member>,
    /// What to mix; `None` when nothing on the list mixes.
    pub recipe: Option<Recipe>,
    /// How much; `None` when an area is unknown.
    pub volume: Option<Millilitres>,
}

/// Pots, in the order in which they were found.
#[derive(Debug, Clone)]
pub struct MixedPots(pub(super) Vec<MixedPot>);

impl Index<PotId> for MixedPots {
    type Output = MixedPot;
    fn index(&self, at: PotId) -> &MixedPot {
        &self.0[at.0]
    }
}

impl Toned {
    /// Every tone that is brushed on in its pot, with its mixes.
    #[must_use]
    pub fn mixed(self, kit: &Kit<'_>, wishes: &Wishes) -> Mixed {
        let (shelf, search) = (kit.shelf, &wishes.search);
        let wanted = pots::Brushed::on(&self.surfaces, kit.paints);
        let mut found = pots::gathered(&wanted, shelf, search);
        let fewer = wishes
            .most_pots
            .map(|most| pots::fewer(&mut found, most, &self.surfaces));
        let pots = MixedPots(pots::measured(found, &self.surfaces));
        let pot_of = |surface: SurfaceId, tone: Option<ToneId>| {
            let holds = |pot: &MixedPot| {
                let mut members = pot.members.iter();
                members.any(|member| member.surface == surface && member.tone == tone)
            };
            pots.0.iter().position(holds).map(PotId)
        };
        let tones = self.surfaces.iter().flat_map(|surface| &surface.tones);
        let targets: Vec<LabD65> = tones.map(|tone| tone.moved.colour).collect();
        let mut answers = shelf.recipes_for_all(&targets, search).into_iter();
        let mut surfaces = Vec::with_capacity(self.surfaces.len());
        let unpainted = wanted.unpainted;
        for ((at, surface), unpainted) in self.surfaces.into_iter().enumerate().zip(unpainted) {
            let id = SurfaceId(at);
            let tones = surface.tones.into_iter().enumerate().zip(&mut answers);
            let tones = tones.map(|((t, tone), own)| {
                let pot = pot_of(id, Some(ToneId(t)));
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
                clean_pot: pot_of(id, None),
            });
        }
        Mixed {
            layout: self.layout,
            photos: self.photos,
            surfaces,
            pots,
            fewer,
        }
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

impl MixedSurface {
    /// What the body is painted with, where that is known.
    pub(super) fn body_family(&self, pots: &MixedPots) -> Option<MixingFamily> {
        let pot = self.tones.first()?.pot.or(self.clean_pot)?;
        pots[pot].family()
    }
}
