//! The fewest paints that cover a scene, as JSON.

use super::data::lab;
use crate::colour::LabD65;
use crate::mix::{Shelf, Trim};
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
