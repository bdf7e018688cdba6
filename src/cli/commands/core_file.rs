//! The core for browsers: a file that is built separately. It lies beside this program, or where the user says.

use crate::cli::args::CoreArgs;
use crate::cli::{Problems, boxed};
use hillwash::files::{FileError, read_file};
use hillwash::problem::{Explain, Place};
use hillwash::site::looks_packed;
use std::path::{Path, PathBuf};

/// Its name.
const NAME: &str = "hillwash.core";
/// Largest core, bytes.
const MOST_CORE: u64 = 64 << 20;

/// No core, or something else.
#[derive(Debug, thiserror::Error)]
enum BadCore {
    #[error("found no core for browsers (\"{NAME}\") beside this program, expected one")]
    None,
    #[error(
        "found something else, expected the core for browsers, a packed file of that name: {NAME}"
    )]
    Other { path: PathBuf },
}

impl Explain for BadCore {
    fn place(&self) -> Place {
        match self {
            Self::None => Place::default().at_field("--core"),
            Self::Other { path } => Place::file(path.display().to_string()),
        }
    }

    fn hint(&self) -> Option<String> {
        Some(format!(
            "build it with `bash src/web/build.sh` in the program's source; then give --core target/web/{NAME}, or copy that file beside this program"
        ))
    }
}

fn beside() -> Option<PathBuf> {
    let program = std::env::current_exe().ok()?;
    let path = program.with_file_name(NAME);
    path.is_file().then_some(path)
}

fn read(path: &Path) -> Result<Vec<u8>, Problems> {
    let core = read_file(path, &Place::default(), "the core for browsers", MOST_CORE)
        .map_err(|e: FileError| boxed([e]))?;
    if looks_packed(&core) {
        return Ok(core);
    }
    Err(boxed([BadCore::Other {
        path: path.to_owned(),
    }]))
}

/// The core, where something cannot be done without it.
pub(super) fn core_wanted(args: &CoreArgs) -> Result<Vec<u8>, Problems> {
    match args.core.clone().or_else(beside) {
        Some(path) => read(&path),
        None => Err(boxed([BadCore::None])),
    }
}

/// The core, where there is one.
pub(super) fn core_if_there(args: &CoreArgs) -> Result<Option<Vec<u8>>, Problems> {
    let path = args.core.clone().or_else(beside);
    path.map(|path| read(&path)).transpose()
}
