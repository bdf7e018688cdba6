//! A file that opens a page: it sends a browser to an address that must not appear in a list of processes.

use super::disk;
use super::error::FileError;
use crate::problem::Place;
use std::io::Write;
use std::path::{Path, PathBuf};

/// A file that only its owner can read; it goes when this does.
#[derive(Debug)]
pub struct OwnersFile(tempfile::NamedTempFile);

impl OwnersFile {
    /// Writes it into `folder`, where browsers that may not read the folders of temporary files can read it, or else into
    /// the folder of temporary files. `address` must hold nothing that HTML reads as its own.
    ///
    /// # Errors
    /// The system's error.
    pub fn to(address: &str, folder: &Path) -> Result<Self, FileError> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(disk::PART.0).suffix(disk::OPENING);
        // Without permissions of its own a temporary file is for its owner alone.
        let file = builder.tempfile_in(folder).or_else(|_| builder.tempfile());
        let written = file.and_then(|mut file| {
            let _ = file.as_file().lock();
            writeln!(
                file,
                "<!DOCTYPE html><meta charset=\"utf-8\"><title>hillwash</title>\
                 <meta name=\"referrer\" content=\"no-referrer\">\
                 <meta http-equiv=\"refresh\" content=\"0; url={address}\">"
            )?;
            file.flush()?;
            Ok(file)
        });
        written.map(Self).map_err(|cause| FileError::System {
            place: Place::default(),
            doing: "write into",
            path: folder.to_owned(),
            cause,
        })
    }

    /// Where it is, in full.
    #[must_use]
    pub fn path(&self) -> PathBuf {
        let path = self.0.path();
        std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
    }
}
