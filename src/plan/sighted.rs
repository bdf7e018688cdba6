//! Photos to tones: each photo is decoded once, its surfaces counted, small copies kept, and the picture let go.

use super::like;
use super::photo_bytes::{PhotoBytes, Unread};
use crate::colour::LabD65;
use crate::materials::Material;
use crate::photo::{
    Crop, LightError, LightReport, Limits, PhotoError, PhotoWarning, Picture, ProfileUsed, Shown,
    SmallPicture, Supposed, Thumbnail, decode, memory_needed, small_picture, waves,
};
use crate::problem::{Explain, Place};
use crate::region::Region;
use crate::scene::{Band, LightWish, PhotoPart, PhotoSource, Scene, Surface, Treatment};
use crate::tones::{
    Bin, ColourGrid, Count, Part, PartNote, ToneMap, Tones, TonesError, bins_for, sorted, together,
    tones_of,
};
use crate::units::Metres;
use rayon::prelude::*;
use std::borrow::Cow;

/// A photo as read.
#[derive(Debug, Clone)]
pub struct PhotoSeen {
    /// Its name in the scene.
    pub key: String,
    /// Pixels across, upright.
    pub width: usize,
    /// Pixels down, upright.
    pub height: usize,
    /// Its colour profile.
    pub profile: ProfileUsed,
    /// Camera to subject.
    pub from: Option<Metres>,
    /// Whose photo it is.
    pub credit: Option<String>,
    /// What was done about its light.
    pub light: LightReport,
    /// What is doubtful about it.
    pub warnings: Vec<PhotoWarning>,
    /// A small copy, to show where its surfaces are.
    pub strip: Option<Thumbnail>,
}

/// Part of a photo that belongs to a surface.
#[derive(Debug, Clone)]
pub struct PartSeen {
    /// Place in [`Sighted::photos`].
    pub photo: usize,
    /// The part that counts.
    pub region: Region,
    /// A small copy of what the region spans.
    pub crop: Option<Thumbnail>,
    /// What the copy spans, as fractions: left, top, right, bottom.
    pub span: [f64; 4],
    /// Where each tone is within that span; `None` where the tones are those of bands.
    pub map: Option<ToneMap>,
    /// Share of its pixels with a channel blown out.
    pub blown_out: f64,
    /// Share of its pixels that are crushed to black.
    pub crushed: f64,
    /// What it may be made of, by its surface's name, where that would change the photo much and nothing is said.
    pub supposed: Option<Supposed>,
}

/// A surface as seen in its photos.
#[derive(Debug, Clone)]
pub struct SightedSurface {
    /// Its tones.
    pub tones: Tones,
    /// Where they are from.
    pub parts: Vec<PartSeen>,
    /// What was done with several photos.
    pub part_notes: Vec<PartNote>,
    /// The tones of its bands, in scene order; `None` where a band is seen where its surface is.
    pub bands: Vec<Option<Tones>>,
    /// Where the tones of these bands are.
    pub band_maps: Vec<Option<ToneMap>>,
    /// The main colour of each of its places that has a region, in the order of its places.
    pub places: Vec<Option<LabD65>>,
    /// What a picture before and after the wash is painted on, where the surface is washed.
    pub relief: Option<(SmallPicture, Shown)>,
}

/// What the photos of a scene show.
#[derive(Debug, Clone)]
pub struct Sighted {
    /// Photos that a surface uses, in scene order.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SightedSurface>,
}

impl Sighted {
    /// The same without any picture, for a schedule that is handed on without photos.
    #[must_use]
    pub fn without_pictures(mut self) -> Self {
        for photo in &mut self.photos {
            photo.strip = None;
        }
        for surface in &mut self.surfaces {
            surface.relief = None;
            surface.band_maps.iter_mut().for_each(|map| *map = None);
            for part in &mut surface.parts {
                part.crop = None;
                part.map = None;
            }
        }
        self
    }
}

/// Why a scene's photos cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SightError {
    /// A photo's file cannot be had.
    #[error("{file}: {}", .cause.words)]
    Unread {
        /// Where the scene names it.
        place: Place,
        /// The file.
        file: String,
        /// Why; printed here, hence no `source`.
        cause: Box<Unread>,
    },
    /// A photo cannot be read.
    #[error("{file}: {cause}")]
    Photo {
        /// Where the scene names it.
        place: Place,
        /// The file.
        file: String,
        /// Why; printed here, hence no `source`.
        cause: PhotoError,
    },
    /// What the scene says of a photo's light cannot be used.
    #[error("{file}: {cause}")]
    Light {
        /// Where the scene names the photo.
        place: Place,
        /// The file.
        file: String,
        /// Why; printed here, hence no `source`.
        cause: LightError,
    },
    /// A region holds nothing that counts.
    #[error("{cause}")]
    Region {
        /// Where the scene has it.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: TonesError,
    },
}

impl Explain for SightError {
    fn place(&self) -> Place {
        match self {
            Self::Unread { place, .. }
            | Self::Photo { place, .. }
            | Self::Light { place, .. }
            | Self::Region { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Unread { cause, .. } => cause.hint.clone(),
            Self::Photo { cause, .. } => cause.hint(),
            Self::Light { cause, .. } => cause.hint(),
            Self::Region { cause, .. } => cause.hint(),
        }
    }
}

/// Long side of the copies that show where a surface is, pixels.
const STRIP_SIDE: u32 = 460;
/// Long side of the copies beside a surface, pixels.
const CROP_SIDE: u32 = 440;
/// Long side of the map of tones beside a surface, pixels.
const MAP_SIDE: usize = 140;
/// Long side of the map of a band's tones, places.
const BAND_MAP_SIDE: usize = 48;

/// What a crop shows beyond its region, as a fraction of the region's own span.
const CROP_MARGIN: f64 = 0.06;

/// Long side of the pictures before and after a wash, pixels.
const RELIEF_SIDE: u32 = 360;

/// What one photo gives.
struct Harvest {
    seen: PhotoSeen,
    parts: Vec<(usize, PartHarvest)>,
    bands: Vec<(usize, usize, BandHarvest)>,
}

/// What one band gives.
struct BandHarvest {
    bins: Vec<Bin>,
    grid: ColourGrid,
}

/// What one part of a surface gives.
struct PartHarvest {
    part: usize,
    counted: Part,
    grid: ColourGrid,
    seen: PartSeen,
    places: Vec<Option<LabD65>>,
    relief: Option<SmallPicture>,
}

/// Reads the photos of a scene; `bytes` gives one file for each of [`Scene::photos`].
///
/// Photos are worked on side by side, as many at a time as fit together into what one may take; each picture is let go
/// before the next is taken up.
///
/// # Errors
/// All photos that cannot be read and all regions without a pixel, in scene order.
pub fn sight(
    scene: &Scene,
    bytes: &(impl PhotoBytes + ?Sized),
    limits: &Limits,
) -> Result<Sighted, Vec<SightError>> {
    let used: Vec<usize> = (0..scene.photos.len())
        .filter(|photo| {
            scene
                .surfaces
                .iter()
                .flat_map(|s| &s.parts)
                .any(|part| part.photo == *photo)
        })
        .collect();
    let harvests = in_waves(&used, bytes, limits, |at| {
        let photo = used[at];
        let bytes = file_of(scene, photo, bytes)?;
        harvest(scene, photo, at, &bytes, limits)
    });
    let mut faults = Vec::new();
    let mut photos = Vec::new();
    let mut found: Vec<Vec<PartHarvest>> = scene.surfaces.iter().map(|_| Vec::new()).collect();
    let mut bands: Vec<Vec<(usize, BandHarvest)>> =
        scene.surfaces.iter().map(|_| Vec::new()).collect();
    for harvest in harvests {
        match harvest {
            Ok(harvest) => {
                photos.push(harvest.seen);
                for (surface, part) in harvest.parts {
                    found[surface].push(part);
                }
                for (surface, band, found) in harvest.bands {
                    bands[surface].push((band, found));
                }
            }
            Err(fault) => faults.push(fault),
        }
    }
    let modelled: Vec<(usize, &PhotoPart)> = scene
        .surfaces
        .iter()
        .enumerate()
        .filter(|(_, surface)| is_washed(surface))
        .filter_map(|(at, surface)| Some((at, surface.model_photo.as_ref()?)))
        .collect();
    let of: Vec<usize> = modelled.iter().map(|(_, model)| model.photo).collect();
    let models = in_waves(&of, bytes, limits, |at| {
        let (surface, model) = modelled[at];
        let bytes = file_of(scene, model.photo, bytes)?;
        Ok((surface, clean_model(scene, model, &bytes, limits)?))
    });
    let mut clean: Vec<Option<SmallPicture>> = scene.surfaces.iter().map(|_| None).collect();
    for model in models {
        match model {
            Ok((surface, model)) => clean[surface] = Some(model),
            Err(fault) => faults.push(fault),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let surfaces: Vec<Result<SightedSurface, SightError>> = scene
        .surfaces
        .par_iter()
        .zip(found.into_par_iter().zip(bands))
        .zip(clean)
        .map(|((surface, (parts, bands)), clean)| joined(surface, parts, &bands, clean))
        .collect();
    let mut seen = Vec::new();
    for surface in surfaces {
        match surface {
            Ok(surface) => seen.push(surface),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        Ok(Sighted {
            photos,
            surfaces: seen,
        })
    } else {
        Err(faults)
    }
}

/// Does the work for each of the photos, side by side as far as they fit into memory together; in their order.
fn in_waves<T: Send>(
    photos: &[usize],
    bytes: &(impl PhotoBytes + ?Sized),
    limits: &Limits,
    work: impl Fn(usize) -> T + Sync,
) -> Vec<T> {
    // One after the other: to learn how much a photo needs, its file is read.
    let needs: Vec<u64> = photos
        .iter()
        .map(|photo| {
            let bytes = bytes.photo(*photo);
            bytes.map_or(0, |bytes| memory_needed(&bytes, limits))
        })
        .collect();
    let mut done = Vec::with_capacity(photos.len());
    for wave in waves(&needs, limits.decoded_bytes) {
        done.par_extend(wave.into_par_iter().map(&work));
    }
    done
}

/// The file of a photo.
fn file_of<'b>(
    scene: &Scene,
    photo: usize,
    bytes: &'b (impl PhotoBytes + ?Sized),
) -> Result<Cow<'b, [u8]>, SightError> {
    bytes.photo(photo).map_err(|cause| SightError::Unread {
        place: scene.photos[photo].place.clone(),
        file: scene.photos[photo].file.clone(),
        cause: Box::new(cause),
    })
}

fn harvest(
    scene: &Scene,
    photo: usize,
    at: usize,
    bytes: &[u8],
    limits: &Limits,
) -> Result<Harvest, SightError> {
    let source: &PhotoSource = &scene.photos[photo];
    let (picture, light, warnings) = opened(source, bytes, limits)?;
    let parts = scene
        .surfaces
        .iter()
        .enumerate()
        .flat_map(|(s, surface)| {
            surface
                .parts
                .iter()
                .enumerate()
                .map(move |(p, part)| (s, p, part))
        })
        .filter(|(_, _, part)| part.photo == photo)
        .map(|(s, p, part)| {
            let span = with_margin(span_of(
                part,
                if p == 0 {
                    &scene.surfaces[s].bands
                } else {
                    &[]
                },
            ));
            let counted = bins_for(&picture, &part.region, scene.surfaces[s].tones);
            let seen = PartSeen {
                photo: at,
                region: part.region.clone(),
                crop: Thumbnail::of(&picture, Crop(span), CROP_SIDE),
                span,
                map: None,
                blown_out: counted.blown_out,
                crushed: counted.crushed,
                supposed: supposed(&scene.surfaces[s], source, &part.region, &picture, &light),
            };
            let surface = &scene.surfaces[s];
            let first = p == 0;
            let grid = ColourGrid::of(&picture, &part.region, span, &counted.bins, MAP_SIDE);
            let part = PartHarvest {
                part: p,
                counted: Part {
                    bins: counted.bins,
                    uncertainty: light.uncertainty,
                },
                grid,
                seen,
                places: if first {
                    places(surface, &picture)?
                } else {
                    Vec::new()
                },
                relief: (first && is_washed(surface))
                    .then(|| small_picture(&picture, &part.region, RELIEF_SIDE))
                    .flatten(),
            };
            Ok((s, part))
        })
        .collect::<Result<Vec<_>, SightError>>()?;
    let bands = scene
        .surfaces
        .iter()
        .enumerate()
        .filter(|(_, surface)| {
            surface
                .parts
                .first()
                .is_some_and(|part| part.photo == photo)
        })
        .flat_map(|(s, surface)| {
            surface
                .bands
                .iter()
                .enumerate()
                .map(move |(b, band)| (s, b, band))
        })
        .filter_map(|(s, b, band)| {
            let region = band.region.as_ref()?;
            let count = scene.surfaces[s].tones;
            let bins = bins_for(&picture, region, count).bins;
            let span = region.outline.bounds();
            let grid = ColourGrid::of(&picture, region, span, &bins, BAND_MAP_SIDE);
            Some((s, b, BandHarvest { bins, grid }))
        })
        .collect();
    Ok(Harvest {
        bands,
        seen: photo_seen(source, &picture, light, warnings),
        parts,
    })
}

/// A guess that changes a photo by less is not worth a word: stops, and a cast in CIEDE2000. Our choice.
const WORTH_A_GUESS: (f64, f64) = (0.4, 5.0);

/// What a surface of which nothing is said may be made of.
fn supposed(
    surface: &Surface,
    source: &PhotoSource,
    region: &Region,
    picture: &Picture,
    light: &LightReport,
) -> Option<Supposed> {
    if surface.material.is_some()
        || light.mends_exposure()
        || source.light == Some(LightWish::AsItIs)
    {
        return None;
    }
    let may_be = Material::meant_by(&surface.name);
    let supposed = picture.supposed(&source.known_light(), region, &may_be)?;
    let light = supposed.gains.light();
    let changes =
        supposed.gains.stops().abs() >= WORTH_A_GUESS.0 || light.chroma() >= WORTH_A_GUESS.1;
    changes.then_some(supposed)
}

/// True when a picture before and after is wanted.
fn is_washed(surface: &Surface) -> bool {
    surface.wash.is_some() || surface.treatment == Treatment::Rock
}

/// Decodes a photo and corrects its light.
fn opened(
    source: &PhotoSource,
    bytes: &[u8],
    limits: &Limits,
) -> Result<(Picture, LightReport, Vec<PhotoWarning>), SightError> {
    let read = decode(bytes, limits).map_err(|cause| SightError::Photo {
        place: source.place.clone(),
        file: source.file.clone(),
        cause,
    })?;
    let mut picture = read.value;
    let light = picture
        .correct(&source.known_light())
        .map_err(|cause| SightError::Light {
            place: source.place.clone(),
            file: source.file.clone(),
            cause,
        })?;
    Ok((picture, light, read.warnings))
}

/// The main colour of each place of a surface that has a region of its own in this photo.
fn places(surface: &Surface, picture: &Picture) -> Result<Vec<Option<LabD65>>, SightError> {
    surface
        .places
        .iter()
        .map(|place| {
            let Some(region) = &place.region else {
                return Ok(None);
            };
            tones_of(picture, region, Count::Chosen)
                .map(|tones| tones.tones.first().map(|tone| tone.colour))
                .map_err(|cause| SightError::Region {
                    place: place.place.clone(),
                    cause,
                })
        })
        .collect()
}

/// The clean model of a surface.
fn clean_model(
    scene: &Scene,
    model: &PhotoPart,
    bytes: &[u8],
    limits: &Limits,
) -> Result<SmallPicture, SightError> {
    let (picture, _, _) = opened(&scene.photos[model.photo], bytes, limits)?;
    small_picture(&picture, &model.region, RELIEF_SIDE).ok_or_else(|| SightError::Region {
        place: model.place.clone(),
        cause: TonesError::NoPixels,
    })
}

fn photo_seen(
    source: &PhotoSource,
    picture: &Picture,
    light: LightReport,
    warnings: Vec<PhotoWarning>,
) -> PhotoSeen {
    PhotoSeen {
        key: source.key.clone(),
        width: picture.width,
        height: picture.height,
        profile: picture.profile.clone(),
        from: source.from,
        credit: source.credit.clone(),
        light,
        warnings,
        strip: Thumbnail::of(picture, Crop::WHOLE, STRIP_SIDE),
    }
}

/// Joins the parts of a surface, each photo counting alike and in one light, and finds its tones.
fn joined(
    surface: &Surface,
    mut pieces: Vec<PartHarvest>,
    bands: &[(usize, BandHarvest)],
    clean: Option<SmallPicture>,
) -> Result<SightedSurface, SightError> {
    if let Some(state) = &surface.like {
        return Ok(SightedSurface {
            tones: like::tones_like(state),
            parts: Vec::new(),
            part_notes: Vec::new(),
            bands: surface.bands.iter().map(|_| None).collect(),
            band_maps: surface.bands.iter().map(|_| None).collect(),
            places: surface.places.iter().map(|_| None).collect(),
            relief: clean.map(|clean| (clean, Shown::CleanModel)),
        });
    }
    pieces.sort_by_key(|piece| piece.part);
    let at = |part: usize, cause: TonesError| SightError::Region {
        place: surface
            .parts
            .get(part)
            .map(|part| part.place.clone())
            .unwrap_or_default(),
        cause,
    };
    for piece in &pieces {
        if piece.counted.bins.is_empty() {
            return Err(at(piece.part, TonesError::NoPixels));
        }
    }
    let mut places = Vec::new();
    let mut relief = clean.map(|clean| (clean, Shown::CleanModel));
    if let Some(first) = pieces.first_mut().filter(|piece| piece.part == 0) {
        places = std::mem::take(&mut first.places);
        relief = relief.or_else(|| first.relief.take().map(|small| (small, Shown::StandIn)));
    }
    let (mut parts, grids): (Vec<PartSeen>, Vec<(Part, ColourGrid)>) = pieces
        .into_iter()
        .map(|piece| (piece.seen, (piece.counted, piece.grid)))
        .unzip();
    let (counted, grids): (Vec<Part>, Vec<ColourGrid>) = grids.into_iter().unzip();
    let joint = together(&counted);
    let all: Vec<Bin> = joint.parts.concat();
    let found = sorted(&all, surface.tones).map_err(|cause| at(0, cause))?;
    let mut first = 0;
    if surface.bands.is_empty() {
        for ((part, grid), bins) in parts.iter_mut().zip(&grids).zip(&joint.parts) {
            let of_bin = &found.of_bin[first..first + bins.len()];
            part.map = Some(grid.sorted(bins, of_bin, &found.tones.tones));
            first += bins.len();
        }
    }
    let told = |tones: Tones| match surface.treatment {
        Treatment::Scatter => tones.of_foliage(),
        Treatment::Coat | Treatment::Rock | Treatment::Wash => tones,
    };
    let bands = surface
        .bands
        .iter()
        .enumerate()
        .map(|(b, band)| {
            let own = bands.iter().find(|(at, _)| *at == b).map(|(_, found)| {
                let sorted =
                    sorted(&found.bins, surface.tones).map_err(|cause| SightError::Region {
                        place: band.place.clone(),
                        cause,
                    })?;
                let tones = &sorted.tones.tones;
                let map = found.grid.sorted(&found.bins, &sorted.of_bin, tones);
                Ok((told(sorted.tones), map))
            });
            own.transpose()
        })
        .collect::<Result<Vec<_>, _>>()?;
    let (bands, band_maps): (Vec<_>, Vec<_>) = bands.into_iter().map(Option::unzip).unzip();
    Ok(SightedSurface {
        tones: told(found.tones),
        parts,
        part_notes: joint.notes,
        bands,
        band_maps,
        places,
        relief,
    })
}

/// What a part spans together with the bands seen in it: left, top, right, bottom.
fn span_of(part: &PhotoPart, bands: &[Band]) -> [f64; 4] {
    bands
        .iter()
        .filter_map(|band| band.region.as_ref())
        .map(|region| region.outline.bounds())
        .fold(part.region.outline.bounds(), |span, of| {
            [
                span[0].min(of[0]),
                span[1].min(of[1]),
                span[2].max(of[2]),
                span[3].max(of[3]),
            ]
        })
}

fn with_margin([left, top, right, bottom]: [f64; 4]) -> [f64; 4] {
    let (dx, dy) = (CROP_MARGIN * (right - left), CROP_MARGIN * (bottom - top));
    [
        (left - dx).max(0.0),
        (top - dy).max(0.0),
        (right + dx).min(1.0),
        (bottom + dy).min(1.0),
    ]
}
