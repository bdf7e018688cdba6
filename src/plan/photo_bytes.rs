//! The bytes of a scene's photos, from wherever they are kept.

use std::borrow::Cow;

/// A photo that cannot be had, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnreadPhoto {
    /// What was found and expected.
    pub words: String,
    /// How to mend it.
    pub hint: Option<String>,
}

/// Where photos come from: from memory, or from files that are read when their turn comes.
pub trait PhotoBytes: Sync {
    /// The file of the photo at this place of the scene.
    ///
    /// # Errors
    /// [`UnreadPhoto`].
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto>;
}

impl PhotoBytes for [Vec<u8>] {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto> {
        self.get(at)
            .map(|bytes| Cow::Borrowed(bytes.as_slice()))
            .ok_or_else(|| UnreadPhoto {
                words: "found no photo, expected one".to_owned(),
                hint: None,
            })
    }
}

impl PhotoBytes for Vec<Vec<u8>> {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto> {
        self.as_slice().photo(at)
    }
}

impl<const N: usize> PhotoBytes for [Vec<u8>; N] {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto> {
        self.as_slice().photo(at)
    }
}
