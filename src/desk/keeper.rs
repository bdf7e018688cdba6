//! Where a layout's files are kept. The desk asks for a name and gets bytes; the keeper alone knows whether they lie
//! in a folder or in a browser's storage.

use crate::plan::AnswerStore;
use crate::problem::{Explain, Place};
use std::fmt;

/// The kind of a file, which decides how large it may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A photo.
    Photo,
    /// A paint list.
    Paints,
    /// A scatter list.
    Scatter,
    /// A spectrum, of a paint or a lamp.
    Spectrum,
    /// The log of dried patches.
    Patches,
    /// The ticks of schedules.
    Ticks,
}

impl FileKind {
    /// "a photo".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Photo => "a photo",
            Self::Paints => "a paint list",
            Self::Scatter => "a scatter list",
            Self::Spectrum => "a spectrum",
            Self::Patches => "a patch log",
            Self::Ticks => "ticks of schedules",
        }
    }
}

/// Why something is not written.
#[derive(Debug)]
pub enum NotKept {
    /// What is there is not what was read.
    Changed,
    /// Anything else.
    Other(Box<dyn Explain>),
}

/// Keeps the files of one layout.
pub trait Keeper: fmt::Debug + Send + Sync {
    /// The scene's text; `None` where there is no scene yet.
    ///
    /// # Errors
    /// Why it cannot be read.
    fn scene(&self) -> Result<Option<Vec<u8>>, Box<dyn Explain>>;

    /// Writes the scene whole, if it is still as it was read; `None` where there was none.
    ///
    /// # Errors
    /// [`NotKept`]; what was there is there still.
    fn write_scene(&self, before: Option<&[u8]>, text: &[u8]) -> Result<(), NotKept>;

    /// A file that the scene names at `place`.
    ///
    /// # Errors
    /// Why it cannot be read.
    fn read(&self, name: &str, place: &Place, kind: FileKind) -> Result<Vec<u8>, Box<dyn Explain>>;

    /// Whether there is a file of this name beside the scene.
    fn has(&self, name: &str) -> bool;

    /// Writes a file beside the scene, if it is still as it was read; `None` where there was none.
    ///
    /// # Errors
    /// [`NotKept`]; what was there is there still.
    fn write(&self, name: &str, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), NotKept>;

    /// Adds a line to a log beside the scene, whole or not at all; a last line that was cut short goes into `aside`, where
    /// one is named.
    ///
    /// # Errors
    /// [`NotKept`].
    fn append(&self, name: &str, line: &str, aside: Option<&str>) -> Result<(), NotKept>;

    /// What was drawn and not saved when the page was left; `None` where everything was.
    fn draft(&self) -> Option<Vec<u8>>;

    /// Keeps the unsaved drawing, or discards it.
    ///
    /// # Errors
    /// Why it cannot be kept.
    fn keep_draft(&self, draft: Option<&[u8]>) -> Result<(), NotKept>;

    /// Where answers are kept from one schedule to the next, and from one run to the next; `None` where none are.
    fn answers(&self) -> Option<&dyn AnswerStore> {
        None
    }
}
