//! Reading.

use super::error::FileError;
use crate::problem::Place;
use crate::scene::MayName;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Reads a plain file of at most `limit` bytes.
///
/// # Errors
/// [`FileError`], reported at `place`.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are read"
)]
pub fn read_file(
    path: &Path,
    place: &Place,
    expected: &'static str,
    limit: u64,
) -> Result<Vec<u8>, FileError> {
    let system = |cause: io::Error| {
        if cause.kind() == io::ErrorKind::NotFound {
            FileError::Missing {
                place: place.clone(),
                path: path.to_owned(),
                expected,
            }
        } else {
            FileError::System {
                place: place.clone(),
                doing: "read",
                path: path.to_owned(),
                cause,
            }
        }
    };
    let about = fs::metadata(path).map_err(system)?;
    if !about.is_file() {
        return Err(FileError::NotAFile {
            place: place.clone(),
            path: path.to_owned(),
            expected,
        });
    }
    if about.len() > limit {
        return Err(FileError::TooLarge {
            place: place.clone(),
            path: path.to_owned(),
            found: about.len(),
            limit,
        });
    }
    let mut bytes = Vec::new();
    fs::File::open(path)
        .and_then(|file| file.take(limit).read_to_end(&mut bytes))
        .map_err(system)?;
    Ok(bytes)
}

/// The names of the plain files of a folder, sorted; names that are not Unicode, and hidden ones, are passed over.
///
/// # Errors
/// The system's error.
pub fn file_names(folder: &Path) -> Result<Vec<String>, FileError> {
    let entries = folder.read_dir().map_err(|cause| FileError::System {
        place: Place::default(),
        doing: "look into",
        path: folder.to_owned(),
        cause,
    })?;
    let mut names: Vec<String> = entries
        .flatten()
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    Ok(names)
}

/// The folder of a scene: what it names is looked for there, and nowhere else unless allowed.
#[derive(Debug, Clone)]
pub struct SceneFolder {
    folder: PathBuf,
    may_name: MayName,
}

impl SceneFolder {
    /// The folder that holds `scene`.
    #[must_use]
    pub fn holding(scene: &Path, may_name: MayName) -> Self {
        let folder = scene
            .parent()
            .filter(|p| !p.as_os_str().is_empty())
            .unwrap_or(Path::new("."));
        Self {
            folder: folder.to_owned(),
            may_name,
        }
    }

    /// Its path.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.folder
    }

    /// Reads a file the scene names at `place`.
    ///
    /// # Errors
    /// [`FileError`]; also when a link leads out of the folder.
    pub fn read(
        &self,
        name: &str,
        place: &Place,
        expected: &'static str,
        limit: u64,
    ) -> Result<Vec<u8>, FileError> {
        let path = self.folder.join(name);
        if self.may_name == MayName::ItsFolder
            && let (Ok(folder), Ok(file)) = (self.folder.canonicalize(), path.canonicalize())
            && !file.starts_with(folder)
        {
            return Err(FileError::OutsideFolder {
                place: place.clone(),
                path,
            });
        }
        read_file(&path, place, expected, limit)
    }
}
