//! Photos: their light, what they show, and new photos.

use super::desk::Desk;
use super::drawing::Point;
use super::gallery::Loaded;
use super::keeper::FileKind;
use super::lane::QuestionLane;
use super::loupe::pointed_at;
use super::refused::Refused;
use super::seen::SeenIn;
use crate::photo::{Crop, SmallJpeg, small_jpeg};
use crate::scene::PhotoSource;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::{Arc, PoisonError};

/// Long sides that a cut may have.
const CUT_SIDES: std::ops::RangeInclusive<u32> = 16..=4096;

/// A question about the colour at a point.
#[derive(Debug, Deserialize)]
pub struct AskColour {
    photo: String,
    at: Point,
}

/// A photo and the light to see it in.
#[derive(Debug, Deserialize)]
pub struct AskLight {
    photo: String,
    #[serde(flatten)]
    seen_in: SeenIn,
}

/// A part of a photo to show.
#[derive(Debug, Deserialize)]
pub struct AskCut {
    photo: String,
    l: f64,
    t: f64,
    r: f64,
    b: f64,
    side: u32,
}

impl Desk {
    /// Works with a photo under the light the page has chosen.
    pub(super) fn with_photo<T>(
        &self,
        key: &str,
        work: impl FnOnce(&Loaded, &PhotoSource) -> T,
    ) -> Result<T, Refused> {
        let opened = self.opened();
        let source = source_of(&opened.scene.photos, key)?;
        let light = self
            .lights
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, light)| light.clone())
            .unwrap_or_default();
        let light = light.light_of(source)?;
        let bytes = || {
            self.keeper
                .read(&source.file, &source.place, FileKind::Photo)
                .map_err(|e| e.to_string())
        };
        self.gallery
            .with(key, &light, bytes, |loaded| work(loaded, source))
            .map_err(|words| Refused::words(format!("{}: {words}", source.file)))
    }

    /// A photo's file as it is, to be shown at once in the light of the camera.
    ///
    /// # Errors
    /// [`Refused`] where it cannot be read.
    pub fn raw(&self, key: &str) -> Result<Vec<u8>, Refused> {
        let opened = self.opened();
        let source = source_of(&opened.scene.photos, key)?;
        self.keeper
            .read(&source.file, &source.place, FileKind::Photo)
            .map_err(|e| Refused::of_problem(&*e))
    }

    /// Sets the light of a photo, and reports the effect.
    ///
    /// # Errors
    /// [`Refused`] for a light that cannot be used, or a photo that cannot be read.
    pub fn light(&self, ask: AskLight) -> Result<Value, Refused> {
        let old = self.set_light(&ask.photo, ask.seen_in);
        let told = self.with_photo(&ask.photo, |loaded, _| {
            json!({
                "width": loaded.picture.width,
                "height": loaded.picture.height,
                "words": loaded.report.to_string(),
                "uncertainty": loaded.report.uncertainty.0,
                "warnings": warnings_of(loaded),
            })
        });
        if told.is_err() {
            self.set_light(&ask.photo, old);
        }
        told
    }

    fn set_light(&self, photo: &str, light: SeenIn) -> SeenIn {
        let mut lights = self.lights.write().unwrap_or_else(PoisonError::into_inner);
        match lights.iter_mut().find(|(name, _)| name == photo) {
            Some((_, old)) => std::mem::replace(old, light),
            None => SeenIn::default(),
        }
    }

    /// The colour at a point, and the pixels about it.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn colour(
        &self,
        ask: &AskColour,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        self.with_photo(&ask.photo, |loaded, _| pointed_at(&loaded.picture, ask.at))
    }

    /// Regions that may be surfaces.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn suggest(&self, photo: &str) -> Result<Value, Refused> {
        self.with_photo(photo, |_, _| ())?;
        let found = self.gallery.suggestions(photo).unwrap_or_default();
        let told: Vec<Value> = found
            .iter()
            .map(|one| {
                json!({
                    "outline": one.region.outline,
                    "leave_out": one.region.leave_out,
                    "hex": one.colour.to_srgb8().to_string(),
                    "name": one.name,
                    "share": one.share,
                })
            })
            .collect();
        Ok(json!({ "suggestions": told }))
    }

    /// The whole photo, small.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn view(&self, photo: &str) -> Result<Arc<SmallJpeg>, Refused> {
        self.with_photo(photo, |_, _| ())?;
        self.gallery
            .view(photo)
            .ok_or_else(|| Refused::words("found nothing to show"))
    }

    /// A part of the photo, as fine as it is or as the page asks.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn cut(&self, ask: &AskCut) -> Result<SmallJpeg, Refused> {
        let side = ask.side.clamp(*CUT_SIDES.start(), *CUT_SIDES.end());
        let span = [ask.l, ask.t, ask.r, ask.b];
        if span.iter().any(|v| !(0.0..=1.0).contains(v)) || ask.l >= ask.r || ask.t >= ask.b {
            return Err(Refused::words("found a part outside the photo"));
        }
        self.with_photo(&ask.photo, |loaded, _| {
            small_jpeg(&loaded.picture, Crop(span), side)
        })?
        .ok_or_else(|| Refused::words("found nothing to show"))
    }
}

fn source_of<'a>(photos: &'a [PhotoSource], key: &str) -> Result<&'a PhotoSource, Refused> {
    photos
        .iter()
        .find(|photo| photo.key == key)
        .ok_or_else(|| Refused::words(format!("found no photo named \"{key}\" in the scene")))
}

/// What is doubtful about a photo: as read, and corrected by the known things in it.
fn warnings_of(loaded: &Loaded) -> Vec<String> {
    let read = loaded.warnings.iter().map(ToString::to_string);
    read.chain(loaded.report.contradictions()).collect()
}
