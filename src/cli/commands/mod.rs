//! One verb a file; each a few calls into the library.

pub(crate) mod look;
pub(crate) mod mark;
pub(crate) mod mix;
pub(crate) mod new;
pub(crate) mod paints;
pub(crate) mod patch;
pub(crate) mod plan;
mod read_card;
pub(crate) mod shell;
mod steady;
pub(crate) mod trim;
