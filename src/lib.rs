//! Photographs of real brick, stone, roofs and hillsides in; a colour schedule for a scale layout out.

pub mod colour;
pub mod files;
pub mod mix;
pub mod paint;
pub mod photo;
pub mod plan;
pub mod problem;
pub mod region;
pub mod report;
pub mod scale_colour;
pub mod scene;
pub mod tones;
pub mod units;
