//! What the pots need of each paint, what is on the shelf, what to buy.

use super::pots::Pot;
use super::{SurfacePlan, dirt};
use crate::mix::Shelf;
use crate::paint::PaintList;
use crate::units::Millilitres;
use std::collections::BTreeMap;

/// One paint of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct ShoppingLine {
    /// The paint.
    pub paint: String,
    /// What the pots take of it; `None` when an area is unknown.
    pub needed: Option<Millilitres>,
    /// What is on the shelf; `None` when the list does not say.
    pub on_hand: Option<Millilitres>,
    /// Whole pots to buy; `None` when it cannot be told.
    pub to_buy: Option<u32>,
    /// Their price together, in whatever the list counts in.
    pub price: Option<f64>,
}

/// Adds up the chosen recipe of every pot and all that dirt takes, in list order.
pub(super) fn list(
    pots: &[Pot],
    surfaces: &[SurfacePlan],
    shelf: &Shelf,
    paints: &PaintList,
) -> Vec<ShoppingLine> {
    let of_pots = pots
        .iter()
        .filter_map(|pot| Some((pot, pot.recipe.as_ref()?)));
    let of_pots = of_pots.flat_map(|(pot, recipe)| {
        recipe.parts.iter().map(|(at, parts)| {
            let share = f64::from(*parts) / f64::from(recipe.total_parts());
            let ml = pot.volume.map(|volume| share * volume.value());
            (shelf.stocks()[*at].index, ml)
        })
    });
    let of_dirt = surfaces
        .iter()
        .flat_map(|surface| dirt::uses(surface, shelf, paints));
    let mut needs: BTreeMap<usize, Option<f64>> = BTreeMap::new();
    for (index, ml) in of_pots.chain(of_dirt) {
        let sum = needs.entry(index).or_insert(Some(0.0));
        *sum = sum.zip(ml).map(|(sum, ml)| sum + ml);
    }
    let mut lines = Vec::new();
    for (index, needed) in needs {
        let paint = &paints.paints()[index];
        let to_buy = needed.zip(paint.on_hand_ml).and_then(|(needed, on_hand)| {
            let short = (needed - on_hand).max(0.0);
            if short <= 0.0 {
                return Some(0);
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number of pots, at most a few thousand"
            )]
            paint.pot_ml.map(|pot| (short / pot).ceil().min(1e6) as u32)
        });
        lines.push(ShoppingLine {
            paint: paint.name.clone(),
            needed: needed
                .and_then(|ml| Millilitres::new(ml).ok())
                .map(super::measurable),
            on_hand: paint.on_hand_ml.and_then(|ml| Millilitres::new(ml).ok()),
            to_buy,
            price: to_buy
                .zip(paint.price)
                .map(|(pots, price)| f64::from(pots) * price),
        });
    }
    lines
}
