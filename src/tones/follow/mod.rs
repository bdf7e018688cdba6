//! Tones that are followed while their region moves.

pub(super) mod region;
pub(super) mod sorted_colours;
pub(super) mod tiles;
