//! A scene where there are only photos.

use crate::files::{FileError, file_names};
use std::fmt::Write;
use std::path::Path;

/// A scene that is not written yet.
#[derive(Debug, Clone)]
pub(super) struct NewScene {
    /// Its text.
    pub(super) text: String,
    /// Whether a paint list has to be written beside it.
    pub(super) needs_paints: bool,
}

/// Name of the paint list of a new scene.
pub(super) const PAINTS: &str = "paints.csv";
/// Name of a new scene.
pub(super) const SCENE: &str = "scene.toml";

/// Endings of the files that are taken for photos; what they hold is found out when they are read.
const ENDINGS: [&str; 9] = [
    "jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp", "gif", "qoi",
];

/// A scene of all photos of a folder; `None` when it holds none.
///
/// # Errors
/// When the folder cannot be looked into.
pub(super) fn scene_of_folder(folder: &Path) -> Result<Option<NewScene>, FileError> {
    let title = folder
        .canonicalize()
        .ok()
        .and_then(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
        .unwrap_or_else(|| "My layout".to_owned());
    Ok(scene_of_photos(&title, &file_names(folder)?))
}

fn scene_of_photos(title: &str, names: &[String]) -> Option<NewScene> {
    let is_photo = |name: &&String| {
        Path::new(name)
            .extension()
            .is_some_and(|e| ENDINGS.iter().any(|known| e.eq_ignore_ascii_case(known)))
    };
    let mut text = format!(
        "# Positions are fractions of a picture's width and height, from its upper left corner, turned upright.\n\n\
         title  = {}\n\
         scale  = \"1:87\"      # the scale of your layout\n\
         view   = \"0.9 m\"     # from the eye to the model\n\
         paints = \"{PAINTS}\"\n",
        quoted(title)
    );
    let photos: Vec<&String> = names.iter().filter(is_photo).collect();
    // Keys are seen by whoever is handed the schedule; file names are not, and may tell more than is meant.
    for (at, name) in photos.iter().enumerate() {
        let _ = write!(
            text,
            "\n[photos.photo-{}]\nfile = {}\n",
            at + 1,
            quoted(name)
        );
    }
    (!photos.is_empty()).then(|| NewScene {
        text,
        needs_paints: !names.iter().any(|name| name == PAINTS),
    })
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::parse_scene_to_draw;

    #[test]
    fn awkward_names_make_a_scene_that_reads() {
        let names = [
            "###.webp",
            "Höhe.tif",
            "Wall (1).JPG",
            "notes.txt",
            "wall 1.png",
        ];
        let names = names.map(str::to_owned);
        let new = scene_of_photos("a \"yard\"\n\\", &names).unwrap();
        let scene = parse_scene_to_draw("scene.toml", new.text.as_bytes(), false).unwrap();
        let keys: Vec<&str> = scene.photos.iter().map(|p| p.key.as_str()).collect();
        assert_eq!(keys, ["photo-1", "photo-2", "photo-3", "photo-4"]);
        assert_eq!(scene.title, "a \"yard\"\n\\");
        assert!(new.needs_paints);
    }
}
