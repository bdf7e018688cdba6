//! The page's scripts as one: each module a function of its own, those it imports before it.
//!
//! They are written for this: imports and exports are on lines of their own, and no two import each other.

use super::page_files::PAGE_FILES;
use std::fmt::Write;

/// Who answers where the browser runs the core itself.
const ENGINE: &str = include_str!("../../report-templates/web/engine.js");
/// The file in whose place it stands.
const ENGINE_FILE: &str = "engine.js";
/// Where the page begins.
const MAIN: &str = "main.js";

/// A script by its name.
fn source(name: &str) -> &'static str {
    if name == ENGINE_FILE {
        return ENGINE;
    }
    let file = PAGE_FILES.iter().find(|file| file.name == name);
    file.map_or("", |file| file.content)
}

/// What a line imports: the names as a pattern, and from where.
fn imported(line: &str) -> Option<(String, &str)> {
    let (what, from) = line.strip_prefix("import ")?.rsplit_once(" from './")?;
    let from = from.strip_suffix("';")?;
    let pattern = match what.strip_prefix("* as ") {
        Some(all) => all.to_owned(),
        None => what.replace(" as ", ": "),
    };
    Some((pattern, from))
}

/// What a line exports: its name, and the line without that word.
fn exported(line: &str) -> Option<(&str, &str)> {
    let rest = line.strip_prefix("export ")?;
    let words = rest.strip_prefix("async ").unwrap_or(rest);
    let named = ["const ", "function ", "class "]
        .iter()
        .find_map(|word| words.strip_prefix(word))?;
    let end = named.find(|c: char| !c.is_alphanumeric() && c != '_' && c != '$')?;
    Some((&named[..end], rest))
}

fn put(name: &str, done: &mut Vec<String>, out: &mut String) {
    if done.iter().any(|known| known == name) {
        return;
    }
    done.push(name.to_owned());
    let (mut body, mut exports) = (String::new(), Vec::new());
    for line in source(name).lines() {
        if let Some((pattern, from)) = imported(line) {
            put(from, done, out);
            let _ = writeln!(body, "const {pattern} = modules['{from}'];");
        } else if let Some((name, rest)) = exported(line) {
            exports.push(name);
            let _ = writeln!(body, "{rest}");
        } else {
            let _ = writeln!(body, "{line}");
        }
    }
    // The last one waits for the layout to be opened.
    let wait = if name == MAIN { "async " } else { "" };
    let _ = write!(
        out,
        "modules['{name}'] = ({wait}() => {{\n{body}return {{ {} }};\n}})();\n",
        exports.join(", ")
    );
}

/// All of the page's scripts as one.
pub(super) fn script() -> String {
    let mut out = "'use strict';\nconst modules = {};\n".to_owned();
    put(MAIN, &mut Vec::new(), &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_import_and_export_is_understood() {
        let scripts = PAGE_FILES
            .iter()
            .filter(|file| file.kind.starts_with("text/javascript"));
        for file in scripts {
            for line in source(file.name).lines() {
                let word = line.split(' ').next().unwrap_or_default();
                match word {
                    "import" => assert!(
                        imported(line).is_some_and(|(_, from)| !source(from).is_empty()),
                        "{}: {line}",
                        file.name
                    ),
                    "export" => assert!(exported(line).is_some(), "{}: {line}", file.name),
                    _ => {}
                }
            }
            let engines = [
                source(ENGINE_FILE),
                PAGE_FILES
                    .iter()
                    .find(|f| f.name == ENGINE_FILE)
                    .unwrap()
                    .content,
            ];
            let names = engines.map(|text| {
                let mut names: Vec<&str> = text
                    .lines()
                    .filter_map(|line| Some(exported(line)?.0))
                    .collect();
                names.sort_unstable();
                names
            });
            assert_eq!(names[0], names[1], "both engines offer the same");
        }
    }

    #[test]
    fn what_is_imported_stands_before_and_all_is_in() {
        let script = script();
        let at = |name: &str| {
            script
                .find(&format!("modules['{name}'] = ("))
                .unwrap_or_else(|| panic!("{name}"))
        };
        for file in PAGE_FILES
            .iter()
            .filter(|file| file.kind.starts_with("text/javascript"))
        {
            for (_, from) in source(file.name).lines().filter_map(imported) {
                assert!(at(from) < at(file.name), "{} before {}", from, file.name);
            }
        }
        assert!(!script.contains("\nimport ") && !script.contains("\nexport "));
        assert!(!script.contains("</script"));
    }
}
