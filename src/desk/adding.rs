//! New photos: writes them beside the scene and names them in it.

use super::desk::{Desk, Opened, digest};
use super::edit::photo_added;
use super::refused::Refused;
use super::seen::SeenIn;
use super::start::is_photo_name;
use crate::photo::{KnownLight, check_kind};
use serde_json::{Value, json};
use std::sync::{Arc, PoisonError};

/// Longest name of a photo that is kept.
const LONGEST_NAME: usize = 80;

impl Desk {
    /// Takes in a photo by the name it had elsewhere: its file beside the scene, its name in it.
    ///
    /// # Errors
    /// [`Refused`] if it is not a photo, or cannot be written.
    pub fn add_photo(&self, name: &str, bytes: &[u8]) -> Result<Value, Refused> {
        if self.settings.print_only {
            return Err(Refused::words(
                "found a photo, but this page writes nothing",
            ));
        }
        check_kind(bytes).map_err(|e| Refused::of_problem(&e))?;
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let file = self.free_name(&plain_name(name)?, bytes);
        let text = self.scene_bytes()?;
        // A page that has read something else goes on saying so.
        let before = digest(&text);
        let opened = self.reopen(text)?;
        let there = opened.scene.photos.iter().find(|photo| photo.file == file);
        if let Some(photo) = there {
            return Ok(
                json!({ "key": photo.key, "file": file, "before": before, "digest": opened.digest, "known": true }),
            );
        }
        let (key, text) = photo_added(
            &self.settings.name,
            &opened.text,
            self.settings.may_name,
            &file,
        )
        .map_err(|e| Refused::of_problem(&e))?;
        self.read_whole(&key, &file, bytes)?;
        if !self.keeper.has(&file) {
            self.keeper.write(&file, None, bytes)?;
        }
        let opened = self.rewrite(&opened.text, text)?;
        Ok(json!({ "key": key, "file": file, "before": before, "digest": opened.digest }))
    }

    /// Reads a photo to its end before it is kept: one that is cut short is refused. The page asks for it next, and then
    /// it is there. The name may have been another photo's, which was taken out.
    fn read_whole(&self, key: &str, file: &str, bytes: &[u8]) -> Result<(), Refused> {
        self.gallery.forget(key);
        let mut lights = self.lights.write().unwrap_or_else(PoisonError::into_inner);
        lights.retain(|(name, _)| name != key);
        lights.push((key.to_owned(), SeenIn::default()));
        drop(lights);
        let light = KnownLight::Nothing;
        self.gallery
            .with(key, &light, || Ok(bytes.to_vec()), |_| ())
            .map_err(|words| Refused::Problem {
                words: format!("{file}: {words}"),
                hint: Some("copy it again from where it came: nothing was added".to_owned()),
            })
    }

    /// Puts a text in the place of the scene's: in the file, or in what will become it.
    ///
    /// # Errors
    /// [`Refused`] where it cannot be written, or is no scene.
    pub(super) fn rewrite(&self, before: &[u8], text: String) -> Result<Arc<Opened>, Refused> {
        let mut new = self
            .new_scene
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(new) = &mut *new {
            new.text.clone_from(&text);
        } else {
            self.keeper.write_scene(Some(before), text.as_bytes())?;
        }
        drop(new);
        self.reopen(text.into_bytes())
    }

    /// A name that is free beside the scene, or that of the same photo.
    fn free_name(&self, name: &str, bytes: &[u8]) -> String {
        let same = |name: &str| {
            let place = crate::problem::Place::default();
            let there = self
                .keeper
                .read(name, &place, super::keeper::FileKind::Photo);
            there.is_ok_and(|there| there == bytes)
        };
        let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
        let mut candidate = name.to_owned();
        for n in 2.. {
            if !self.keeper.has(&candidate) || same(&candidate) {
                break;
            }
            candidate = format!("{stem}-{n}.{ending}");
        }
        candidate
    }
}

/// A file name that is one on every system, of letters, digits and a few signs.
fn plain_name(name: &str) -> Result<String, Refused> {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: String = last
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || "-_.() ".contains(c) {
                c
            } else {
                '-'
            }
        })
        .collect();
    let plain = plain.trim_matches(['.', ' ']);
    let (stem, ending) = plain.rsplit_once('.').unwrap_or((plain, "jpg"));
    let stem: String = stem.chars().take(LONGEST_NAME).collect();
    let stem = if stem.is_empty() { "photo" } else { &stem };
    let name = format!("{stem}.{ending}");
    if is_photo_name(&name) {
        Ok(name)
    } else {
        Err(Refused::words(format!(
            "found \"{name}\", expected a photo: JPEG, PNG, TIFF, WebP, HEIC, BMP, GIF or QOI"
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_from_elsewhere_become_plain_ones() {
        assert_eq!(plain_name("../../etc/Wall 1.JPG").unwrap(), "Wall 1.JPG");
        assert_eq!(plain_name("C:\\p\\a:b?.png").unwrap(), "a-b-.png");
        assert_eq!(plain_name("").unwrap(), "photo.jpg");
        assert!(plain_name("notes.txt").is_err());
        assert_eq!(plain_name(".hidden.jpg").unwrap(), "hidden.jpg");
    }
}
