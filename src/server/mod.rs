//! The server of the layout's page, for this machine only. It passes the page's questions to the desk, and keeps the
//! layout's files in their folder.
//!
//! It knows nothing of the terminal; its caller shows the user the address.
//!
//! Safety: bound to 127.0.0.1 at a random port; an address opens the page once and gives a cookie; every other request
//! needs that cookie, the token in its path, both made new at each start, and the right `Host`; nothing from another page
//! is answered; photos are found by their names in the scene, never by a path.

mod answers;
mod error;
mod folder;
mod gate;
mod guests;
mod pages;
mod serving;
mod shared;

pub use error::ServeError;
pub use folder::OpenedFolder;
pub use serving::{Ended, Served};
