//! A name stands for one thing: no two types of `src/` share theirs, aliases included, and a function says of what it
//! tells.

use super::own_sources;
use super::reading::without_comments_and_strings;
use std::collections::BTreeMap;

/// Names that leave a reader to look up what is meant.
const SAY_NOTHING: [&str; 4] = ["of", "told", "found", "list"];

/// What a line declares at its beginning, after how widely it may be seen: the keyword and the name.
fn declared(line: &str) -> Option<(&str, &str)> {
    let mut rest = line.trim_start();
    if let Some(seen) = rest.strip_prefix("pub") {
        rest = match seen.strip_prefix('(') {
            Some(within) => within.split_once(')')?.1,
            None => seen,
        }
        .trim_start();
    }
    let (keyword, rest) = rest.trim_start_matches("const ").split_once(' ')?;
    let name = rest
        .split(|c: char| !c.is_alphanumeric() && c != '_')
        .next()?;
    // A macro that declares types gives their names elsewhere.
    (!name.is_empty()).then_some((keyword, name))
}

/// The types and the functions of a source that are no test's, each with its line.
fn names_in(source: &str) -> Vec<(&str, &str, usize)> {
    let lines = source.lines().enumerate();
    lines
        .take_while(|(_, line)| !line.starts_with("#[cfg(test)]"))
        .filter_map(|(at, line)| {
            declared(line).map(|(keyword, name)| (line, keyword, name, at + 1))
        })
        // A type within a trait's block, or within a function, is known there alone.
        .filter(|(line, keyword, ..)| *keyword != "type" || !line.starts_with(' '))
        .map(|(_, keyword, name, at)| (keyword, name, at))
        .collect()
}

#[test]
fn each_type_has_a_name_of_its_own_and_each_function_says_of_what() {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut faults = Vec::new();
    for (file, text) in own_sources() {
        let source = without_comments_and_strings(&text).unwrap();
        for (keyword, name, line) in names_in(&source) {
            match keyword {
                "struct" | "enum" | "trait" | "type" => places
                    .entry(name.to_owned())
                    .or_default()
                    .push(format!("src/{file}:{line}")),
                "fn" if SAY_NOTHING.contains(&name) => {
                    faults.push(format!("src/{file}:{line}: a function called `{name}`"));
                }
                _ => {}
            }
        }
    }
    assert!(places.len() > 400, "{} types were read", places.len());
    let shared = places.iter().filter(|(_, places)| places.len() > 1);
    faults.extend(shared.map(|(name, places)| format!("{name}: {}", places.join(", "))));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn an_alias_counts_as_a_type_and_one_within_a_block_does_not() {
    let source =
        "type Set = u128;\nimpl Iterator for Pots {\n    type Item = Pot;\n}\nstruct Set;\n";
    let names: Vec<&str> = (names_in(source).iter())
        .filter(|(keyword, ..)| matches!(*keyword, "type" | "struct"))
        .map(|(_, name, _)| *name)
        .collect();
    assert_eq!(names, ["Set", "Set"]);
}

#[test]
fn a_declaration_is_read_whoever_may_see_it() {
    for (line, wanted) in [
        (
            "pub(in crate::report) struct Lit<'a> {",
            Some(("struct", "Lit")),
        ),
        ("    pub const fn of(self) -> u8 {", Some(("fn", "of"))),
        ("enum Kind {", Some(("enum", "Kind"))),
        ("pub(super) type Set = u128;", Some(("type", "Set"))),
        ("}", None),
    ] {
        assert_eq!(declared(line), wanted, "{line}");
    }
}
