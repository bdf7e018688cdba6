//! Anything that explains itself, as terminal text: place, found, expected, how to mend.

use super::terminal::plain;
use hillwash::problem::Explain;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// Most lines that are named where the same is wrong on each.
const MOST_LINES: usize = 12;

/// All problems, each told once: what is wrong in the same way on several lines is one text with its first lines.
pub(crate) fn texts(problems: &[Box<dyn Explain>]) -> Vec<String> {
    let mut all: Vec<(String, Vec<usize>)> = Vec::new();
    let mut known: HashMap<(Option<String>, Option<String>, String), usize> = HashMap::new();
    for problem in problems {
        let place = problem.place();
        let Some(line) = place.line else {
            all.push((text(problem.as_ref()), Vec::new()));
            continue;
        };
        match known.entry((place.file, place.field, problem.to_string())) {
            Entry::Occupied(told) => all[*told.get()].1.push(line),
            Entry::Vacant(new) => {
                new.insert(all.len());
                all.push((text(problem.as_ref()), Vec::new()));
            }
        }
    }
    all.into_iter()
        .map(|(told, lines)| told + &also_on(&lines))
        .collect()
}

/// "the same on line 3, 4 and 7 more lines"; empty where there is no further line.
fn also_on(lines: &[usize]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let first: Vec<String> = lines
        .iter()
        .take(MOST_LINES)
        .map(ToString::to_string)
        .collect();
    let more = lines.len().saturating_sub(MOST_LINES);
    let and_more = match more {
        0 => String::new(),
        1 => " and on 1 more".to_owned(),
        _ => format!(" and on {more} more"),
    };
    format!("\n  the same on line {}{and_more}", first.join(", "))
}

/// `error: paints.csv:14, hex: found …, expected …`, and the hint on a line of its own.
pub(crate) fn text(problem: &dyn Explain) -> String {
    // A line break in a file's name would look like a line of the program's own.
    let one_line = |text: String| text.replace(['\n', '\r'], " ");
    let place = one_line(problem.place().to_string());
    let told = one_line(problem.to_string());
    let mut text = if place.is_empty() {
        format!("error: {told}")
    } else {
        format!("error: {place}: {told}")
    };
    if let Some(hint) = problem.hint() {
        text.push_str("\n  hint: ");
        text.push_str(&hint);
    }
    plain(&text)
}
