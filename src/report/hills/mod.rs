//! Hillsides and scatter: words, data, table, plans of patches.

pub(super) mod csv;
pub(super) mod data;
pub(super) mod patch_plan;
pub(super) mod view;
pub(super) mod words;
