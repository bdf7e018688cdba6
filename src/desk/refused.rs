//! What the page gets instead of an answer.

use crate::colour::LabD65;
use crate::problem::Explain;

/// Why a question has no answer: words for the page, and whether the file has changed.
#[derive(Debug, Clone, PartialEq)]
pub enum Refused {
    /// It makes no sense, or cannot be done.
    Problem {
        /// What was found, and what was expected.
        words: String,
        /// How to mend it.
        hint: Option<String>,
    },
    /// The file is not as the page has read it.
    Changed,
    /// A newer question has overtaken it.
    Stale,
}

impl Refused {
    pub(super) fn of_problem(problem: &dyn Explain) -> Self {
        let place = problem.place().to_string();
        Self::Problem {
            words: if place.is_empty() {
                problem.to_string()
            } else {
                format!("{place}: {problem}")
            },
            hint: problem.hint(),
        }
    }

    pub(super) fn words(words: impl Into<String>) -> Self {
        Self::Problem {
            words: words.into(),
            hint: None,
        }
    }

    /// All faults of a scene in one.
    pub(super) fn faults<E: Explain>(faults: &[E]) -> Self {
        Self::Problem {
            words: faults
                .iter()
                .map(|fault| format!("{}: {fault}", fault.place()))
                .collect::<Vec<_>>()
                .join("; "),
            hint: faults.iter().find_map(Explain::hint),
        }
    }
}

pub(super) fn lab(colour: LabD65) -> [f64; 3] {
    [colour.l, colour.a, colour.b]
}
