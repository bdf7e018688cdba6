//! What users see of a plan: the schedule page and the open data files.
//!
//! In: a [`crate::plan::Plan`]. Out: bytes. Words and rounded numbers are made once, in [`View`]; templates print, they
//! do not think. It writes no files.

mod as_built;
mod before_after;
mod brush_view;
mod card;
mod compared;
mod cover;
mod craft;
mod csv_file;
mod data;
mod dirt_csv;
mod dirt_data;
mod dirt_view;
mod dirt_words;
mod figures;
mod hand;
mod hill_csv;
mod hill_data;
mod hill_view;
mod hill_words;
mod palette_files;
mod patch_plan;
mod pot_view;
mod schedule;
mod sheet_view;
mod shopping_view;
mod tight;
mod tone_figures;
mod tone_view;
mod tone_words;
mod tonight_view;
mod trim;
mod view;
mod words;
mod work_words;

pub use card::card_svg;
pub use csv_file::schedule_csv;
pub use data::{
    LookJson, LookedAt, MixJson, OverJson, TryJson, card_json, check_json, plan_file, reach_json,
};
pub use dirt_words::{blend_words, technique_words};
pub use figures::{reach_html, reach_svg};
pub use hill_data::SteadyJson;
pub use hill_words::{amount_text, grain_word, shift_text};
pub use palette_files::{design_tokens, palette_svg};
pub use schedule::{ReportError, schedule_html};
pub use tone_words::{shade_text, step_taken_text};
pub use trim::{
    TrimJson, Trimmed, beyond_words, bound_words, counted_words, job_words, used_for_words,
};
pub use view::View;
pub use words::{mix_words, note_hint, note_text, step_text};
pub use work_words::{
    Craft, WorkLine, WorkPlace, pots_words, shortages, sitting_words, taken_words, wait_words,
    work_lines,
};
