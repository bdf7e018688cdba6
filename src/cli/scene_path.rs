//! The path of a scene as it is typed.

use clap::builder::{PathBufValueParser, TypedValueParser};
use hillwash::files::file_names;
use std::path::{Path, PathBuf};

/// Takes a folder for the scene in it: `scene.toml`, or the one TOML file that lies there.
pub(crate) fn scene_path() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(|path| {
        if path.is_dir() {
            scene_in(&path).map(|name| path.join(name))
        } else {
            Ok(path)
        }
    })
}

/// The usual name, or the only one there is.
fn scene_in(folder: &Path) -> Result<String, String> {
    const USUAL: &str = "scene.toml";
    let mut scenes = file_names(folder).unwrap_or_default();
    scenes.retain(|name| {
        Path::new(name)
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("toml"))
    });
    scenes.sort();
    match &scenes[..] {
        [only] => Ok(only.clone()),
        _ if scenes.iter().any(|name| name == USUAL) => Ok(USUAL.to_owned()),
        [] => Err(
            "found no scene in this folder, expected scene.toml; `hillwash new FOLDER` begins one"
                .to_owned(),
        ),
        several => Err(format!(
            "found {} in this folder, expected one scene: name it",
            several.join(", ")
        )),
    }
}
