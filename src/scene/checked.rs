//! The checked scene.

use crate::colour::LabD65;
use crate::materials::{Material, State};
use crate::paint::{Medium, ScatterMaterial};
use crate::photo::{KnownLight, KnownMaterial, KnownThings};
use crate::problem::Place;
use crate::region::Region;
use crate::scale_colour::ScaleColour;
use crate::scatter::{Land, LayOrder};
use crate::tones::Count;
use crate::units::{Metres, Millimetres, ScaleRatio, SquareCentimetres};
use serde::Serialize;
use std::fmt;

/// A scene that can be planned, once its photos and lists are read.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Its file, as the user named it.
    pub file: String,
    /// Title.
    pub title: String,
    /// Scale of the model.
    pub scale: ScaleRatio,
    /// Eye to model.
    pub view: Millimetres,
    /// The lamps over the layout, when stated.
    pub lamps: Option<Lamps>,
    /// Where the lamps are named.
    pub lamps_place: Place,
    /// Paint list, relative to the scene.
    pub paints: String,
    /// Where the paint list is named.
    pub paints_place: Place,
    /// The medium of listed paints that state none.
    pub paints_medium: Option<Medium>,
    /// Scatter list, relative to the scene.
    pub scatter: Option<String>,
    /// Where the scatter list is named.
    pub scatter_place: Place,
    /// Scale colour.
    pub scale_colour: ScaleColour,
    /// True when the visibility is written, not usual.
    pub visibility_stated: bool,
    /// Photos, in the order of their names.
    pub photos: Vec<PhotoSource>,
    /// Surfaces, as written.
    pub surfaces: Vec<Surface>,
}

/// Light over the layout.
#[derive(Debug, Clone, PartialEq)]
pub enum Lamps {
    /// Daylight, D65.
    Daylight,
    /// A CIE illuminant by its name.
    Illuminant(String),
    /// A correlated colour temperature, kelvin.
    Kelvin(f64),
    /// A spectrum file, relative to the scene.
    Spectrum(String),
}

impl fmt::Display for Lamps {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Daylight => f.write_str("daylight"),
            Self::Illuminant(name) => f.write_str(name),
            Self::Kelvin(kelvin) => write!(f, "{kelvin:.0} K"),
            // The file's name alone: the folders above it are nobody else's business.
            Self::Spectrum(file) => f.write_str(file.rsplit(['/', '\\']).next().unwrap_or(file)),
        }
    }
}

/// One photo.
#[derive(Debug, Clone)]
pub struct PhotoSource {
    /// Its name in the scene.
    pub key: String,
    /// Its file, relative to the scene.
    pub file: String,
    /// Where that is written.
    pub place: Place,
    /// Camera to subject.
    pub from: Option<Metres>,
    /// Whose photo it is, to be printed with it.
    pub credit: Option<String>,
    /// A known neutral in it.
    pub neutral: Option<Neutral>,
    /// Outer corners of a 24-patch chart, at patches 1, 6, 24, 19.
    pub chart: Option<[[f64; 2]; 4]>,
    /// What to do about its light; without a word from the scene, everything known is used and nothing else.
    pub light: Option<LightWish>,
    /// Parts of it that show a known material and need not be planned.
    pub known: Vec<KnownMaterial>,
    /// All parts of it that show a known material: these, and those of surfaces that say theirs.
    pub materials: Vec<KnownMaterial>,
    /// Taken in rain.
    pub wet: bool,
    /// The sky at its horizon.
    pub sky: Option<Region>,
}

impl PhotoSource {
    /// True when an estimate is to correct its light where nothing better is known.
    #[must_use]
    pub fn estimate_light(&self) -> bool {
        self.light == Some(LightWish::Estimate)
    }

    /// True where what surfaces say of their material counts for its light.
    #[must_use]
    pub fn heeds_surfaces(&self) -> bool {
        matches!(self.light, None | Some(LightWish::Materials))
    }

    /// What is known about the photo's light: chart, neutral and materials together; an estimate, if the scene asks
    /// for one and there is nothing better.
    #[must_use]
    pub fn known_light(&self) -> KnownLight {
        let several = self.chart.is_some() && self.neutral.is_some();
        if several || !self.materials.is_empty() {
            return KnownLight::Things(KnownThings {
                chart: self.chart,
                neutral: self
                    .neutral
                    .as_ref()
                    .map(|neutral| (neutral.region.clone(), neutral.reflectance)),
                materials: self.materials.clone(),
            });
        }
        match (&self.chart, &self.neutral) {
            (Some(corners), _) => KnownLight::Chart(*corners),
            (None, Some(neutral)) => KnownLight::Neutral {
                region: neutral.region.clone(),
                reflectance: neutral.reflectance,
            },
            (None, None) if self.estimate_light() => KnownLight::Estimate,
            (None, None) => KnownLight::Nothing,
        }
    }
}

/// What to do about a photo's light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LightWish {
    /// Correct it by an estimate when nothing better is known.
    Estimate,
    /// Leave it as the camera made it: no material of a surface counts.
    AsItIs,
    /// Correct it by the materials in it.
    Materials,
}

impl LightWish {
    /// All of them with their words.
    pub const ALL: [(&'static str, Self); 3] = [
        ("estimate", Self::Estimate),
        ("as-it-is", Self::AsItIs),
        ("materials", Self::Materials),
    ];
}

/// Something known to be neutral in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Neutral {
    /// Where it is.
    pub region: Region,
    /// Its reflectance, 0..1, when known.
    pub reflectance: Option<f64>,
}

/// How a surface gets its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Treatment {
    /// Opaque paint.
    Coat,
    /// A rock scheme.
    Rock,
    /// Scatter.
    Scatter,
    /// A wash alone over a given base.
    Wash,
}

impl Treatment {
    /// All treatments with their words.
    pub const ALL: [(&'static str, Self); 4] = [
        ("coat", Self::Coat),
        ("rock", Self::Rock),
        ("scatter", Self::Scatter),
        ("wash", Self::Wash),
    ];

    /// The word a scene uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, t)| *t == self)
            .map_or("coat", |(word, _)| word)
    }
}

/// What to do about light and shade of one material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShadeWish {
    /// Join them, the doubtful ones too.
    Join,
    /// Keep them apart.
    Keep,
    /// Join none and put each to the user.
    Ask,
}

impl ShadeWish {
    /// All of them with their words.
    pub const ALL: [(&'static str, Self); 3] = [
        ("join", Self::Join),
        ("keep", Self::Keep),
        ("ask", Self::Ask),
    ];
}

/// Part of a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoPart {
    /// Place in [`Scene::photos`].
    pub photo: usize,
    /// The part that counts.
    pub region: Region,
    /// Where it is written, for what turns out only with the picture.
    pub place: Place,
}

/// One surface to treat.
#[derive(Debug, Clone)]
pub struct Surface {
    /// Unique.
    pub name: String,
    /// Where it is seen; at least one part, unless its tones are those of a measured material.
    pub parts: Vec<PhotoPart>,
    /// What it is made of, as it is in its photos.
    pub material: Option<&'static Material>,
    /// The measured material whose tones it has instead of a photo's.
    pub like: Option<State>,
    /// How it gets its colour.
    pub treatment: Treatment,
    /// Area on the model.
    pub area: Option<SquareCentimetres>,
    /// Coats of paint.
    pub coats: u32,
    /// Whether to say how its units differ, bricks or boards; `None`: if they clearly do.
    pub variety: Option<bool>,
    /// How many tones.
    pub tones: Count,
    /// Light and shade; when nothing is written, sure pairs are joined and doubtful ones put to the user.
    pub shade: Option<ShadeWish>,
    /// It is one surface, though its tones look like two.
    pub one_surface: bool,
    /// Tones that are one: groups of colours, each of which names the tone nearest to it.
    pub alike: Vec<Vec<LabD65>>,
    /// A photo of the clean model, among the photos of the scene.
    pub model_photo: Option<PhotoPart>,
    /// The wash over it.
    pub wash: Option<WashWish>,
    /// Where dirt gathers.
    pub places: Vec<PlaceOnSurface>,
    /// A hillside in depth, from the front edge to the backscene.
    pub bands: Vec<Band>,
    /// Which grain of scatter goes first.
    pub order: LayOrder,
    /// What it is, where it is strewn; `None` is guessed from its name.
    pub land: Option<Land>,
    /// Materials of scatter that are allowed as well as those of its land.
    pub allow: Vec<ScatterMaterial>,
    /// Across the crowns of its trees or bushes.
    pub crown: Option<Metres>,
}

impl Surface {
    /// True when it is laid over with dirt, so that a picture before and after is wanted.
    #[must_use]
    pub fn is_washed(&self) -> bool {
        self.wash.is_some() || self.treatment == Treatment::Rock
    }
}

/// What a wash lies over.
#[derive(Debug, Clone, PartialEq)]
pub enum WashBase {
    /// A colour.
    Colour(LabD65),
    /// A listed paint, by its name.
    Paint(String),
    /// Another surface's planned colour, by its name.
    Surface(String),
}

/// A wash that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct WashWish {
    /// Where its base is written, or the wash itself.
    pub base_place: Place,
    /// What it lies over; `None` is the body's own planned colour.
    pub base: Option<WashBase>,
    /// Colour wanted on the flats; `None` is read from the region.
    pub flat: Option<LabD65>,
    /// Colour wanted in recesses; `None` is read from the region.
    pub recess: Option<LabD65>,
    /// How much of the photographed grime, 1 = all.
    pub grime: f64,
    /// Thickness in recesses against flats.
    pub pool: Option<f64>,
    /// Thickness of the wet film compared with a brushed coat, as read from a patch.
    pub film: Option<f64>,
    /// How much recesses count where flats count 1.
    pub recess_weight: f64,
    /// Most paints in the wash.
    pub most_paints: usize,
}

/// Ways of laying dirt, in the trade's own words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Technique {
    /// Thin paint over everything.
    Wash,
    /// Thin paint in joints and recesses only, wiped off the flats.
    PinWash,
    /// Very thin paint over everything, to tint it.
    Filter,
    /// A nearly dry brush over the edges.
    DryBrush,
    /// Dabbed on with the tip of a stiff brush or a sponge.
    Stipple,
    /// Drawn down in lines, as rain does.
    Streak,
    /// Dry pigment.
    Powder,
}

impl Technique {
    /// All of them with their words.
    pub const ALL: [(&'static str, Self); 7] = [
        ("wash", Self::Wash),
        ("pin-wash", Self::PinWash),
        ("filter", Self::Filter),
        ("dry-brush", Self::DryBrush),
        ("stipple", Self::Stipple),
        ("streak", Self::Streak),
        ("powder", Self::Powder),
    ];

    /// The word a scene uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, t)| *t == self)
            .map_or("wash", |(word, _)| word)
    }
}

/// A place where dirt gathers.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceOnSurface {
    /// Its name.
    pub name: String,
    /// How dirt is laid there.
    pub technique: Option<Technique>,
    /// Where it is seen.
    pub region: Option<Region>,
    /// Where that is written.
    pub place: Place,
    /// Or its colour.
    pub colour: Option<LabD65>,
    /// Its share of the surface.
    pub share: Option<f64>,
}

/// A band of a hillside.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// Where it is seen; `None` is where its surface is.
    pub region: Option<Region>,
    /// Where that is written, for what turns out only with the picture.
    pub place: Place,
    /// Camera to it.
    pub from: Option<Metres>,
    /// How far behind the front edge it lies on the model.
    pub model_depth: Option<Millimetres>,
    /// What it is; `None` is as its surface.
    pub land: Option<Land>,
    /// Across the crowns of its trees or bushes; `None` is as its surface.
    pub crown: Option<Metres>,
    /// Its own scale.
    pub scale: Option<ScaleRatio>,
    /// Its area on the model.
    pub area: Option<SquareCentimetres>,
}
