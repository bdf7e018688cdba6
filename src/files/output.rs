//! Writing: whole or not at all, and never over files that this program did not make.

use super::disk;
use super::error::FileError;
use super::turn::{self, Turn};
use crate::problem::Place;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A folder for outputs, checked before the long work begins.
#[derive(Debug)]
pub struct OutputFolder {
    folder: PathBuf,
    files: Vec<&'static str>,
}

/// Every output carries one of these near its beginning.
const MARKS: [&str; 2] = ["hillwash.plan/1", "hillwash.schedule/1"];
/// The mark stands within this many bytes.
const HEAD: u64 = 8192;

fn system(doing: &'static str, path: &Path, cause: io::Error) -> FileError {
    FileError::System {
        place: Place::default(),
        doing,
        path: path.to_owned(),
        cause,
    }
}

/// Which files of the same names may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MayReplace {
    /// Those that an earlier run wrote.
    Ours,
    /// Any.
    Any,
}

impl OutputFolder {
    /// Checks, before the long work, that each of `files` is free or ours; nothing is made yet.
    ///
    /// # Errors
    /// [`FileError::NotOurs`] for a file without our mark, unless any may be replaced; [`FileError::NotAFile`] for a folder, a pipe or a device; or what
    /// the system says when nothing can be written there.
    pub fn check(
        folder: &Path,
        files: &[&'static str],
        may_replace: MayReplace,
    ) -> Result<Self, FileError> {
        if folder.symlink_metadata().is_ok() && !folder.is_dir() {
            return Err(FileError::NotAFolder {
                path: folder.to_owned(),
            });
        }
        for name in files {
            let path = folder.join(name);
            if path.symlink_metadata().is_err() {
                continue;
            }
            // A folder, a pipe, a device is never ours, and a pipe would keep whoever looks into it waiting.
            if !path.is_file() {
                return Err(FileError::NotAFile {
                    place: Place::default(),
                    path,
                    expected: "a free name, or a file that an earlier run wrote",
                });
            }
            if may_replace == MayReplace::Ours && !is_ours(&path) {
                return Err(FileError::NotOurs { path });
            }
        }
        try_to_write(folder)?;
        finish_set(folder, files)?;
        Ok(Self {
            folder: folder.to_owned(),
            files: files.to_vec(),
        })
    }

    /// Makes the folder if need be and writes all files as one set: first each beside its place, then a list of them, then
    /// all are renamed. A run that is killed in between leaves the list, and the next run finishes the set. Two runs that
    /// write into one folder take turns, so that the files left behind are of one run.
    ///
    /// # Errors
    /// The system's error; until the last is written, nothing is replaced.
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the place where files are written"
    )]
    pub fn write(&self, contents: &[(&'static str, &[u8])]) -> Result<Vec<PathBuf>, FileError> {
        disk::step()
            .and_then(|()| fs::create_dir_all(&self.folder))
            .map_err(|cause| system("make the folder", &self.folder, cause))?;
        let _turn = Turn::take(&self.folder, &self.files)
            .map_err(|cause| system("write into", &self.folder, cause))?;
        let mut parts = Vec::new();
        for (name, bytes) in contents {
            debug_assert!(self.files.contains(name), "only prepared files are written");
            let part = disk::part(&self.folder, bytes)
                .map_err(|cause| system("write", &self.folder.join(name), cause))?;
            parts.push((part, *name));
        }
        turn::put_set(&self.folder, parts)
            .map_err(|(path, cause)| system("write", &path, cause))?;
        Ok(contents
            .iter()
            .map(|(name, _)| self.folder.join(name))
            .collect())
    }
}

/// Puts in place what a killed run has left whole in a folder; `names` is all that it may hold.
///
/// # Errors
/// The system's error.
pub fn finish_set(folder: &Path, names: &[&'static str]) -> Result<(), FileError> {
    if turn::is_unfinished(folder) {
        Turn::take(folder, names).map_err(|cause| system("write into", folder, cause))?;
    }
    Ok(())
}

/// Removes what killed runs left unfinished beside a scene, if it may and if nobody works on it.
pub fn sweep(folder: &Path) {
    if !turn::is_unfinished(folder) {
        disk::sweep_parts(folder);
    }
}

/// Tells of a folder for outputs that is a link and leads out of the folder it stands in.
///
/// # Errors
/// [`FileError::LeadsOut`].
pub fn stays_inside(folder: &Path) -> Result<(), FileError> {
    let parent = folder
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    if let (Ok(real), Ok(parent)) = (folder.canonicalize(), parent.canonicalize())
        && !real.starts_with(parent)
    {
        return Err(FileError::LeadsOut {
            path: folder.to_owned(),
            to: real,
        });
    }
    Ok(())
}

/// Whether a file can be made in `folder`, or, where it is still to be made, in the folder it will stand in; the file
/// that was made to find out is gone again.
fn try_to_write(folder: &Path) -> Result<(), FileError> {
    let standing = folder
        .ancestors()
        .map(|f| {
            if f.as_os_str().is_empty() {
                Path::new(".")
            } else {
                f
            }
        })
        .find(|f| f.is_dir())
        .unwrap_or(Path::new("."));
    tempfile::tempfile_in(standing)
        .map(drop)
        .map_err(|cause| system("write into", standing, cause))
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
/// [`FileError::Occupied`] when the folder holds anything; or the system's error: then all is as it was.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub fn write_new(folder: &Path, contents: &[(&str, &[u8])]) -> Result<Vec<PathBuf>, FileError> {
    let made = match fs::read_dir(folder) {
        Ok(mut entries) => {
            if entries.next().is_some() {
                return Err(FileError::Occupied {
                    path: folder.to_owned(),
                });
            }
            false
        }
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
            fs::create_dir_all(folder).map_err(|cause| system("make the folder", folder, cause))?;
            true
        }
        Err(cause) => return Err(system("look into", folder, cause)),
    };
    let mut paths = Vec::new();
    let mut failed = None;
    for (name, bytes) in contents {
        let path = folder.join(name);
        match disk::part(folder, bytes).and_then(|part| disk::put_new(part, &path)) {
            Ok(()) => paths.push(path),
            Err(cause) => {
                failed = Some(system("write", &path, cause));
                break;
            }
        }
    }
    let synced = || disk::sync_folder(folder).map_err(|cause| system("write into", folder, cause));
    let Some(failed) = failed.or_else(|| synced().err()) else {
        return Ok(paths);
    };
    // What was begun is taken back, as far as that goes: the next run finds the name free.
    for path in &paths {
        let _ = disk::remove(path);
    }
    if made {
        let _ = fs::remove_dir(folder);
    }
    Err(failed)
}

/// The folder that a file lies in.
fn folder_of(path: &Path) -> &Path {
    path.parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

/// Checks that a name ends in the kind of file to be written: a table under a workbook's name would open nowhere.
///
/// # Errors
/// [`FileError::OtherKind`] for another ending; a name without one is left alone.
pub fn ends_in(path: &Path, kinds: &[&str], expected: &'static str) -> Result<(), FileError> {
    match path.extension() {
        Some(end) if !kinds.iter().any(|kind| end.eq_ignore_ascii_case(kind)) => {
            Err(FileError::OtherKind {
                path: path.to_owned(),
                expected,
            })
        }
        _ => Ok(()),
    }
}

/// Tells beforehand whether a new file of that name can be made, as far as its name goes.
///
/// # Errors
/// [`FileError::Occupied`] when the name is taken, [`FileError::NoFolder`] when its folder is not there.
pub fn free_to_write(path: &Path) -> Result<(), FileError> {
    let folder = folder_of(path);
    if !folder.is_dir() {
        return Err(FileError::NoFolder {
            path: path.to_owned(),
            folder: folder.to_owned(),
        });
    }
    if path.symlink_metadata().is_ok() {
        return Err(FileError::Occupied {
            path: path.to_owned(),
        });
    }
    Ok(())
}

/// Writes one file, whole or not at all; an existing file is left alone.
///
/// # Errors
/// [`FileError::Occupied`] when the name is taken; or the system's error.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    free_to_write(path)?;
    let folder = folder_of(path);
    disk::part(folder, bytes)
        .and_then(|part| disk::put_new(part, path))
        .and_then(|()| disk::sync_folder(folder))
        .map_err(|cause| system("write", path, cause))
}

/// Puts new contents in the place of old ones, whole or not at all, if the file still holds what `before` says.
///
/// A link is followed, and the file keeps its permissions. Between the last look and the rename a moment is left, far
/// shorter than any editor's.
///
/// # Errors
/// [`FileError::Changed`] when the file holds something else by now; or the system's error.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub fn replace_file(path: &Path, before: &[u8], bytes: &[u8]) -> Result<(), FileError> {
    let write = |cause| system("write", path, cause);
    let real = path.canonicalize().map_err(write)?;
    // Whoever sent a layout may have laid a link in it that leads to any file of the user's.
    if path
        .symlink_metadata()
        .is_ok_and(|found| found.is_symlink())
    {
        return Err(FileError::Linked {
            path: path.to_owned(),
            to: real,
        });
    }
    let folder = real.parent().unwrap_or(Path::new("."));
    let part = disk::part(folder, bytes).map_err(write)?;
    let permissions = fs::metadata(&real).map_err(write)?.permissions();
    part.as_file().set_permissions(permissions).map_err(write)?;
    if fs::read(&real).map_err(write)? != before {
        return Err(FileError::Changed {
            path: path.to_owned(),
        });
    }
    disk::put(part, &real).map_err(|(cause, _)| write(cause))?;
    disk::sync_folder(folder).map_err(write)
}

/// Takes a file away; one that is not there is no fault.
///
/// # Errors
/// The system's error.
pub fn remove_file(path: &Path) -> Result<(), FileError> {
    if path.symlink_metadata().is_err() {
        return Ok(());
    }
    disk::remove(path).map_err(|cause| system("remove", path, cause))
}

/// How many other names a file has on its disk (hard links). Replacing it whole leaves them with the old contents.
#[must_use]
pub fn other_names(path: &Path) -> u64 {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        path.metadata()
            .map_or(0, |about| about.nlink().saturating_sub(1))
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_changed_meanwhile_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("scene.toml");
        write_file(&path, b"old").unwrap();
        replace_file(&path, b"old", b"new").unwrap();
        let refused = replace_file(&path, b"old", b"newer");
        assert!(matches!(refused, Err(FileError::Changed { .. })));
        let left: Vec<_> = folder.path().read_dir().unwrap().flatten().collect();
        assert_eq!(left.len(), 1, "{left:?}");
        assert!(replace_file(&path, b"new", b"newest").is_ok());
    }

    #[cfg(unix)]
    #[test]
    fn a_replaced_file_keeps_its_permissions_and_a_link_is_refused() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real"), folder.path().join("link"));
        write_file(&real, b"old").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o600)).unwrap();
        symlink(&real, &link).unwrap();
        let refused = replace_file(&link, b"old", b"new").unwrap_err();
        assert!(matches!(refused, FileError::Linked { .. }), "{refused}");
        assert_eq!(real.metadata().unwrap().permissions().mode() & 0o777, 0o600);
        replace_file(&real, b"old", b"new").unwrap();
        assert_eq!(real.metadata().unwrap().permissions().mode() & 0o777, 0o600);
        assert_eq!(real.metadata().unwrap().len(), 3);
    }
}
