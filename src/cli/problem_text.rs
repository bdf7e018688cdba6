//! Anything that explains itself, as terminal text: place, found, expected, how to mend.

use super::terminal::plain;
use hillwash::problem::Explain;
use std::collections::HashMap;

/// Most lines that are named where the same is wrong on each.
const MOST_LINES: usize = 12;

/// Of faults of one kind in one column this many are printed in full; of the rest the lines.
const SHOWN_OF_A_KIND: usize = 3;

/// One text, and the further lines that it holds for.
struct ProblemText {
    text: String,
    same: Vec<usize>,
    such: Vec<usize>,
}

/// The place of a fault without its line, and its words.
type ProblemKey = (Option<String>, Option<String>, String);

/// All problems, each once: the same fault on several lines is one text with the first of these lines, and so are
/// faults of one column that expect the same.
pub(crate) fn texts(problems: &[Box<dyn Explain>]) -> Vec<String> {
    let mut all: Vec<ProblemText> = Vec::new();
    let mut known: HashMap<ProblemKey, usize> = HashMap::new();
    let mut kinds: HashMap<ProblemKey, Vec<usize>> = HashMap::new();
    for problem in problems {
        let place = problem.place();
        let words = problem.to_string();
        if let Some(line) = place.line {
            let (file, field) = (place.file, place.field);
            if let Some(told) = known.get(&(file.clone(), field.clone(), words.clone())) {
                all[*told].same.push(line);
                continue;
            }
            let expected = words.split_once(", expected ");
            if let Some((_, expected)) = expected.filter(|_| field.is_some()) {
                let kind = (file.clone(), field.clone(), expected.to_owned());
                let told = kinds.entry(kind).or_default();
                if let Some(last) = told.get(SHOWN_OF_A_KIND - 1) {
                    all[*last].such.push(line);
                    continue;
                }
                told.push(all.len());
            }
            known.insert((file, field, words), all.len());
        }
        all.push(ProblemText {
            text: problem_text(problem.as_ref()),
            same: Vec::new(),
            such: Vec::new(),
        });
    }
    all.into_iter()
        .map(|told| {
            told.text
                + &further("the same", &told.same)
                + &further("more of this kind in this column", &told.such)
        })
        .collect()
}

/// "the same on line 3, 4 and on 7 more"; empty where there is no further line.
fn further(what: &str, lines: &[usize]) -> String {
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
    format!("\n  {what} on line {}{and_more}", first.join(", "))
}

/// `error: paints.csv:14, hex: found …, expected …`, and the hint on a line of its own.
pub(crate) fn problem_text(problem: &dyn Explain) -> String {
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
