//! The drawing page: a server for this machine alone, that shows photos, takes outlines, tells their tones at once, and
//! writes them into the scene file.
//!
//! In: a scene file, or a folder of photos. Out: the scene file with regions drawn, its comments and order kept. It
//! refuses to know of the terminal; whoever starts it tells the user the address.
//!
//! Safety: bound to 127.0.0.1 at a random port; an address opens the page once and gives a cookie; every other request
//! needs that cookie, the token in its path, both made anew at each start, and the right `Host`; nothing from another page is answered; photos are found by their names in the scene, never by a path.

mod array;
mod desk;
mod drawing;
mod edit;
mod follow;
mod gallery;
mod gate;
mod guests;
mod live;
mod pages;
mod server;
mod start;
mod suggest;
mod trace;
mod zones;

pub use desk::Settings;
pub use drawing::{
    Drawing, DrawnHole, DrawnKnown, DrawnLight, DrawnLike, DrawnNeutral, DrawnPart, DrawnPhoto,
    DrawnSurface, DrawnZone, Point, ZoneKind,
};
pub use edit::{EditError, drawn_into};
pub use server::{Ended, Mark, MarkError};
pub use suggest::{Suggestion, suggestions};
