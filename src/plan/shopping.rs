//! How much the plan needs of each paint, of primer, varnish and thinner; what is on the shelf, what to buy.

use super::pots::Pots;
use super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use super::steps::StepKind;
use super::{SurfacePlan, dirt, measurable};
use crate::mix::Shelf;
use crate::paint::{Medium, Paint, PaintList};
use crate::units::Millilitres;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing to have ready.
#[derive(Debug, Clone, PartialEq)]
pub struct ShoppingLine {
    /// The paint, or what else it is.
    pub paint: String,
    /// What it is for.
    pub purpose: Purpose,
    /// What the plan takes of it; `None` when an area is unknown.
    pub needed: Option<Millilitres>,
    /// What is on the shelf; `None` when the list does not say.
    pub on_hand: Option<Millilitres>,
    /// What the shelf lacks of it; `None` when either is unknown, nothing when there is enough.
    pub short: Option<Millilitres>,
    /// Whole pots to buy; `None` if it is unknown.
    pub to_buy: Option<u32>,
    /// Their price together, in whatever the list counts in.
    pub price: Option<f64>,
}

/// What a thing on the shopping sheet is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Purpose {
    /// To be mixed.
    Paint,
    /// The ground under the paint.
    Primer,
    /// The coat over it.
    Varnish,
    /// To thin and to clean with.
    Thinner,
}

impl Purpose {
    /// The word on the sheet.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Paint => "paint",
            Self::Primer => "primer",
            Self::Varnish => "varnish",
            Self::Thinner => "thinner",
        }
    }
}

/// Thinner to a volume of paint, to thin with and to clean brushes. Common practice, no source.
const THINNER_TO_PAINT: f64 = 0.5;

/// Adds up the chosen recipe of every pot and all that dirt takes, in list order, then primer, varnish and thinner.
pub(super) fn shopping_list(
    pots: &Pots,
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
            (shelf[*at].index, ml)
        })
    });
    let of_dirt = surfaces
        .iter()
        .flat_map(|surface| dirt::uses(surface, shelf, paints));
    let picked = surfaces.iter().flat_map(|surface| &surface.picked);
    let stirred_in = picked.flat_map(|picked| {
        let paints = picked.addition.paints.iter();
        paints.map(|(at, parts)| (shelf[*at].index, picked.ml_of(*parts)))
    });
    let mut needs: BTreeMap<usize, Option<f64>> = BTreeMap::new();
    for (index, ml) in of_pots.chain(of_dirt).chain(stirred_in) {
        let sum = needs.entry(index).or_insert(Some(0.0));
        *sum = sum.zip(ml).map(|(sum, ml)| sum + ml);
    }
    let mut lines = Vec::new();
    // Thinner by its name; `None` once a volume is unknown.
    let mut thinners: BTreeMap<String, Option<f64>> = BTreeMap::new();
    for (index, needed) in needs {
        let paint = &paints.paints()[index];
        let usual = || {
            paint
                .mixing_family()
                .ok()
                .map(|family| family.usual_thinner().to_owned())
        };
        if let Some(thinner) = paint.thinner.clone().or_else(usual) {
            let sum = thinners.entry(thinner).or_insert(Some(0.0));
            *sum = sum.zip(needed).map(|(sum, ml)| sum + THINNER_TO_PAINT * ml);
        }
        lines.push(line(paint, Purpose::Paint, needed));
    }
    for (purpose, medium) in [
        (Purpose::Primer, Medium::Primer),
        (Purpose::Varnish, Medium::Varnish),
    ] {
        lines.extend(coat_all_over(purpose, medium, surfaces, paints));
    }
    lines.extend(
        thinners
            .into_iter()
            .filter(|(name, _)| name != "water")
            .map(|(name, needed)| ShoppingLine {
                paint: name,
                purpose: Purpose::Thinner,
                needed: volume(needed),
                on_hand: None,
                short: None,
                to_buy: None,
                price: None,
            }),
    );
    lines
}

/// Whole pots for the missing amount, rounded up; `None` where the size of a pot is not known.
fn pots_to_buy(short: f64, pot: Option<f64>) -> Option<u32> {
    if short <= 0.0 {
        return Some(0);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of pots, at most a million"
    )]
    pot.map(|pot| (short / pot).ceil().min(1e6) as u32)
}

fn volume(ml: Option<f64>) -> Option<Millilitres> {
    ml.and_then(|ml| Millilitres::new(ml).ok()).map(measurable)
}

fn line(paint: &Paint, purpose: Purpose, needed: Option<f64>) -> ShoppingLine {
    let short = needed
        .zip(paint.on_hand_ml)
        .map(|(needed, on_hand)| (needed - on_hand).max(0.0));
    let to_buy = short.and_then(|short| pots_to_buy(short, paint.pot_ml));
    ShoppingLine {
        paint: paint.name.clone(),
        purpose,
        needed: volume(needed),
        on_hand: paint.on_hand_ml.and_then(|ml| Millilitres::new(ml).ok()),
        short: volume(short),
        to_buy,
        price: to_buy
            .zip(paint.price)
            .map(|(pots, price)| f64::from(pots) * price),
    }
}

/// One coat over every surface whose steps ask for it: the list's own primer or varnish, or one that the list lacks.
fn coat_all_over(
    purpose: Purpose,
    medium: Medium,
    surfaces: &[SurfacePlan],
    paints: &PaintList,
) -> Option<ShoppingLine> {
    let asked: Vec<&SurfacePlan> = surfaces
        .iter()
        .filter(|surface| {
            surface.steps.iter().any(|step| match step.kind {
                StepKind::Prime { .. } => purpose == Purpose::Primer,
                StepKind::Varnish { .. } => purpose == Purpose::Varnish,
                _ => false,
            })
        })
        .collect();
    if asked.is_empty() {
        return None;
    }
    let needed = asked
        .iter()
        .map(|surface| {
            surface
                .wanted
                .area
                .map(|area| area.value() * ML_PER_CM2_AND_COAT * RESERVE)
        })
        .sum::<Option<f64>>();
    let own = paints
        .paints()
        .iter()
        .find(|paint| paint.medium == Some(medium));
    Some(own.map_or_else(
        || ShoppingLine {
            paint: match purpose {
                Purpose::Primer => "matt mid-grey primer".to_owned(),
                _ => "matt varnish".to_owned(),
            },
            purpose,
            needed: volume(needed),
            on_hand: None,
            short: None,
            to_buy: None,
            price: None,
        },
        |paint| line(paint, purpose, needed),
    ))
}
