//! The photos of a scene, as bytes.

use crate::files::{FileError, SceneFolder};
use crate::plan::{PhotoBytes, UnreadPhoto};
use crate::problem::{Explain, Place};
use crate::scene::Scene;
use std::borrow::Cow;

/// Most bytes of all photos of a scene together. Our choice: some hundred photos as cameras write them.
const MOST_PHOTO_BYTES: u64 = 2 << 30;

/// Bytes of photos that are kept from the first reading; the others are read again when their turn comes.
const KEPT_BYTES: u64 = 64 << 20;

/// The photos of a scene: those that fit are kept, the others are read when they are wanted.
#[derive(Debug)]
pub struct ScenePhotos {
    folder: SceneFolder,
    all: Vec<OnePhoto>,
    limit: u64,
}

#[derive(Debug)]
struct OnePhoto {
    file: String,
    place: Place,
    kept: Option<Vec<u8>>,
}

impl ScenePhotos {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.all.len()
    }

    /// Reads every photo once, so that all faults of their files are reported at once.
    pub(super) fn read(
        scene: &Scene,
        folder: &SceneFolder,
        limit: u64,
        mut keep: impl FnMut(FileError),
    ) -> Self {
        let (mut room, mut room_to_keep) = (MOST_PHOTO_BYTES, KEPT_BYTES);
        let mut all = Vec::new();
        for photo in &scene.photos {
            let kept = match folder.read(&photo.file, &photo.place, "a photo", limit) {
                Ok(bytes) if bytes.len() as u64 > room => {
                    keep(FileError::TooMuch {
                        place: photo.place.clone(),
                        limit: MOST_PHOTO_BYTES,
                    });
                    break;
                }
                Ok(bytes) => {
                    let size = bytes.len() as u64;
                    room -= size;
                    let fits = size <= room_to_keep;
                    room_to_keep -= if fits { size } else { 0 };
                    fits.then_some(bytes)
                }
                Err(fault) => {
                    keep(fault);
                    None
                }
            };
            all.push(OnePhoto {
                file: photo.file.clone(),
                place: photo.place.clone(),
                kept,
            });
        }
        Self {
            folder: folder.clone(),
            all,
            limit,
        }
    }
}

impl PhotoBytes for ScenePhotos {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto> {
        let unread = |words: String, hint| UnreadPhoto { words, hint };
        let photo = self
            .all
            .get(at)
            .ok_or_else(|| unread("found no photo, expected one".to_owned(), None))?;
        if let Some(kept) = &photo.kept {
            return Ok(Cow::Borrowed(kept));
        }
        let read = self
            .folder
            .read(&photo.file, &photo.place, "a photo", self.limit);
        read.map(Cow::Owned)
            .map_err(|fault| unread(fault.to_string(), fault.hint()))
    }
}
