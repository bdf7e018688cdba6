//! A paint's place on a shelf, as its own type: it cannot be mistaken for a place in the list, which also has paints
//! that do not mix, or for one among the few paints that a search looks at.

use super::{Shelf, Stock};
use serde::{Deserialize, Serialize};

/// A paint of a [`Shelf`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PaintId(usize);

impl PaintId {
    /// A paint that is on no shelf: a pot that is stirred already, a colour on trial.
    pub(super) const NONE: Self = Self(usize::MAX);

    pub(super) fn at(place: usize) -> Self {
        Self(place)
    }

    /// Its place in [`Shelf::stocks`], from 0.
    #[must_use]
    pub fn place(self) -> usize {
        self.0
    }
}

impl Shelf {
    /// The paints, in the order of [`Shelf::stocks`].
    pub fn paints(&self) -> impl ExactSizeIterator<Item = PaintId> + Clone + use<> {
        (0..self.stocks.len()).map(PaintId)
    }

    /// The first paint of which this is true.
    #[must_use]
    pub fn find(&self, is_it: impl FnMut(&Stock) -> bool) -> Option<PaintId> {
        self.stocks.iter().position(is_it).map(PaintId)
    }

    /// A paint, where the shelf has it: a [`PaintId`] that was kept may be of another shelf.
    #[must_use]
    pub fn get(&self, paint: PaintId) -> Option<&Stock> {
        self.stocks.get(paint.0)
    }
}

impl std::ops::Index<PaintId> for Shelf {
    type Output = Stock;

    fn index(&self, paint: PaintId) -> &Stock {
        &self.stocks[paint.0]
    }
}
