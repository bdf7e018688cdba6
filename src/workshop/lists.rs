//! Lists of paints and scatter, read from files.

use crate::files::{MOST_TEXT, SceneFolder, read_file};
use crate::paint::{ListNote, ListReading, Medium, PaintList, ScatterList};
use crate::problem::{Place, Problems, boxed};
use crate::scene::MayName;
use std::path::Path;

/// How lists are read.
#[derive(Debug, Clone, Copy)]
pub struct Lists {
    /// What the user asked for.
    pub reading: ListReading,
    /// What is done with what was taken how: the list's name, and its notes.
    pub tell: fn(&str, &ListNote),
}

impl Lists {
    /// Takes another medium, if the user asked for none.
    #[must_use]
    pub fn or_medium(mut self, medium: Option<Medium>) -> Self {
        self.reading.medium = self.reading.medium.or(medium);
        self
    }

    fn tell_all(self, file: &str, notes: &[ListNote]) {
        for note in notes {
            (self.tell)(file, note);
        }
    }
}

/// Reads and checks a paint list; spectrum files it names are looked for beside it.
///
/// # Errors
/// A file that cannot be read, or all faults of the list.
pub fn paint_list(path: &Path, lists: Lists) -> Result<PaintList, Problems> {
    let name = path.display().to_string();
    let bytes =
        read_file(path, &Place::default(), "a paint list", MOST_TEXT).map_err(|e| boxed([e]))?;
    // A list that is named by itself is the user's own: what it names may lie anywhere.
    parsed_list(
        &name,
        &bytes,
        &SceneFolder::holding(path, MayName::AnyFolder),
        lists,
    )
}

/// Reads and checks a scatter list.
///
/// # Errors
/// A file that cannot be read, or all faults of the list.
pub fn scatter_list(path: &Path, lists: Lists) -> Result<ScatterList, Problems> {
    let bytes =
        read_file(path, &Place::default(), "a scatter list", MOST_TEXT).map_err(|e| boxed([e]))?;
    parsed_scatter(&path.display().to_string(), &bytes, lists)
}

/// Checks the bytes of a scatter list.
pub(super) fn parsed_scatter(
    name: &str,
    bytes: &[u8],
    lists: Lists,
) -> Result<ScatterList, Problems> {
    let list = ScatterList::parse(name, bytes).map_err(boxed)?;
    lists.tell_all(name, list.notes());
    Ok(list)
}

/// Checks the bytes of a paint list; spectrum files it names are looked for in `folder`.
///
/// # Errors
/// All faults of the list.
pub fn parsed_list(
    name: &str,
    bytes: &[u8],
    folder: &SceneFolder,
    lists: Lists,
) -> Result<PaintList, Problems> {
    let read = |spectrum: &str| {
        folder
            .read(spectrum, &Place::default(), "a spectrum", MOST_TEXT)
            .map_err(|e| e.to_string())
            .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "not UTF-8 text".to_owned()))
    };
    let list = PaintList::read(name, bytes, &read, &lists.reading).map_err(boxed)?;
    lists.tell_all(name, list.notes());
    Ok(list)
}
