//! Scatter: blends of grass, foliage, earth and stone, laid in passes over a painted ground.
//!
//! In: the tones wanted in a zone of a hillside and the builder's own [`ScatterKind`]s. Out: a [`Blend`] in small whole parts of
//! what shows that has the mean colour of the zone and its variety; its passes, each with the grams that leave those parts
//! to be seen once all others lie on it; and the kind that the list lacks. It knows nothing of scenes and photographs.

mod land;
mod laying;
mod low;
mod model;
mod search;
mod trees;

pub use land::Land;
pub use laying::{LaidKind, LayOrder, Layer, laying_order, shown, thicknesses};
pub use low::{seen_from, slant};
pub use model::{BlendColours, KindShare, LaidBlend, SIDE_BY_SIDE_ERROR, ground_that_shows, mixed};
pub use search::{
    Blend, JudgedBlend, MOST_KINDS, MOST_PARTS, Missing, WantedZone, best_blend,
    best_blend_watched, missing,
};
pub use trees::{CROWN_ROLES, CrownShade, Crowns, USUAL_CROWN, crowns};

use crate::colour::{LabD65, Xyz};
use crate::paint::{ColourFrom, Grain, ScatterItem, ScatterMaterial};
use crate::units::Grams;

/// Where a cover is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoverFrom {
    /// The list.
    List,
    /// A usual figure for its grain.
    Usual,
}

/// One kind of scatter, made ready.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterKind {
    /// Its place in the list.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// Its colour as the list has it.
    pub colour: LabD65,
    /// Its colour as X, Y, Z.
    pub xyz: Xyz,
    /// How coarse it is; fine where the list does not say.
    pub grain: Grain,
    /// What it is: as the list says, else guessed from its name; `None` if neither says.
    pub material: Option<ScatterMaterial>,
    /// Whether that was guessed.
    pub material_guessed: bool,
    /// Grams that cover a square decimetre once.
    pub cover: f64,
    /// Where that figure is from.
    pub cover_from: CoverFrom,
    /// What shadow its grains throw on each other that its swatch does not show: the recollision probability, 0..1.
    pub self_shadow: f64,
    /// How high a grain stands over its radius: 0 lies flat.
    pub stands: f64,
    /// On the shelf.
    pub on_hand: Option<Grams>,
}

/// Grams that cover a square decimetre once, where a list does not say. Our choice.
#[must_use]
pub fn usual_cover(grain: Grain) -> f64 {
    match grain {
        Grain::Coarse => 4.0,
        Grain::Medium => 3.0,
        Grain::Fine => 2.5,
        Grain::Fibre => 1.5,
    }
}

/// How high grains stand over their radius: leaves and needles lie flat, all others are half as high as wide. Our choice, no
/// source.
fn stands(material: Option<ScatterMaterial>) -> f64 {
    match material {
        Some(ScatterMaterial::Leaf | ScatterMaterial::Needle) => 0.0,
        _ => 1.0,
    }
}

impl ScatterKind {
    /// From a line of the list. A swatch photographed as laid already holds its shadows; one of loose grains does not
    /// (recollision probability 0.2, fibres 0.3: our choice, no source).
    #[must_use]
    pub fn new(index: usize, item: &ScatterItem) -> Self {
        let grain = item.grain.unwrap_or(Grain::Fine);
        let material = item
            .material
            .or_else(|| (grain == Grain::Fibre).then_some(ScatterMaterial::Fibre))
            .or_else(|| ScatterMaterial::guessed(&item.name));
        Self {
            index,
            name: item.name.clone(),
            colour: item.colour,
            xyz: item.colour.into(),
            grain,
            material,
            material_guessed: item.material.is_none() && grain != Grain::Fibre,
            cover: item.cover_g_per_dm2.unwrap_or_else(|| usual_cover(grain)),
            cover_from: match item.cover_g_per_dm2 {
                Some(_) => CoverFrom::List,
                None => CoverFrom::Usual,
            },
            self_shadow: match (item.swatch, grain) {
                (Some(ColourFrom::Loose), Grain::Fibre) => 0.3,
                (Some(ColourFrom::Loose), _) => 0.2,
                (Some(ColourFrom::Laid) | None, _) => 0.0,
            },
            stands: stands(material),
            on_hand: item.on_hand_g.and_then(|g| Grams::new(g).ok()),
        }
    }
}
