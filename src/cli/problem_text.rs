//! Anything that explains itself, as terminal text: place, found, expected, how to mend.

use super::terminal::plain;
use hillwash::problem::Explain;

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
