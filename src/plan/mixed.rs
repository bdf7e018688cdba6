//! The third stage: the contents of each pot, and the mixes offered for each tone.

use super::ids::{PotId, SurfaceId, ToneId, found_by};
use super::light::UnderLamp;
use super::picked::PickedOut;
use super::sighted::PhotoSeen;
use super::toned::{Layout, SurfaceWanted, TonedTone, TonedZone};
use super::{AsBuilt, Before, PatchLog, laid_films};
use crate::colour::{DeltaE00, LabD65};
use crate::lamps::Lamp;
use crate::mix::{Recipe, Shelf};
use crate::paint::{MixingFamily, PaintList, ScatterList};
use crate::units::Millilitres;
use crate::wash::LaidFilms;
use std::ops::Index;

/// What a layout is painted and strewn from, and what was learnt on it.
#[derive(Debug, Clone)]
pub struct Kit<'a> {
    /// The paints.
    pub paints: &'a PaintList,
    /// The paints, prepared.
    pub shelf: &'a Shelf,
    /// The scatter, where there is a list of it.
    pub scatter: Option<&'a ScatterList>,
    /// The lamp over the layout, when it is not daylight.
    pub lamp: Option<Lamp>,
    /// The patches logged so far.
    pub as_built: Vec<AsBuilt>,
    /// How thick the builder's washes lie.
    pub films: LaidFilms,
    /// What was found from these paints before: it changes no answer, only how soon it comes.
    pub before: Option<Before>,
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
            films: LaidFilms::default(),
            before: None,
        }
    }

    /// Adds what was learnt from the patches of a layout.
    #[must_use]
    pub fn with_log(self, log: PatchLog) -> Self {
        Self {
            films: laid_films(&log.films),
            as_built: log.entries,
            ..self
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
    /// What some of its units are picked out in.
    pub picked: Vec<PickedOut>,
}

/// What is planned for one tone.
#[derive(Debug)]
pub struct TonePlan {
    /// The wanted colour.
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
    pub colour_name: &'static str,
    /// What is written on its jar: each of what is painted with it, the surface and the part, in their order.
    pub jar: Vec<String>,
    /// The wanted colour.
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

/// Something painted with a pot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// The surface.
    pub surface: SurfaceId,
    /// Its tone; `None` for the clean base under its wash.
    pub tone: Option<ToneId>,
    /// Its own planned colour.
    pub planned: LabD65,
    /// Area times share: how much it counts.
    pub(super) weight: f64,
}

/// What having fewer pots costs.
#[derive(Debug, Clone, PartialEq)]
pub struct FewerPots {
    /// The most mixes, if the user set a limit.
    pub asked: usize,
    /// Mixes before.
    pub before: usize,
    /// Mixes now.
    pub now: usize,
    /// The surface whose tone moved farthest from its own best mix, its name, and its difference before and now.
    pub worst: Option<(String, &'static str, DeltaE00, DeltaE00)>,
}

impl MixedPot {
    /// True for one paint as it comes from its bottle: nothing is mixed.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        is_straight(self.recipe.as_ref())
    }

    /// What is stirred in it.
    pub(super) fn family(&self) -> Option<MixingFamily> {
        self.recipe.as_ref().map(|recipe| recipe.family)
    }
}

/// One paint as it comes from its bottle.
pub(super) fn is_straight(recipe: Option<&Recipe>) -> bool {
    recipe.is_some_and(|recipe| recipe.parts.len() == 1)
}

found_by!(SurfaceId in MixedSurface);
found_by!(ToneId in TonePlan);

impl Index<PotId> for MixedPots {
    type Output = MixedPot;
    fn index(&self, at: PotId) -> &MixedPot {
        &self.0[at.0]
    }
}

impl MixedSurface {
    /// What the body is painted with, where that is known.
    pub(super) fn body_family(&self, pots: &MixedPots) -> Option<MixingFamily> {
        let pot = self.tones.first()?.pot.or(self.clean_pot)?;
        pots[pot].family()
    }
}
