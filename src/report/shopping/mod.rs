//! What to buy, and the fewest paints that do.

pub(super) mod fewest;
pub(super) mod view;
