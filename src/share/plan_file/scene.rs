//! The scene in `plan.json`.

use super::colours::ColourEntry;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The rule of scale colour and its settings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScaleColourEntry {
    /// air, customary or none.
    pub rule: String,
    /// Visibility: the distance at which a black object just disappears, metres.
    pub visibility_m: f64,
    /// Colour of the air.
    pub air: ColourEntry,
}

/// The scene.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SceneEntry {
    /// Its title.
    pub title: String,
    /// The scale as a ratio, such as "1:87".
    pub scale: String,
    /// The scale as a number: 87.
    pub scale_n: f64,
    /// Distance from eye to model, in words.
    pub view: String,
    /// That distance in millimetres.
    pub view_mm: f64,
    /// The lamps over the layout; "not stated" if the scene does not say.
    #[serde(default)]
    pub lamps: String,
    /// For lamps with a measured spectrum: what each of the 36 bands, 380 to 730 nm every 10 nm, adds to X, Y and Z,
    /// with Y = 1 for white.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lamp_weights: Option<Vec<[f64; 3]>>,
    /// Scale colour.
    pub scale_colour: ScaleColourEntry,
    /// Name of the paint list.
    #[serde(default)]
    pub paints: String,
    /// Name of the scatter list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter: Option<String>,
    /// Date of issue.
    #[serde(default)]
    pub date: String,
}
