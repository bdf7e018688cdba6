//! The steps that change the disk, one by one: each may fail, and tests make each of them fail.

use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::time::{Duration, Instant};

/// A file that is being written beside its place, under a name of its own, until it is whole.
pub(super) type PartFile = tempfile::NamedTempFile;

/// What is being written and not yet in its place is called so.
pub(super) const PART: (&str, &str) = (".hillwash-", ".part");

/// A file that opens a page ends so.
pub(super) const OPENING: &str = ".open.html";

/// Whether a name is that of a part.
pub(super) fn is_part(name: &str) -> bool {
    name.starts_with(PART.0) && name.ends_with(PART.1) && !name.contains(['/', '\\'])
}

/// Writes a whole file beside its place. Its lock shows others that somebody still works on it.
pub(super) fn part(folder: &Path, bytes: &[u8]) -> io::Result<PartFile> {
    let part = hasty_part(folder, bytes)?;
    step()?;
    part.as_file().sync_all()?;
    Ok(part)
}

/// The same for a file that shows by itself whether it is whole: after a cut of power it may not be.
pub(super) fn hasty_part(folder: &Path, bytes: &[u8]) -> io::Result<PartFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PART.0).suffix(PART.1);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o644));
    }
    loop {
        step()?;
        let mut part = builder
            .tempfile_in(folder)
            .map_err(|error| without_name(&error))?;
        // Where the file system knows no locks, nothing is swept either.
        let _ = part.as_file().lock();
        // One that swept here may have come between the making and the lock.
        if part.path().symlink_metadata().is_err() {
            continue;
        }
        step()?;
        // By the file itself: its errors do not tell the name of the part.
        part.as_file_mut().write_all(bytes)?;
        return Ok(part);
    }
}

/// An error in the system's words, without the name of the part: users named another file.
fn without_name(error: &io::Error) -> io::Error {
    let inner = error.get_ref().and_then(|told| told.source());
    let code = inner
        .and_then(|told| told.downcast_ref::<io::Error>())
        .and_then(io::Error::raw_os_error);
    code.map_or_else(|| error.kind().into(), io::Error::from_raw_os_error)
}

/// Longest time that a run waits for another one's turn. Our choice: none holds it for more than a second.
const PATIENCE: Duration = Duration::from_secs(20);

/// Waits for a file's lock, and not for ever: any account that may read a file may hold its lock.
pub(super) fn lock(file: &fs::File) -> io::Result<()> {
    lock_within(file, PATIENCE)
}

fn lock_within(file: &fs::File, patience: Duration) -> io::Result<()> {
    let since = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(fs::TryLockError::Error(error)) => return Err(error),
            Err(fs::TryLockError::WouldBlock) if since.elapsed() > patience => {
                return Err(io::Error::new(
                    io::ErrorKind::TimedOut,
                    "another program has held it for 20 seconds: end that one, then run this again",
                ));
            }
            Err(fs::TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(30)),
        }
    }
}

/// Puts a part in its place, over what stands there.
pub(super) fn put(part: PartFile, path: &Path) -> Result<(), (io::Error, PartFile)> {
    if let Err(error) = step() {
        return Err((error, part));
    }
    part.persist(path)
        .map(drop)
        .map_err(|error| (error.error, error.file))
}

/// Puts a part in its place, if nothing stands there.
pub(super) fn put_new(part: PartFile, path: &Path) -> io::Result<()> {
    step()?;
    part.persist_noclobber(path)
        .map(drop)
        .map_err(|error| error.error)
}

/// Makes names that were given last outlive a power cut, where the system has a way.
#[cfg_attr(
    unix,
    expect(
        clippy::disallowed_methods,
        reason = "this is the place where files are written"
    )
)]
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    step()?;
    #[cfg(unix)]
    {
        // Some file systems have no such thing; then there is no more to be done.
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
    }
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

/// Takes a file away.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub(super) fn remove(path: &Path) -> io::Result<()> {
    step()?;
    fs::remove_file(path)
}

/// Gives a file another name in its folder, over what stands there.
#[expect(
    clippy::disallowed_methods,
    reason = "this is the place where files are written"
)]
pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    step()?;
    fs::rename(from, to)
}

/// Takes away the parts, and the files that open pages, that killed runs left in a folder. It leaves files that
/// somebody still works on, files that are not plain, and files that it may not remove.
pub(super) fn sweep_parts(folder: &Path) {
    let Ok(entries) = folder.read_dir() else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let plain = entry.file_type().is_ok_and(|kind| kind.is_file());
        let left = is_part(&name) || (name.starts_with(PART.0) && name.ends_with(OPENING));
        if !left || !plain {
            continue;
        }
        let free = fs::OpenOptions::new()
            .write(true)
            .open(entry.path())
            .is_ok_and(|file| file.try_lock().is_ok());
        if free {
            let _ = remove(&entry.path());
        }
    }
}

/// One step; in tests the one that was chosen fails, and where a pulled plug is played all after it.
#[cfg(not(test))]
#[expect(
    clippy::unnecessary_wraps,
    reason = "it fails in tests, in the place of the system"
)]
pub(super) fn step() -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
pub(super) use faults::step;

/// Faults for tests.
#[cfg(test)]
pub(super) mod faults {
    use std::cell::Cell;
    use std::io;

    /// What comes of a fault.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(in crate::files) enum After {
        /// The one step fails, as on a full disk; the next may go well.
        GoesOn,
        /// Nothing after it is done, as when the plug was pulled.
        Nothing,
    }

    thread_local! {
        static LEFT: Cell<Option<(usize, After)>> = const { Cell::new(None) };
        static DEAD: Cell<bool> = const { Cell::new(false) };
    }

    /// Does the work with the `n`th step failing, from 0; false where it has fewer steps.
    pub(in crate::files) fn with_fault(n: usize, after: After, work: impl FnOnce()) -> bool {
        LEFT.set(Some((n, after)));
        work();
        let met = LEFT.get().is_none();
        LEFT.set(None);
        DEAD.set(false);
        met
    }

    pub(in crate::files) fn step() -> io::Result<()> {
        let fault = || Err(io::Error::other("a fault made for a test"));
        if DEAD.get() {
            return fault();
        }
        match LEFT.get() {
            Some((0, after)) => {
                LEFT.set(None);
                DEAD.set(after == After::Nothing);
                fault()
            }
            Some((left, after)) => {
                LEFT.set(Some((left - 1, after)));
                Ok(())
            }
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_that_another_holds_is_not_waited_for_for_ever() {
        let held = tempfile::NamedTempFile::new().unwrap();
        held.as_file().lock().unwrap();
        let other = held.reopen().unwrap();
        let waited = lock_within(&other, Duration::from_millis(80)).unwrap_err();
        assert_eq!(waited.kind(), io::ErrorKind::TimedOut);
        held.as_file().unlock().unwrap();
        lock_within(&other, Duration::from_millis(80)).unwrap();
    }
}
