//! What to have ready and to buy, and the fewest paints, in `plan.json`.

use super::colours::MixEntry;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A paint to have ready.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShoppingEntry {
    /// The paint.
    pub paint: String,
    /// What it is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<String>,
    /// How much of it the pots take, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_ml: Option<f64>,
    /// What is on the shelf, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_hand_ml: Option<f64>,
    /// How much of it is missing, millilitres; 0 if there is enough, absent if that is unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_ml: Option<f64>,
    /// Whole pots to buy.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pots_to_buy: Option<u32>,
    /// Their price together, in the list's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

/// One kind of scatter to have ready.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScatterLineEntry {
    /// The kind, as the scatter list names it.
    pub scatter: String,
    /// How much of it the blends take, grams.
    pub needed_g: Option<f64>,
    /// What is on the shelf.
    pub on_hand_g: Option<f64>,
    /// What to buy.
    pub to_buy_g: Option<f64>,
    /// How much is missing.
    pub short_g: Option<f64>,
}

/// The fewest paints for a scene.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FewestEntry {
    /// "hillwash.trim/1".
    pub format: String,
    /// The limit for every mix, CIEDE2000.
    pub within_de: f64,
    /// The paints.
    pub paints: Vec<FewestPaint>,
    /// How many they are.
    pub count: usize,
    /// How many of them to buy.
    pub added: usize,
    /// At least this many are needed.
    pub at_least: usize,
    /// Whether that was proved.
    pub exact: bool,
    /// The mixes that they must make.
    pub tones: Vec<FewestMix>,
    /// The films that they must make.
    pub films: Vec<FewestFilm>,
    /// Paints that are also needed, but not for mixing.
    pub kept_apart: Vec<String>,
    /// The list to choose purchases from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// What one paint more would gain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub one_more: Option<OneMoreEntry>,
}

/// A paint of the fewest.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FewestPaint {
    /// Its name.
    pub name: String,
    /// Whether to buy it.
    pub to_buy: bool,
    /// What it is for.
    pub used_for: Vec<String>,
}

/// A mix that the fewest paints are to make.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FewestMix {
    /// What it is.
    pub name: String,
    /// Where it is.
    pub surfaces: String,
    /// The colour wanted: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    pub hex: String,
    /// Whether it comes near enough.
    pub within: bool,
    /// How it is mixed.
    pub recipe: Option<MixEntry>,
}

/// A film that the fewest paints are to make.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FewestFilm {
    /// What it is.
    pub name: String,
    /// Where it is.
    pub surfaces: String,
    /// The colour wanted: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    pub hex: String,
    /// Whether it comes near enough.
    pub within: bool,
    /// The paints it is mixed from.
    pub paints: Option<Vec<String>>,
    /// How far it is off, CIEDE2000.
    pub de2000: Option<f64>,
}

/// What one paint more would gain.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneMoreEntry {
    /// The paint.
    pub name: String,
    /// Mean difference without it, CIEDE2000.
    pub mean_de_before: f64,
    /// Mean difference with it.
    pub mean_de_after: f64,
}
