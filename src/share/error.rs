//! What can be wrong with a plan from elsewhere.

use crate::problem::{Explain, Place};

/// A received schedule or plan that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReceivedError {
    /// Not text.
    #[error("found bytes that are not UTF-8 text, expected a schedule page or a plan.json")]
    NotUtf8 {
        /// Where.
        place: Place,
    },
    /// A page without our block.
    #[error("found {found} plans inside the page, expected one")]
    NoPlan {
        /// Where.
        place: Place,
        /// How many.
        found: usize,
    },
    /// Broken JSON, or JSON nested too deeply.
    #[error("found JSON that cannot be read ({detail}), expected a plan")]
    NotJson {
        /// Where.
        place: Place,
        /// What is wrong.
        detail: String,
    },
    /// Another format, or another version of it.
    #[error("found the format \"{found}\", expected \"hillwash.plan/1\"")]
    Format {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
    /// A value of the wrong kind.
    #[error("{detail}")]
    Kind {
        /// Where.
        place: Place,
        /// Found and expected.
        detail: String,
    },
    /// A value that makes no sense.
    #[error("found {found}, expected {expected}")]
    OutOfRange {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// What makes sense.
        expected: String,
    },
}

impl Explain for ReceivedError {
    fn place(&self) -> Place {
        match self {
            Self::NotUtf8 { place }
            | Self::NoPlan { place, .. }
            | Self::NotJson { place, .. }
            | Self::Format { place, .. }
            | Self::Kind { place, .. }
            | Self::OutOfRange { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::NotUtf8 { .. } | Self::NoPlan { .. } | Self::NotJson { .. } => Some(
                "ask for the original file; a page that a browser saved again, or a printed one, no longer holds its plan"
                    .to_owned(),
            ),
            Self::Format { found, .. } if found.starts_with("hillwash.plan/") => {
                Some("it is from another version of this program: use that version".to_owned())
            }
            Self::Format { .. } => Some("pass a schedule.html, or the plan.json beside it".to_owned()),
            Self::Kind { .. } | Self::OutOfRange { .. } => {
                Some("somebody changed the file, or it was damaged on the way: ask for it again".to_owned())
            }
        }
    }
}
