//! Turns in a folder: one run at a time writes a set of files into it, and first finishes what a killed run began.

use super::disk::{self, PartFile};
use std::fmt::Write;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A run's turn to write into a folder; it ends when this goes.
#[derive(Debug)]
pub(super) struct Turn {
    file: fs::File,
    path: PathBuf,
}

/// Whoever holds the lock on this file has its turn. A killed run leaves the file, never the lock.
const TURN: &str = ".hillwash-turn";
/// A set of files that is whole on the disk and not yet all in place: which part is to have which name.
const SET: &str = ".hillwash-set";
/// The first line of such a list.
const SET_MARK: &str = "hillwash.set/1";
/// More is no list of ours.
const LONGEST_SET: u64 = 4096;

impl Turn {
    /// Waits for the turn; it then puts a set that a killed run left in place (`names` are all that it may hold), and
    /// removes whatever else that run left.
    pub(super) fn take(folder: &Path, names: &[&'static str]) -> io::Result<Self> {
        let path = folder.join(TURN);
        let file = loop {
            disk::step()?;
            let file = turn_file(&path)?;
            disk::lock(&file)?;
            // The run before may have taken the file away while this one waited.
            if same_file::Handle::from_path(&path).ok()
                == Some(same_file::Handle::from_file(file.try_clone()?)?)
            {
                break file;
            }
        };
        let turn = Self { file, path };
        finish(folder, names)?;
        disk::sweep_parts(folder);
        Ok(turn)
    }
}

/// Opens the file of turns. A link, a pipe or a folder of that name is refused: it is not ours, and might lead elsewhere
/// or never answer.
fn turn_file(path: &Path) -> io::Result<fs::File> {
    loop {
        // Makes a new file or fails: what stands there is not followed.
        let mut new = fs::File::options();
        new.write(true).create_new(true);
        // Whoever may read a file may lock it.
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut new, 0o600);
        match new.open(path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            made => return made,
        }
        match path.symlink_metadata() {
            Ok(about) if !about.is_file() => {
                return Err(io::Error::other(format!(
                    "\"{}\" is not a plain file",
                    path.display()
                )));
            }
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        match fs::File::options().write(true).open(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            opened => return opened,
        }
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        // Elsewhere than on Unix an open file cannot be taken away; the empty file then stays, which does no harm.
        if cfg!(unix) {
            let _ = disk::remove(&self.path);
        }
        let _ = self.file.unlock();
    }
}

/// Puts a set of whole parts in place: all of it, if need be by the next run.
///
/// # Errors
/// The file that could not be put in place, and why. What is left is put in place at the next turn, unless the list of
/// the set itself could not be written: then nothing has changed.
pub(super) fn put_set(
    folder: &Path,
    parts: Vec<(PartFile, &'static str)>,
) -> Result<(), (PathBuf, io::Error)> {
    let at = |name: &str, cause: io::Error| (folder.join(name), cause);
    let mut list = format!("{SET_MARK}\n");
    for (part, name) in &parts {
        let part = part.path().file_name().unwrap_or_default();
        let _ = writeln!(list, "{}\t{name}", part.to_string_lossy());
    }
    let list = disk::part(folder, list.as_bytes()).map_err(|cause| at(SET, cause))?;
    disk::put(list, &folder.join(SET)).map_err(|(cause, _)| at(SET, cause))?;
    let mut failed = disk::sync_folder(folder).err().map(|cause| at(SET, cause));
    for (part, name) in parts {
        let path = folder.join(name);
        if failed.is_none() {
            match disk::put(part, &path) {
                Ok(()) => {}
                Err((cause, part)) => {
                    let _ = part.keep();
                    failed = Some((path, cause));
                }
            }
        } else {
            // From here on the list speaks for the parts; they must not go with this run.
            let _ = part.keep();
        }
    }
    if let Some(failed) = failed {
        return Err(failed);
    }
    disk::sync_folder(folder).map_err(|cause| at(SET, cause))?;
    disk::remove(&folder.join(SET)).map_err(|cause| at(SET, cause))
}

/// Whether a killed run has left a set that is not all in place.
pub(super) fn is_unfinished(folder: &Path) -> bool {
    folder.join(SET).symlink_metadata().is_ok()
}

/// Puts in place what a killed run has left whole.
fn finish(folder: &Path, names: &[&'static str]) -> io::Result<()> {
    let path = folder.join(SET);
    if !is_unfinished(folder) {
        return Ok(());
    }
    for (part, name) in listed(&path, names) {
        let part = folder.join(part);
        if part.symlink_metadata().is_ok_and(|about| about.is_file()) {
            disk::rename(&part, &folder.join(name))?;
        }
    }
    disk::sync_folder(folder)?;
    disk::remove(&path)
}

/// The parts of a list and their names; only parts of this folder, and only names that are ours to write.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are read"
)]
fn listed(path: &Path, names: &[&'static str]) -> Vec<(String, &'static str)> {
    let mut text = String::new();
    let plain = path.symlink_metadata().is_ok_and(|about| about.is_file());
    let read = plain
        && fs::File::open(path)
            .and_then(|file| file.take(LONGEST_SET).read_to_string(&mut text))
            .is_ok();
    let mut lines = text.lines();
    if !read || lines.next() != Some(SET_MARK) {
        return Vec::new();
    }
    lines
        .filter_map(|line| line.split_once('\t'))
        .filter(|(part, _)| disk::is_part(part))
        .filter_map(|(part, name)| {
            let name = names.iter().find(|known| **known == name)?;
            Some((part.to_owned(), *name))
        })
        .collect()
}
