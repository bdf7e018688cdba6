//! Files: the only place that reads and writes them.
//!
//! In: paths. Out: bytes, or outputs written whole or not at all. It knows nothing of what the bytes mean, but for the
//! mark that says an output is ours to replace.

mod error;
mod output;
mod source;

pub use error::FileError;
pub use output::{OutputFolder, append_line, free_to_write, replace_file, write_file, write_new};
pub use source::{SceneFolder, file_names, read_file};
