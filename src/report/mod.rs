//! What users see of a plan: the schedule page and the open data files.
//!
//! In: a [`crate::plan::Plan`]. Out: bytes. Words and rounded numbers are made once, in [`View`]; templates only
//! print. It writes no files.

mod card;
mod compared;
mod csv_file;
mod csv_row;
mod data;
mod dirt;
mod doubts;
mod figures;
mod hand;
mod hills;
mod lamps;
mod outputs;
mod page;
mod palette_files;
mod plan_data;
mod pots;
mod shopping;
mod tones;
mod words;
mod work;

pub use card::{card_doubts, card_photo_svg, card_svg};
pub use csv_file::schedule_csv;
pub use data::{LookJson, LookedAt, MixJson, OverJson, TryJson, card_json, check_json, reach_json};
pub use dirt::words::{blend_words, technique_words};
pub use doubts::{note_hint, note_text};
pub use figures::{reach_html, reach_svg};
pub use hills::words::{amount_text, grain_word};
pub use lamps::{SteadyJson, shift_text};
pub use outputs::{OUTPUTS, outputs};
pub use page::schedule::{schedule_html, schedule_script_hash, with_solver};
pub use page::view::View;
pub use palette_files::{design_tokens, palette_svg};
pub use plan_data::plan_file;
pub use shopping::fewest::{
    TrimJson, Trimmed, beyond_words, bound_words, counted_words, job_words, used_for_words,
};
pub use tones::variety::{picked_text, variety_text};
pub use tones::words::{shade_text, step_taken_text};
pub use words::mix_words;
pub use work::lines::{
    Craft, WorkLine, WorkPlace, pots_words, shortages, sitting_words, stirred_words, taken_words,
    wait_words, work_lines,
};
pub use work::steps::step_text;

/// Why a report could not be made.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// A template failed.
    #[error("the page could not be made: {0}")]
    Template(#[from] askama::Error),
    /// The data failed.
    #[error("the data could not be written: {0}")]
    Data(#[from] serde_json::Error),
    /// The table failed.
    #[error("the table could not be made: {0}")]
    Table(String),
}

impl crate::problem::Explain for ReportError {}

/// The style of all pages.
const STYLE: &str = concat!(
    include_str!("../../report-templates/style.css"),
    include_str!("../../report-templates/cards.css")
);
