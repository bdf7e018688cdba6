//! What the page and the program exchange about a scene: outlines, light, names.

use super::said::{Said, said_of, said_of_band, said_of_place};
use super::whole::{said_of_model, said_of_photo, said_of_scene};
use crate::materials::{Material, State};
use crate::photo::{KnownLight, KnownMaterial};
use crate::region::{Outline, Region, RegionError};
use crate::scene::{Neutral, PhotoSource, Scene, Surface, SurfaceKeys};
use serde::{Deserialize, Serialize};

/// A point as fractions of width and height.
pub type Point = [f64; 2];

/// Everything that can be drawn, as the page holds it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Drawing {
    /// Photos, with what is known of their light.
    pub photos: Vec<DrawnPhoto>,
    /// Surfaces that are there.
    pub surfaces: Vec<DrawnSurface>,
    /// Settings of the layout as a whole, key by key as typed (see `whole.rs`); absent when untouched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<Said>,
    /// Names, as in the file, of surfaces to take out of it.
    #[serde(default)]
    pub removed: Vec<String>,
    /// Names of photos to take out of it.
    #[serde(default)]
    pub gone: Vec<String>,
}

/// One photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnPhoto {
    /// Its name in the scene.
    pub key: String,
    /// What is known of its light.
    pub light: DrawnLight,
    /// How far the camera was, as typed; absent when untouched, empty when that is to go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// Its other settings, key by key as typed (see `whole.rs`); absent when untouched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<Said>,
    /// Things in it that are not planned, but whose known material shows its light; absent when untouched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known: Option<Vec<DrawnKnown>>,
}

/// What is known of a photo's light and air.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct DrawnLight {
    /// Something neutral.
    pub neutral: Option<DrawnNeutral>,
    /// Corners of a chart, at patches 1, 6, 24, 19.
    pub chart: Option<[Point; 4]>,
    /// Whether an estimate is wanted when nothing better is known.
    #[serde(default)]
    pub estimate: bool,
    /// Whether it was taken in rain.
    #[serde(default)]
    pub wet: bool,
    /// Outline of its sky just above the horizon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sky: Option<Vec<Point>>,
}

/// Something neutral: a point, or an outline.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct DrawnNeutral {
    /// A point that was clicked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
    /// Its outline, when the scene has it already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub region: Option<Vec<Point>>,
    /// Its reflectance, when known.
    pub reflectance: Option<f64>,
}

/// One surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnSurface {
    /// Its name in the file, when it is there.
    pub was: Option<String>,
    /// Its name.
    pub name: String,
    /// The word for its treatment.
    pub treatment: String,
    /// Its area as typed; absent when untouched, empty when it is to go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
    /// The measured material it is made of; absent when untouched, empty when that is to go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
    /// The measured material it is like, where it has no photo; absent when it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub like: Option<DrawnLike>,
    /// Where it is seen; nowhere when it is like a material.
    pub parts: Vec<DrawnPart>,
    /// Bands and places, their outlines on the first photo; absent when untouched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zones: Option<Vec<DrawnZone>>,
    /// Its other settings, key by key as typed (see `said.rs`); absent when untouched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<Said>,
}

/// What a surface without a photo is like: a measured material, or a state between two.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnLike {
    /// The material, or the one at this end.
    pub from: String,
    /// The one at the other end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// How far from one to the other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<f64>,
}

/// Where a surface, or a thing that is not planned, of a known material is seen in a photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnKnown {
    /// Its place in the file's list of the photo, when it is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub was: Option<usize>,
    /// What the page calls it.
    #[serde(default)]
    pub name: String,
    /// The material's name.
    pub material: String,
    /// It is not planned: it shows nothing but the photo's light.
    #[serde(default)]
    pub alone: bool,
    /// Where it is.
    pub part: DrawnPart,
}

impl DrawnLike {
    /// What a scene says.
    #[must_use]
    pub fn of_state(state: &State) -> Self {
        let between = state.from != state.to;
        Self {
            from: state.from.name.to_owned(),
            to: between.then(|| state.to.name.to_owned()),
            at: between.then_some(state.at),
        }
    }

    /// The state it stands for; `None` where a name is no material's.
    #[must_use]
    pub fn state(&self) -> Option<State> {
        let from = Material::named(&self.from)?;
        let Some(to) = &self.to else {
            return Some(State::of_material(from));
        };
        Some(State {
            from,
            to: Material::named(to)?,
            at: self.at.unwrap_or(0.5).clamp(0.0, 1.0),
        })
    }
}

impl DrawnKnown {
    /// What a scene says of a photo's things of known material.
    pub(super) fn all_of(photo: &PhotoSource) -> Vec<Self> {
        let known = (0..).zip(&photo.known);
        known
            .map(|(was, known)| Self {
                was: Some(was),
                name: known.material.name.to_owned(),
                material: known.material.name.to_owned(),
                alone: true,
                part: DrawnPart {
                    photo: photo.key.clone(),
                    outline: known.region.outline.points().to_vec(),
                    leave_out: DrawnHole::all_of(&known.region),
                },
            })
            .collect()
    }

    /// The part of the photo it stands for; `None` where it is none, or no material.
    #[must_use]
    pub fn known(&self) -> Option<KnownMaterial> {
        Some(KnownMaterial {
            region: self.part.region().ok()?,
            material: Material::named(&self.material)?,
        })
    }
}

/// A part of a surface that has a name and an outline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnZone {
    /// What it is.
    pub kind: ZoneKind,
    /// Its place in the file's list of its kind, when it is there.
    pub was: Option<usize>,
    /// Its name.
    pub name: String,
    /// Its outline; no points where it has none of its own.
    pub outline: Vec<Point>,
    /// What is left out of it.
    #[serde(default)]
    pub leave_out: Vec<DrawnHole>,
    /// Its other settings, key by key as typed (see `said.rs`).
    #[serde(default)]
    pub said: Said,
}

/// What a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ZoneKind {
    /// A strip of a hillside at one distance.
    Band,
    /// Where dirt gathers.
    Place,
}

impl ZoneKind {
    /// Its key in a surface.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Band => SurfaceKeys::BAND.name,
            Self::Place => SurfaceKeys::PLACE.name,
        }
    }
}

impl DrawnZone {
    /// The zones of a surface; those without an outline of their own have no points.
    #[must_use]
    pub fn all_of(surface: &Surface) -> Vec<Self> {
        let zone = |kind, was, name: &str, region: Option<&Region>, said| {
            let outline = region.map(|region| region.outline.points().to_vec());
            Self {
                kind,
                was: Some(was),
                name: name.to_owned(),
                outline: outline.unwrap_or_default(),
                leave_out: region.map(DrawnHole::all_of).unwrap_or_default(),
                said,
            }
        };
        let bands = surface.bands.iter().enumerate();
        let places = surface.places.iter().enumerate();
        bands
            .map(|(i, band)| {
                let said = said_of_band(band);
                zone(ZoneKind::Band, i, &band.name, band.region.as_ref(), said)
            })
            .chain(places.map(|(i, place)| {
                let said = said_of_place(place);
                zone(ZoneKind::Place, i, &place.name, place.region.as_ref(), said)
            }))
            .collect()
    }
}

/// Part of a photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnPart {
    /// The photo's name in the scene.
    pub photo: String,
    /// The outline.
    pub outline: Vec<Point>,
    /// What is left out of it.
    #[serde(default)]
    pub leave_out: Vec<DrawnHole>,
}

/// Something left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnHole {
    /// Its place in the file's list, when it is there.
    pub was: Option<usize>,
    /// Its outline.
    pub outline: Vec<Point>,
}

impl DrawnHole {
    /// What is left out of a region.
    fn all_of(region: &Region) -> Vec<Self> {
        let holes = (0..).zip(&region.leave_out);
        holes
            .map(|(was, outline)| Self {
                was: Some(was),
                outline: outline.points().to_vec(),
            })
            .collect()
    }
}

impl DrawnPart {
    /// The region it stands for.
    ///
    /// # Errors
    /// [`RegionError`] of the first outline that is none.
    pub fn region(&self) -> Result<Region, RegionError> {
        Ok(Region {
            outline: Outline::new(self.outline.clone())?,
            leave_out: self
                .leave_out
                .iter()
                .map(|hole| Outline::new(hole.outline.clone()))
                .collect::<Result<_, _>>()?,
        })
    }
}

impl DrawnLight {
    /// What a scene says of a photo.
    #[must_use]
    pub fn of_photo(source: &PhotoSource) -> Self {
        Self {
            neutral: source.neutral.as_ref().map(DrawnNeutral::of_neutral),
            chart: source.chart,
            estimate: source.estimate_light(),
            wet: source.wet,
            sky: source.sky.as_ref().map(|sky| sky.outline.points().to_vec()),
        }
    }

    /// The strongest of it: chart, neutral, estimate.
    ///
    /// # Errors
    /// [`RegionError`] when the neutral's outline is none.
    pub fn known(&self) -> Result<KnownLight, RegionError> {
        Ok(match (&self.chart, &self.neutral) {
            (Some(corners), _) => KnownLight::Chart(*corners),
            (None, Some(neutral)) => KnownLight::Neutral {
                region: neutral.region()?,
                reflectance: neutral.reflectance,
            },
            (None, None) if self.estimate => KnownLight::Estimate,
            (None, None) => KnownLight::Nothing,
        })
    }
}

impl DrawnNeutral {
    /// What a scene says of a neutral.
    #[must_use]
    pub fn of_neutral(neutral: &Neutral) -> Self {
        Self {
            at: None,
            region: Some(neutral.region.outline.points().to_vec()),
            reflectance: neutral.reflectance,
        }
    }

    fn region(&self) -> Result<Region, RegionError> {
        match (&self.region, self.at) {
            (_, Some(at)) => Region::about(at),
            (Some(points), None) => Ok(Region {
                outline: Outline::new(points.clone())?,
                leave_out: Vec::new(),
            }),
            (None, None) => Err(RegionError::TooFewPoints { found: 0 }),
        }
    }
}

impl Drawing {
    /// What a scene holds.
    #[must_use]
    pub fn of_scene(scene: &Scene) -> Self {
        Self {
            photos: scene
                .photos
                .iter()
                .map(|photo| DrawnPhoto {
                    key: photo.key.clone(),
                    light: DrawnLight::of_photo(photo),
                    from: None,
                    said: Some(said_of_photo(photo)),
                    known: Some(DrawnKnown::all_of(photo)),
                })
                .collect(),
            surfaces: scene
                .surfaces
                .iter()
                .map(|surface| DrawnSurface::of_surface(surface, scene))
                .collect(),
            said: Some(said_of_scene(scene)),
            removed: Vec::new(),
            gone: Vec::new(),
        }
    }
}

impl DrawnSurface {
    /// What a scene says of a surface, key by key.
    pub(super) fn said_of(surface: &Surface, scene: &Scene) -> Said {
        let mut said = said_of(surface);
        said.extend(said_of_model(surface, &scene.photos));
        said
    }

    fn of_surface(surface: &Surface, scene: &Scene) -> Self {
        Self {
            was: Some(surface.name.clone()),
            name: surface.name.clone(),
            treatment: surface.treatment.word().to_owned(),
            area: None,
            material: surface.material.map(|material| material.name.to_owned()),
            like: surface.like.as_ref().map(DrawnLike::of_state),
            zones: Some(DrawnZone::all_of(surface)),
            said: Some(DrawnSurface::said_of(surface, scene)),
            parts: surface
                .parts
                .iter()
                .map(|part| DrawnPart {
                    photo: scene.photos[part.photo].key.clone(),
                    outline: part.region.outline.points().to_vec(),
                    leave_out: DrawnHole::all_of(&part.region),
                })
                .collect(),
        }
    }
}
