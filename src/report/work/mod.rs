//! The order of work, the evening, cards of craft, what was built.

pub(super) mod as_built;
pub(super) mod craft;
pub(super) mod lines;
pub(super) mod steps;
pub(super) mod tonight;
