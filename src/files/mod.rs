//! Files: the only place that reads and writes them.
//!
//! In: paths. Out: bytes, or outputs written whole or not at all. It does not know what the bytes mean, except for
//! the mark of an output that this program may replace.

mod cache;
mod disk;
mod error;
#[cfg(test)]
mod faults_test;
mod log;
mod nearest;
mod opening;
mod output;
mod source;
mod turn;

pub use cache::CacheFolder;
pub use error::FileError;
pub use log::append_line;
pub use opening::OwnersFile;
pub use output::{
    MayReplace, OutputFolder, ends_in, finish_set, free_to_write, other_names, remove_file,
    replace_file, stays_inside, sweep, write_file, write_new,
};
/// Most bytes of a list, a scene, a spectrum, a log. Our choice: far beyond a layout's need.
pub const MOST_TEXT: u64 = 8 << 20;
/// Most bytes of a scene: read as TOML, some 170 bytes of memory stand for each of them at worst (measured), so that it
/// stays within a gigabyte.
pub const MOST_SCENE: u64 = 2 << 20;

pub use source::{SceneFolder, file_names, read_file};
