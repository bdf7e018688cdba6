//! How counted colours are grouped: by their peaks, or by k-means.

pub(super) mod borders;
pub(super) mod cells;
pub(super) mod k_means;
pub(super) mod move_across;
pub(super) mod peaks;
pub(super) mod rounds;
