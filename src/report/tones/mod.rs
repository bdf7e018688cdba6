//! Tones: their words, what a sheet says of them, their figures.

pub(super) mod figures;
pub(super) mod variety;
pub(super) mod view;
pub(super) mod words;
