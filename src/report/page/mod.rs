//! The page as a whole, and its sheets.

pub(super) mod cover;
pub(super) mod schedule;
pub(super) mod sheet;
pub(super) mod tight;
pub(super) mod view;
