//! Writing: whole or not at all, and never over what is not ours.

use super::error::FileError;
use crate::problem::Place;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A folder for outputs, checked before the long work begins.
#[derive(Debug)]
pub struct OutputFolder {
    folder: PathBuf,
    files: Vec<&'static str>,
}

/// Every output carries one of these near its beginning.
const MARKS: [&str; 2] = ["hillwash.plan/1", "hillwash.schedule/1"];
/// The mark stands within so many bytes.
const HEAD: u64 = 8192;

fn system(doing: &'static str, path: &Path, cause: io::Error) -> FileError {
    FileError::System {
        place: Place::default(),
        doing,
        path: path.to_owned(),
        cause,
    }
}

impl OutputFolder {
    /// Checks, before the long work, that each of `files` is free or ours; nothing is made yet.
    ///
    /// # Errors
    /// [`FileError::NotOurs`] for a file without our mark, unless `force`, and for anything that is not a file.
    pub fn check(folder: &Path, files: &[&'static str], force: bool) -> Result<Self, FileError> {
        if folder.symlink_metadata().is_ok() && !folder.is_dir() {
            return Err(FileError::NotAFolder {
                path: folder.to_owned(),
            });
        }
        for name in files {
            let path = folder.join(name);
            let Ok(about) = path.symlink_metadata() else {
                continue;
            };
            if about.is_dir() || !(force || is_ours(&path)) {
                return Err(FileError::NotOurs { path });
            }
        }
        Ok(Self {
            folder: folder.to_owned(),
            files: files.to_vec(),
        })
    }

    /// Makes the folder if need be and writes all files: first each beside its place, then all are renamed.
    ///
    /// # Errors
    /// What the system says; until the last is written, nothing is replaced.
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the place where files are written"
    )]
    pub fn write(&self, contents: &[(&'static str, &[u8])]) -> Result<Vec<PathBuf>, FileError> {
        fs::create_dir_all(&self.folder)
            .map_err(|cause| system("make the folder", &self.folder, cause))?;
        let mut written = Vec::new();
        for (name, bytes) in contents {
            debug_assert!(self.files.contains(name), "only prepared files are written");
            let path = self.folder.join(name);
            written.push((
                write_beside(&self.folder, bytes).map_err(|cause| system("write", &path, cause))?,
                path,
            ));
        }
        let mut paths = Vec::new();
        for (file, path) in written {
            file.persist(&path)
                .map_err(|error| system("write", &path, error.error))?;
            paths.push(path);
        }
        Ok(paths)
    }
}

fn write_beside(folder: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".hillwash-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o644));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

fn is_ours(path: &Path) -> bool {
    let Ok(head) = read_head(path) else {
        return false;
    };
    let text = String::from_utf8_lossy(&head);
    MARKS.iter().any(|mark| text.contains(mark))
}

#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are read"
)]
fn read_head(path: &Path) -> io::Result<Vec<u8>> {
    use std::io::Read;
    let mut head = Vec::new();
    fs::File::open(path)?.take(HEAD).read_to_end(&mut head)?;
    Ok(head)
}

/// Writes files into a new or empty folder.
///
/// # Errors
/// [`FileError::Occupied`] when the folder holds anything; or what the system says.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub fn write_new(folder: &Path, contents: &[(&str, &[u8])]) -> Result<Vec<PathBuf>, FileError> {
    match fs::read_dir(folder) {
        Ok(mut entries) => {
            if entries.next().is_some() {
                return Err(FileError::Occupied {
                    path: folder.to_owned(),
                });
            }
        }
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
            fs::create_dir_all(folder).map_err(|cause| system("make the folder", folder, cause))?;
        }
        Err(cause) => return Err(system("look into", folder, cause)),
    }
    let mut paths = Vec::new();
    for (name, bytes) in contents {
        let path = folder.join(name);
        let file = write_beside(folder, bytes).map_err(|cause| system("write", &path, cause))?;
        file.persist_noclobber(&path)
            .map_err(|error| system("write", &path, error.error))?;
        paths.push(path);
    }
    Ok(paths)
}

/// Writes one file, whole or not at all; an existing file is left alone.
///
/// # Errors
/// [`FileError::Occupied`] when the name is taken; or what the system says.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    if path.symlink_metadata().is_ok() {
        return Err(FileError::Occupied {
            path: path.to_owned(),
        });
    }
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let file = write_beside(folder, bytes).map_err(|cause| system("write", path, cause))?;
    file.persist_noclobber(path)
        .map_err(|error| system("write", path, error.error))?;
    Ok(())
}
