//! Surfaces in `plan.json`, with their dried patches.

use super::colours::{LabOnly, MixedParts};
use super::dirt::{PlaceEntry, RockEntry, WashEntry};
use super::hills::{BacksceneEntry, BandEntry, HazeEntry, ScatterEntry};
use super::tones::{ToneEntry, VarietyEntry};
use super::written::ForReaders;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SurfaceEntry {
    /// Its name.
    pub name: String,
    /// coat, rock, scatter or wash.
    pub treatment: String,
    /// Area on the model, square centimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_cm2: Option<f64>,
    /// Coats of paint.
    #[serde(default = "one")]
    pub coats: u32,
    /// Distance from camera to subject, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// How varied it is: mean CIEDE2000 of its pixels from their tones.
    #[serde(default)]
    pub spread_de: f64,
    /// How the units of its body differ, bricks or boards, where they do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub variety: Option<VarietyEntry>,
    /// Its tones, the largest share first.
    pub tones: Vec<ToneEntry>,
    /// Its bands, from the front edge to the backscene.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bands: Vec<BandEntry>,
    /// Width of the crowns of its trees or bushes, metres, if the scene gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crown_m: Option<f64>,
    /// What kind of land it is, if it is strewn and the scene says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub land: Option<String>,
    /// Materials of scatter that are allowed as well as those of its land.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub allow: Vec<String>,
    /// The wash over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wash: Option<WashEntry>,
    /// Where dirt gathers on it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<PlaceEntry>,
    /// Order of work, in words.
    #[serde(default)]
    pub steps: Vec<String>,
    /// Cautions, in words.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Whatever else is planned for it.
    #[serde(flatten)]
    #[schemars(with = "SurfaceMore")]
    pub more: ForReaders<SurfaceMore>,
}

fn one() -> u32 {
    1
}

/// More about a surface.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct SurfaceMore {
    /// The haze of its photo, as its bands show it.
    pub haze: Option<HazeEntry>,
    /// The join of its farthest band and a painted backscene.
    pub backscene: Option<BacksceneEntry>,
    /// What is strewn on it.
    pub scatter: Option<ScatterEntry>,
    /// Its rock scheme.
    pub rock: Option<RockEntry>,
    /// Its dried and logged patches.
    pub as_built: Option<Vec<AsBuiltEntry>>,
}

/// A dried patch, as logged.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AsBuiltEntry {
    /// When it was photographed or entered.
    pub date: String,
    /// The name of its tone.
    pub tone: String,
    /// What was in the pot.
    pub paints: Vec<MixedParts>,
    /// The colour planned.
    pub planned: LabOnly,
    /// The colour it dried to.
    pub seen: LabOnly,
    /// Their difference, CIEDE2000.
    pub de2000: f64,
    /// How far the dried colour may be off.
    pub uncertainty_de: f64,
    /// The verdict in words.
    pub verdict: String,
    /// What it was compared with in the photo.
    pub beside: Option<String>,
    /// True when the patch cannot be of that pot.
    pub doubtful: bool,
}
