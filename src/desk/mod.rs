//! The desk: what the page of a layout may ask, and the answers. It knows no addresses and no files, so a server can ask it
//! as well as a browser that runs it.
//!
//! In: a scene and its photos from a [`Keeper`], and the outlines and rubs that the page draws. Out: tones and first mixes at
//! once, and the scene's text with the drawing in it, its comments and order kept.
//!
//! | the page asks about | file |
//! |---|---|
//! | photos: their light, what they show; new ones | `seeing`, `adding` |
//! | rubbing: what is like the rub, and its outline | `rub`, `alike`, `trace` |
//! | tones and mixes while drawing; where each tone is; what one step of a drag leaves for the next | `live`, `map`, `follow` |
//! | regions that may be surfaces | `suggest` |
//! | lists of paints and scatter; a photographed card of swatches | `paints`, `swatches` |
//! | the schedule; a friend's schedule | `schedule`, `friend` |
//! | a dried patch; a wall before and after its wash | `bench`, `washed` |
//! | writing the drawing into the scene's TOML | `edit`, `zones`, `said`, `whole`, `known`, `left_out`, `array` |
//! | saving; what cannot be saved as it is; work not saved; ticks; a layout as one file | `saving`, `held`, `ticks`, `packed` |

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
mod held;
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
mod small_copy;
mod start;
mod suggest;
mod swatches;
mod ticks;
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
#[cfg(test)]
use edit::drawn_anew;
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
