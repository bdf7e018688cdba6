//! What the program is built from: every crate comes from the registry, under a licence we may pass on, and no crate
//! stands in the tree twice unless it is known here and why. Sample photos tell nothing of who took them and when.

#![expect(
    clippy::disallowed_methods,
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

use serde_json::Value;
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Licences that let a binary be passed on under MIT or Apache-2.0; their texts go with it where they ask for it.
const LICENCES: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Crates of which the built program holds two versions, and who still asks for the older one.
const TWICE: [(&str, &str); 3] = [
    (
        "getrandom",
        "rand 0.9, whose traits the clustering engine names",
    ),
    ("hashbrown", "kmeans_colors 0.7"),
    ("miniz_oxide", "png"),
];

/// The crates that are built into the program for this machine, by name and version, from Cargo's own description.
fn built_in() -> Vec<(String, String)> {
    let output = cargo(&[
        "tree",
        "--locked",
        "--edges",
        "normal,no-proc-macro",
        "--prefix",
        "none",
        "--format",
        "{p}",
    ]);
    let mut crates: Vec<(String, String)> = output
        .lines()
        .filter_map(|line| {
            let mut words = line.split_whitespace();
            Some((words.next()?.to_owned(), words.next()?.to_owned()))
        })
        .collect();
    crates.sort();
    crates.dedup();
    crates
}

fn cargo(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).expect("cargo writes UTF-8")
}

fn packages() -> Vec<Value> {
    let text = cargo(&["metadata", "--locked", "--format-version", "1"]);
    let all: Value = serde_json::from_str(&text).expect("cargo metadata is JSON");
    all["packages"].as_array().expect("packages").clone()
}

/// An SPDX expression in its plain forms: alternatives, of which one must be ours, joined by conditions, of which all must.
fn may_be_passed_on(expression: &str) -> bool {
    expression.replace('/', " OR ").split(" AND ").all(|part| {
        part.trim_matches(['(', ')', ' '])
            .split(" OR ")
            .any(|licence| LICENCES.contains(&licence.trim_matches(['(', ')', ' '])))
    })
}

#[test]
fn every_crate_comes_from_the_registry_under_a_licence_we_may_pass_on() {
    let packages = packages();
    assert!(packages.len() > 20, "the tree is missing");
    let mut faults = Vec::new();
    for package in &packages {
        let name = package["name"].as_str().unwrap_or_default();
        match package["source"].as_str() {
            None if name == env!("CARGO_PKG_NAME") => {}
            Some(source) if source.starts_with("registry+") => {}
            other => faults.push(format!("{name} comes from {other:?}")),
        }
        let licence = package["license"].as_str().unwrap_or("nothing stated");
        if !may_be_passed_on(licence) {
            faults.push(format!("{name} is under {licence}"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn no_crate_is_built_in_twice_without_a_known_reason() {
    let mut versions: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (name, version) in built_in() {
        versions.entry(name).or_default().push(version);
    }
    assert!(versions.len() > 20, "the tree is missing");
    let twice: Vec<String> = versions
        .iter()
        .filter(|(_, found)| found.len() > 1)
        .map(|(name, found)| format!("{name}: {}", found.join(", ")))
        .collect();
    let known: Vec<&str> = TWICE.iter().map(|(name, _)| *name).collect();
    for line in &twice {
        let name = line.split(':').next().unwrap_or_default();
        assert!(
            known.contains(&name),
            "built in twice: {line}; bring them together, or note here who still asks for the older one"
        );
    }
    assert_eq!(
        twice.len(),
        known.len(),
        "a crate noted here stands in the tree once: take its note away"
    );
}

#[test]
fn licences_are_judged_by_their_alternatives_and_conditions() {
    assert!(may_be_passed_on("MIT OR GPL-3.0-only"));
    assert!(may_be_passed_on("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(may_be_passed_on("Unlicense/MIT"));
    assert!(!may_be_passed_on("GPL-3.0-only"));
    assert!(!may_be_passed_on("MIT AND AGPL-3.0-only"));
    assert!(!may_be_passed_on("nothing stated"));
}

/// What a JPEG file carries beside its picture that may not travel: all but its frame, its colour profile and its turn.
fn notes_in_jpeg(bytes: &[u8]) -> Vec<String> {
    let mut notes = Vec::new();
    let mut at = 2;
    while let [0xff, marker, high, low, ..] = bytes[at..] {
        let length = usize::from(u16::from_be_bytes([high, low]));
        let body = &bytes[at + 4..at + 2 + length];
        let allowed = match marker {
            0xe0 => body.starts_with(b"JFIF\0"),
            0xe1 => is_turn_alone(body),
            0xe2 => body.starts_with(b"ICC_PROFILE\0"),
            // how the colours of the picture are stored
            0xee => body.starts_with(b"Adobe"),
            0xe3..=0xef | 0xfe => false,
            _ => true,
        };
        if !allowed {
            let begins = String::from_utf8_lossy(&body[..body.len().min(12)]).into_owned();
            notes.push(format!("segment {marker:#x}, {length} bytes: {begins:?}"));
        }
        at += 2 + length;
        if marker == 0xda {
            break;
        }
    }
    if !bytes.ends_with(&[0xff, 0xd9]) {
        notes.push("bytes after the picture's end".to_owned());
    }
    notes
}

/// Whether an EXIF segment holds nothing but which way up the picture is (tag 0x0112 of Exif 2.3).
fn is_turn_alone(body: &[u8]) -> bool {
    const ORIENTATION: [u8; 2] = [0x01, 0x12];
    let turned = |b: [u8; 2]| [b[1], b[0]];
    match body.strip_prefix(b"Exif\0\0") {
        // byte order, then where the first directory lies, then its count and its first tag
        Some([b'M', b'M', 0, 42, 0, 0, 0, 8, a, b, c, d, ..]) => {
            [*a, *b] == [0, 1] && [*c, *d] == ORIENTATION
        }
        Some([b'I', b'I', 42, 0, 8, 0, 0, 0, a, b, c, d, ..]) => {
            turned([*a, *b]) == [0, 1] && turned([*c, *d]) == ORIENTATION
        }
        _ => false,
    }
}

/// All files below a folder.
fn files_below(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry can be read").path())
        .flat_map(|path| {
            if path.is_dir() {
                files_below(&path)
            } else {
                vec![path]
            }
        })
        .collect();
    files.sort();
    files
}

#[test]
fn sample_photos_carry_nothing_but_their_profile_and_their_turn() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos");
    let mut pictures = 0;
    // A schedule that somebody made of the sample scene lies beside it, as `.gitignore` has it, and goes nowhere.
    let made = |file: &PathBuf| {
        let inside = file.parent().and_then(Path::file_name);
        inside.is_some_and(|folder| folder.to_string_lossy().starts_with("schedule"))
    };
    let files = files_below(&folder).into_iter();
    for file in files.filter(|file| !made(file)) {
        let end = file.extension().and_then(OsStr::to_str).unwrap_or_default();
        match end {
            "jpg" => {
                pictures += 1;
                let notes = notes_in_jpeg(&std::fs::read(&file).expect("a photo can be read"));
                assert!(notes.is_empty(), "{}: {notes:#?}", file.display());
            }
            "toml" | "csv" | "md" | "txt" => {}
            _ => unreachable!(
                "{}: this test knows JPEG alone; teach it what else the file may carry",
                file.display()
            ),
        }
    }
    assert!(pictures > 5, "only {pictures} pictures were found");
}

#[test]
fn a_photo_that_tells_of_its_camera_is_refused() {
    let segment = |marker: u8, body: &[u8]| {
        let length = u16::try_from(body.len() + 2).expect("short").to_be_bytes();
        [&[0xff, marker], &length[..], body].concat()
    };
    let file = |middle: &[u8]| {
        [
            &[0xff, 0xd8],
            middle,
            &segment(0xda, b"")[..],
            &[0xff, 0xd9],
        ]
        .concat()
    };
    let turn = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    let camera = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x0f\0\x02\0\0\0\x04abc\0\0\0\0\0";
    for (marker, body, wanted) in [
        (0xe0, &b"JFIF\0"[..], 0),
        (0xe1, turn, 0),
        (0xe1, camera, 1),
        (0xe1, b"http://ns.adobe.com/xap/1.0/\0", 1),
        (0xe2, b"ICC_PROFILE\0", 0),
        (0xe2, b"MPF\0", 1),
        (0xed, b"Photoshop 3.0\0", 1),
        (0xfe, b"a comment", 1),
    ] {
        let notes = notes_in_jpeg(&file(&segment(marker, body)));
        assert_eq!(notes.len(), wanted, "{marker:#x}: {notes:?}");
    }
}
