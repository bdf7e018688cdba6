//! The second stage: the wanted colour of each tone of each surface. A plan from elsewhere enters here, because it
//! has no photos.

use super::ids::{SurfaceId, ToneId, found_by};
use super::picked::UnitsWanted;
use super::sighted::{PartSeen, PhotoSeen};
use crate::colour::{DeltaE00, LabD65};
use crate::depth::{Haze, PlacedBand};
use crate::materials::{Material, State};
use crate::paint::ScatterMaterial;
use crate::photo::{PictureOf, SmallPicture};
use crate::region::Region;
use crate::scale_colour::{AirNote, Moved, ScaleColour};
use crate::scatter::{Land, LayOrder};
use crate::scene::{Lamps, PlaceOnSurface, Scene, ShadeWish, Surface, Treatment, WashWish};
use crate::tones::{NotFound, PartNote, Tone, ToneMap};
use crate::units::{Metres, Millimetres, ScaleRatio, SquareCentimetres};
use crate::wet::Dried;

/// A layout whose tones are known and moved by its rule of scale colour.
#[derive(Debug, Clone)]
pub struct Toned {
    /// What holds for the whole layout.
    pub layout: Layout,
    /// Photos as read; none in a plan from elsewhere.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<TonedSurface>,
}

/// What a scene says of the whole layout.
#[derive(Debug, Clone)]
pub struct Layout {
    /// Its title.
    pub title: String,
    /// Scale of the model.
    pub scale: ScaleRatio,
    /// Eye to model.
    pub view: Millimetres,
    /// The lamps over it, when stated.
    pub lamps: Option<Lamps>,
    /// How colours are moved.
    pub scale_colour: ScaleColour,
    /// True when the visibility is written, not usual.
    pub visibility_stated: bool,
    /// Its list of scatter, as its scene names it.
    pub scatter: Option<String>,
}

/// A surface and its tones, before anything is mixed.
#[derive(Debug, Clone)]
pub struct TonedSurface {
    /// What is wanted of it as a whole.
    pub wanted: SurfaceWanted,
    /// Its tones, largest share first.
    pub tones: Vec<TonedTone>,
    /// Its bands, or itself as one zone; at least one.
    pub zones: Vec<TonedZone>,
}

/// What the user wants of a surface as a whole, and what its photos show besides its tones.
#[derive(Debug, Clone)]
pub struct SurfaceWanted {
    /// Its name.
    pub name: String,
    /// How it gets its colour.
    pub treatment: Treatment,
    /// Area on the model.
    pub area: Option<SquareCentimetres>,
    /// Coats of paint.
    pub coats: u32,
    /// Camera to subject.
    pub from: Option<Metres>,
    /// How varied it is.
    pub spread: DeltaE00,
    /// Its part of the photos.
    pub parts: Vec<PartSeen>,
    /// How its units differ, and what to pick out of them, where they do.
    pub variety: Option<UnitsWanted>,
    /// What was done with its photos, where there are several.
    pub part_notes: Vec<PartNote>,
    /// Tones that the scene joins, but not all of which are there.
    pub not_found: Vec<NotFound>,
    /// The haze of its photo, as its bands show it.
    pub haze: Option<Haze>,
    /// The tone that its wash replaces.
    pub washed_tone: Option<ToneId>,
    /// The photographed colour of each of its places that has a region, in the order of its places.
    pub places_seen: Vec<Option<LabD65>>,
    /// What a picture before and after the wash is painted on, where it is washed.
    pub relief: Option<(SmallPicture, PictureOf)>,
    /// What its scene asks of it.
    pub wish: SurfaceWish,
}

/// What a scene asks of a surface, whatever its photos show.
#[derive(Debug, Clone)]
pub struct SurfaceWish {
    /// What it is made of, as it is in its photos.
    pub material: Option<&'static Material>,
    /// The measured material whose tones it has instead of a photo's.
    pub like: Option<State>,
    /// Light and shade.
    pub shade: Option<ShadeWish>,
    /// It is one surface, though its tones look like two.
    pub one_surface: bool,
    /// Whether to pick out some of its units; `None`: if the photo shows that they differ.
    pub variety: Option<bool>,
    /// The wash over it.
    pub wash: Option<WashWish>,
    /// Where dirt gathers.
    pub places: Vec<PlaceOnSurface>,
    /// Which grain of scatter goes first.
    pub order: LayOrder,
    /// What it is, where it is strewn; `None` is guessed from its name.
    pub land: Option<Land>,
    /// Materials of scatter that are allowed as well as those of its land.
    pub allow: Vec<ScatterMaterial>,
    /// Across the crowns of its trees or bushes.
    pub crown: Option<Metres>,
}

/// The wanted colour of one tone.
#[derive(Debug, Clone)]
pub struct TonedTone {
    /// As photographed.
    pub tone: Tone,
    /// How far the photo itself may be off.
    pub target_uncertainty: DeltaE00,
    /// Dried back, where the photo was taken in rain.
    pub dried: Option<Dried>,
    /// Moved by the scene's rule.
    pub moved: Moved,
    /// Moved by each rule, in the order of [`crate::scale_colour::ScaleRule::ALL`].
    pub by_rule: [Moved; 3],
    /// Its zone, as a place in the zones of its surface.
    pub zone: usize,
    /// True for the shade of a lit tone: it is not painted, the lamps over the layout will cast it.
    pub left_to_lamps: bool,
}

/// One zone and the wanted colours.
#[derive(Debug, Clone)]
pub struct TonedZone {
    /// The band it is; `None` where the surface has no bands.
    pub band: Option<BandPlan>,
    /// Its area on the model.
    pub area: Option<SquareCentimetres>,
    /// Its share of the surface.
    pub share: f64,
    /// Its tones, as the first and the one after the last of the surface's.
    pub tones: std::ops::Range<usize>,
    /// Where its tones are in its part of the photo; `None` without a photo, or where several show it.
    pub map: Option<ToneMap>,
}

/// A band of a hillside.
#[derive(Debug, Clone)]
pub struct BandPlan {
    /// Its name.
    pub name: String,
    /// Where it is seen, when not where its surface is.
    pub region: Option<Region>,
    /// What kind of land it is, if the scene says.
    pub land: Option<Land>,
    /// Width of the crowns of its trees or bushes, if the scene gives it.
    pub crown: Option<Metres>,
    /// What was done about the photo's air.
    pub note: AirNote,
    /// How far behind the front edge it lies on the model.
    pub model_depth: Option<Millimetres>,
    /// Its distance for the eye.
    pub placed: PlacedBand,
    /// Share of what the eye sees of it that is air, under the scene's rule.
    pub air: f64,
    /// Share of what the camera saw of it that was air; `None` where nothing is known of that.
    pub photo_air: Option<f64>,
    /// The mean of its tones as photographed.
    pub photographed: LabD65,
    /// The mean of its planned tones.
    pub planned: LabD65,
}

found_by!(SurfaceId in TonedSurface);
found_by!(ToneId in TonedTone);

impl Layout {
    /// What a scene says of it.
    #[must_use]
    pub fn of_scene(scene: &Scene) -> Self {
        Self {
            title: scene.title.clone(),
            scale: scene.scale,
            view: scene.view,
            lamps: scene.lamps.clone(),
            scale_colour: scene.scale_colour,
            visibility_stated: scene.visibility_stated,
            scatter: scene.scatter.clone(),
        }
    }
}

impl SurfaceWish {
    /// What a scene asks of it.
    #[must_use]
    pub fn of_surface(surface: &Surface) -> Self {
        Self {
            material: surface.material,
            like: surface.like,
            shade: surface.shade,
            one_surface: surface.one_surface,
            variety: surface.variety,
            wash: surface.wash.clone(),
            places: surface.places.clone(),
            order: surface.order,
            land: surface.land,
            allow: surface.allow.clone(),
            crown: surface.crown,
        }
    }
}
