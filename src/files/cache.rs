//! A folder of answers to use again: bounded, safe to delete, and every entry is checked before use.

use super::disk;
use super::source::read_file;
use crate::plan::AnswerStore;
use crate::problem::Place;
use sha2::{Digest, Sha256};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// An entry begins with this, then follow the SHA-256 of the answer and the answer.
const MARK: &[u8] = b"hillwash.kept/1\n";
const HASH: usize = 32;
/// Names of entries end so.
const ENDING: &str = "kept";
/// Most bytes of all entries. Our choice: the sights of some hundred surfaces.
const MOST: u64 = 256 << 20;
/// When there is no room the oldest go until this many bytes are left.
const THEN: u64 = MOST / 2;
/// Most bytes of one entry.
const MOST_ENTRY: u64 = 32 << 20;
/// By this file programs that make backups know that they can pass the folder over.
///
/// # Source
/// The Cache Directory Tagging Specification, version 0.6 (B. Ford): the name and the first line.
const TAG: (&str, &[u8]) = (
    "CACHEDIR.TAG",
    b"Signature: 8a477f597d28d172789f06886806bc55\n# Written by hillwash; the folder may be deleted.\n",
);

/// The folder, for one program: another one finds nothing of its own there.
#[derive(Debug)]
pub struct CacheFolder {
    folder: PathBuf,
    program: String,
    /// Bytes of all entries, once they were counted.
    held: Mutex<Option<u64>>,
}

impl CacheFolder {
    /// Neither looks for the folder nor makes it; that comes with the first question and the first answer. `program`
    /// is whatever distinguishes this program from others that might answer differently.
    #[must_use]
    pub fn new(folder: PathBuf, program: String) -> Self {
        Self {
            folder,
            program,
            held: Mutex::new(None),
        }
    }

    fn path(&self, of: &str) -> PathBuf {
        let name = Sha256::new()
            .chain_update(&self.program)
            .chain_update([0])
            .chain_update(of)
            .finalize();
        self.folder.join(format!("{name:x}.{ENDING}"))
    }

    /// Makes sure that the folder is there and has room for this many bytes more.
    fn make_room(&self, bytes: u64) -> io::Result<()> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let mut all = if let Some(all) = *held {
            all
        } else {
            made(&self.folder)?;
            disk::sweep_parts(&self.folder);
            entries(&self.folder)?.iter().map(|entry| entry.bytes).sum()
        };
        if all + bytes > MOST {
            let mut oldest = entries(&self.folder)?;
            oldest.sort_by_key(|entry| (entry.about.modified().ok(), entry.path.clone()));
            all = oldest.iter().map(|entry| entry.bytes).sum();
            for entry in oldest {
                if all + bytes <= THEN {
                    break;
                }
                disk::remove(&entry.path)?;
                all -= entry.bytes;
            }
        }
        *held = Some(all + bytes);
        Ok(())
    }

    fn written(&self, of: &str, answer: &[u8]) -> io::Result<()> {
        let entry = [MARK, &Sha256::digest(answer)[..], answer].concat();
        let bytes = entry.len() as u64;
        if bytes > MOST_ENTRY {
            return Ok(());
        }
        self.make_room(bytes)?;
        let part = disk::hasty_part(&self.folder, &entry)?;
        disk::put(part, &self.path(of)).map_err(|(cause, _)| cause)
    }
}

impl AnswerStore for CacheFolder {
    fn get(&self, of: &str) -> Option<Vec<u8>> {
        let path = self.path(of);
        let mut entry = read_file(&path, &Place::default(), "a kept answer", MOST_ENTRY).ok()?;
        let (hash, answer) = entry.strip_prefix(MARK)?.split_at_checked(HASH)?;
        let is_whole = Sha256::digest(answer)[..] == *hash;
        is_whole.then(|| entry.split_off(MARK.len() + HASH))
    }

    /// What cannot be written is not kept: the answer is there all the same.
    fn put(&self, of: &str, answer: &[u8]) {
        let _ = self.written(of, answer);
    }
}

/// Makes the folder, for its owner alone, where it is not there yet.
fn made(folder: &Path) -> io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    disk::step()?;
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(folder)?;
    let tag = disk::hasty_part(folder, TAG.1)?;
    disk::put(tag, &folder.join(TAG.0)).map_err(|(cause, _)| cause)
}

/// A file of the folder.
struct CachedFile {
    path: PathBuf,
    bytes: u64,
    about: fs::Metadata,
}

fn entries(folder: &Path) -> io::Result<Vec<CachedFile>> {
    let mut all = Vec::new();
    for found in folder.read_dir()?.flatten() {
        let path = found.path();
        let is_entry = path.extension().is_some_and(|end| end == ENDING);
        if let Ok(about) = found.metadata()
            && is_entry
            && about.is_file()
        {
            all.push(CachedFile {
                path,
                bytes: about.len(),
                about,
            });
        }
    }
    Ok(all)
}

#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "a test damages its own files")]
mod tests {
    use super::super::disk::faults::{After, with_fault};
    use super::*;

    fn cache(folder: &Path, program: &str) -> CacheFolder {
        CacheFolder::new(folder.join("cache"), program.to_owned())
    }

    #[test]
    fn what_was_put_away_is_found_by_the_same_program_and_question_alone() {
        let folder = tempfile::tempdir().unwrap();
        let one = cache(folder.path(), "one");
        assert_eq!(one.get("wall"), None);
        one.put("wall", b"brick");
        assert_eq!(one.get("wall").unwrap(), b"brick");
        assert_eq!(one.get("roof"), None);
        assert_eq!(cache(folder.path(), "two").get("wall"), None);
        one.put("wall", b"stone");
        assert_eq!(cache(folder.path(), "one").get("wall").unwrap(), b"stone");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = one.folder.metadata().unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o700, "its owner's alone");
        }
    }

    #[test]
    fn a_damaged_answer_is_none_and_is_written_anew() {
        let folder = tempfile::tempdir().unwrap();
        let one = cache(folder.path(), "one");
        one.put("wall", b"brick");
        let path = one.path("wall");
        let whole = fs::read(&path).unwrap();
        for at in 0..whole.len() {
            let mut damaged = whole.clone();
            damaged[at] ^= 1;
            for damaged in [&damaged[..], &whole[..at]] {
                fs::write(&path, damaged).unwrap();
                assert_eq!(one.get("wall"), None, "{at}");
            }
        }
        one.put("wall", b"brick");
        assert_eq!(one.get("wall").unwrap(), b"brick");
    }

    #[test]
    fn it_is_bounded_and_the_oldest_go_first() {
        let folder = tempfile::tempdir().unwrap();
        let one = cache(folder.path(), "one");
        one.put("first", b"1");
        let large = |name: &str| {
            let file = fs::File::create(one.folder.join(name)).unwrap();
            file.set_len(MOST / 2).unwrap();
            let now = file.metadata().unwrap().modified().unwrap();
            file.set_modified(now - std::time::Duration::from_mins(1))
                .unwrap();
        };
        large("a.kept");
        large("b.kept");
        fs::write(one.folder.join("letter.txt"), "not an entry").unwrap();
        let later = cache(folder.path(), "one");
        later.put("second", b"2");
        let sum: u64 = entries(&one.folder).unwrap().iter().map(|e| e.bytes).sum();
        assert!(sum <= THEN, "{sum}");
        assert_eq!(later.get("first").unwrap(), b"1");
        assert_eq!(later.get("second").unwrap(), b"2");
        assert!(one.folder.join("letter.txt").is_file());
    }

    #[test]
    fn an_entry_is_old_or_new_after_any_fault() {
        for after in [After::GoesOn, After::Nothing] {
            for n in 0.. {
                let folder = tempfile::tempdir().unwrap();
                if n % 2 == 0 {
                    cache(folder.path(), "one").put("wall", b"brick");
                }
                let work = || cache(folder.path(), "one").put("wall", b"stone");
                if !with_fault(n, after, work) {
                    assert!(n > 2);
                    break;
                }
                let found = cache(folder.path(), "one").get("wall");
                let whole = [None, Some(b"brick".to_vec()), Some(b"stone".to_vec())];
                assert!(whole.contains(&found), "{after:?} {n}: {found:?}");
                cache(folder.path(), "one").put("wall", b"slate");
                assert_eq!(cache(folder.path(), "one").get("wall").unwrap(), b"slate");
            }
        }
    }
}
