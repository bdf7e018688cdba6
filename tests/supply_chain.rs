//! What the program is built from: every crate comes from the registry, under a licence we may pass on, and no crate
//! stands in the tree twice unless it is known here and why.

#![expect(
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

use serde_json::Value;
use std::collections::BTreeMap;
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
