//! Imports point downwards, and each third-party crate stays where it belongs.
//!
//! Reads `src/` and fails, naming file and line, on a path from a module to one of the same or a higher rank, and on a
//! fenced name outside its fence. Comments and strings do not count.
#![expect(
    clippy::disallowed_methods,
    reason = "the rule on file access is for the library; this test reads its source"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Modules by rank, lowest first. A module may use those of lower ranks, and itself.
const RANKS: [&[&str]; 14] = [
    &["problem"],
    &["units", "linear"],
    &["colour", "region"],
    &["photo", "paint"],
    &["tones", "scale_colour", "lamps", "wet", "card"],
    &["depth", "mix", "wash", "scatter"],
    &["rock"],
    &["scene"],
    &["plan"],
    &["share"],
    &["patch", "report"],
    &["files"],
    &["mark"],
    &["cli", "main"],
];
/// The crate's root: it declares the modules and may show any of them.
const ROOT: &str = "lib";

/// Names that may be used in some places only: the beginning of a path, and where it may stand (a module, or a file).
const FENCES: &[(&str, &[&str])] = &[
    ("palette", &["colour"]),
    ("color", &["colour"]),
    ("image", &["photo"]),
    ("moxcms", &["photo"]),
    ("exif", &["photo"]),
    ("kmeans_colors", &["tones/cluster.rs"]),
    ("askama", &["report"]),
    ("std::fs", &["files"]),
    ("tempfile", &["files"]),
    ("same_file", &["files"]),
    ("std::net", &["mark"]),
    ("axum", &["mark"]),
    ("tokio", &["mark"]),
    ("toml_edit", &["mark"]),
    ("getrandom", &["mark"]),
    ("open", COMMAND_LINE),
    ("clap", COMMAND_LINE),
    ("clap_complete", COMMAND_LINE),
    ("clap_mangen", COMMAND_LINE),
    ("anstream", COMMAND_LINE),
    ("anstyle", COMMAND_LINE),
    ("std::process::exit", COMMAND_LINE),
    ("process::exit", COMMAND_LINE),
    ("println!", COMMAND_LINE),
    ("eprintln!", COMMAND_LINE),
    ("csv", &["paint", "report"]),
    ("toml", &["scene"]),
    ("schemars", &["scene", "share"]),
    ("serde_path_to_error", &["share"]),
];
const COMMAND_LINE: &[&str] = &["cli", "main"];

fn rank_of(module: &str) -> Option<usize> {
    RANKS.iter().position(|rank| rank.contains(&module))
}

/// A path as the source writes it, groups taken apart: `use a::{b, c::d}` gives `a::b` and `a::c::d`.
#[derive(Debug, Clone, PartialEq)]
struct Written {
    line: usize,
    segments: Vec<String>,
    /// How many inline modules stand around it.
    depth: usize,
    /// Whether it names a crate on its own: `use image;`.
    imported: bool,
}

/// Source with comments, strings and characters blanked out, line by line as before.
///
/// Gives `None` when a string or comment is still open at the end, which would hide what follows it.
fn without_comments_and_strings(source: &str) -> Option<String> {
    let chars: Vec<char> = source.chars().collect();
    let mut kept = String::with_capacity(source.len());
    let mut at = 0;
    let blank = |kept: &mut String, from: usize, to: usize| {
        for c in &chars[from..to] {
            kept.push(if *c == '\n' { '\n' } else { ' ' });
        }
    };
    while at < chars.len() {
        let rest = &chars[at..];
        let after_word = at > 0 && is_word(chars[at - 1]);
        let end = match rest {
            ['/', '/', ..] => rest.iter().position(|c| *c == '\n').unwrap_or(rest.len()),
            ['/', '*', ..] => end_of_block_comment(rest)?,
            ['"', ..] => end_of_string(rest, 0)?,
            ['b', '"', ..] if !after_word => end_of_string(rest, 1)?,
            ['r', '"' | '#', ..] if !after_word => end_of_raw_string(rest, 1)?.unwrap_or(0),
            ['b', 'r', '"' | '#', ..] if !after_word => end_of_raw_string(rest, 2)?.unwrap_or(0),
            ['\'', ..] => end_of_character(rest).unwrap_or(0),
            _ => 0,
        };
        if end == 0 {
            kept.push(chars[at]);
            at += 1;
        } else {
            blank(&mut kept, at, at + end);
            at += end;
        }
    }
    Some(kept)
}

fn end_of_block_comment(rest: &[char]) -> Option<usize> {
    let mut open = 0_usize;
    let mut at = 0;
    while at < rest.len() {
        match rest[at..] {
            ['/', '*', ..] => {
                open += 1;
                at += 2;
            }
            ['*', '/', ..] => {
                open -= 1;
                at += 2;
                if open == 0 {
                    return Some(at);
                }
            }
            _ => at += 1,
        }
    }
    None
}

/// `quote` is where the opening quotation mark stands.
fn end_of_string(rest: &[char], quote: usize) -> Option<usize> {
    let mut at = quote + 1;
    while at < rest.len() {
        match rest[at] {
            '\\' => at += 2,
            '"' => return Some(at + 1),
            _ => at += 1,
        }
    }
    None
}

/// `Some(None)` when this is no raw string after all (`r#type`).
#[expect(
    clippy::option_option,
    reason = "no raw string, and one that is not closed, are two answers"
)]
fn end_of_raw_string(rest: &[char], prefix: usize) -> Option<Option<usize>> {
    let hashes = rest[prefix..].iter().take_while(|c| **c == '#').count();
    let open = prefix + hashes;
    if rest.get(open) != Some(&'"') {
        return Some(None);
    }
    let mut at = open + 1;
    while at < rest.len() {
        let closing = rest[at + 1..].iter().take(hashes);
        if rest[at] == '"' && closing.filter(|c| **c == '#').count() == hashes {
            return Some(Some(at + 1 + hashes));
        }
        at += 1;
    }
    None
}

/// A character in quotes; a lifetime is none.
fn end_of_character(rest: &[char]) -> Option<usize> {
    match rest {
        ['\'', '\\', _, ..] => rest[3..].iter().position(|c| *c == '\'').map(|n| n + 4),
        ['\'', _, '\'', ..] => Some(3),
        _ => None,
    }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Reads paths out of blanked source.
struct Reader<'a> {
    chars: &'a [char],
    at: usize,
    line: usize,
    found: Vec<Written>,
    braces: usize,
    /// For each inline module around, how many braces were open outside it.
    modules: Vec<usize>,
}

/// All paths of a source.
fn paths(blanked: &str) -> Vec<Written> {
    let chars: Vec<char> = blanked.chars().collect();
    let mut reader = Reader {
        chars: &chars,
        at: 0,
        line: 1,
        found: Vec::new(),
        braces: 0,
        modules: Vec::new(),
    };
    let mut last_word = String::new();
    while let Some(c) = reader.peek() {
        if is_word(c) {
            let imported = last_word == "use" || last_word == "crate";
            let in_module = last_word == "mod";
            let after_dot = reader.before() == Some('.');
            let before = reader.found.len();
            reader.path(&[], imported);
            last_word = reader
                .found
                .get(before)
                .and_then(|path| path.segments.last().cloned())
                .unwrap_or_default();
            if after_dot {
                // A field or a method, and what belongs to it.
                reader.found.truncate(before);
            }
            reader.blanks();
            if in_module && reader.peek() == Some('{') {
                reader.modules.push(reader.braces);
            }
        } else if c == '{' && last_word == "use" {
            reader.group(&[], true);
            last_word.clear();
        } else {
            match c {
                '{' => reader.braces += 1,
                '}' => {
                    reader.braces = reader.braces.saturating_sub(1);
                    if reader.modules.last() == Some(&reader.braces) {
                        reader.modules.pop();
                    }
                }
                _ => {}
            }
            if !c.is_whitespace() && c != ':' {
                last_word.clear();
            }
            reader.step();
        }
    }
    reader.found
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn before(&self) -> Option<char> {
        self.at
            .checked_sub(1)
            .and_then(|i| self.chars.get(i))
            .copied()
    }

    fn step(&mut self) {
        if self.peek() == Some('\n') {
            self.line += 1;
        }
        self.at += 1;
    }

    fn blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.step();
        }
    }

    /// Steps over `::` if it stands here.
    fn colons(&mut self) -> bool {
        let found = self.chars[self.at..].starts_with(&[':', ':']);
        if found {
            self.at += 2;
            self.blanks();
        }
        found
    }

    /// A path from here on, after `stem`.
    fn path(&mut self, stem: &[String], imported: bool) {
        let mut segments = stem.to_vec();
        let line = self.line;
        loop {
            match self.peek() {
                Some('{') => {
                    self.group(&segments, imported);
                    return;
                }
                Some('*') => {
                    self.step();
                    segments.push("*".to_owned());
                    break;
                }
                Some(c) if is_word(c) => {
                    let mut word = String::new();
                    while let Some(c) = self.peek().filter(|c| is_word(*c)) {
                        word.push(c);
                        self.step();
                    }
                    let next = self.chars.get(self.at + 1);
                    if self.peek() == Some('!') && next != Some(&'=') {
                        word.push('!');
                    }
                    segments.push(word);
                    if !self.colons() {
                        break;
                    }
                }
                // `::<`: what follows is read as paths of its own.
                _ => break,
            }
        }
        self.found.push(Written {
            line,
            segments,
            depth: self.modules.len(),
            imported,
        });
    }

    /// `{a, b::c, d as e}` after a stem.
    fn group(&mut self, stem: &[String], imported: bool) {
        self.step();
        loop {
            self.blanks();
            match self.peek() {
                None => return,
                Some('}') => {
                    self.step();
                    return;
                }
                Some(c) if is_word(c) || c == '*' || c == '{' => {
                    self.path(stem, imported);
                    self.blanks();
                    // `as name` is no path.
                    while self.peek().is_some_and(|c| c != ',' && c != '}') {
                        self.step();
                    }
                }
                Some(_) => self.step(),
            }
        }
    }
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
            "{file}: module {here} has no rank; give it one in tests/layers.rs"
        ));
    }
    for path in paths(&blanked) {
        let place = format!("{file}:{}", path.line);
        let written = path.segments.join("::");
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
    let segments = &path.segments;
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

#[test]
fn imports_point_downwards_and_fences_hold() {
    let files = sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"));
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
            "tones/cluster.rs",
            "use kmeans_colors::{Calculate, get_kmeans};",
        ),
        (
            "main.rs",
            "use hillwash::{plan, colour::Xyz};\nuse clap::Parser;\nfn main() { eprintln!(); std::process::exit(2) }",
        ),
        (
            "cli/args.rs",
            "use crate::cli::request; use hillwash::mark; println!();",
        ),
        (
            "lib.rs",
            "pub mod plan;\npub use crate::plan::Plan;\npub mod image_list {}",
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
