//! The order of work, the evening, craft notes, the log as built.

pub(super) mod as_built;
pub(super) mod craft;
pub(super) mod lines;
pub(super) mod steps;
pub(super) mod tonight;
