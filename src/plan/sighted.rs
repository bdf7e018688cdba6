//! The first stage: what the photos of a scene show.

use crate::colour::LabD65;
use crate::photo::{
    LightReport, PhotoWarning, PictureOf, ProfileUsed, SmallPicture, Supposed, Thumbnail,
};
use crate::region::Region;
use crate::tones::{PartNote, ToneMap, Tones, Variety};
use crate::units::Metres;
use serde::{Deserialize, Serialize};

/// A photo as read.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct PhotoSeen {
    /// Its name in the scene.
    #[serde(skip)]
    pub key: String,
    /// Pixels across, upright.
    pub width: usize,
    /// Pixels down, upright.
    pub height: usize,
    /// Its colour profile.
    pub profile: ProfileUsed,
    /// Camera to subject.
    #[serde(skip)]
    pub from: Option<Metres>,
    /// Whose photo it is.
    #[serde(skip)]
    pub credit: Option<String>,
    /// What was done about its light.
    pub light: LightReport,
    /// What is doubtful about it.
    pub warnings: Vec<PhotoWarning>,
    /// A small copy, to show where its surfaces are.
    pub strip: Option<Thumbnail>,
}

/// Part of a photo that belongs to a surface.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct PartSeen {
    /// Place in [`Sighted::photos`].
    #[serde(skip)]
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
    /// The mean colour of its photo's sky at the horizon, if the scene says where that is and it is neither blown out
    /// nor black.
    pub sky: Option<LabD65>,
    /// What it may be made of, from its surface's name, if the scene says nothing and it would change the photo much.
    pub supposed: Option<Supposed>,
}

/// A surface as seen in its photos.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct SightedSurface {
    /// Its tones.
    pub tones: Tones,
    /// How much the units of its body differ, where they do.
    pub variety: Option<Variety>,
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
    pub relief: Option<(SmallPicture, PictureOf)>,
}

/// What the photos of a scene show.
#[derive(Debug, Clone)]
pub struct Sighted {
    /// Photos that a surface uses, in scene order.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SightedSurface>,
}

/// Whether a schedule shows pictures made from the photos. They are kept small in [`Sighted`] and made by the report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Pictures {
    /// It shows them.
    #[default]
    Shown,
    /// It is handed on without.
    LeftOut,
}

impl Pictures {
    /// What a picture is made from, if pictures are shown.
    #[must_use]
    pub fn shown<T>(self, from: Option<&T>) -> Option<&T> {
        from.filter(|_| self == Self::Shown)
    }
}
