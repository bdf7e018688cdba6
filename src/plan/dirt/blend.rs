//! The mix for dirt, as steps and tables name it.

use super::super::mixed::Kit;
use super::super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use super::WashShelf;
use crate::colour::DeltaE00;
use crate::mix::{PaintId, Recipe, Shelf, uncertainty};
use crate::paint::{FILM_OF_A_WASH, MixingFamily, PaintList};
use crate::scene::Technique;
use crate::units::{DROP, Millilitres, SquareCentimetres};
use crate::wash::WashRecipe;

/// Liquid in one pass of a wash: half a brushed coat. Common practice, no source.
pub const WASH_ML_PER_CM2_AND_PASS: f64 = ML_PER_CM2_AND_COAT * FILM_OF_A_WASH;

/// Paints by name and whole parts, and how they are thinned.
#[derive(Debug, Clone, PartialEq)]
pub struct ThinnedMix {
    /// Names and whole parts by volume, in the order to stir them.
    pub parts: Vec<(String, u32)>,
    /// What is stirred; `None` for dry pigment.
    pub family: Option<MixingFamily>,
    /// How it is thinned, when it is.
    pub thinned: Option<Thinned>,
}

/// How a wash is thinned.
#[derive(Debug, Clone, PartialEq)]
pub struct Thinned {
    /// Parts of thinner to 1 part of paint.
    pub thin: u32,
    /// For a filter thinner than is measured out in one go: parts of thinner to 1 of paint for a stock, and parts of
    /// thinner to 1 of that stock.
    pub stock: Option<(u32, u32)>,
    /// Passes.
    pub passes: u32,
    /// With what.
    pub thinner: String,
    /// Water on plastic wants a drop of washing-up liquid or flow aid. Common practice, no source.
    pub flow_aid: bool,
}

/// Volumes of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Amounts {
    /// All of it.
    pub batch: Millilitres,
    /// Amount of each paint, in the order of the parts.
    pub paints: Vec<Millilitres>,
    /// Amount of the thinner.
    pub thinner: Millilitres,
}

/// One wash as it is mixed and laid.
#[derive(Debug, Clone, PartialEq)]
pub struct WashBlend {
    /// How it is laid.
    pub technique: Technique,
    /// As solved; parts are places in [`Shelf::stocks`].
    pub recipe: WashRecipe<PaintId>,
    /// Names and thinning.
    pub blend: ThinnedMix,
    /// How much of each; `None` when the area is unknown.
    pub amounts: Option<Amounts>,
    /// Two in three real washes should fall within this much on flats.
    pub uncertainty: DeltaE00,
    /// Two in three real washes should fall within this much in recesses.
    pub recess_uncertainty: DeltaE00,
}

impl ThinnedMix {
    /// Paints of the shelf, thinned or not.
    pub(super) fn of_stocks(
        parts: &[(PaintId, u32)],
        family: MixingFamily,
        wash: Option<&WashRecipe<PaintId>>,
        shelf: &Shelf,
        paints: &PaintList,
    ) -> Self {
        // A list's own word goes before the usual thinner of the medium.
        let listed = parts
            .first()
            .and_then(|(at, _)| paints.paints()[shelf[*at].index].thinner.clone())
            .filter(|word| word != "own");
        let thinner = listed.unwrap_or_else(|| family.usual_thinner().to_owned());
        Self {
            parts: parts
                .iter()
                .map(|(at, p)| (shelf[*at].name.clone(), *p))
                .collect(),
            family: Some(family),
            thinned: wash.map(|wash| Thinned {
                thin: wash.thin,
                stock: wash.from_stock(),
                passes: wash.passes,
                flow_aid: thinner == "water",
                thinner,
            }),
        }
    }

    /// An opaque mix.
    pub(super) fn of_recipe(recipe: &Recipe, shelf: &Shelf, paints: &PaintList) -> Self {
        let parts = shelf.stirring_order(recipe);
        Self::of_stocks(&parts, recipe.family, None, shelf, paints)
    }
}

/// Rounds to hundredths.
fn hundredths(volume: f64) -> Option<Millilitres> {
    Millilitres::new((volume * 100.0).round() / 100.0).ok()
}

/// What a wash takes: enough for the area, and never so little that a part is less than a drop.
fn amounts(recipe: &WashRecipe<PaintId>, area: f64) -> Option<Amounts> {
    let passes = f64::from(recipe.passes);
    let needed = area * passes * WASH_ML_PER_CM2_AND_PASS * RESERVE;
    let (parts, diluted) = (
        f64::from(recipe.total_parts()),
        f64::from(recipe.thin) + 1.0,
    );
    let least = DROP * parts * diluted;
    let batch = super::super::measurable(Millilitres::new(needed.max(least)).ok()?);
    let paint = batch.value() / diluted;
    Some(Amounts {
        paints: recipe
            .parts
            .iter()
            .map(|(_, p)| hundredths(paint * f64::from(*p) / parts))
            .collect::<Option<Vec<_>>>()?,
        thinner: hundredths(batch.value() - paint)?,
        batch,
    })
}

impl WashBlend {
    /// A solved wash for the part of an area that it is laid on.
    pub(super) fn new(
        technique: Technique,
        solved: &WashRecipe,
        on: Option<(SquareCentimetres, f64)>,
        wash_shelf: &WashShelf<'_>,
        kit: &Kit<'_>,
    ) -> Self {
        let recipe = solved.of_paints(|place| wash_shelf.at[place]);
        let parts: Vec<(PaintId, f64)> = recipe
            .parts
            .iter()
            .map(|(at, p)| (*at, f64::from(*p)))
            .collect();
        let pot = uncertainty(kit.shelf, &parts, recipe.own);
        Self {
            technique,
            blend: ThinnedMix::of_stocks(
                &recipe.parts,
                recipe.family,
                Some(&recipe),
                kit.shelf,
                kit.paints,
            ),
            amounts: on.and_then(|(area, share)| amounts(&recipe, area.value() * share)),
            uncertainty: recipe.flat_doubt.with_pot(pot),
            recess_uncertainty: recipe.recess_doubt.with_pot(pot),
            recipe,
        }
    }
}
