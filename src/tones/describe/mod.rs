//! What is said of tones: their part, what shades what, how units differ, and where each is.

pub(super) mod described;
pub(super) mod map;
pub(super) mod roles;
pub(super) mod shade;
pub(super) mod side_by_side;
pub(super) mod variety;
pub(super) mod whereabouts;
