//! Washes, places of dirt and rock schemes in `plan.json`.

use super::colours::{ColourEntry, MixEntry, PartsEntry};
use super::written::ForReaders;
use crate::colour::LabD65;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a wash lies over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WashBaseEntry {
    /// L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    #[serde(default)]
    pub hex: String,
    /// own body, colour, paint or surface.
    pub from: String,
    /// Name of the paint or surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Number of the pot that the base is painted with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
}

impl WashBaseEntry {
    /// The colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// A wash: the wanted colours, and those it should give.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WashEntry {
    /// What it lies over.
    pub base: WashBaseEntry,
    /// Flats in the end.
    pub flat: ColourEntry,
    /// Recesses in the end.
    pub recess: ColourEntry,
    /// Wanted on flats, with the grime dial applied.
    pub flat_wanted: ColourEntry,
    /// Wanted in recesses, with the grime dial applied.
    pub recess_wanted: ColourEntry,
    /// The grime dial, 1 = as photographed.
    pub grime: f64,
    /// Thickness in recesses compared with flats.
    pub pool: f64,
    /// Thickness of the wet film compared with a brushed coat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub film: Option<f64>,
    /// How much recesses count if flats count 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recess_weight: Option<f64>,
    /// Most paints in the wash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_paints: Option<usize>,
    /// Paints, thinning, passes and what else is known of it.
    #[serde(flatten)]
    #[schemars(with = "WashMore")]
    pub more: ForReaders<WashMore>,
}

/// A place where dirt gathers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlaceEntry {
    /// Its name.
    pub name: String,
    /// How to lay the dirt, in the words of a scene.
    pub technique: String,
    /// Its share of the surface.
    pub share: f64,
    /// The colour wanted there.
    pub planned: ColourEntry,
    /// Paints, the predicted colour and what else is known of it.
    #[serde(flatten)]
    #[schemars(with = "PlaceMore")]
    pub more: ForReaders<PlaceMore>,
}

/// A thinned film and its mix.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct FilmEntry {
    /// How to lay it, in the words of a scene.
    pub technique: Option<String>,
    /// The paints to stir.
    pub paints: Option<Vec<PartsEntry>>,
    /// What kind of paint that is.
    pub family: Option<String>,
    /// Parts of thinner to one part of paint.
    pub thin: Option<u32>,
    /// Passes.
    pub passes: Option<u32>,
    /// What it is thinned with.
    pub thinner: Option<String>,
    /// Whether a drop of flow aid helps.
    pub flow_aid: Option<bool>,
    /// How much to make, millilitres; absent where the area is unknown.
    pub batch_ml: Option<f64>,
    /// Amount of each paint, millilitres, in their order.
    pub paints_ml: Option<Vec<f64>>,
    /// Of thinner, millilitres.
    pub thinner_ml: Option<f64>,
    /// Two in three real films should fall within this difference, CIEDE2000.
    pub uncertainty_de: Option<f64>,
    /// All of this in words.
    pub words: Option<String>,
}

/// One of the washes, and the flats and recesses under it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneWash {
    /// How its film is mixed and laid.
    #[serde(flatten)]
    pub film: FilmEntry,
    /// Flats under this wash.
    pub flat: ColourEntry,
    /// Recesses under it.
    pub recess: ColourEntry,
}

/// More about a wash: the mix of its first film, and what is known of all films.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WashMore {
    /// How its film is mixed and laid.
    #[serde(flatten)]
    pub film: FilmEntry,
    /// How far flats are from the wanted colour, CIEDE2000.
    pub flat_de2000: f64,
    /// How far recesses are from theirs.
    pub recess_de2000: f64,
    /// In recesses, two in three real washes should fall within this difference.
    pub recess_uncertainty_de: Option<f64>,
    /// What colours alone cannot decide.
    pub ambiguity: AmbiguityEntry,
    /// All washes in laying order: a filter comes first if one film cannot do both.
    pub washes: Vec<OneWash>,
    /// What is wanted at other settings of the grime dial.
    pub grime_steps: Vec<GrimeEntry>,
}

/// Other mixes that come as near.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AmbiguityEntry {
    /// How many.
    pub other_mixes: usize,
    /// Parts of paint in one part of the weakest.
    pub weakest: f64,
    /// Parts of paint in one part of the strongest.
    pub strongest: f64,
    /// What that means, in words.
    pub words: String,
}

/// One setting of the grime dial.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GrimeEntry {
    /// The setting.
    pub grime: f64,
    /// Wanted on flats there.
    pub flat_wanted: ColourEntry,
    /// Wanted in recesses there.
    pub recess_wanted: ColourEntry,
}

/// More about a place where dirt gathers: what to lay there, and the colour it will have.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct PlaceMore {
    /// How its film is mixed and laid.
    #[serde(flatten)]
    pub film: FilmEntry,
    /// The colour it will have: L*, a*, b*.
    pub lab: Option<[f64; 3]>,
    /// That colour as sRGB.
    pub hex: Option<String>,
    /// How far that is from the wanted colour, CIEDE2000.
    pub de2000: Option<f64>,
}

/// A rock scheme.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RockEntry {
    /// Its steps in order.
    pub steps: Vec<RockStepEntry>,
}

/// One step of a rock scheme.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RockStepEntry {
    /// undercoat, mid tint, dark wash or dry-brushed light.
    pub role: String,
    /// The colour wanted.
    pub planned: ColourEntry,
    /// Its share of the surface.
    pub share: f64,
    /// Mixes for it; none if it is a wash.
    pub recipes: Vec<MixEntry>,
    /// The wash that lays it.
    pub wash: Option<WashEntry>,
}
