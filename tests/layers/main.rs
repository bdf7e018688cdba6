//! Imports point downwards, each third-party crate stays where it belongs, and files of one module do not lean on each
//! other in a circle; names stand for one thing each.
//!
//! Reads `src/` and fails, naming file and line, on a path from a module to one of the same or a higher rank, on a fenced
//! name outside its fence, and on a new name for a root, which would hide both. Comments and strings do not count.
#![expect(
    clippy::disallowed_methods,
    reason = "the rule on file access is for the library; this test reads its source"
)]

mod circles;
mod names;
mod reading;

use reading::{Written, paths, without_comments_and_strings};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Modules by rank, lowest first. A module may use those of lower ranks, and itself.
const RANKS: [&[&str]; 16] = [
    &["problem", "work"],
    &["units", "linear"],
    &["colour", "region"],
    &["materials"],
    &["photo", "paint"],
    &["tones", "scale_colour", "lamps", "wet", "card"],
    &["depth", "mix", "wash", "scatter"],
    &["rock", "brushed"],
    &["scene"],
    &["plan"],
    &["share"],
    &["patch", "report"],
    &["desk"],
    &["files", "site"],
    &["server", "workshop", "web"],
    &["cli", "main"],
];
/// The crate's root: it declares the modules and may show any of them.
const ROOT: &str = "lib";

/// Names that may be used in some places only: the beginning of a path, and where it may stand (a module, or a file).
const FENCES: &[(&str, &[&str])] = &[
    ("palette", &["colour"]),
    ("color", &["colour"]),
    ("image", &["photo"]),
    ("tiff", &["photo"]),
    ("moxcms", &["photo"]),
    ("heifer", &["photo"]),
    ("calamine", &["paint"]),
    ("exif", &["photo"]),
    ("kmeans_colors", &["tones/group/k_means.rs"]),
    ("askama", &["report"]),
    ("std::fs", &["files"]),
    ("tempfile", &["files"]),
    ("same_file", &["files"]),
    ("std::net", &["server"]),
    ("axum", &["server"]),
    ("tokio", &["server"]),
    ("hyper", &["server"]),
    ("hyper_util", &["server"]),
    ("toml_edit", &["desk"]),
    ("getrandom", &["server"]),
    ("rustix", COMMAND_LINE),
    ("open", COMMAND_LINE),
    ("clap", COMMAND_LINE),
    ("clap_complete", COMMAND_LINE),
    ("clap_mangen", COMMAND_LINE),
    ("anstream", COMMAND_LINE),
    ("anstyle", COMMAND_LINE),
    ("std::process::exit", COMMAND_LINE),
    ("process::exit", COMMAND_LINE),
    ("std::env", COMMAND_LINE),
    ("env", COMMAND_LINE),
    ("std::process::Command", COMMAND_LINE),
    ("process::Command", COMMAND_LINE),
    ("std::time::SystemTime", COMMAND_LINE),
    ("time::SystemTime", COMMAND_LINE),
    ("SystemTime", COMMAND_LINE),
    ("std::time::Instant", CLOCK),
    ("time::Instant", CLOCK),
    ("Instant", CLOCK),
    ("println!", COMMAND_LINE),
    ("eprintln!", COMMAND_LINE),
    ("csv", &["paint"]),
    ("toml", &["scene"]),
    ("schemars", &["share"]),
    ("serde_path_to_error", &["share"]),
];
const COMMAND_LINE: &[&str] = &["cli", "main"];
/// Who may ask how much time has passed: what limits long work and times its phases, and who waits for pages.
const CLOCK: &[&str] = &["work", "server", "files", "cli", "main"];

/// Methods of paths that ask the disk, and who may ask. The drawing page's server looks whether its scene is there.
const DISK_METHODS: &[&str] = &[
    "exists",
    "try_exists",
    "is_file",
    "is_dir",
    "is_symlink",
    "metadata",
    "symlink_metadata",
    "canonicalize",
    "read_dir",
    "read_link",
];
const ON_DISK: &[&str] = &["files", "cli", "main", "server/folder.rs"];
/// Roots of paths: a new name for one, or all of one at once, would hide where a path leads.
const ROOTS: &[&str] = &["crate", "hillwash", "std", "core", "super", "self"];

fn rank_of(module: &str) -> Option<usize> {
    RANKS.iter().position(|rank| rank.contains(&module))
}

/// The modules above a file: `paint/film.rs` gives `paint`, `film`; `paint/mod.rs` gives `paint`.
fn module_path(file: &str) -> Vec<String> {
    let stem = file.trim_end_matches(".rs");
    stem.trim_end_matches("/mod")
        .split('/')
        .map(str::to_owned)
        .collect()
}

/// All faults of one file; `file` is its path below `src/`, with forward slashes.
fn faults_of(file: &str, source: &str) -> Vec<String> {
    let Some(blanked) = without_comments_and_strings(source) else {
        return vec![format!("{file}: a string or comment is not closed")];
    };
    let modules = module_path(file);
    let here = modules[0].as_str();
    let mut faults = Vec::new();
    let own_rank = rank_of(here);
    if own_rank.is_none() && here != ROOT {
        faults.push(format!(
            "{file}: module {here} has no rank; give it one in tests/layers/"
        ));
    }
    for path in paths(&blanked) {
        let place = format!("{file}:{}", path.line);
        let written = path.segments.join("::");
        let allowed_on_disk = ON_DISK.iter().any(|on| *on == here || *on == file);
        if asks_the_disk(&path) && !allowed_on_disk {
            faults.push(format!(
                "{place}: {written} asks the disk, which is done in {} only",
                ON_DISK.join(", ")
            ));
        }
        if path.method {
            continue;
        }
        if hides_its_root(&path, modules.len()) && !COMMAND_LINE.contains(&here) {
            faults.push(format!(
                "{place}: {written} gives a root another name or takes all of it; write the path out"
            ));
        }
        if let Some(target) = target_of(&path, modules.len())
            && target != here
            && let (Some(own), Some(theirs)) = (own_rank, rank_of(target))
            && theirs >= own
            && !COMMAND_LINE.contains(&here)
        {
            let way = if theirs == own { "sideways" } else { "upwards" };
            faults.push(format!(
                "{place}: {written} points {way}: {here} has rank {own}, {target} rank {theirs}"
            ));
        }
        for (name, allowed) in FENCES {
            if is_fenced(&path, name)
                && !allowed.iter().any(|fence| *fence == here || *fence == file)
            {
                faults.push(format!(
                    "{place}: {written} stands outside its fence: {name} belongs in {} only",
                    allowed.join(", ")
                ));
            }
        }
    }
    faults
}

/// The module of the crate's root that a path leads to, if it is written from there.
fn target_of(path: &Written, file_depth: usize) -> Option<&str> {
    let own = path.segments.iter().take_while(|s| *s == "self").count();
    let segments = &path.segments[own..];
    let target = match segments.first()?.as_str() {
        "crate" | "hillwash" => segments.get(1)?,
        "super" => {
            let ups = segments.iter().take_while(|s| *s == "super").count();
            if ups < file_depth + path.depth {
                return None;
            }
            segments.get(ups)?
        }
        _ => return None,
    };
    Some(target.as_str())
}

/// Whether a path asks whether something is on disk: `path.exists()`, `Path::exists(p)`, and the same by whatever name
/// the type goes, for an import or an alias may have given it another: `P::exists(p)`.
fn asks_the_disk(path: &Written) -> bool {
    let of_type = path
        .segments
        .iter()
        .rev()
        .nth(1)
        .is_some_and(|kind| kind.starts_with(char::is_uppercase));
    let last = path.segments.last().map(String::as_str);
    (path.method && path.segments.len() == 1 || of_type)
        && last.is_some_and(|last| DISK_METHODS.contains(&last))
}

/// `use crate as c`, `use std as s`, `use crate::*`: what follows could no longer be told from its path.
fn hides_its_root(path: &Written, file_depth: usize) -> bool {
    let root = |s: &String| ROOTS.contains(&s.as_str());
    if !path.imported || path.segments.is_empty() {
        return false;
    }
    let renamed = path.segments.iter().all(root);
    let whole = target_of(path, file_depth) == Some("*")
        || matches!(path.segments.as_slice(), [a, b] if a == "std" && b == "*");
    renamed || whole
}

/// Whether a path begins with a fenced name. A lone word is a name of something else, unless it is imported.
fn is_fenced(path: &Written, name: &str) -> bool {
    let fenced: Vec<&str> = name.split("::").collect();
    let begins = path.segments.len() >= fenced.len()
        && path.segments.iter().zip(&fenced).all(|(a, b)| a == b);
    begins && (path.segments.len() > 1 || path.imported || name.ends_with('!'))
}

/// Every `.rs` file below a folder, by its path from there.
fn sources(root: &Path) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut folders: Vec<PathBuf> = vec![root.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap_or_else(|error| unreachable!("{error}")) {
            let path = entry.unwrap_or_else(|error| unreachable!("{error}")).path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name: Vec<String> = path
                    .strip_prefix(root)
                    .unwrap_or(&path)
                    .iter()
                    .map(|part| part.to_string_lossy().into_owned())
                    .collect();
                let text = std::fs::read_to_string(&path)
                    .unwrap_or_else(|error| unreachable!("{}: {error}", path.display()));
                found.insert(name.join("/"), text);
            }
        }
    }
    found
}

/// All of `src/`.
fn own_sources() -> BTreeMap<String, String> {
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"))
}

#[test]
fn imports_point_downwards_and_fences_hold() {
    let files = own_sources();
    for expected in ["lib.rs", "main.rs", "problem.rs", "colour/mod.rs"] {
        assert!(files.contains_key(expected), "{expected} was not read");
    }
    let faults: Vec<String> = files
        .iter()
        .flat_map(|(file, text)| faults_of(file, text))
        .collect();
    assert!(
        faults.is_empty(),
        "{} faults in src/\n{}",
        faults.len(),
        faults.join("\n")
    );
}

/// A file, what stands in it, and how the fault must begin.
const BAD_LINES: &[(&str, &str, &str)] = &[
    (
        "paint/film.rs",
        "\nuse crate::mix::Shelf;",
        "paint/film.rs:2: crate::mix::Shelf points upwards",
    ),
    (
        "wash.rs",
        "use crate::mix::Shelf;",
        "wash.rs:1: crate::mix::Shelf points sideways",
    ),
    (
        "region.rs",
        "use crate::{\n    problem::Place,\n    colour::{LabD65, Xyz},\n};",
        "region.rs:3: crate::colour::LabD65 points sideways",
    ),
    (
        "units.rs",
        "fn f() -> crate::colour::Xyz {}",
        "units.rs:1: crate::colour::Xyz points upwards",
    ),
    (
        "mix/search.rs",
        "use super::super::plan::Pot;",
        "mix/search.rs:1: super::super::plan::Pot points upwards",
    ),
    (
        "units.rs",
        "mod tests { use super::super::plan::Pot; }",
        "units.rs:1: super::super::plan::Pot points upwards",
    ),
    (
        "tones/mod.rs",
        "use super::mix::Shelf;",
        "tones/mod.rs:1: super::mix::Shelf points upwards",
    ),
    (
        "depth.rs",
        "/* crate::mix */ let a = \"//\"; crate::mix::f();",
        "depth.rs:1: crate::mix::f points sideways",
    ),
    ("swatch.rs", "", "swatch.rs: module swatch has no rank"),
    (
        "tones/mod.rs",
        "use palette::Lab;",
        "tones/mod.rs:1: palette::Lab stands outside its fence",
    ),
    (
        "paint/list.rs",
        "color::parse_color(x)",
        "paint/list.rs:1: color::parse_color stands outside",
    ),
    (
        "report/view.rs",
        "use image;",
        "report/view.rs:1: image stands outside",
    ),
    (
        "report/view.rs",
        "let x = ::image::open(p);",
        "report/view.rs:1: image::open stands outside",
    ),
    (
        "report/view.rs",
        "use ::image::open;",
        "report/view.rs:1: image::open stands outside",
    ),
    (
        "report/view.rs",
        "use {std::fmt, image as i};",
        "report/view.rs:1: image stands outside",
    ),
    (
        "tones/mod.rs",
        "use kmeans_colors::get_kmeans;",
        "tones/mod.rs:1: kmeans_colors::get_kmeans stands outside",
    ),
    (
        "scene/mod.rs",
        "use std::{\n    fmt,\n    fs as f,\n};",
        "scene/mod.rs:3: std::fs stands outside",
    ),
    (
        "photo/decode.rs",
        "std::fs::read(p)",
        "photo/decode.rs:1: std::fs::read stands outside",
    ),
    (
        "plan/mod.rs",
        "println!(\"{x}\");",
        "plan/mod.rs:1: println! stands outside",
    ),
    (
        "files/mod.rs",
        "std::eprintln!();\n    eprintln!();",
        "files/mod.rs:2: eprintln! stands outside",
    ),
    (
        "files/mod.rs",
        "std::process::exit(2)",
        "files/mod.rs:1: std::process::exit stands outside",
    ),
    (
        "plan/mod.rs",
        "use std::process;\nprocess::exit(2)",
        "plan/mod.rs:2: process::exit stands outside",
    ),
    (
        "plan/mod.rs",
        "let t = toml::from_str::<csv::Error>(x);",
        "plan/mod.rs:1: csv::Error stands outside",
    ),
    (
        "lib.rs",
        "pub use clap::Parser;",
        "lib.rs:1: clap::Parser stands outside",
    ),
    (
        "mix/search.rs",
        "use self::super::super::plan::Pot;",
        "mix/search.rs:1: self::super::super::plan::Pot points upwards",
    ),
    (
        "units.rs",
        "use crate as c;\nuse c::plan::Pot;",
        "units.rs:1: crate gives a root another name",
    ),
    (
        "units.rs",
        "use std as s;",
        "units.rs:1: std gives a root another name",
    ),
    (
        "units.rs",
        "use {crate as c, std::fmt};",
        "units.rs:1: crate gives a root another name",
    ),
    (
        "units.rs",
        "use super::*;",
        "units.rs:1: super::* gives a root another name or takes all",
    ),
    (
        "plan/mod.rs",
        "if Path::new(p).exists() {}",
        "plan/mod.rs:1: exists asks the disk",
    ),
    (
        "plan/mod.rs",
        "let a = std::path::Path::exists(p);",
        "plan/mod.rs:1: std::path::Path::exists asks the disk",
    ),
    (
        "plan/mod.rs",
        "use std::path::Path as P;\nlet a = P::exists(p);",
        "plan/mod.rs:2: P::exists asks the disk",
    ),
    (
        "plan/mod.rs",
        "type Place = std::path::PathBuf;\nlet a = all.filter(Place::is_file);",
        "plan/mod.rs:2: Place::is_file asks the disk",
    ),
    (
        "plan/mod.rs",
        "use std::time::{Duration, Instant};",
        "plan/mod.rs:1: std::time::Instant stands outside",
    ),
    (
        "mix/search.rs",
        "use std::time::Instant as Now;\nlet a = std::time::Instant::now();",
        "mix/search.rs:2: std::time::Instant::now stands outside",
    ),
    (
        "photo/decode.rs",
        "p\n.is_file()",
        "photo/decode.rs:2: is_file asks the disk",
    ),
    (
        "plan/mod.rs",
        "use std::time::SystemTime;\nlet t = SystemTime::now();",
        "plan/mod.rs:2: SystemTime::now stands outside",
    ),
    (
        "plan/mod.rs",
        "std::env::var(x)",
        "plan/mod.rs:1: std::env::var stands outside",
    ),
    (
        "report/mod.rs",
        "use std::process::Command;",
        "report/mod.rs:1: std::process::Command stands outside",
    ),
    (
        "plan/mod.rs",
        "let s = \"not closed;",
        "plan/mod.rs: a string or comment is not closed",
    ),
];

#[test]
fn a_made_up_bad_line_is_caught_with_its_file_and_line() {
    for (file, source, wanted) in BAD_LINES {
        let faults = faults_of(file, source);
        assert!(
            faults.iter().any(|fault| fault.starts_with(wanted)),
            "{file}: {source:?}\nwanted: {wanted}\nfound: {faults:#?}"
        );
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one table of allowed lines")]
fn what_is_allowed_is_left_alone() {
    let good: &[(&str, &str)] = &[
        (
            "mix/search.rs",
            "use crate::colour::{DeltaE00, LabD65};\nuse super::Shelf;\nuse crate::mix::Rank;",
        ),
        (
            "paint/list.rs",
            "/// let x = crate::plan::Pot;\n//! println!\n// use palette::Lab;\nlet s = \"image::open println!\";",
        ),
        (
            "paint/list.rs",
            "let r = r#\"a \" std::fs::read\"#; let c = '\"'; let d = b'\"'; fn f<'a>(x: &'a str) {}",
        ),
        (
            "photo/small.rs",
            "use image::RgbImage;\nmod tests { use super::super::picture::Picture; use super::*; }",
        ),
        (
            "report/view.rs",
            "let a = photo::image::Crop; image.color(); self.csv::<u8>(); let image = 1; hex_colour::of();",
        ),
        (
            "colour/css.rs",
            "use color::DynamicColor; super::srgb::Srgb8::from(x)",
        ),
        (
            "tones/group/k_means.rs",
            "use kmeans_colors::{Calculate, get_kmeans};",
        ),
        (
            "main.rs",
            "use hillwash::{plan, colour::Xyz};\nuse clap::Parser;\nfn main() { eprintln!(); std::process::exit(2) }",
        ),
        (
            "cli/args.rs",
            "use crate::cli::request; use hillwash::server; println!();",
        ),
        (
            "lib.rs",
            "pub mod plan;\npub use crate::plan::Plan;\npub mod image_list {}",
        ),
        (
            "units.rs",
            "pub(crate) fn f() {} pub(in crate::units) fn g() {} mod tests { use super::*; }",
        ),
        (
            "files/source.rs",
            "if path.exists() && Path::is_file(p) { env!(\"X\"); }",
        ),
        (
            "work/mod.rs",
            "use std::time::Instant; let begun = Instant::now();",
        ),
        ("units.rs", "if a != b && crate::problem::is(x) {}"),
        (
            "scene/scene.rs",
            "use super::file::SceneFile; mod tests { use super::super::file::SceneFile; }",
        ),
    ];
    for (file, source) in good {
        assert_eq!(
            faults_of(file, source),
            Vec::<String>::new(),
            "{file}: {source:?}"
        );
    }
}
