//! Washes, rock schemes and places: words, data, table, pictures.

pub(super) mod before_after;
pub(super) mod csv;
pub(super) mod data;
pub(super) mod view;
pub(super) mod words;
