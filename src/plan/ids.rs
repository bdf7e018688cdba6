//! Places in the lists of a plan, each of a type of its own: a pot's place cannot be taken for a tone's, nor for the number
//! on the jar.

use super::laid::SurfacePlan;
use super::mixed::{MixedSurface, TonePlan};
use super::toned::{TonedSurface, TonedTone};
use std::ops::Index;

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

            /// The places of a list of so many.
            pub fn all(count: usize) -> impl ExactSizeIterator<Item = Self> + Clone {
                (0..count).map(Self)
            }
        }
    )+};
}
places!(SurfaceId, ToneId, PotId);

macro_rules! counted {
    ($($id:ident in $($of:ty),+;)+) => {$(
        impl $id {
            /// As people count: from 1.
            #[must_use]
            pub fn number(self) -> usize {
                self.0 + 1
            }
        }
        $(
            impl Index<$id> for [$of] {
                type Output = $of;
                fn index(&self, at: $id) -> &$of {
                    &self[at.0]
                }
            }
            impl Index<$id> for Vec<$of> {
                type Output = $of;
                fn index(&self, at: $id) -> &$of {
                    &self[at.0]
                }
            }
        )+
    )+};
}
counted! {
    SurfaceId in SurfacePlan, MixedSurface, TonedSurface;
    ToneId in TonePlan, TonedTone;
}
