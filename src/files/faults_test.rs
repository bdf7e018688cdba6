//! Every step that changes the disk fails in turn: afterwards each file is old or new, the log is whole, and the next run
//! works and leaves nothing over.

use super::disk::faults::{After, with_fault};
use super::{MayReplace, OutputFolder, append_line, replace_file, sweep, write_file, write_new};
use std::collections::BTreeMap;
use std::path::Path;

const NAMES: [&str; 3] = ["page.html", "plan.json", "table.csv"];

/// What a run writes: every file carries the run and our mark.
fn set(run: &str) -> [(&'static str, Vec<u8>); 3] {
    NAMES.map(|name| {
        (
            name,
            format!("hillwash.plan/1 {name} of {run}").into_bytes(),
        )
    })
}

fn write(folder: &Path, run: &str) -> bool {
    let set = set(run);
    let contents: Vec<(&'static str, &[u8])> = set
        .iter()
        .map(|(name, bytes)| (*name, bytes.as_slice()))
        .collect();
    OutputFolder::check(folder, &NAMES, MayReplace::Ours)
        .and_then(|output| output.write(&contents))
        .is_ok()
}

#[expect(clippy::disallowed_methods, reason = "a test looks at its own files")]
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = folder.read_dir().unwrap().flatten();
    entries
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, std::fs::read(entry.path()).unwrap())
        })
        .collect()
}

fn is_set(found: &BTreeMap<String, Vec<u8>>, run: &str) -> bool {
    set(run)
        .iter()
        .all(|(name, bytes)| found.get(*name) == Some(bytes))
}

#[test]
fn a_set_is_whole_after_any_fault_and_the_next_look_at_it() {
    for after in [After::GoesOn, After::Nothing] {
        let mut finished = 0;
        for n in 0.. {
            let folder = tempfile::tempdir().unwrap();
            let folder = folder.path();
            assert!(write(folder, "old"));
            if !with_fault(n, after, || {
                let _ = write(folder, "new");
            }) {
                assert!(n > 15, "only {n} steps were made to fail");
                break;
            }
            let found = contents(folder);
            for (name, old) in set("old") {
                let new = set("new")
                    .into_iter()
                    .find(|(other, _)| *other == name)
                    .unwrap()
                    .1;
                assert!(
                    found[name] == old || found[name] == new,
                    "{after:?} {n}: {name}"
                );
            }
            // Whoever looks next finishes what was whole.
            OutputFolder::check(folder, &NAMES, MayReplace::Ours).unwrap();
            let found = contents(folder);
            assert!(
                is_set(&found, "old") || is_set(&found, "new"),
                "{after:?} {n}: mixed"
            );
            finished += u32::from(is_set(&found, "new"));
            assert!(write(folder, "newest"), "{after:?} {n}");
            let found = contents(folder);
            assert!(is_set(&found, "newest"), "{after:?} {n}");
            assert_eq!(
                found.len(),
                NAMES.len(),
                "{after:?} {n}: {:?}",
                found.keys()
            );
        }
        assert!(finished > 3, "{after:?}: {finished}");
    }
}

#[test]
fn a_log_is_whole_after_any_fault() {
    for after in [After::GoesOn, After::Nothing] {
        for torn in ["", "cut sho"] {
            for n in 0.. {
                let folder = tempfile::tempdir().unwrap();
                let (log, aside) = (folder.path().join("log"), folder.path().join("aside"));
                write_file(&log, format!("one\n{torn}").as_bytes()).unwrap();
                let add = || drop(append_line(&log, "two", Some(&aside)));
                if !with_fault(n, after, add) {
                    assert!(n > 1);
                    break;
                }
                let text = contents(folder.path())["log"].clone();
                let text = String::from_utf8(text).unwrap();
                // A plug pulled between the writing and the syncing may leave the new line, never a piece of it.
                let whole = [
                    format!("one\n{torn}"),
                    "one\n".to_owned(),
                    "one\ntwo\n".to_owned(),
                ];
                assert!(whole.contains(&text), "{after:?} {n}: {text:?}");
                append_line(&log, "three", Some(&aside)).unwrap();
                let text = String::from_utf8(contents(folder.path())["log"].clone()).unwrap();
                assert!(
                    text.ends_with("three\n") && !text.contains("cut"),
                    "{text:?}"
                );
            }
        }
    }
}

#[test]
fn single_files_are_old_or_new_after_any_fault() {
    for after in [After::GoesOn, After::Nothing] {
        for n in 0.. {
            let folder = tempfile::tempdir().unwrap();
            let (old, new) = (folder.path().join("old"), folder.path().join("new"));
            write_file(&old, b"old").unwrap();
            let work = || {
                let _ = replace_file(&old, b"old", b"newer");
                let _ = write_file(&new, b"new");
                let _ = write_new(&folder.path().join("many"), &[("a", b"a"), ("b", b"b")]);
            };
            if !with_fault(n, after, work) {
                assert!(n > 10);
                break;
            }
            sweep(folder.path());
            let found = contents_of_files(folder.path());
            assert!(
                ["old", "newer"]
                    .map(str::as_bytes)
                    .contains(&found["old"].as_slice())
            );
            assert!(
                found.get("new").is_none_or(|new| new == b"new"),
                "{after:?} {n}"
            );
            assert!(found.len() <= 2, "{after:?} {n}: {:?}", found.keys());
        }
    }
}

/// The same without folders.
#[expect(clippy::disallowed_methods, reason = "a test looks at its own files")]
fn contents_of_files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = folder.read_dir().unwrap().flatten();
    entries
        .filter(|entry| entry.path().is_file())
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, std::fs::read(entry.path()).unwrap())
        })
        .collect()
}
