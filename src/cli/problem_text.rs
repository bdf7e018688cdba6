//! Anything that explains itself, as terminal text: place, found, expected, how to mend.

use super::terminal::plain;
use hillwash::problem::Explain;

/// All problems, each told once: what is wrong in the same way on several lines is one text with all its lines.
pub(crate) fn texts(problems: &[Box<dyn Explain>]) -> Vec<String> {
    let same = |one: &dyn Explain, other: &dyn Explain| {
        let (a, b) = (one.place(), other.place());
        a.line.is_some()
            && (&a.file, &a.field) == (&b.file, &b.field)
            && one.to_string() == other.to_string()
    };
    let mut all = Vec::new();
    for (at, problem) in problems.iter().enumerate() {
        let problem = problem.as_ref();
        if problems[..at].iter().any(|p| same(p.as_ref(), problem)) {
            continue;
        }
        let others: Vec<String> = problems[at + 1..]
            .iter()
            .filter(|p| same(problem, p.as_ref()))
            .filter_map(|p| p.place().line)
            .map(|line| line.to_string())
            .collect();
        let mut told = text(problem);
        if !others.is_empty() {
            told.push_str("\n  the same on line ");
            told.push_str(&others.join(", "));
        }
        all.push(told);
    }
    all
}

/// `error: paints.csv:14, hex: found …, expected …`, and the hint on a line of its own.
pub(crate) fn text(problem: &dyn Explain) -> String {
    let place = problem.place().to_string();
    let mut text = if place.is_empty() {
        format!("error: {problem}")
    } else {
        format!("error: {place}: {problem}")
    };
    if let Some(hint) = problem.hint() {
        text.push_str("\n  hint: ");
        text.push_str(&hint);
    }
    plain(&text)
}
