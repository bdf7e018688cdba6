//! The fewest paints that cover a scene, as JSON.

use super::data::lab;
use crate::colour::LabD65;
use crate::mix::{Shelf, Trim};
use crate::plan::Plan;
use crate::share::{MixEntry, rounded};
use serde_json::{Value, json};

/// A colour to be covered.
#[derive(Debug, Clone, PartialEq)]
pub struct TrimTone {
    /// What it is called: its pot.
    pub name: String,
    /// Where it is used.
    pub surfaces: String,
    /// The colour.
    pub colour: LabD65,
}

/// The colours a trimmed list has to cover: the pots of a plan.
#[must_use]
pub fn trim_tones(plan: &Plan<'_>) -> Vec<TrimTone> {
    plan.pots
        .iter()
        .map(|pot| {
            let mut surfaces: Vec<&str> = pot
                .members
                .iter()
                .map(|(s, _)| plan.surfaces[*s].name.as_str())
                .collect();
            surfaces.dedup();
            TrimTone {
                name: format!("pot {}, {}", pot.number, pot.name),
                surfaces: surfaces.join(", "),
                colour: pot.colour,
            }
        })
        .collect()
}

/// The fewest paints of a plan, as a part of its shopping sheet.
#[derive(Debug)]
pub(super) struct FewestView {
    pub(super) lead: String,
    pub(super) paints: Vec<[String; 2]>,
    pub(super) more: Vec<String>,
}

impl FewestView {
    pub(super) fn of(plan: &Plan<'_>) -> Option<Self> {
        let fewest = plan.fewest.as_ref()?;
        let trim = &fewest.trim;
        let name = |at: usize| plan.shelf.stocks()[at].name.clone();
        let numbers = |pots: Vec<usize>| {
            let all: Vec<String> = pots
                .into_iter()
                .map(|pot| plan.pots[pot].number.to_string())
                .collect();
            all.join(", ")
        };
        let mut more = vec![if trim.exact {
            "No smaller set does it: every mix was looked at.".to_owned()
        } else {
            format!(
                "By the mixes looked at, at least {} are needed; on a long list not every mix is.",
                trim.at_least
            )
        }];
        if !trim.beyond.is_empty() {
            more.push(format!(
                "Beyond the whole list: pot {}.",
                numbers(trim.beyond.clone())
            ));
        }
        more.extend(trim.one_more.map(|one| {
            format!(
                "One more would be {}: the pots then lie ΔE00 {:.1} off on average, instead of {:.1}.",
                name(one.stock),
                one.after.0,
                one.before.0
            )
        }));
        Some(Self {
            lead: format!(
                "{} of {} paints bring {} of {} pots within ΔE00 {} on paper; the mixes above may use more. Washes and dirt keep their own paints.",
                trim.paints.len(),
                plan.shelf.stocks().len(),
                plan.pots.len() - trim.beyond.len(),
                plan.pots.len(),
                fewest.within
            ),
            paints: trim
                .paints
                .iter()
                .map(|at| [name(*at), format!("pot {}", numbers(trim.used_for(*at)))])
                .collect(),
            more,
        })
    }
}

/// The same for the data.
pub(super) fn fewest_json(plan: &Plan<'_>) -> Option<Value> {
    let fewest = plan.fewest.as_ref()?;
    let tones = trim_tones(plan);
    let trimmed = Trimmed {
        trim: &fewest.trim,
        tones: &tones,
        shelf: plan.shelf,
        within: fewest.within,
        from: None,
    };
    Some(TrimJson(&trimmed).value())
}

/// A trimmed list with what it was trimmed for.
#[derive(Debug, Clone, Copy)]
pub struct Trimmed<'a> {
    /// The set that was found.
    pub trim: &'a Trim,
    /// The colours, in the order they were asked.
    pub tones: &'a [TrimTone],
    /// The shelf it was chosen from.
    pub shelf: &'a Shelf,
    /// How near every colour was to come.
    pub within: f64,
    /// The list that purchases are chosen from, if they are.
    pub from: Option<&'a str>,
}

/// Answer of `trim`.
#[derive(Debug, Clone, Copy)]
pub struct TrimJson<'a>(pub &'a Trimmed<'a>);

impl TrimJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        let Trimmed {
            trim,
            tones,
            shelf,
            within,
            from,
        } = self.0;
        let name = |at: usize| shelf.stocks()[at].name.clone();
        let paints: Vec<Value> = trim
            .paints
            .iter()
            .map(|at| {
                let used_for: Vec<&str> = trim
                    .used_for(*at)
                    .into_iter()
                    .map(|tone| tones[tone].name.as_str())
                    .collect();
                json!({ "name": name(*at), "to_buy": from.is_some() && trim.added.contains(at), "used_for": used_for })
            })
            .collect();
        let covered: Vec<Value> = tones
            .iter()
            .zip(&trim.recipes)
            .enumerate()
            .map(|(at, (tone, recipe))| {
                json!({
                    "name": tone.name, "surfaces": tone.surfaces, "lab": lab(tone.colour),
                    "hex": tone.colour.to_srgb8(), "within": !trim.beyond.contains(&at),
                    "recipe": recipe.as_ref().map(|recipe| MixEntry::new(recipe, shelf)),
                })
            })
            .collect();
        let mut value = json!({
            "format": "hillwash.trim/1", "within_de": within, "paints": paints, "count": trim.paints.len(),
            "added": trim.added.len(), "at_least": trim.at_least, "exact": trim.exact, "tones": covered,
        });
        if let Some(from) = from {
            value["from"] = json!(from);
        }
        if let Some(one) = trim.one_more {
            value["one_more"] = json!({
                "name": name(one.stock), "mean_de_before": rounded(one.before.0), "mean_de_after": rounded(one.after.0),
            });
        }
        value
    }
}
