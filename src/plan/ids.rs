//! Places in the lists of a plan, each with its own type, so that a pot's place cannot be mistaken for a tone's, or
//! for the number on the jar.

/// A surface, in the order of the scene.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SurfaceId(pub(super) usize);

/// A tone of a surface, in the order of that surface's tones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ToneId(pub(super) usize);

/// A pot, in the order in which pots were mixed. The number on the jar is [`super::Pot::number`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PotId(pub(super) usize);

macro_rules! places {
    ($($id:ident),+) => {$(
        impl $id {
            /// The place, from 0.
            #[must_use]
            pub fn place(self) -> usize {
                self.0
            }

            /// The places of a list of this many.
            pub fn all(count: usize) -> impl ExactSizeIterator<Item = Self> + Clone {
                (0..count).map(Self)
            }
        }
    )+};
}
places!(SurfaceId, ToneId, PotId);

impl SurfaceId {
    /// As people count: from 1.
    #[must_use]
    pub fn number(self) -> usize {
        self.0 + 1
    }
}

impl ToneId {
    /// As people count: from 1.
    #[must_use]
    pub fn number(self) -> usize {
        self.0 + 1
    }
}

/// Lets `$id` index a list of `$of`.
macro_rules! found_by {
    ($id:ident in $of:ty) => {
        impl std::ops::Index<$id> for [$of] {
            type Output = $of;
            fn index(&self, at: $id) -> &$of {
                &self[at.place()]
            }
        }
        impl std::ops::Index<$id> for Vec<$of> {
            type Output = $of;
            fn index(&self, at: $id) -> &$of {
                &self[at.place()]
            }
        }
    };
}
pub(super) use found_by;
