//! The shape of `plan.json`, for writing and reading. Its JSON Schema is generated from these types.

pub(super) mod colours;
pub(super) mod compared;
pub(super) mod dirt;
pub(super) mod hills;
pub(super) mod photos;
pub(super) mod scene;
pub(super) mod shopping;
pub(super) mod surfaces;
pub(super) mod tones;
pub(super) mod work;
pub(super) mod written;

use compared::Comparison;
use photos::PhotoEntry;
use scene::SceneEntry;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use shopping::{FewestEntry, ScatterLineEntry, ShoppingEntry};
use surfaces::SurfaceEntry;
use work::{PotEntry, SittingEntry};
use written::ForReaders;

/// The mark of the format.
pub(super) const FORMAT: &str = "hillwash.plan/1";

/// The plan that a schedule carries: all you need to solve it again for other paints, without the photos.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "Plan of a colour schedule, hillwash.plan/1")]
pub struct PlanFile {
    /// "hillwash.plan/1".
    pub format: String,
    /// The scene.
    pub scene: SceneEntry,
    /// The photos of the scene.
    #[serde(default)]
    pub photos: Vec<PhotoEntry>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfaceEntry>,
    /// What to mix.
    #[serde(default)]
    pub pots: Vec<PotEntry>,
    /// One order of work across all surfaces, sitting by sitting; something dries between two sittings.
    #[serde(default)]
    pub order_of_work: Vec<SittingEntry>,
    /// What to have ready.
    #[serde(default)]
    pub shopping: Vec<ShoppingEntry>,
    /// What a reader should know before trusting it, in words.
    #[serde(default)]
    pub notes: Vec<String>,
    /// The units of colours and differences.
    #[serde(default)]
    pub units: String,
    /// This plan compared with another one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compared: Option<Comparison>,
    /// Whatever else is planned.
    #[serde(flatten)]
    #[schemars(with = "PlanMore")]
    pub more: ForReaders<PlanMore>,
}

impl PlanFile {
    /// The plan as JSON text on one line, the format mark first.
    ///
    /// # Errors
    /// The serialiser's error; a plan of finite numbers can always be written.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(self)
    }

    /// The plan as JSON text, indented for people to read.
    ///
    /// # Errors
    /// As [`Self::to_json`].
    pub fn to_readable_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self)
    }
}

/// More about the whole plan.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct PlanMore {
    /// The fewest paints that are enough for it, if the user asked for them.
    pub fewest_paints: Option<FewestEntry>,
    /// Scatter to have ready and to buy.
    pub scatter_shopping: Option<Vec<ScatterLineEntry>>,
}
