//! Pots and the order of work in `plan.json`.

use super::colours::PartsEntry;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A pot to mix.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PotEntry {
    /// "Pot 3, Yard wall, body and 2 more".
    pub name: String,
    /// ISCC–NBS name of its colour.
    #[serde(default)]
    pub colour_name: String,
    /// Number on the jar.
    pub number: usize,
    /// True for a single paint straight from its bottle.
    #[serde(default)]
    pub straight: bool,
    /// The wanted colour: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    #[serde(default)]
    pub hex: String,
    /// The paints to stir; empty if nothing on the list mixes.
    pub paints: Vec<PartsEntry>,
    /// How much, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ml: Option<f64>,
    /// What it is for.
    #[serde(default)]
    pub surfaces: Vec<String>,
}

/// One line of the order of work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WorkEntry {
    /// The kind of work: clean, prime, try, first-colours, second-colours, washes, stains, dabs, seal-before-powder,
    /// powder, seal-after-powder, dry-brush, strew, tidy or varnish.
    pub stage: String,
    /// Number of its pot, if it takes one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
    /// The surfaces to do it on.
    pub surfaces: Vec<String>,
    /// What to do, in words.
    pub words: String,
}

/// Work that can be done in one go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SittingEntry {
    /// Its name in words.
    pub name: String,
    /// What to wait for first, in words; absent if nothing must dry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wait: Option<String>,
    /// What to do, in order.
    pub steps: Vec<WorkEntry>,
    /// Its dangers, in words.
    #[serde(default)]
    pub cautions: Vec<String>,
}
