//! Pots as the page prints them.

use super::figures::Swatches;
use super::hand::hand_ml;
use super::words::{or_dash, surfaces_of};
use super::work_words::taken_words;
use crate::mix::Recipe;
use crate::plan::{Plan, Pot};
use crate::units::Millilitres;

/// One pot.
#[derive(Debug)]
pub(super) struct PotView {
    /// "Pot 3", or "Burnt sienna, from the bottle".
    pub(super) take: String,
    pub(super) straight: bool,
    pub(super) swatches: Option<Swatches>,
    pub(super) parts: Vec<PartView>,
    pub(super) volume: String,
    pub(super) surfaces: String,
}

/// One paint of a pot.
#[derive(Debug)]
pub(super) struct PartView {
    pub(super) parts: u32,
    pub(super) name: String,
    pub(super) volume: String,
}

impl PotView {
    pub(super) fn new(pot: &Pot, plan: &Plan<'_>) -> Self {
        let surfaces = surfaces_of(pot, plan);
        let recipe = pot.recipe.as_ref();
        let total = recipe.map_or(0, Recipe::total_parts);
        Self {
            take: taken_words(pot, plan),
            straight: pot.is_straight(),
            swatches: recipe.map(|recipe| {
                let label = format!(
                    "{}: planned {}, predicted {}",
                    taken_words(pot, plan),
                    pot.colour.to_srgb8(),
                    recipe.colour.to_srgb8()
                );
                Swatches::row(label, 120, 44, &[(pot.colour, 1.0), (recipe.colour, 1.0)])
            }),
            parts: recipe.map_or_else(Vec::new, |recipe| {
                plan.shelf
                    .stirring_order(recipe)
                    .iter()
                    .map(|(at, parts)| PartView {
                        parts: *parts,
                        name: plan.shelf.stocks()[*at].name.clone(),
                        volume: or_dash(
                            pot.volume
                                .and_then(|v| {
                                    let part = f64::from(*parts) / f64::from(total);
                                    Millilitres::new(v.value() * part).ok()
                                })
                                .map(hand_ml),
                        ),
                    })
                    .collect()
            }),
            volume: or_dash(pot.volume.map(hand_ml)),
            surfaces: surfaces.join(", "),
        }
    }
}
