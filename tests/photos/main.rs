//! Photos read right: one picture in many awkward files, and charts with known patches.
//!
//! The files and where they are from: `data/README.md`.
#![expect(
    clippy::disallowed_methods,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test reads its own data, counts small pictures, prints its figures and fails by panicking"
)]

mod awkward;
mod charts;
mod estimate;
mod lamps;

use hillwash::photo::{Limits, PhotoError, PhotoWarning, Picture, decode};
use hillwash::problem::Noted;
use std::path::Path;

fn bytes(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/photos/data")
        .join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn read(name: &str) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
    decode(&bytes(name), &Limits::default())
}
