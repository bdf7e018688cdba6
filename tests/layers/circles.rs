//! Files of one module that lean on each other in a circle: neither can be read, or changed, without the other.
//!
//! A `mod.rs` declares what its folder holds and may hold what all of it shares; paths through it are followed to the file
//! that a re-exported name is from, and it counts as no part of a circle. Tests within files do not count.

use crate::reading::{Written, paths, without_comments_and_strings};
use std::collections::{BTreeMap, BTreeSet};

/// A name that another file of the same module is known by.
type Names = BTreeMap<Vec<String>, String>;

/// The files by the path of their module.
fn names(files: &BTreeMap<String, String>) -> Names {
    files
        .keys()
        .map(|file| (crate::module_path(file), file.clone()))
        .collect()
}

/// The paths of each file outside its inline modules.
fn written(files: &BTreeMap<String, String>) -> BTreeMap<String, Vec<Written>> {
    files
        .iter()
        .map(|(file, source)| {
            let blanked = without_comments_and_strings(source).unwrap_or_default();
            let outside = paths(&blanked)
                .into_iter()
                .filter(|path| path.depth == 0 && !path.method)
                .collect();
            (file.clone(), outside)
        })
        .collect()
}

/// A path as it would be written from the crate's root.
fn from_root(file: &str, path: &Written, names: &Names) -> Option<Vec<String>> {
    let mut base = crate::module_path(file);
    let first = path.segments.first()?.as_str();
    if first == "crate" {
        return Some(path.segments[1..].to_vec());
    }
    let mut rest = path.segments.as_slice();
    if matches!(first, "self" | "super") {
        while let [word, more @ ..] = rest {
            match word.as_str() {
                "self" => {}
                "super" => {
                    base.pop();
                }
                _ => break,
            }
            rest = more;
        }
    } else {
        base.push(first.to_owned());
        if !names.contains_key(&base) {
            return None;
        }
        rest = &rest[1..];
    }
    base.extend_from_slice(rest);
    Some(base)
}

/// The file that a path from the root leads to, re-exports followed.
fn leads_to(
    path: &[String],
    names: &Names,
    written: &BTreeMap<String, Vec<Written>>,
    most: usize,
) -> Option<String> {
    let (length, file) = (1..=path.len())
        .rev()
        .find_map(|length| Some((length, names.get(&path[..length])?)))?;
    if let (Some(name), true, true) = (path.get(length), file.ends_with("mod.rs"), most > 0) {
        let shown = written[file]
            .iter()
            .filter(|own| own.imported || own.segments.len() > 1)
            .filter(|own| own.segments.last() == Some(name))
            .filter_map(|own| from_root(file, own, names))
            .filter(|own| own.as_slice() != path)
            .find_map(|own| leads_to(&own, names, written, most - 1));
        if shown.is_some() {
            return shown;
        }
    }
    Some(file.clone())
}

/// The circles of a set of files, each as the files it holds.
fn circles(files: &BTreeMap<String, String>) -> Vec<BTreeSet<String>> {
    let (names, written) = (names(files), written(files));
    let counts = |file: &str| !file.ends_with("mod.rs");
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (file, paths) in written.iter().filter(|(file, _)| counts(file)) {
        let module = file.split('/').next();
        let leads = paths
            .iter()
            .filter_map(|path| from_root(file, path, &names))
            .filter_map(|path| leads_to(&path, &names, &written, 4))
            .filter(|to| to != file && counts(to) && to.split('/').next() == module);
        uses.insert(file.clone(), leads.collect());
    }
    let reach: BTreeMap<&String, BTreeSet<String>> = uses
        .keys()
        .map(|file| {
            let mut seen = BTreeSet::new();
            let mut open = vec![file.clone()];
            while let Some(next) = open.pop() {
                for to in uses.get(&next).into_iter().flatten() {
                    if seen.insert(to.clone()) {
                        open.push(to.clone());
                    }
                }
            }
            (file, seen)
        })
        .collect();
    let found: BTreeSet<BTreeSet<String>> = reach
        .iter()
        .filter(|(file, seen)| seen.contains(**file))
        .map(|(file, seen)| {
            seen.iter()
                .filter(|to| reach[*to].contains(*file))
                .cloned()
                .collect()
        })
        .collect();
    found.into_iter().collect()
}

#[test]
fn files_of_a_module_lean_on_each_other_in_no_circle() {
    let found = circles(&crate::own_sources());
    assert!(
        found.is_empty(),
        "{} circles of files: {found:#?}",
        found.len()
    );
}

#[test]
fn a_made_up_circle_is_found_through_re_exports_and_not_through_tests() {
    let files = |texts: &[(&str, &str)]| -> BTreeMap<String, String> {
        texts
            .iter()
            .map(|(file, text)| ((*file).to_owned(), (*text).to_owned()))
            .collect()
    };
    let shown = (
        "wash/mod.rs",
        "mod film;\nmod pot;\npub use film::Film;\npub use pot::{Pot, stir};",
    );
    let one = ("wash/film.rs", "use super::Pot;");
    let two = ("wash/pot.rs", "fn f() -> crate::wash::film::Film {}");
    let found = circles(&files(&[shown, one, two]));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].len(), 2, "{found:?}");
    let tested = ("wash/pot.rs", "mod tests { use super::super::Film; }");
    assert!(circles(&files(&[shown, one, tested])).is_empty());
    let elsewhere = (
        "wash/pot.rs",
        "use super::film_of; use crate::mix::film::Film;",
    );
    assert!(circles(&files(&[shown, one, elsewhere])).is_empty());
}
