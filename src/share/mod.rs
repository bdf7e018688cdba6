//! Plans that travel: the types of `plan.json`, received plans, and two plans compared with each other.
//!
//! In: a [`crate::plan::Plan`], or the bytes of a schedule or `plan.json` that somebody else issued. Out: a
//! [`PlanFile`], and from it a layout whose tones are known ([`crate::plan::Toned`]), ready to be mixed from other
//! paints, without photos and with the planned colours. It does not trust what it receives: it checks size, depth,
//! kinds and ranges. It opens no files and knows nothing of pages.

mod compare;
mod error;
mod kept;
mod pairs;
mod plan_file;
mod read;
mod rebuild;
mod schema;
mod travels;

pub use compare::{compare, surface_words};
pub use error::ReceivedError;
pub use plan_file::{
    BandEntry, ColourEntry, Comparison, Keeping, KeptPot, LightEntry, MixEntry, OtherPlan,
    PartsEntry, PhotoEntry, PickEntry, PickMixEntry, PlaceEntry, PlanFile, PotEntry, Relation,
    ScaleColourEntry, SceneEntry, SettingChange, ShadeEntry, ShoppingChange, ShoppingEntry,
    SittingEntry, SurfaceCompared, SurfaceEntry, ToneCompared, ToneEntry, VarietyEntry,
    WashBaseEntry, WashEntry, WorkEntry, as_typed, in_millionths, rounded,
};
pub use read::{MOST_BYTES, looks_received, read_plan};
pub use rebuild::{Received, received};
pub use schema::plan_schema;
pub use travels::{ListedNames, Travelling, what_travels};
