//! The scene a builder writes: TOML text in, a checked [`Scene`] or all of its faults out.
//!
//! It reads and checks the whole shape; an unknown key is an error, so that nothing is silently ignored. It opens
//! no files.

mod checked;
mod error;
mod key;
mod keys;
mod known;
mod lamp;
mod read;
mod schema;
mod table;

pub use checked::{
    Band, Lamps, LightWish, Neutral, PhotoPart, PhotoSource, PlaceOnSurface, Scene, ShadeWish,
    Surface, Technique, Treatment, WashBase, WashWish,
};
pub use error::SceneError;
pub(crate) use key::{HeldByKey, ListedKey};
pub(crate) use keys::{
    BandKeys, BaseSurfaceKeys, BetweenKeys, KnownKeys, ModelPhotoKeys, NeutralKeys, PartKeys,
    PhotoKeys, PlaceKeys, ScaleColourKeys, SceneKeys, SurfaceKeys, WashKeys,
};
pub use lamp::{BadLamp, NoLamp};
pub use read::{parse_scene, parse_scene_to_draw};
pub use schema::scene_schema;
pub use table::MayName;
