//! Pots as the page prints them.

use crate::mix::{PaintId, Recipe};
use crate::plan::{Plan, Pot};
use crate::report::figures::Swatches;
use crate::report::hand::hand_ml;
use crate::report::words::or_dash;
use crate::report::work::lines::{stirred_words, taken_words};
use crate::units::Millilitres;

/// One pot.
#[derive(Debug)]
pub(in crate::report) struct PotView {
    /// "Pot 3", or "Burnt sienna, from the bottle".
    pub(in crate::report) take: String,
    pub(in crate::report) straight: bool,
    /// Instead of paints: pots or bottles touched together on the palette.
    pub(in crate::report) palette: Option<String>,
    pub(in crate::report) swatches: Option<Swatches>,
    pub(in crate::report) parts: Vec<PartView>,
    pub(in crate::report) volume: String,
    pub(in crate::report) surfaces: String,
}

/// One paint of a pot.
#[derive(Debug)]
pub(in crate::report) struct PartView {
    pub(in crate::report) parts: u32,
    pub(in crate::report) name: String,
    pub(in crate::report) volume: String,
}

impl PotView {
    /// Every mix, and every bottle once: one that is the nearest to several planned colours is still one bottle.
    pub(in crate::report) fn all(plan: &Plan<'_>) -> Vec<Self> {
        let bottle = |pot: &Pot| {
            let recipe = pot.recipe.as_ref().filter(|_| pot.is_straight());
            recipe.map(|recipe| recipe.parts[0].0)
        };
        let mut all: Vec<(Option<PaintId>, Vec<&Pot>)> = Vec::new();
        for pot in &plan.pots {
            let own = bottle(pot);
            match all
                .iter_mut()
                .find(|(other, _)| own.is_some() && *other == own)
            {
                Some((_, pots)) => pots.push(pot),
                None => all.push((own, vec![pot])),
            }
        }
        all.into_iter()
            .map(|(_, pots)| Self::new(&pots, plan))
            .collect()
    }

    /// One mix, or all uses of one bottle.
    fn new(pots: &[&Pot], plan: &Plan<'_>) -> Self {
        let pot = pots[0];
        let jars: Vec<&str> = pots
            .iter()
            .flat_map(|pot| pot.jar.iter().map(String::as_str))
            .collect();
        let volume = pots
            .iter()
            .map(|pot| pot.volume.map(Millilitres::value))
            .sum::<Option<f64>>()
            .and_then(|ml| Millilitres::new(ml).ok());
        let recipe = pot.recipe.as_ref();
        let total = recipe.map_or(0, Recipe::total_parts);
        Self {
            take: taken_words(pot, plan),
            straight: pot.is_straight(),
            palette: plan.on_palette(pot).and_then(|_| stirred_words(pot, plan)),
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
                        name: plan.shelf[*at].name.clone(),
                        volume: or_dash(
                            volume
                                .and_then(|v| {
                                    let part = f64::from(*parts) / f64::from(total);
                                    Millilitres::new(v.value() * part).ok()
                                })
                                .map(hand_ml),
                        ),
                    })
                    .collect()
            }),
            volume: or_dash(volume.map(hand_ml)),
            surfaces: jars.join("; "),
        }
    }
}
