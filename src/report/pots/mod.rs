//! Pots, and what you brush from them.

pub(super) mod brushed;
pub(super) mod view;
