//! Where measured data and further photos lie, which no clone carries.

use std::path::{Path, PathBuf};

/// A folder of the shared data: below the environment variable `HILLWASH_SHARED`, otherwise below `../shared` beside the
/// project. `None`, and said, when it is not there. `tests/README.md` tells what it must hold.
pub(crate) fn folder(name: &str) -> Option<PathBuf> {
    let root = std::env::var_os("HILLWASH_SHARED").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared"),
        PathBuf::from,
    );
    let folder = root.join(name);
    let there = folder.is_dir();
    if !there {
        println!(
            "skipped: no folder {}; set HILLWASH_SHARED (see tests/README.md)",
            folder.display()
        );
    }
    there.then_some(folder)
}
