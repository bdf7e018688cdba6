//! The desk: what the page of a layout may ask, and the answers. Values in, values out: it knows of no address and of no
//! file, so that a server can ask it, or anything else that speaks for a page.
//!
//! In: a scene and its photos from a [`Keeper`], outlines and what is rubbed, as the page draws them. Out: tones and first
//! mixes at once, and the scene's text with what was drawn in it, its comments and order kept.

mod adding;
mod alike;
mod array;
mod asking;
mod bench;
#[expect(
    clippy::module_inception,
    reason = "the desk itself; the other files are what it can do"
)]
mod desk;
mod drawing;
mod edit;
mod follow;
mod friend;
mod gallery;
mod keeper;
mod known;
mod lane;
mod left_out;
mod live;
mod loupe;
mod map;
mod packed;
mod paints;
mod refused;
mod rub;
mod said;
mod saving;
mod schedule;
mod seeing;
mod seen;
mod start;
mod suggest;
mod swatches;
mod trace;
mod washed;
mod whole;
mod zones;

pub use alike::{Rubbed, Stroke, rubbed};
pub use asking::{ASKED, Answer, GIVEN, HTML, Question, Reply, SHOWN};
pub use bench::{AskDabs, AskPatch};
pub use desk::{Desk, Settings};
pub use drawing::{
    Drawing, DrawnHole, DrawnKnown, DrawnLight, DrawnLike, DrawnNeutral, DrawnPart, DrawnPhoto,
    DrawnSurface, DrawnZone, Point, ZoneKind,
};
pub use edit::{EditError, drawn_into};
pub use friend::solved_again;
pub use keeper::{FileKind, Keeper, NotKept};
pub use lane::{QuestionKind, QuestionLane};
pub use live::{AskPieces, AskRecipes, AskTones};
pub use packed::{PackedError, inside_name, pack, unpack};
pub use paints::{AskList, AskPaints};
pub use refused::Refused;
pub use rub::AskRub;
pub use said::Said;
pub use saving::{AskKeep, AskSave, Draft};
pub use schedule::AskSchedule;
pub use seeing::{AskColour, AskCut, AskLight};
pub use start::{NewScene, SCENE, STARTER, STARTER_PAINTS};
pub use suggest::{Suggestion, suggestions};
pub use swatches::AskCard;
pub use washed::AskWashed;
