//! What can go wrong with a file.

use super::nearest::nearest_path;
use crate::problem::{Explain, Place};
use std::io;
use std::path::{Path, PathBuf};

/// A file that cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// Nothing there.
    #[error("found no file at \"{}\", expected {expected}", .path.display())]
    Missing {
        /// Where it is named, or the path itself.
        place: Place,
        /// The path.
        path: PathBuf,
        /// What it should be.
        expected: &'static str,
    },
    /// A folder, a pipe, a device.
    #[error("found \"{}\", which is not a plain file, expected {expected}", .path.display())]
    NotAFile {
        /// Where it is named.
        place: Place,
        /// The path.
        path: PathBuf,
        /// What it should be.
        expected: &'static str,
    },
    /// A link that leaves the scene's folder.
    #[error("found \"{}\", which leads out of the scene's folder, expected a file inside it", .path.display())]
    OutsideFolder {
        /// Where it is named.
        place: Place,
        /// The path.
        path: PathBuf,
    },
    /// Larger than what is read.
    #[error("found a file of {found} bytes at \"{}\", expected at most {limit}", .path.display())]
    TooLarge {
        /// Where it is named.
        place: Place,
        /// The path.
        path: PathBuf,
        /// Its size.
        found: u64,
        /// The limit.
        limit: u64,
    },
    /// Photos that are too much together.
    #[error("found photos of more than {limit} bytes together, expected at most that")]
    TooMuch {
        /// The photo that is one too many.
        place: Place,
        /// The limit.
        limit: u64,
    },
    /// An output that is not ours.
    #[error("found \"{}\", which this program did not write, expected a free name or an earlier schedule", .path.display())]
    NotOurs {
        /// The path.
        path: PathBuf,
    },
    /// A file that holds something else than when it was read.
    #[error("found that \"{}\" has changed since it was read, expected it unchanged", .path.display())]
    Changed {
        /// The path.
        path: PathBuf,
    },
    /// The file that is read, where an output would go.
    #[error("found \"{}\" to be both read and written, expected another folder for the schedule", .path.display())]
    OverItsSource {
        /// The path.
        path: PathBuf,
    },
    /// A file where a folder is wanted.
    #[error("found \"{}\", which is not a folder, expected a folder for the schedule", .path.display())]
    NotAFolder {
        /// The path.
        path: PathBuf,
    },
    /// A folder for outputs that is a link to elsewhere.
    #[error("found \"{}\" to be a link that leads to \"{}\", expected a real folder", .path.display(), .to.display())]
    LeadsOut {
        /// The path.
        path: PathBuf,
        /// Where it leads.
        to: PathBuf,
    },
    /// A file to be written over that is a link.
    #[error("found \"{}\" to be a link that leads to \"{}\", expected a plain file", .path.display(), .to.display())]
    Linked {
        /// The path.
        path: PathBuf,
        /// Where it leads.
        to: PathBuf,
    },
    /// A folder that holds something already.
    #[error("found \"{}\" there already, expected a free name or an empty folder", .path.display())]
    Occupied {
        /// The path.
        path: PathBuf,
    },
    /// A new file in a folder that is not there.
    #[error("found no folder \"{}\" to write \"{}\" into, expected one that is there", .folder.display(), .path.display())]
    NoFolder {
        /// The file.
        path: PathBuf,
        /// The folder.
        folder: PathBuf,
    },
    /// A name whose ending means another kind of file.
    #[error("found the name \"{}\", expected one that ends in {expected}", .path.display())]
    OtherKind {
        /// The file.
        path: PathBuf,
        /// ".csv", ".html or .svg".
        expected: &'static str,
    },
    /// Everything else, in the system's words.
    #[error("could not {doing} \"{}\": {cause}", .path.display())]
    System {
        /// Where it is named.
        place: Place,
        /// "read", "write".
        doing: &'static str,
        /// The path.
        path: PathBuf,
        /// The system's words; printed here, hence no `source`.
        cause: io::Error,
    },
}

impl Explain for FileError {
    fn place(&self) -> Place {
        match self {
            Self::Missing { place, .. }
            | Self::NotAFile { place, .. }
            | Self::OutsideFolder { place, .. }
            | Self::TooLarge { place, .. }
            | Self::TooMuch { place, .. }
            | Self::System { place, .. } => place.clone(),
            Self::NotOurs { .. }
            | Self::NotAFolder { .. }
            | Self::LeadsOut { .. }
            | Self::Linked { .. }
            | Self::Occupied { .. }
            | Self::NoFolder { .. }
            | Self::OtherKind { .. }
            | Self::OverItsSource { .. }
            | Self::Changed { .. } => Place::default(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Missing { path, .. } => match nearest_path(path) {
                Some(nearest) => {
                    let last = |path: &Path| {
                        let name = path.file_name().unwrap_or_default();
                        name.to_string_lossy().into_owned()
                    };
                    let folder = nearest.parent().map(last).unwrap_or_default();
                    let same = path.parent().map(last).unwrap_or_default() == folder;
                    let name = last(&nearest);
                    Some(if same {
                        format!(
                            "check the spelling: did you mean \"{name}\"? It lies in the same folder"
                        )
                    } else {
                        format!(
                            "check the spelling: did you mean the folder \"{folder}\", and \"{name}\" in it?"
                        )
                    })
                }
                None => {
                    Some("check the spelling and the folder; upper and lower case count".to_owned())
                }
            },
            Self::OutsideFolder { .. } => {
                Some("copy the file beside the scene, or run again with --allow-outside".to_owned())
            }
            Self::NotOurs { .. } => Some(
                "move it away, choose another folder with --out, or overwrite it with --force"
                    .to_owned(),
            ),
            Self::Occupied { .. } => Some("choose another name".to_owned()),
            Self::NoFolder { .. } => {
                Some("make the folder first, or check its spelling".to_owned())
            }
            Self::OtherKind { expected, .. } => Some(format!(
                "end the name in {expected}: the program writes that format"
            )),
            Self::OverItsSource { .. } | Self::NotAFolder { .. } => {
                Some("choose another folder with --out".to_owned())
            }
            Self::LeadsOut { .. } => Some(
                "if you mean that folder, name it with --out; otherwise remove the link".to_owned(),
            ),
            Self::Linked { .. } => {
                Some("open the file that it leads to, or remove the link".to_owned())
            }
            Self::Changed { .. } => Some("read it again, then repeat the change".to_owned()),
            Self::TooLarge { .. } => Some("save a smaller copy".to_owned()),
            Self::TooMuch { .. } => {
                Some("save smaller copies, or split the layout into several scenes".to_owned())
            }
            Self::NotAFile { path, .. } if path.is_dir() => {
                Some("that is a folder: name one file in it".to_owned())
            }
            Self::NotAFile { .. } => Some("move it away, or give another name".to_owned()),
            Self::System { .. } => None,
        }
    }
}
