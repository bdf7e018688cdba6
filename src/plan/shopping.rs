//! What the pots need of each paint, what is on the shelf, what to buy.

use super::pots::Pot;
use crate::mix::Shelf;
use crate::paint::PaintList;
use crate::units::Millilitres;

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

/// Adds up the chosen recipe of every pot, in list order.
pub(super) fn list(pots: &[Pot], shelf: &Shelf, paints: &PaintList) -> Vec<ShoppingLine> {
    let mut lines = Vec::new();
    for (at, stock) in shelf.stocks().iter().enumerate() {
        let mut used = false;
        let mut needed = Some(0.0);
        for pot in pots {
            let Some(recipe) = &pot.recipe else { continue };
            let Some((_, parts)) = recipe.parts.iter().find(|(stock, _)| *stock == at) else {
                continue;
            };
            used = true;
            let share = f64::from(*parts) / f64::from(recipe.total_parts());
            needed = needed
                .zip(pot.volume)
                .map(|(sum, volume)| sum + share * volume.value());
        }
        if !used {
            continue;
        }
        let paint = &paints.paints()[stock.index];
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
