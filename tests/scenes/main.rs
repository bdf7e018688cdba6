//! Tones of drawn scenes: materials, noise, texture, JPEG, a gradient of light, accents, shadows, similar hues, greys.
//!
//! Scenes are drawn by a seeded generator (`drawn.rs`); the rules were set on the scenes of one seed and are judged here
//! on those of another. `cargo test --test scenes -- --nocapture` prints the tables.
#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "tests read their photos, print their tables, and a count of pixels fits"
)]

mod drawn;
#[path = "../bench/every_pixel.rs"]
mod every_pixel;
mod photos;
mod score;
mod units;
mod walls;
