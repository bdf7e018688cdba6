//! Photos and their light in `plan.json`.

use super::colours::ColourEntry;
use super::written::ForReaders;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a photo's light was corrected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LightEntry {
    /// What was done about it, in words.
    pub words: String,
    /// How far the photo's colours may be off, CIEDE2000.
    pub target_uncertainty_de: f64,
    /// nothing, estimate, neutral, grey card, no colour or chart.
    pub corrected_by: String,
    /// Figures of the correction.
    #[serde(flatten)]
    #[schemars(with = "LightMore")]
    pub more: ForReaders<LightMore>,
}

/// A photo, without its picture, place, camera and time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhotoEntry {
    /// Its name in the scene.
    pub name: String,
    /// Pixels across, upright.
    pub width: usize,
    /// Pixels down, upright.
    pub height: usize,
    /// Its colour profile.
    pub profile: String,
    /// Distance from camera to subject, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// Whose photo it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub credit: Option<String>,
    /// How its light was corrected.
    pub light: LightEntry,
}

/// More about the correction of a photo's light; what corrected it decides which figures there are.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct LightMore {
    /// An estimate of the light that was offered and not applied.
    pub offered: Option<LightOffered>,
    /// The light as estimated.
    pub light: Option<ColourEntry>,
    /// How strongly the light was tinted, CIEDE2000.
    pub cast_de: Option<f64>,
    /// The factor for all channels.
    pub exposure: Option<f64>,
    /// Difference of a known colour before the correction.
    pub off_de: Option<f64>,
    /// The fit of a chart: linear or root-polynomial.
    pub form: Option<String>,
    /// Mean difference of its patches before.
    pub before_de: Option<f64>,
    /// The error after it.
    pub after_de: Option<f64>,
    /// The error of the patches that were left out of the fit.
    pub left_out_de: Option<f64>,
    /// The error of its greys, before it.
    pub greys_before_de: Option<f64>,
    /// The error of its greys, after it.
    pub greys_after_de: Option<f64>,
    /// How far lightness may be off, CIEDE2000.
    pub lightness_uncertainty_de: f64,
    /// How far hue and chroma may be off, CIEDE2000.
    pub hue_uncertainty_de: f64,
    /// By how many stops the photo was too light, below 0 too dark.
    pub stops_too_light: Option<f64>,
    /// What each known material shows.
    pub witnesses: Option<Vec<WitnessEntry>>,
}

/// A known material as evidence of a photo's light.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WitnessEntry {
    /// Its name.
    pub material: String,
    /// How many spectra were measured.
    pub measured: usize,
    /// False where it contradicts the others.
    pub fits: bool,
    /// By how many stops the photo was too light, according to it.
    pub stops_too_light: f64,
    /// What it is more likely to be.
    pub rather: Option<String>,
    /// True when the region lies partly in sun, partly in shade.
    pub sun_and_shade: bool,
}

/// An estimate of the light.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LightOffered {
    /// Its colour.
    pub light: ColourEntry,
    /// How strongly it is tinted, CIEDE2000.
    pub cast_de: f64,
}
