//! A log that only grows; each line is added whole or not at all.

use super::disk;
use super::error::FileError;
use crate::problem::Place;
use std::fs;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// Adds a line to the end of a file, which is made if need be; what stands there stays. What cannot be written whole is
/// taken back. Two at a time take turns.
///
/// A last line that was never ended is put into the file `aside`, where one is named; else its end comes first.
///
/// # Errors
/// [`FileError::NotAFile`] for anything but a plain file; or the system's error.
pub fn append_line(path: &Path, line: &str, aside: Option<&Path>) -> Result<(), FileError> {
    for file in std::iter::once(path).chain(aside) {
        // A link may lead to any file of the user's; whoever sent the layout laid it.
        if file.symlink_metadata().is_ok_and(|found| !found.is_file()) {
            return Err(FileError::NotAFile {
                place: Place::default(),
                path: file.to_owned(),
                expected: "a patch log",
            });
        }
    }
    let add = || -> io::Result<()> {
        let mut log = open(path)?;
        let mut end = log.seek(SeekFrom::End(0))?;
        let whole = whole_lines(&mut log, end)?;
        let mut text = String::new();
        match aside {
            Some(aside) if whole < end => {
                let mut cut = Vec::new();
                log.seek(SeekFrom::Start(whole))?;
                (&mut log).take(end - whole).read_to_end(&mut cut)?;
                cut.push(b'\n');
                let mut aside = open(aside)?;
                let aside_end = aside.seek(SeekFrom::End(0))?;
                put(&mut aside, aside_end, &cut)?;
                disk::step()?;
                log.set_len(whole)?;
                end = whole;
            }
            None if whole < end => text.push('\n'),
            _ => {}
        }
        text.push_str(line.trim_end());
        text.push('\n');
        put(&mut log, end, text.as_bytes())
    };
    add().map_err(|cause| FileError::System {
        place: Place::default(),
        doing: "add to",
        path: path.to_owned(),
        cause,
    })
}

/// Opens a file to be added to, and waits for its turn, which ends when the file is closed.
fn open(path: &Path) -> io::Result<fs::File> {
    let file = fs::OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(path)?;
    match disk::lock(&file) {
        Err(error) if error.kind() == io::ErrorKind::TimedOut => Err(error),
        // Where the file system knows no locks, one at a time is the rule anyway.
        _ => Ok(file),
    }
}

/// Writes at the end of a file; where that fails, the file is as long as before.
fn put(file: &mut fs::File, end: u64, bytes: &[u8]) -> io::Result<()> {
    file.seek(SeekFrom::Start(end))?;
    let written = disk::step()
        .and_then(|()| file.write_all(bytes))
        .and_then(|()| disk::step())
        .and_then(|()| file.sync_all());
    if written.is_err() {
        file.set_len(end)?;
    }
    written
}

/// Where the last line break of a file ends; 0 where it has none.
fn whole_lines(file: &mut fs::File, end: u64) -> io::Result<u64> {
    const STEP: u64 = 4096;
    let mut before = end;
    while before > 0 {
        let from = before.saturating_sub(STEP);
        let mut piece = Vec::new();
        file.seek(SeekFrom::Start(from))?;
        file.take(before - from).read_to_end(&mut piece)?;
        if let Some(at) = memchr::memrchr(b'\n', &piece) {
            return Ok(from + at as u64 + 1);
        }
        before = from;
    }
    Ok(0)
}

#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "a test lays out its own files")]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_was_never_ended_is_ended_or_put_aside() {
        let folder = tempfile::tempdir().unwrap();
        let (log, aside) = (folder.path().join("log"), folder.path().join("aside"));
        append_line(&log, "one", None).unwrap();
        fs::write(&log, "one\ntwo").unwrap();
        append_line(&log, "three", None).unwrap();
        assert_eq!(fs::read(&log).unwrap(), b"one\ntwo\nthree\n");
        let long = "x".repeat(9000);
        fs::write(&log, format!("one\n{long}")).unwrap();
        append_line(&log, "two", Some(&aside)).unwrap();
        assert_eq!(fs::read(&log).unwrap(), b"one\ntwo\n");
        assert_eq!(fs::read_to_string(&aside).unwrap(), format!("{long}\n"));
        fs::write(&log, &long).unwrap();
        append_line(&log, "one", Some(&aside)).unwrap();
        assert_eq!(fs::read(&log).unwrap(), b"one\n");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_not_written_through() {
        let folder = tempfile::tempdir().unwrap();
        let (log, aside) = (folder.path().join("log"), folder.path().join("aside"));
        let other = folder.path().join("another file");
        fs::write(&other, "its own\n").unwrap();
        std::os::unix::fs::symlink(&other, &aside).unwrap();
        fs::write(&log, "one\ntwo").unwrap();
        assert!(append_line(&log, "three", Some(&aside)).is_err());
        assert!(append_line(&aside, "three", None).is_err());
        assert_eq!(fs::read(&other).unwrap(), b"its own\n");
        assert_eq!(fs::read(&log).unwrap(), b"one\ntwo");
    }

    #[test]
    fn many_at_a_time_write_whole_lines() {
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("log");
        std::thread::scope(|scope| {
            for n in 0..8 {
                let log = &log;
                scope.spawn(move || {
                    for _ in 0..20 {
                        append_line(log, &n.to_string().repeat(500), None).unwrap();
                    }
                });
            }
        });
        let text = fs::read_to_string(&log).unwrap();
        assert_eq!(text.lines().count(), 160);
        assert!(text.lines().all(|line| line.len() == 500));
    }
}
