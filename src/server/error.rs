//! Why a page is not served.

use crate::files::FileError;
use crate::problem::{Explain, Place};
use std::io;

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The folder or the file cannot be read.
    #[error("{0}")]
    File(FileError),
    /// The scene is faulty.
    #[error("{0}")]
    Scene(Box<dyn Explain>),
    /// There is no free port, or the like.
    #[error("could not serve the page: {0}")]
    System(io::Error),
}

impl Explain for ServeError {
    fn place(&self) -> Place {
        match self {
            Self::File(cause) => cause.place(),
            Self::Scene(cause) => cause.place(),
            Self::System(_) => Place::default(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::File(cause) => cause.hint(),
            Self::Scene(cause) => cause.hint(),
            Self::System(_) => None,
        }
    }
}
