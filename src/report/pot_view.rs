//! Pots as the page prints them.

use super::figures::Swatches;
use super::words::{capitalised, closeness_text, ml, or_dash, pot_name, surfaces_of};
use crate::mix::Recipe;
use crate::plan::{Plan, Pot};

/// One pot.
#[derive(Debug)]
pub(super) struct PotView {
    pub(super) number: usize,
    pub(super) name: String,
    pub(super) swatches: Option<Swatches>,
    pub(super) parts: Vec<PartView>,
    pub(super) volume: String,
    pub(super) surfaces: String,
    pub(super) closeness: String,
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
            number: pot.number,
            name: capitalised(pot.name),
            swatches: recipe.map(|recipe| {
                let label = format!(
                    "{}: planned {}, predicted {}",
                    pot_name(pot),
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
                                .map(|v| ml(v.value() * f64::from(*parts) / f64::from(total))),
                        ),
                    })
                    .collect()
            }),
            volume: or_dash(pot.volume.map(|v| ml(v.value()))),
            surfaces: surfaces.join(", "),
            closeness: recipe.map_or_else(
                || "nothing on the list mixes".to_owned(),
                |r| closeness_text(r.difference.0, r.uncertainty.0),
            ),
        }
    }
}
