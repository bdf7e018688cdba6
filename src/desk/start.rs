//! A new scene from photos alone.

use std::fmt::Write;
use std::path::Path;

/// A scene that is not written yet.
#[derive(Debug, Clone)]
pub struct NewScene {
    /// Its text.
    pub(super) text: String,
}

/// Name of the paint list of a new scene.
pub(super) const PAINTS: &str = "paints.csv";
/// The list that a new scene gets; invented.
pub const STARTER_PAINTS: &[u8] = include_bytes!("../../sample-photos/brewery-yard/paints.csv");
/// The files of a starter scene that `plan` accepts as it is, except for its schema.
pub const STARTER: [(&str, &[u8]); 5] = [
    (
        SCENE,
        include_bytes!("../../sample-photos/starter/scene.toml"),
    ),
    (PAINTS, STARTER_PAINTS),
    (
        "scatter.csv",
        include_bytes!("../../sample-photos/brewery-yard/scatter.csv"),
    ),
    (
        "stone-wall.jpg",
        include_bytes!("../../sample-photos/brewery-yard/rubble-stone-wall.jpg"),
    ),
    (
        "photo-credits.txt",
        include_bytes!("../../sample-photos/starter/photo-credits.txt"),
    ),
];
/// Name of a new scene.
pub const SCENE: &str = "scene.toml";

/// Endings of photo files; what they hold is found out when they are read.
const ENDINGS: [&str; 11] = [
    "jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp", "gif", "qoi", "heic", "heif",
];

/// Whether a file's name is that of a photo.
pub(super) fn is_photo_name(name: &str) -> bool {
    Path::new(name)
        .extension()
        .is_some_and(|e| ENDINGS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}

impl NewScene {
    /// A scene of all photos among the files of a folder; it may have none yet.
    #[must_use]
    pub fn of_photos(title: &str, names: &[String]) -> Self {
        let mut text = format!(
            "# Positions are fractions of a picture's width and height, from its upper left corner, turned upright.\n\n\
         title  = {}\n\
         scale  = \"1:87\"      # the scale of your layout\n\
         view   = \"0.9 m\"     # from the eye to the model\n\
         paints = \"{PAINTS}\"\n",
            quoted(title)
        );
        let photos = names.iter().filter(|name| is_photo_name(name));
        // Keys are seen by whoever is handed the schedule; file names are not, and may tell more than is meant.
        for (at, name) in photos.enumerate() {
            let _ = write!(
                text,
                "\n[photos.photo-{}]\nfile = {}\n",
                at + 1,
                quoted(name)
            );
        }
        Self { text }
    }
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{MayName, parse_scene_to_draw};

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
        let new = NewScene::of_photos("a \"yard\"\n\\", &names);
        let scene =
            parse_scene_to_draw("scene.toml", new.text.as_bytes(), MayName::ItsFolder).unwrap();
        let keys: Vec<&str> = scene.photos.iter().map(|p| p.key.as_str()).collect();
        assert_eq!(keys, ["photo-1", "photo-2", "photo-3", "photo-4"]);
        assert_eq!(scene.title, "a \"yard\"\n\\");
    }
}
