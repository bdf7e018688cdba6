//! Two plans compared with each other, in `plan.json`.

use super::colours::{ColourEntry, MixEntry};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the other plan of a comparison is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// Another builder's plan of the same colours, solved for other paints.
    AnotherBuilder,
    /// An earlier plan of the same scene.
    Earlier,
}

/// Two plans compared with each other: another builder's and one's own, or an older and a newer one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Comparison {
    /// What the other plan is.
    pub relation: Relation,
    /// The other plan.
    pub with: OtherPlan,
    /// Settings that differ.
    pub settings: Vec<SettingChange>,
    /// Surfaces that both have.
    pub surfaces: Vec<SurfaceCompared>,
    /// Surfaces that only the other has.
    pub only_theirs: Vec<String>,
    /// Surfaces that only this one has.
    pub only_ours: Vec<String>,
    /// Each pot of the other plan: whether you may keep it for this plan.
    #[serde(default)]
    pub pots: Vec<KeptPot>,
    /// Paints that this plan needs more of, less of, or no longer.
    pub shopping: Vec<ShoppingChange>,
}

/// Whether you may keep a pot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Keeping {
    /// It serves all it served.
    Keep,
    /// It serves some of that.
    KeepForSome,
    /// It serves none of that now.
    MixAnew,
    /// Nothing needs it now.
    NotNeeded,
}

/// A pot of the other plan, compared with this one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct KeptPot {
    /// Its number there.
    pub pot: usize,
    /// Its name there.
    pub name: String,
    /// True for a bottle used as it is.
    #[serde(default)]
    pub straight: bool,
    /// Whether you may keep it.
    pub keeping: Keeping,
    /// Surfaces that it still serves.
    pub serves: Vec<String>,
    /// Surfaces that it served and no longer does.
    pub no_longer: Vec<String>,
    /// How far it would miss the planned colour now, at worst, CIEDE2000; absent if nothing needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_de: Option<f64>,
}

/// The plan that is compared with this one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OtherPlan {
    /// Its title.
    pub title: String,
    /// Its date of issue.
    pub date: String,
    /// Its paint list.
    pub paints: String,
}

/// A setting that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SettingChange {
    /// Which.
    pub what: String,
    /// In the other plan.
    pub theirs: String,
    /// In this one.
    pub ours: String,
}

/// A surface of both plans.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SurfaceCompared {
    /// Its name.
    pub name: String,
    /// Its tones, paired by their photographed and planned colours.
    pub tones: Vec<ToneCompared>,
    /// Difference of the two mixes, averaged by share, CIEDE2000; absent if no tone has two mixes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixes_de: Option<f64>,
    /// The largest such difference of a tone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_de: Option<f64>,
    /// Two in three pairs of real pots should be within this of that difference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty_de: Option<f64>,
    /// Expected difference of the two washes, on flats and in recesses, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub washes_de: Option<[f64; 2]>,
}

/// A tone of both plans, or of one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToneCompared {
    /// Name of its colour.
    pub name: String,
    /// Its share, in this plan if it has the tone.
    pub share: f64,
    /// Planned in the other plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_theirs: Option<ColourEntry>,
    /// Planned in this one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_ours: Option<ColourEntry>,
    /// Difference of the planned colours, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_de: Option<f64>,
    /// The other plan's mix.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_theirs: Option<MixEntry>,
    /// This plan's mix.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_ours: Option<MixEntry>,
    /// Expected difference of the two mixes, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixes_de: Option<f64>,
    /// Two in three pairs of real pots should be within this of that difference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty_de: Option<f64>,
    /// A mix of this plan that is clearly nearer to the other plan's mix than the first one is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearer: Option<MixEntry>,
    /// Expected difference of that mix from the other plan's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearer_de: Option<f64>,
}

/// A paint that this plan needs more of, less of, or no longer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShoppingChange {
    /// The paint.
    pub paint: String,
    /// Needed in the other plan, millilitres; absent if it is not used or not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub theirs_ml: Option<f64>,
    /// Needed in this one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ours_ml: Option<f64>,
}
