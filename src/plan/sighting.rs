//! Photos to tones: it decodes each photo once, counts its surfaces, keeps small copies, and drops the picture.

use super::kept::{AnswerStore, KEEPS, Memory};
use super::like;
use super::photo_bytes::{PhotoBytes, UnreadPhoto};
use super::sighted::{PartSeen, PhotoSeen, Sighted, SightedSurface};
use crate::colour::LabD65;
use crate::materials::Material;
use crate::photo::{
    Crop, LightError, LightReport, Limits, PhotoError, PhotoWarning, Picture, PictureOf,
    SmallPicture, Supposed, Thumbnail, decode, memory_needed, small_picture, waves,
};
use crate::problem::{Explain, Place};
use crate::region::Region;
use crate::scene::{Band, LightWish, PhotoPart, PhotoSource, Scene, Surface, Treatment};
use crate::tones::{
    Bin, ColourGrid, Count, Part, Sorted, ToneMap, Tones, TonesError, WindowColours, Wish,
    bins_and_windows, bins_for, sorted_to_hold, together, tones_of,
};
use crate::work::{Meter, Timings};
use rayon::prelude::*;
use std::borrow::Cow;

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
        cause: Box<UnreadPhoto>,
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
    /// The scene says something about a photo's light that cannot be used.
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
    windows: WindowColours,
    grid: ColourGrid,
    seen: PartSeen,
    places: Vec<Option<LabD65>>,
    relief: Option<SmallPicture>,
}

/// What all photos give of one surface.
#[derive(Default)]
struct SurfaceHarvest {
    parts: Vec<PartHarvest>,
    /// Each with its place among the bands.
    bands: Vec<(usize, BandHarvest)>,
    /// The photo of its clean model, small.
    clean: Option<SmallPicture>,
}

impl Harvest {
    /// Gives each surface what is its own; what was seen of the photo as a whole is left.
    fn shared_out(self, surfaces: &mut [SurfaceHarvest]) -> PhotoSeen {
        for (surface, part) in self.parts {
            surfaces[surface].parts.push(part);
        }
        for (surface, band, found) in self.bands {
            surfaces[surface].bands.push((band, found));
        }
        self.seen
    }
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
    let by = Sighting {
        limits,
        kept: None,
        timings: &Timings::default(),
        meter: None,
    };
    sight_with(scene, bytes, &by)
}

/// What photos are read with.
#[derive(Clone, Copy)]
pub struct Sighting<'a> {
    /// What a photo may take.
    pub limits: &'a Limits,
    /// Where earlier and new readings are kept: it changes no answer, only how soon it comes.
    pub kept: Option<&'a dyn AnswerStore>,
    /// How much of the time goes into decoding is written down here.
    pub timings: &'a Timings,
    /// Receives how many photos are read.
    pub meter: Option<&'a Meter>,
}

impl std::fmt::Debug for Sighting<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Sighting")
            .field("limits", self.limits)
            .field("kept", &self.kept.is_some())
            .finish_non_exhaustive()
    }
}

/// Does as [`sight`] does, with all that helps.
///
/// # Errors
/// As [`sight`].
pub fn sight_with(
    scene: &Scene,
    bytes: &(impl PhotoBytes + ?Sized),
    by: &Sighting<'_>,
) -> Result<Sighted, Vec<SightError>> {
    let used: Vec<usize> = (0..scene.photos.len())
        .filter(|photo| scene.surfaces.iter().any(|surface| shows(*photo, surface)))
        .collect();
    let memory = by
        .kept
        .filter(|_| KEEPS)
        .map(|kept| Memory::of_scene(kept, scene, bytes, by.limits));
    let mut photos: Vec<Option<PhotoSeen>> = used
        .iter()
        .map(|photo| memory.as_ref()?.photo(scene, *photo))
        .collect();
    let mut surfaces: Vec<Option<SightedSurface>> = (0..scene.surfaces.len())
        .map(|surface| memory.as_ref()?.surface(scene, surface, &used))
        .collect();
    let unknown: Vec<bool> = surfaces.iter().map(Option::is_none).collect();
    let opened: Vec<usize> = (0..used.len())
        .filter(|at| photos[*at].is_none() || shows_any(scene, &unknown, used[*at]))
        .collect();
    let of: Vec<usize> = opened.iter().map(|at| used[*at]).collect();
    if let Some(meter) = by.meter {
        meter.begin("photos", of.len());
    }
    let harvests = in_waves(&of, bytes, by.limits, |at| {
        let bytes = file_of(scene, of[at], bytes)?;
        let asked = PhotoTask {
            scene,
            unknown: &unknown,
            photo: of[at],
        };
        let harvest = asked.harvest(opened[at], &bytes, by);
        if let (Some(memory), Ok(harvest), None) = (&memory, &harvest, &photos[opened[at]]) {
            memory.keep_photo(of[at], &harvest.seen);
        }
        if let Some(meter) = by.meter {
            meter.did_one();
        }
        harvest
    });
    let mut faults = Vec::new();
    let of_photos = harvests.into_iter().zip(opened);
    let mut gathered = handed_out(of_photos, scene.surfaces.len(), &mut photos, &mut faults);
    let clean = clean_models(scene, &unknown, bytes, by, &mut faults);
    for (gathered, clean) in gathered.iter_mut().zip(clean) {
        gathered.clean = clean;
    }
    whole(faults)?;
    let mut faults = Vec::new();
    let found = joined_surfaces(scene, &unknown, gathered, memory.as_ref());
    for (at, found) in found.into_iter().enumerate() {
        match found {
            None => {}
            Some(Ok(found)) => surfaces[at] = Some(found),
            Some(Err(fault)) => faults.push(fault),
        }
    }
    whole(faults)?;
    Ok(Sighted {
        photos: photos.into_iter().flatten().collect(),
        surfaces: surfaces.into_iter().flatten().collect(),
    })
}

/// Gives each photo what was seen of it as a whole, and each surface what is its own.
fn handed_out(
    harvests: impl Iterator<Item = (Result<Harvest, SightError>, usize)>,
    surfaces: usize,
    photos: &mut [Option<PhotoSeen>],
    faults: &mut Vec<SightError>,
) -> Vec<SurfaceHarvest> {
    let mut gathered: Vec<SurfaceHarvest> = Vec::new();
    gathered.resize_with(surfaces, SurfaceHarvest::default);
    for (harvest, at) in harvests {
        match harvest {
            Ok(harvest) => photos[at] = Some(harvest.shared_out(&mut gathered)),
            Err(fault) => faults.push(fault),
        }
    }
    gathered
}

/// All that went wrong, if anything did.
fn whole(faults: Vec<SightError>) -> Result<(), Vec<SightError>> {
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// Whether a photo shows one of these surfaces.
fn shows_any(scene: &Scene, asked: &[bool], photo: usize) -> bool {
    let surfaces = scene.surfaces.iter().zip(asked);
    let mut asked = surfaces.filter(|(_, asked)| **asked);
    asked.any(|(surface, _)| shows(photo, surface))
}

/// Whether a photo shows a part of a surface.
fn shows(photo: usize, surface: &Surface) -> bool {
    surface.parts.iter().any(|part| part.photo == photo)
}

/// Joins what was gathered of each surface that is still unknown, side by side, and keeps what is found.
fn joined_surfaces(
    scene: &Scene,
    unknown: &[bool],
    gathered: Vec<SurfaceHarvest>,
    memory: Option<&Memory<'_>>,
) -> Vec<Option<Result<SightedSurface, SightError>>> {
    scene
        .surfaces
        .par_iter()
        .zip(gathered.into_par_iter().zip(unknown))
        .enumerate()
        .map(|(at, (surface, (gathered, unknown)))| {
            let found = unknown.then(|| joined(surface, gathered));
            if let (Some(memory), Some(Ok(found))) = (memory, &found) {
                memory.keep_surface(at, found);
            }
            found
        })
        .collect()
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

/// What to read from one photo.
struct PhotoTask<'a> {
    scene: &'a Scene,
    /// For each surface, whether it still has to be read.
    unknown: &'a [bool],
    photo: usize,
}

impl PhotoTask<'_> {
    /// The surfaces that still have to be seen, with their places.
    fn surfaces(&self) -> impl Iterator<Item = (usize, &Surface)> {
        let all = self.scene.surfaces.iter().enumerate();
        all.filter(|(at, _)| self.unknown[*at])
    }

    /// What the photo shows, which is number `at` of those used.
    fn harvest(&self, at: usize, bytes: &[u8], by: &Sighting<'_>) -> Result<Harvest, SightError> {
        let source: &PhotoSource = &self.scene.photos[self.photo];
        let (picture, light, mut warnings) = opened(source, bytes, by)?;
        let sky = source
            .sky
            .as_ref()
            .and_then(|sky| picture.usable_mean_of(sky));
        if source.sky.is_some() && sky.is_none() {
            warnings.push(PhotoWarning::SkyTellsNothing);
        }
        let photo = OpenedPhoto {
            at,
            source,
            picture: &picture,
            light: &light,
            sky,
        };
        let parts = self
            .surfaces()
            .flat_map(|(s, surface)| {
                let parts = surface.parts.iter().enumerate();
                parts.map(move |(p, part)| (s, surface, p, part))
            })
            .filter(|(.., part)| part.photo == self.photo)
            .map(|(s, surface, p, _)| Ok((s, photo.part(surface, p)?)))
            .collect::<Result<Vec<_>, SightError>>()?;
        Ok(Harvest {
            bands: self.bands_in(&picture),
            seen: photo_seen(source, &picture, light, warnings),
            parts,
        })
    }

    /// The bands that the photo shows, each with its surface and its place among the bands of that.
    fn bands_in(&self, picture: &Picture) -> Vec<(usize, usize, BandHarvest)> {
        self.surfaces()
            .filter(|(_, surface)| {
                let first = surface.parts.first();
                first.is_some_and(|part| part.photo == self.photo)
            })
            .flat_map(|(s, surface)| {
                let bands = surface.bands.iter().enumerate();
                bands.map(move |(b, band)| (s, surface, b, band))
            })
            .filter_map(|(s, surface, b, band)| {
                let region = band.region.as_ref()?;
                let bins = bins_for(picture, region, surface.tones).bins;
                let span = region.outline.bounds();
                let grid = ColourGrid::of_region(picture, region, span, &bins, BAND_MAP_SIDE);
                Some((s, b, BandHarvest { bins, grid }))
            })
            .collect()
    }
}

/// A photo that is decoded, its light corrected.
struct OpenedPhoto<'a> {
    /// Its number among those used.
    at: usize,
    source: &'a PhotoSource,
    picture: &'a Picture,
    light: &'a LightReport,
    /// The mean colour of its sky.
    sky: Option<LabD65>,
}

impl OpenedPhoto<'_> {
    /// What it shows of a part of a surface; places, relief and the look of its units are taken from the first part alone.
    fn part(&self, surface: &Surface, p: usize) -> Result<PartHarvest, SightError> {
        let (part, first) = (&surface.parts[p], p == 0);
        let (picture, region) = (self.picture, &part.region);
        let bands: &[Band] = if first { &surface.bands } else { &[] };
        let span = with_margin(span_of(part, bands));
        let (counted, windows) = if first && may_vary(surface) {
            bins_and_windows(picture, region, surface.tones)
        } else {
            let counted = bins_for(picture, region, surface.tones);
            (counted, WindowColours::default())
        };
        Ok(PartHarvest {
            part: p,
            windows,
            grid: ColourGrid::of_region(picture, region, span, &counted.bins, MAP_SIDE),
            seen: PartSeen {
                photo: self.at,
                region: region.clone(),
                crop: Thumbnail::of_crop(picture, Crop(span), CROP_SIDE),
                span,
                map: None,
                blown_out: counted.blown_out,
                crushed: counted.crushed,
                sky: self.sky,
                supposed: supposed(surface, self.source, region, picture, self.light),
            },
            counted: Part {
                bins: counted.bins,
                uncertainty: self.light.uncertainty,
            },
            places: if first {
                places(surface, picture)?
            } else {
                Vec::new()
            },
            relief: (first && surface.is_washed())
                .then(|| small_picture(picture, region, RELIEF_SIDE))
                .flatten(),
        })
    }
}

/// Whether its units may be distinguished: what is painted as one.
fn may_vary(surface: &Surface) -> bool {
    surface.treatment == Treatment::Coat
        && surface.bands.is_empty()
        && surface.variety != Some(false)
}

/// A guess that changes a photo by less is not worth mentioning: stops, and a cast in CIEDE2000. Our choice.
const WORTH_A_GUESS: (f64, f64) = (0.4, 5.0);

/// What a surface may be made of, if the scene does not say.
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

/// Decodes a photo and corrects its light.
fn opened(
    source: &PhotoSource,
    bytes: &[u8],
    by: &Sighting<'_>,
) -> Result<(Picture, LightReport, Vec<PhotoWarning>), SightError> {
    let read = by.timings.part("decoding", || decode(bytes, by.limits));
    let read = read.map_err(|cause| SightError::Photo {
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

/// The clean models of the washed surfaces that still have to be seen.
fn clean_models(
    scene: &Scene,
    unknown: &[bool],
    bytes: &(impl PhotoBytes + ?Sized),
    by: &Sighting<'_>,
    faults: &mut Vec<SightError>,
) -> Vec<Option<SmallPicture>> {
    let modelled: Vec<(usize, &PhotoPart)> = scene
        .surfaces
        .iter()
        .enumerate()
        .filter(|(at, surface)| unknown[*at] && surface.is_washed())
        .filter_map(|(at, surface)| Some((at, surface.model_photo.as_ref()?)))
        .collect();
    let of: Vec<usize> = modelled.iter().map(|(_, model)| model.photo).collect();
    let models = in_waves(&of, bytes, by.limits, |at| {
        let (surface, model) = modelled[at];
        let bytes = file_of(scene, model.photo, bytes)?;
        Ok((surface, clean_model(scene, model, &bytes, by)?))
    });
    let mut clean: Vec<Option<SmallPicture>> = scene.surfaces.iter().map(|_| None).collect();
    for model in models {
        match model {
            Ok((surface, model)) => clean[surface] = Some(model),
            Err(fault) => faults.push(fault),
        }
    }
    clean
}

/// The clean model of a surface.
fn clean_model(
    scene: &Scene,
    model: &PhotoPart,
    bytes: &[u8],
    by: &Sighting<'_>,
) -> Result<SmallPicture, SightError> {
    let (picture, _, _) = opened(&scene.photos[model.photo], bytes, by)?;
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
        strip: Thumbnail::of_crop(picture, Crop::WHOLE, STRIP_SIDE),
    }
}

/// Joins the parts of a surface, each photo counting alike and in one light, and finds its tones.
fn joined(surface: &Surface, gathered: SurfaceHarvest) -> Result<SightedSurface, SightError> {
    let mut relief = gathered.clean.map(|clean| (clean, PictureOf::CleanModel));
    if let Some(state) = &surface.like {
        return Ok(without_photo(surface, like::tones_like(state), relief));
    }
    let mut pieces = gathered.parts;
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
    let mut windows = WindowColours::default();
    if let Some(first) = pieces.first_mut().filter(|piece| piece.part == 0) {
        places = std::mem::take(&mut first.places);
        windows = std::mem::take(&mut first.windows);
        relief = relief.or_else(|| first.relief.take().map(|small| (small, PictureOf::StandIn)));
    }
    let (mut parts, grids): (Vec<PartSeen>, Vec<(Part, ColourGrid)>) = pieces
        .into_iter()
        .map(|piece| (piece.seen, (piece.counted, piece.grid)))
        .unzip();
    let (counted, grids): (Vec<Part>, Vec<ColourGrid>) = grids.into_iter().unzip();
    let joint = together(&counted);
    let before = counted.first().zip(joint.parts.first());
    let windows = windows.in_light_of(before.map(|(own, joint)| (&own.bins[..], &joint[..])));
    let all: Vec<Bin> = joint.parts.concat();
    let found = sorted_to_hold(&all, surface.tones, &surface.alike);
    let (found, _) = found.map_err(|cause| at(0, cause))?;
    if surface.bands.is_empty() {
        map_parts(&mut parts, &grids, &joint.parts, &found);
    }
    let bands = tones_of_bands(surface, &gathered.bands)?;
    let (bands, band_maps): (Vec<_>, Vec<_>) = bands.into_iter().map(Option::unzip).unzip();
    let wish = if surface.variety == Some(true) {
        Wish::Said
    } else {
        Wish::AsSeen
    };
    let variety = windows.variety(&found.tones, wish);
    Ok(SightedSurface {
        variety,
        tones: told_by_treatment(surface, found.tones),
        parts,
        part_notes: joint.notes,
        bands,
        band_maps,
        places,
        relief,
    })
}

/// Maps where each tone is in each part of a surface.
fn map_parts(parts: &mut [PartSeen], grids: &[ColourGrid], bins: &[Vec<Bin>], found: &Sorted) {
    let mut first = 0;
    for ((part, grid), bins) in parts.iter_mut().zip(grids).zip(bins) {
        let of_bin = &found.of_bin[first..first + bins.len()];
        part.map = Some(grid.sorted(bins, of_bin, &found.tones.tones));
        first += bins.len();
    }
}

/// A surface whose tones are told without a photo of it.
fn without_photo(
    surface: &Surface,
    tones: Tones,
    relief: Option<(SmallPicture, PictureOf)>,
) -> SightedSurface {
    SightedSurface {
        tones,
        variety: None,
        parts: Vec::new(),
        part_notes: Vec::new(),
        bands: surface.bands.iter().map(|_| None).collect(),
        band_maps: surface.bands.iter().map(|_| None).collect(),
        places: surface.places.iter().map(|_| None).collect(),
        relief,
    }
}

/// The tones of each band that has a part of the photo to itself.
fn tones_of_bands(
    surface: &Surface,
    gathered: &[(usize, BandHarvest)],
) -> Result<Vec<Option<(Tones, ToneMap)>>, SightError> {
    let bands = surface.bands.iter().enumerate();
    bands
        .map(|(b, band)| {
            let own = gathered.iter().find(|(at, _)| *at == b);
            own.map(|(_, found)| tones_of_band(surface, band, found))
                .transpose()
        })
        .collect()
}

/// The tones of a band that has a part of the photo to itself, and where they lie.
fn tones_of_band(
    surface: &Surface,
    band: &Band,
    found: &BandHarvest,
) -> Result<(Tones, ToneMap), SightError> {
    let sorted = sorted_to_hold(&found.bins, surface.tones, &surface.alike);
    let (sorted, _) = sorted.map_err(|cause| SightError::Region {
        place: band.place.clone(),
        cause,
    })?;
    let map = found
        .grid
        .sorted(&found.bins, &sorted.of_bin, &sorted.tones.tones);
    Ok((told_by_treatment(surface, sorted.tones), map))
}

/// Tones by what will be done with them: what is strewn is told as foliage.
fn told_by_treatment(surface: &Surface, tones: Tones) -> Tones {
    match surface.treatment {
        Treatment::Scatter => tones.of_foliage(),
        Treatment::Coat | Treatment::Rock | Treatment::Wash => tones,
    }
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
