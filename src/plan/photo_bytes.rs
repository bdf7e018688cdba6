//! The bytes of a scene's photos, wherever they are kept.

use std::borrow::Cow;

/// A photo that cannot be had, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
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
    /// [`Unread`].
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, Unread>;
}

impl PhotoBytes for [Vec<u8>] {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, Unread> {
        self.get(at)
            .map(|bytes| Cow::Borrowed(bytes.as_slice()))
            .ok_or_else(|| Unread {
                words: "found no photo, expected one".to_owned(),
                hint: None,
            })
    }
}

impl PhotoBytes for Vec<Vec<u8>> {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, Unread> {
        self.as_slice().photo(at)
    }
}

impl<const N: usize> PhotoBytes for [Vec<u8>; N] {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, Unread> {
        self.as_slice().photo(at)
    }
}
