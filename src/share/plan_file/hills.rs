//! Bands, haze, backscenes and scatter in `plan.json`.

use super::colours::{ColourEntry, MixedColour};
use crate::paint::{Grain, ScatterMaterial};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A band of a hillside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BandEntry {
    /// Its name.
    pub name: String,
    /// Width of the crowns of its trees or bushes, metres, if the scene gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crown_m: Option<f64>,
    /// What kind of land it is, if the scene says: grass, heath, wood, scree, earth or any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub land: Option<String>,
    /// Distance from the camera, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// The full-size distance it stands for, metres.
    pub stands_for_m: f64,
    /// How far behind the front edge it lies on the model, millimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model_depth_mm: Option<f64>,
    /// The scale it is built to: 87 for 1:87.
    pub scale_n: f64,
    /// Its area on the model, square centimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_cm2: Option<f64>,
    /// Its share of the surface.
    pub share: f64,
    /// Share of air in the eye's view of it.
    pub air: f64,
    /// Share of air in the camera's view of it, if that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo_air: Option<f64>,
    /// The mean of its tones as photographed.
    pub photographed: ColourEntry,
    /// The mean of its planned tones.
    pub planned: ColourEntry,
    /// Its tones, counted from 1 in the surface's order; one after the other.
    pub tones: Vec<usize>,
}

/// Haze read from a photo.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HazeEntry {
    /// The distance at which a black object just disappears, metres.
    pub visibility_m: f64,
    /// Two in three such readings are right within this factor.
    pub within_factor: f64,
    /// The colour of its air.
    pub air: ColourEntry,
    /// Two in three such colours are right within this difference, CIEDE2000.
    pub air_uncertainty_de: f64,
    /// The two distances it was read from, metres.
    pub between_m: [f64; 2],
}

/// The join to a painted backscene.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BacksceneEntry {
    /// The colour to bring up to the join.
    pub join: MixedColour,
    /// The colour of the sky-line.
    pub sky_line: MixedColour,
}

/// What is strewn on a surface.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScatterEntry {
    /// The painted ground of the first zone.
    pub ground: ColourEntry,
    /// The kinds of all zones in laying order.
    pub layers: Vec<LayerEntry>,
    /// "area seen": parts count the area of each kind that shows from above.
    pub parts_by: String,
    /// Zone by zone.
    pub zones: Vec<StrewnZone>,
    /// Where two strewn bands meet, from the front edge.
    pub edges: Vec<EdgeEntry>,
}

/// Where two strewn bands meet.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EdgeEntry {
    /// The band in front.
    pub near: String,
    /// The band behind.
    pub far: String,
    /// The width, in centimetres, over which to strew both mixes.
    pub over_cm: f64,
}

/// One kind of one zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LayerEntry {
    /// The kind, as the scatter list names it.
    pub item: String,
    /// coarse, medium, fine or fibre.
    #[schemars(with = "String")]
    pub grain: Grain,
    /// The pass it is laid in, by its grain.
    pub pass: String,
    /// Which pass that is, counted from 1.
    pub pass_number: usize,
    /// Parts by the area that shows.
    pub parts: u32,
    /// Share of the zone that shows it from above, once all passes lie.
    pub area_share: f64,
    /// Grams to strew; absent where the area is unknown.
    pub grams: Option<f64>,
    /// Grams for a square decimetre.
    pub grams_per_dm2: f64,
    /// Teaspoons of 5 ml for the whole zone.
    pub teaspoons: Option<f64>,
    /// What it is: foliage, turf, fibre, earth, ballast, leaf, needle or flock.
    #[schemars(with = "Option<String>")]
    pub material: Option<ScatterMaterial>,
    /// The zone, where there are several.
    pub zone: Option<String>,
}

/// What is strewn in one zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StrewnZone {
    /// The zone, where there are several.
    pub zone: Option<String>,
    /// What the zone is: grass, heath, wood, scree or earth.
    pub land: Option<String>,
    /// True if this was guessed from its name, not given by the scene.
    pub land_guessed: Option<bool>,
    /// Kinds that do not belong to its land, and what it costs to leave them out.
    pub left_out: Option<LeftOutEntry>,
    /// The painted ground.
    pub ground: ColourEntry,
    /// Number of its pot.
    pub ground_pot: Option<usize>,
    /// Share of the ground that shows.
    pub ground_share: Option<f64>,
    /// Where each of its tones lies in the photo.
    pub r#where: Option<Vec<WhereEntry>>,
    /// Trees or bushes that stand on it.
    pub crowns: Option<CrownsEntry>,
    /// The mean wanted.
    pub wanted: ColourEntry,
    /// How varied the zone is in the photo, CIEDE2000.
    pub wanted_spread_de: f64,
    /// The mean of the blend.
    pub blend: Option<ColourEntry>,
    /// How far that is off, CIEDE2000.
    pub de2000: Option<f64>,
    /// How varied the blend is.
    pub spread_de: Option<f64>,
    /// Two in three laid patches should fall within this difference.
    pub uncertainty_de: f64,
    /// Its kinds in the order they are laid.
    pub layers: Vec<LayerEntry>,
    /// What it looks like after each pass.
    pub after_passes: Vec<AfterPass>,
    /// How it looks from 30 degrees above the ground.
    pub from_30_degrees: Option<SeenLowEntry>,
    /// Glue for one pass, millilitres.
    pub glue_ml_a_pass: Option<f64>,
    /// The kind that the list lacks.
    pub missing: Option<MissingEntry>,
}

/// Kinds that do not belong to the land of a zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeftOutEntry {
    /// Their names.
    pub kinds: Vec<String>,
    /// How far the best blend with them would be off, CIEDE2000.
    pub de2000_with_them: f64,
    /// How much less varied than the photo it would be, CIEDE2000.
    pub variety_gap_with_them: f64,
    /// How much less varied than the photo the blend without them is.
    pub variety_gap: Option<f64>,
}

/// Where a tone lies in a zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WhereEntry {
    /// Number of the tone on the surface.
    pub tone: usize,
    /// top, middle or foot, if it lies mostly in one.
    pub upright: Option<String>,
    /// left, middle or right, if it lies mostly in one.
    pub across: Option<String>,
    /// True if it lies in patches, false if it is speckled among the others.
    pub in_patches: bool,
}

/// Trees or bushes of a zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CrownsEntry {
    /// How wide a crown is at full size, metres.
    pub across_m: f64,
    /// True if that is a usual size, false if the scene gives it.
    pub usual_size: bool,
    /// How wide that is on the model, millimetres.
    pub across_mm: f64,
    /// Their three shades.
    pub shades: Vec<CrownShadeEntry>,
}

/// One shade of crowns.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CrownShadeEntry {
    /// The colour.
    #[serde(flatten)]
    pub colour: ColourEntry,
    /// lit, body or shade.
    pub role: String,
    /// How many crowns of it.
    pub count: u32,
}

/// A zone after one of its passes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AfterPass {
    /// The pass, by its grain.
    pub pass: String,
    /// The mean colour seen from above.
    pub looks: ColourEntry,
    /// The share of the ground that still shows.
    pub ground_share: f64,
}

/// A zone seen from low down.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SeenLowEntry {
    /// The mean colour.
    pub looks: ColourEntry,
    /// The share of the ground that shows.
    pub ground_share: f64,
    /// The share of each kind.
    pub shares: Vec<SeenShare>,
}

/// The share of a kind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SeenShare {
    /// The kind, as the scatter list names it.
    pub item: String,
    /// Its share of what is seen.
    pub area_share: f64,
}

/// A kind that a scatter list lacks.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MissingEntry {
    /// Its colour: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    pub hex: String,
    /// coarse, medium, fine or fibre.
    #[schemars(with = "String")]
    pub grain: Grain,
    /// The share of the zone it would take.
    pub share: f64,
    /// How far the list's nearest kind is from it, CIEDE2000.
    pub nearest_de: f64,
}
