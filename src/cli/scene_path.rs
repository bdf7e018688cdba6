//! The path of a scene as it is typed.

use clap::builder::{PathBufValueParser, TypedValueParser};
use hillwash::files::file_names;
use std::path::{Path, PathBuf};

/// Takes a folder for the scene in it: `scene.toml`, or the one TOML file that lies there.
pub(crate) fn scene_path() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().map(|path| {
        if path.is_dir() {
            path.join(scene_in(&path))
        } else {
            path
        }
    })
}

/// Where nothing is there, or several, the usual name is told as the one that is missing.
fn scene_in(folder: &Path) -> String {
    const USUAL: &str = "scene.toml";
    let mut scenes = file_names(folder).unwrap_or_default();
    scenes.retain(|name| {
        Path::new(name)
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("toml"))
    });
    match &scenes[..] {
        [only] => only.clone(),
        _ => USUAL.to_owned(),
    }
}
