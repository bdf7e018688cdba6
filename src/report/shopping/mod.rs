//! What to buy, and the fewest paints that are enough.

pub(super) mod fewest;
pub(super) mod view;
