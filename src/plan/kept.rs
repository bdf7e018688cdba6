//! What photos showed, kept from one plan to the next.
//!
//! What a photo shows depends on its file and on what is known of its light; how a surface looks depends on its
//! photos and on what the scene says about reading them. All of that makes up the key under which it is kept, so that
//! only what changes is read again. Paints and areas are not part of it.

use super::photo_bytes::PhotoBytes;
use super::sighted::{PhotoSeen, SightedSurface};
use crate::colour::{LabD65, plain_name};
use crate::photo::Limits;
use crate::region::Region;
use crate::scene::{Band, PhotoPart, PhotoSource, PlaceOnSurface, Scene, Surface};
use rayon::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// False in a browser, where there is nowhere to keep anything: the way there and back is then not carried along.
pub(super) const KEEPS: bool = !cfg!(target_family = "wasm");

/// Where answers are kept from one run to the next, each under everything it depends on. Whoever keeps them may lose
/// any of them, and gives back none that is damaged or that another program has put there.
pub trait AnswerStore: Sync {
    /// The answer that was put away for this.
    fn get(&self, of: &str) -> Option<Vec<u8>>;
    /// Puts an answer away.
    fn put(&self, of: &str, answer: &[u8]);
}

/// What was seen in the photos of a scene before.
pub(super) struct Memory<'a> {
    kept: &'a dyn AnswerStore,
    /// What each photo of the scene depends on: its file, and what is known of its light; `None` where it cannot be
    /// read.
    photos: Vec<Option<String>>,
    /// What each surface depends on; `None` if there is nothing to keep.
    surfaces: Vec<Option<String>>,
}

impl<'a> Memory<'a> {
    /// From a scene and the files of its photos.
    pub(super) fn of_scene(
        kept: &'a dyn AnswerStore,
        scene: &Scene,
        bytes: &(impl PhotoBytes + ?Sized),
        limits: &Limits,
    ) -> Self {
        let photos = scene.photos.par_iter().enumerate();
        let photos: Vec<Option<String>> = photos
            .map(|(at, source)| {
                let file = bytes.photo(at).ok()?;
                Some(of_photo(source, &Sha256::digest(&file), limits))
            })
            .collect();
        let surfaces = scene.surfaces.iter();
        Self {
            kept,
            surfaces: surfaces
                .map(|surface| of_surface(surface, &photos))
                .collect(),
            photos,
        }
    }

    fn get<T: DeserializeOwned>(&self, of: Option<&String>) -> Option<T> {
        if !KEEPS {
            return None;
        }
        serde_json::from_slice(&self.kept.get(of?)?).ok()
    }

    fn put<T: Serialize>(&self, of: Option<&String>, what: &T) {
        if !KEEPS {
            return;
        }
        if let (Some(of), Ok(answer)) = (of, serde_json::to_vec(what)) {
            self.kept.put(of, &answer);
        }
    }

    /// A photo as it was seen.
    pub(super) fn photo(&self, scene: &Scene, at: usize) -> Option<PhotoSeen> {
        let seen: PhotoSeen = self.get(self.photos[at].as_ref())?;
        let source = &scene.photos[at];
        Some(PhotoSeen {
            key: source.key.clone(),
            from: source.from,
            credit: source.credit.clone(),
            ..seen
        })
    }

    /// A surface as it was seen; `used` are the photos that surfaces of the scene are seen in.
    pub(super) fn surface(
        &self,
        scene: &Scene,
        at: usize,
        used: &[usize],
    ) -> Option<SightedSurface> {
        let mut seen: SightedSurface = self.get(self.surfaces[at].as_ref())?;
        let own = &scene.surfaces[at].parts;
        if seen.parts.len() != own.len() {
            return None;
        }
        for (part, own) in seen.parts.iter_mut().zip(own) {
            part.photo = used.iter().position(|photo| *photo == own.photo)?;
        }
        let tones = std::iter::once(&mut seen.tones).chain(seen.bands.iter_mut().flatten());
        for tone in tones.flat_map(|tones| &mut tones.tones) {
            tone.name = plain_name(tone.colour);
        }
        Some(seen)
    }

    /// Keeps a photo.
    pub(super) fn keep_photo(&self, at: usize, seen: &PhotoSeen) {
        self.put(self.photos[at].as_ref(), seen);
    }

    /// Keeps a surface.
    pub(super) fn keep_surface(&self, at: usize, seen: &SightedSurface) {
        let colours: Vec<LabD65> = seen.tones.tones.iter().map(|tone| tone.colour).collect();
        // Drawn before it is kept, where the schedule shows it.
        let maps = seen.parts.iter().filter_map(|part| part.map.as_ref());
        for map in maps.filter(|_| colours.len() > 1) {
            let _ = map.picture(&colours);
        }
        self.put(self.surfaces[at].as_ref(), seen);
    }
}

/// What the reading of a photo depends on.
fn of_photo(source: &PhotoSource, file: &[u8], limits: &Limits) -> String {
    // Whoever adds a field decides here whether anything that is seen hangs on it.
    let PhotoSource {
        key: _,
        file: _,
        place: _,
        from: _,
        credit: _,
        neutral: _,
        chart: _,
        light,
        known: _,
        materials: _,
        wet: _,
        sky,
    } = source;
    let hash = file.iter().fold(String::new(), |mut hash, byte| {
        let _ = write!(hash, "{byte:02x}");
        hash
    });
    let known = source.known_light();
    format!("photo {hash} {light:?} {known:?} {sky:?} {limits:?}")
}

/// What the reading of a surface depends on in one of its places.
fn region_of_place(place: &PlaceOnSurface) -> Option<&Region> {
    // As above.
    let PlaceOnSurface {
        name: _,
        technique: _,
        region,
        place: _,
        colour: _,
        share: _,
    } = place;
    region.as_ref()
}

/// What the reading of a surface depends on in one of its bands.
fn region_of_band(band: &Band) -> Option<&Region> {
    // As above.
    let Band {
        name: _,
        region,
        place: _,
        from: _,
        model_depth: _,
        land: _,
        crown: _,
        scale: _,
        area: _,
    } = band;
    region.as_ref()
}

/// What the reading of a surface depends on, including its photos.
fn of_surface(surface: &Surface, photos: &[Option<String>]) -> Option<String> {
    // As above.
    let Surface {
        name,
        parts,
        material,
        like,
        treatment,
        area: _,
        coats: _,
        variety,
        tones,
        shade: _,
        one_surface: _,
        alike,
        model_photo,
        wash: _,
        places,
        bands,
        order: _,
        land: _,
        allow: _,
        crown: _,
    } = surface;
    if like.is_some() || parts.is_empty() {
        return None;
    }
    let model = model_photo.as_ref().filter(|_| surface.is_washed());
    let mut of = format!(
        "surface {name:?} {} {treatment:?} {tones:?} {}",
        material.is_some(),
        surface.is_washed()
    );
    if !alike.is_empty() {
        let _ = write!(of, " alike {alike:?}");
    }
    if let Some(variety) = variety {
        let _ = write!(of, " variety {variety}");
    }
    for (
        what,
        PhotoPart {
            photo,
            region,
            place: _,
        },
    ) in parts
        .iter()
        .map(|part| ("part", part))
        .chain(model.map(|model| ("model", model)))
    {
        let _ = write!(of, " {what} {region:?} {}", photos[*photo].as_ref()?);
    }
    let places: Vec<_> = places.iter().map(region_of_place).collect();
    let bands: Vec<_> = bands.iter().map(region_of_band).collect();
    let _ = write!(of, " places {places:?} bands {bands:?}");
    Some(of)
}
