//! One verb a file; each a few calls into the library.

mod core_file;
pub(crate) mod guide;
mod issue;
pub(crate) mod look;
pub(crate) mod materials;
pub(crate) mod mix;
mod mix_text;
pub(crate) mod new;
pub(crate) mod open;
pub(crate) mod paints;
pub(crate) mod patch;
mod patch_log;
mod patch_photo;
mod patch_text;
mod patch_wash;
pub(crate) mod plan;
mod plan_text;
mod read_card;
mod resolve;
pub(crate) mod schema;
pub(crate) mod shell;
pub(crate) mod site;
mod steady;
pub(crate) mod trim;
