//! How colours are counted: from afar in blocks, from near place by place.

pub(super) mod afar;
pub(super) mod grid;
pub(super) mod histogram;
pub(super) mod near;
pub(super) mod places;
pub(super) mod points;
pub(super) mod quiet;
pub(super) mod thin;
