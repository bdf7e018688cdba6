//! Decoded photos and their colour sums, kept in memory so that dragging never decodes.

use super::suggest::{Suggestion, suggestions};
use crate::photo::{
    Crop, KnownLight, LightError, LightReport, Limits, PhotoError, PhotoWarning, Picture,
    SmallJpeg, decode, memory_needed, small_jpeg,
};
use crate::tones::Tiles;
use std::sync::{Arc, Mutex, PoisonError, RwLock};

/// Bytes that decoded photos and sums may take together; one photo is kept however large. Our choice.
const BUDGET: usize = 768 << 20;
/// Long side of the copy the page shows when the whole photo fits its window.
const VIEW_SIDE: u32 = 2000;

/// A photo in memory.
#[derive(Debug)]
pub(super) struct Loaded {
    pub(super) picture: Picture,
    pub(super) tiles: Tiles,
    pub(super) warnings: Vec<PhotoWarning>,
    pub(super) report: LightReport,
    light: KnownLight,
    /// Made when first needed, and again when the light changes.
    view: Option<Arc<SmallJpeg>>,
    suggestions: Option<Arc<Vec<Suggestion>>>,
}

impl Loaded {
    fn new(bytes: &[u8], limits: &Limits, light: &KnownLight) -> Result<Self, NotLoaded> {
        let read = decode(bytes, limits)?;
        let mut picture = read.value;
        let report = picture.correct(light)?;
        let tiles = Tiles::of_picture(&picture);
        Ok(Self {
            picture,
            tiles,
            warnings: read.warnings,
            report,
            light: light.clone(),
            view: None,
            suggestions: None,
        })
    }

    /// What is known of its light.
    pub(super) fn light(&self) -> &KnownLight {
        &self.light
    }

    fn bytes(&self) -> usize {
        // Three channels; 16-bit samples are rare and counted as if they were not deeper than two bytes each.
        let depth = match self.picture.samples {
            crate::photo::Samples::Rgb8(_) => 3,
            crate::photo::Samples::Rgb16(_) => 6,
        };
        let alpha = usize::from(self.picture.alpha.is_some());
        self.picture.pixel_count() * (depth + alpha) + self.tiles.bytes()
    }

    /// Corrects the light again, if it is another. A light that cannot be used leaves the photo as it was.
    fn set_light(&mut self, light: &KnownLight) -> Result<(), LightError> {
        if self.light != *light {
            self.report = self.picture.correct(light)?;
            self.light = light.clone();
            self.view = None;
            self.suggestions = None;
        }
        Ok(())
    }
}

/// Why there is no photo.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(super) enum NotLoaded {
    #[error("{0}")]
    Photo(#[from] PhotoError),
    #[error("{0}")]
    Light(#[from] LightError),
}

/// One photo's place, waiting for its picture or holding it.
#[derive(Debug)]
struct Slot {
    key: String,
    photo: Arc<RwLock<Option<Loaded>>>,
    bytes: usize,
}

/// The photos that were used last.
#[derive(Debug)]
pub(super) struct Gallery {
    limits: Limits,
    budget: usize,
    /// Held while a photo is decoded.
    decoding: Mutex<()>,
    /// Least recently used first.
    slots: Mutex<Vec<Slot>>,
}

impl Gallery {
    pub(super) fn new(limits: Limits) -> Self {
        Self {
            limits,
            budget: usize::try_from(limits.decoded_bytes).map_or(BUDGET, |most| most.min(BUDGET)),
            decoding: Mutex::default(),
            slots: Mutex::default(),
        }
    }

    /// The slot of a photo, now the most recently used.
    fn slot(&self, key: &str) -> Arc<RwLock<Option<Loaded>>> {
        let mut slots = self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        let slot = match slots.iter().position(|slot| slot.key == key) {
            Some(at) => slots.remove(at),
            None => Slot {
                key: key.to_owned(),
                photo: Arc::default(),
                bytes: 0,
            },
        };
        let photo = Arc::clone(&slot.photo);
        slots.push(slot);
        photo
    }

    /// Notes how large a photo is, and lets go of the least recently used ones beyond the budget.
    fn weigh(&self, key: &str, bytes: usize) {
        let mut slots = self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(slot) = slots.iter_mut().find(|slot| slot.key == key) {
            slot.bytes = bytes;
        }
        let mut total: usize = slots.iter().map(|slot| slot.bytes).sum();
        while total > self.budget && slots.len() > 1 {
            total -= slots.remove(0).bytes;
        }
    }

    /// Lets go of the least recently used photos but this one, until there is room for this many bytes more.
    fn make_room(&self, key: &str, bytes: u64) {
        let mut slots = self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        let most = usize::try_from(self.limits.decoded_bytes.saturating_sub(bytes)).unwrap_or(0);
        let mut total: usize = slots.iter().map(|slot| slot.bytes).sum();
        while total > most {
            let Some(at) = slots.iter().position(|slot| slot.key != key) else {
                return;
            };
            total -= slots.remove(at).bytes;
        }
    }

    /// Makes sure that a photo is in memory under a light, then works with it.
    pub(super) fn with<T>(
        &self,
        key: &str,
        light: &KnownLight,
        bytes: impl FnOnce() -> Result<Vec<u8>, String>,
        work: impl FnOnce(&Loaded) -> T,
    ) -> Result<T, String> {
        let photo = self.slot(key);
        loop {
            let held = photo.read().unwrap_or_else(PoisonError::into_inner);
            if let Some(loaded) = held.as_ref().filter(|loaded| loaded.light == *light) {
                return Ok(work(loaded));
            }
            drop(held);
            let mut held = photo.write().unwrap_or_else(PoisonError::into_inner);
            if let Some(loaded) = held.as_mut() {
                loaded.set_light(light).map_err(|e| e.to_string())?;
            } else {
                let bytes = bytes()?;
                // One at a time is decoded, and room is made for it first.
                let _turn = self.decoding.lock().unwrap_or_else(PoisonError::into_inner);
                self.make_room(key, memory_needed(&bytes, &self.limits));
                let loaded = Loaded::new(&bytes, &self.limits, light).map_err(|e| e.to_string())?;
                self.weigh(key, loaded.bytes());
                return Ok(work(held.insert(loaded)));
            }
        }
    }

    /// Lets go of a photo: its name may become that of another.
    pub(super) fn forget(&self, key: &str) {
        let mut slots = self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        slots.retain(|slot| slot.key != key);
    }

    /// Something made of a photo once and kept with it.
    fn kept<T: Clone>(
        &self,
        key: &str,
        find: impl Fn(&mut Loaded) -> &mut Option<T>,
        make: impl FnOnce(&Loaded) -> T,
    ) -> Option<T> {
        let photo = self.slot(key);
        let mut held = photo.write().unwrap_or_else(PoisonError::into_inner);
        let loaded = held.as_mut()?;
        if let Some(kept) = find(loaded) {
            return Some(kept.clone());
        }
        let made = make(loaded);
        *find(loaded) = Some(made.clone());
        Some(made)
    }

    /// The whole photo, small enough to show; it must have been loaded before.
    pub(super) fn view(&self, key: &str) -> Option<Arc<SmallJpeg>> {
        self.kept(
            key,
            |loaded| &mut loaded.view,
            |loaded| {
                Arc::new(
                    small_jpeg(&loaded.picture, Crop::WHOLE, VIEW_SIDE).unwrap_or(SmallJpeg {
                        width: 0,
                        height: 0,
                        bytes: Vec::new(),
                    }),
                )
            },
        )
    }

    /// Regions that may be surfaces; the photo must have been loaded before.
    pub(super) fn suggestions(&self, key: &str) -> Option<Arc<Vec<Suggestion>>> {
        self.kept(
            key,
            |loaded| &mut loaded.suggestions,
            |loaded| Arc::new(suggestions(&loaded.picture)),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    /// A PNG would need an encoder here; a BMP does not.
    fn bitmap(width: u8, height: u8) -> Vec<u8> {
        let row = usize::from(width).div_ceil(4) * 4 * 3;
        let size = 54 + row * usize::from(height);
        let mut bytes = b"BM".to_vec();
        bytes.extend(u32::try_from(size).unwrap().to_le_bytes());
        bytes.extend([0, 0, 0, 0, 54, 0, 0, 0, 40, 0, 0, 0]);
        bytes.extend([width, 0, 0, 0, height, 0, 0, 0, 1, 0, 24, 0]);
        bytes.resize(54, 0);
        bytes.resize(size, 120);
        bytes
    }

    #[test]
    fn a_photo_is_decoded_once_and_the_least_recently_used_goes_first() {
        let mut gallery = Gallery::new(Limits::default());
        let reads = Cell::new(0);
        let look = |gallery: &Gallery, key: &str| {
            let bytes = || {
                reads.set(reads.get() + 1);
                Ok(bitmap(40, 40))
            };
            let size = |loaded: &Loaded| loaded.bytes();
            gallery
                .with(key, &KnownLight::Nothing, bytes, size)
                .unwrap()
        };
        let size = look(&gallery, "a");
        look(&gallery, "a");
        assert_eq!(reads.get(), 1);
        gallery.budget = 2 * size + size / 2;
        look(&gallery, "b");
        look(&gallery, "a");
        look(&gallery, "c");
        assert_eq!(reads.get(), 3);
        look(&gallery, "a");
        assert_eq!(reads.get(), 3, "a was used after b");
        look(&gallery, "b");
        assert_eq!(reads.get(), 4, "b had gone");
    }
}
