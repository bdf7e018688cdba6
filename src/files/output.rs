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
    /// [`FileError::NotOurs`] for a file without our mark, unless `force`, and for anything that is not a file; or what
    /// the system says when nothing can be written there.
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
        try_to_write(folder)?;
        Ok(Self {
            folder: folder.to_owned(),
            files: files.to_vec(),
        })
    }

    /// Makes the folder if need be and writes all files: first each beside its place, then all are renamed. Two runs
    /// that write into one folder take turns, so that the files left behind are of one run.
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
        let _turn =
            Turn::take(&self.folder).map_err(|cause| system("write into", &self.folder, cause))?;
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

/// A run's turn to write into a folder; it ends when this goes.
struct Turn {
    file: fs::File,
    path: PathBuf,
}

/// Whoever holds the lock on this file has its turn. A killed run leaves the file, never the lock.
const TURN: &str = ".hillwash-turn";
/// What is being written and not yet in its place is called so.
const PART: (&str, &str) = (".hillwash-", ".part");

#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
impl Turn {
    /// Waits for the turn, and clears away the unfinished parts that killed runs left.
    fn take(folder: &Path) -> io::Result<Self> {
        let path = folder.join(TURN);
        let file = loop {
            let file = fs::File::options()
                .create(true)
                .truncate(false)
                .write(true)
                .open(&path)?;
            file.lock()?;
            // The run before may have taken the file away while this one waited.
            if same_file::Handle::from_path(&path).ok()
                == Some(same_file::Handle::from_file(file.try_clone()?)?)
            {
                break file;
            }
        };
        for entry in fs::read_dir(folder)?.flatten() {
            let name = entry.file_name();
            let name = name.to_string_lossy();
            if name.starts_with(PART.0) && name.ends_with(PART.1) {
                // What cannot be cleared away does no harm.
                let _ = fs::remove_file(entry.path());
            }
        }
        Ok(Self { file, path })
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
impl Drop for Turn {
    fn drop(&mut self) {
        // Elsewhere than on Unix an open file cannot be taken away; the empty file then stays, which does no harm.
        if cfg!(unix) {
            let _ = fs::remove_file(&self.path);
        }
        let _ = self.file.unlock();
    }
}

fn write_beside(folder: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PART.0).suffix(PART.1);
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

/// Tells beforehand whether a new file of that name can be made, as far as its name goes.
///
/// # Errors
/// [`FileError::Occupied`] when the name is taken.
pub fn free_to_write(path: &Path) -> Result<(), FileError> {
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
/// [`FileError::Occupied`] when the name is taken; or what the system says.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    free_to_write(path)?;
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let file = write_beside(folder, bytes).map_err(|cause| system("write", path, cause))?;
    file.persist_noclobber(path)
        .map_err(|error| system("write", path, error.error))?;
    Ok(())
}

/// Adds a line to the end of a file, which is made if need be; what stands there stays. Where the last line was never
/// ended, its end comes first.
///
/// # Errors
/// [`FileError::NotAFile`] for anything but a plain file; or what the system says.
pub fn append_line(path: &Path, line: &str) -> Result<(), FileError> {
    use std::io::{Read, Seek, SeekFrom};
    if path.symlink_metadata().is_ok() && !path.is_file() {
        return Err(FileError::NotAFile {
            place: Place::default(),
            path: path.to_owned(),
            expected: "a patch log",
        });
    }
    let add = || -> io::Result<()> {
        let mut file = fs::OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(path)?;
        let mut text = String::new();
        if file.seek(SeekFrom::End(0))? > 0 {
            file.seek(SeekFrom::End(-1))?;
            let mut last = [0];
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                text.push('\n');
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
        // One write, so that two at a time do not run into each other.
        file.write_all(text.as_bytes())?;
        file.sync_all()
    };
    add().map_err(|cause| system("add to", path, cause))
}

/// Puts new contents in the place of old ones, whole or not at all, if the file still holds what `before` says.
///
/// A link is followed, and the file keeps its permissions. Between the last look and the rename a moment is left, far
/// shorter than any editor's.
///
/// # Errors
/// [`FileError::Changed`] when the file holds something else by now; or what the system says.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub fn replace_file(path: &Path, before: &[u8], bytes: &[u8]) -> Result<(), FileError> {
    let write = |cause| system("write", path, cause);
    let real = path.canonicalize().map_err(write)?;
    let folder = real.parent().unwrap_or(Path::new("."));
    let file = write_beside(folder, bytes).map_err(write)?;
    let permissions = fs::metadata(&real).map_err(write)?.permissions();
    file.as_file().set_permissions(permissions).map_err(write)?;
    if fs::read(&real).map_err(write)? != before {
        return Err(FileError::Changed {
            path: path.to_owned(),
        });
    }
    file.persist(&real).map_err(|error| write(error.error))?;
    Ok(())
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
    fn a_replaced_file_keeps_its_permissions_and_its_link() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real"), folder.path().join("link"));
        write_file(&real, b"old").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o600)).unwrap();
        symlink(&real, &link).unwrap();
        replace_file(&link, b"old", b"new").unwrap();
        assert!(link.symlink_metadata().unwrap().is_symlink());
        assert_eq!(real.metadata().unwrap().permissions().mode() & 0o777, 0o600);
        assert_eq!(real.metadata().unwrap().len(), 3);
    }
}
