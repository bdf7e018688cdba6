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
pub use plan_file::colours::{
    ColourEntry, LabOnly, MixEntry, MixedColour, MixedParts, PartsEntry, as_typed, in_millionths,
    rounded,
};
pub use plan_file::compared::{
    Comparison, Keeping, KeptPot, OtherPlan, Relation, SettingChange, ShoppingChange,
    SurfaceCompared, ToneCompared,
};
pub use plan_file::dirt::{
    AmbiguityEntry, FilmEntry, GrimeEntry, OneWash, PlaceEntry, PlaceMore, RockEntry,
    RockStepEntry, WashBaseEntry, WashEntry, WashMore,
};
pub use plan_file::hills::{
    AfterPass, BacksceneEntry, BandEntry, CrownShadeEntry, CrownsEntry, EdgeEntry, HazeEntry,
    LayerEntry, LeftOutEntry, MissingEntry, ScatterEntry, SeenLowEntry, SeenShare, StrewnZone,
    WhereEntry,
};
pub use plan_file::photos::{LightEntry, LightMore, LightOffered, PhotoEntry, WitnessEntry};
pub use plan_file::scene::{ScaleColourEntry, SceneEntry};
pub use plan_file::shopping::{
    FewestEntry, FewestFilm, FewestMix, FewestPaint, OneMoreEntry, ScatterLineEntry, ShoppingEntry,
};
pub use plan_file::surfaces::{AsBuiltEntry, SurfaceEntry, SurfaceMore};
pub use plan_file::tones::{
    JoinedEntry, PickEntry, PickMixEntry, ShadeEntry, ToneEntry, ToneMore, UnderLampsEntry,
    VarietyEntry,
};
pub use plan_file::work::{PotEntry, SittingEntry, WorkEntry};
pub use plan_file::written::{ForReaders, without_nulls};
pub use plan_file::{PlanFile, PlanMore};
pub use read::{MOST_BYTES, looks_received, read_plan};
pub use rebuild::{Received, received};
pub use schema::plan_schema;
pub use travels::{ListedNames, Travelling, what_travels};
