//! Pots, and what is brushed from them.

pub(super) mod brushed;
pub(super) mod view;
