//! The shape of `plan.json`, for writing and reading. Its JSON Schema is generated from these types.

mod more;

use crate::colour::{DeltaE00, LabD65};
use crate::mix::{Recipe, Shelf, stirred};
use crate::tones::{JoinedTone, Likeness, ShadeOf, Tone};
use schemars::JsonSchema;
use serde::de::{Deserializer, Error};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// The mark of the format.
pub(super) const FORMAT: &str = "hillwash.plan/1";

/// A figure for files: three decimals are far finer than its accuracy.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e3).round() / 1e3;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Parts as people write them: 3 and not 3.0, but 1.5 if the user typed that.
#[must_use]
pub fn as_typed(parts: f64) -> Value {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "compared with what was typed"
    )]
    let whole = parts.clamp(0.0, 1e9) as u64;
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let same = (whole as f64 - parts).abs() < 1e-9;
    if same { json!(whole) } else { json!(parts) }
}

/// Rounded to six places, for weights that are added up.
#[must_use]
pub fn in_millionths(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A colour: CIELAB under D65 for the 2 degree observer, and the nearest sRGB.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ColourEntry {
    /// L*, a*, b*.
    pub lab: [f64; 3],
    /// sRGB as #rrggbb; where Lab and sRGB disagree, Lab counts.
    #[serde(default)]
    pub hex: String,
}

impl From<LabD65> for ColourEntry {
    fn from(colour: LabD65) -> Self {
        Self {
            lab: [colour.l, colour.a, colour.b].map(rounded),
            hex: colour.to_srgb8().to_string(),
        }
    }
}

impl ColourEntry {
    /// The colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// A paint and its parts by volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PartsEntry {
    /// The paint, as its list names it.
    pub name: String,
    /// Parts by volume: a whole number.
    #[serde(deserialize_with = "whole_parts")]
    pub parts: u32,
}

/// Whole parts; plans of earlier versions wrote 3.0 for 3.
fn whole_parts<'de, D: Deserializer<'de>>(file: D) -> Result<u32, D::Error> {
    let found = f64::deserialize(file)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held in 0..=1e6, and compared with what was found"
    )]
    let whole = found.clamp(0.0, 1e6) as u32;
    if (f64::from(whole) - found).abs() < 1e-9 {
        Ok(whole)
    } else {
        Err(Error::custom(format!(
            "found {found} parts, expected a whole number from 0 to 1000000"
        )))
    }
}

/// A mix and what it should look like.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MixEntry {
    /// What is stirred.
    pub paints: Vec<PartsEntry>,
    /// The predicted colour: L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Predicted difference from the wanted colour, CIEDE2000.
    pub de2000: f64,
    /// Two in three real mixes should fall within this difference of the prediction, CIEDE2000.
    pub uncertainty_de: f64,
    /// How near a real mix should come to the wanted colour, in two cases of three; absent in plans of earlier
    /// versions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected_de: Option<f64>,
}

impl MixEntry {
    /// A recipe with the names of its paints.
    #[must_use]
    pub fn new(recipe: &Recipe, shelf: &Shelf) -> Self {
        let ColourEntry { lab, hex } = recipe.colour.into();
        Self {
            paints: recipe
                .parts
                .iter()
                .map(|(at, parts)| PartsEntry {
                    name: shelf[*at].name.clone(),
                    parts: *parts,
                })
                .collect(),
            lab,
            hex,
            de2000: rounded(recipe.difference.0),
            uncertainty_de: rounded(recipe.uncertainty.0),
            expected_de: Some(rounded(recipe.expected().0)),
        }
    }

    /// The predicted colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }

    /// "3 raw umber + 1 titanium white".
    #[must_use]
    pub fn words(&self) -> String {
        stirred((self.paints.iter()).map(|paint| (&paint.parts, &paint.name)))
    }
}

/// The tone that another is the shade of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShadeEntry {
    /// Its place in the list, from 0.
    pub tone: usize,
    /// Whether both are surely one material.
    pub sure: bool,
    /// Share of the light that reaches the shade.
    pub light: f64,
    /// Share of skylight in it.
    pub sky: f64,
    /// How far the shade is from that explanation, CIEDE2000.
    pub off_de: f64,
}

impl From<ShadeOf> for ShadeEntry {
    fn from(shade: ShadeOf) -> Self {
        Self {
            tone: shade.lit,
            sure: shade.likeness == Likeness::OneMaterial,
            light: rounded(shade.line.light()),
            sky: rounded(shade.line.sky()),
            off_de: rounded(shade.line.off().0),
        }
    }
}

/// A tone before it was joined with others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JoinedEntry {
    /// As photographed: L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Its share of the surface.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub share: f64,
}

impl JoinedEntry {
    /// The photographed colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

impl From<JoinedTone> for JoinedEntry {
    fn from(joined: JoinedTone) -> Self {
        let ColourEntry { lab, hex } = joined.colour.into();
        Self {
            lab,
            hex,
            share: rounded(joined.share.value()),
        }
    }
}

/// One tone of a surface or photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToneEntry {
    /// As photographed: L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Its share of the surface; all tones together make 1.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub share: f64,
    /// How varied it is: mean CIEDE2000 of its pixels from its colour.
    #[serde(default)]
    pub spread_de: f64,
    /// Nine in ten of its pixels lie within this difference of its colour, CIEDE2000.
    #[serde(default)]
    pub spread_90_de: f64,
    /// How to keep the mix: even, or loose.
    #[serde(default)]
    pub keep: String,
    /// The tone that it is the shade of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shade_of: Option<ShadeEntry>,
    /// ISCC–NBS name of the colour.
    #[serde(default)]
    pub name: String,
    /// Its part: body, light, shade, dirt in the recesses, variation or accent.
    pub role: String,
    /// How far the photo itself may be off, CIEDE2000.
    pub target_uncertainty_de: f64,
    /// The colour to paint, changed by the scene's rule of scale colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<ColourEntry>,
    /// How far the rule changed it, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moved_de: Option<f64>,
    /// True if it is shadow, which the lamps make by themselves: it is not painted.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub left_to_lamps: bool,
    /// True when most of it lies in thin things, such as joints.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub thin: bool,
    /// The tones it was made of, if several were joined.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub made_of: Vec<JoinedEntry>,
    /// Number of its pot; absent if the tone is not brushed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
    /// Mixes for the planned colour, the soundest first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recipes: Option<Vec<MixEntry>>,
    /// Whatever else is known of it.
    #[serde(flatten)]
    #[schemars(with = "more::ToneMore")]
    pub more: Map<String, Value>,
}

impl ToneEntry {
    /// A tone as photographed, not planned yet.
    #[must_use]
    pub fn seen(tone: &Tone, share: f64, target_uncertainty: DeltaE00) -> Self {
        let ColourEntry { lab, hex } = tone.colour.into();
        Self {
            lab,
            hex,
            share,
            spread_de: rounded(tone.spread.0),
            name: tone.name.to_owned(),
            role: tone.role.word().to_owned(),
            target_uncertainty_de: rounded(target_uncertainty.0),
            spread_90_de: rounded(tone.spread_90.0),
            keep: tone.keep().to_owned(),
            shade_of: tone.shade_of.map(ShadeEntry::from),
            thin: tone.thin,
            made_of: tone.joined.iter().copied().map(JoinedEntry::from).collect(),
            planned: None,
            moved_de: None,
            left_to_lamps: false,
            pot: None,
            recipes: None,
            more: Map::new(),
        }
    }

    /// The photographed colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// The rule of scale colour and its settings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScaleColourEntry {
    /// air, customary or none.
    pub rule: String,
    /// Visibility: the distance at which a black object just disappears, metres.
    pub visibility_m: f64,
    /// Colour of the air.
    pub air: ColourEntry,
}

/// The scene.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SceneEntry {
    /// Its title.
    pub title: String,
    /// The scale as a ratio, such as "1:87".
    pub scale: String,
    /// The same as a number: 87.
    pub scale_n: f64,
    /// Distance from eye to model, in words.
    pub view: String,
    /// The same in millimetres.
    pub view_mm: f64,
    /// The lamps over the layout; "not stated" if the scene does not say.
    #[serde(default)]
    pub lamps: String,
    /// For lamps with a measured spectrum: what each of the 36 bands, 380 to 730 nm every 10 nm, adds to X, Y and Z,
    /// with Y = 1 for white.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lamp_weights: Option<Vec<[f64; 3]>>,
    /// Scale colour.
    pub scale_colour: ScaleColourEntry,
    /// Name of the paint list.
    #[serde(default)]
    pub paints: String,
    /// Name of the scatter list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter: Option<String>,
    /// Date of issue.
    #[serde(default)]
    pub date: String,
}

/// How a photo's light was corrected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LightEntry {
    /// The same in words.
    pub words: String,
    /// How far the photo's colours may be off, CIEDE2000.
    pub target_uncertainty_de: f64,
    /// nothing, estimate, neutral, grey card, no colour or chart.
    pub corrected_by: String,
    /// Figures of the correction.
    #[serde(flatten)]
    #[schemars(with = "more::LightMore")]
    pub more: Map<String, Value>,
}

/// A photo, without its picture, place, camera and time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhotoEntry {
    /// Its name in the scene.
    pub name: String,
    /// Pixels across, upright.
    pub width: usize,
    /// Pixels down, upright.
    pub height: usize,
    /// Its colour profile.
    pub profile: String,
    /// Distance from camera to subject, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// Whose photo it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub credit: Option<String>,
    /// How its light was corrected.
    pub light: LightEntry,
}

/// How the units of a body differ.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VarietyEntry {
    /// Mean CIEDE2000 of its units from their mean.
    pub spread_de: f64,
    /// What may be picked out of them, the farthest from the body first; at most three.
    pub picks: Vec<PickEntry>,
}

/// Some of the units of a body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PickEntry {
    /// Their share of the body.
    pub share: f64,
    /// Their mean colour as photographed.
    pub photographed: ColourEntry,
    /// The same, changed by the rule of scale colour as the body is.
    pub planned: ColourEntry,
    /// How they differ from the body, in words.
    #[serde(default)]
    pub words: String,
    /// The mix for them; absent if nothing on the list brings the body's pot nearer by a third of the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix: Option<PickMixEntry>,
}

/// A mix from some of the body's pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PickMixEntry {
    /// The pot of the body.
    pub pot: usize,
    /// Parts of it …
    pub parts_of_pot: u32,
    /// … with these.
    pub paints: Vec<PartsEntry>,
    /// Drops in one part; absent if the area is unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drops_a_part: Option<u32>,
    /// The colour wanted for the picked units, before any wash.
    pub wanted: ColourEntry,
    /// What the mix should dry to.
    pub comes_to: ColourEntry,
    /// Its difference from that, CIEDE2000.
    pub difference_de: f64,
}

/// A surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SurfaceEntry {
    /// Its name.
    pub name: String,
    /// coat, rock, scatter or wash.
    pub treatment: String,
    /// Area on the model, square centimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_cm2: Option<f64>,
    /// Coats of paint.
    #[serde(default = "one")]
    pub coats: u32,
    /// Distance from camera to subject, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// How varied it is: mean CIEDE2000 of its pixels from their tones.
    #[serde(default)]
    pub spread_de: f64,
    /// How the units of its body differ, bricks or boards, where they do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub variety: Option<VarietyEntry>,
    /// Its tones, the largest share first.
    pub tones: Vec<ToneEntry>,
    /// Its bands, from the front edge to the backscene.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bands: Vec<BandEntry>,
    /// Width of the crowns of its trees or bushes, metres, if the scene gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crown_m: Option<f64>,
    /// What kind of land it is, if it is strewn and the scene says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub land: Option<String>,
    /// Materials of scatter that are allowed as well as those of its land.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub allow: Vec<String>,
    /// The wash over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wash: Option<WashEntry>,
    /// Where dirt gathers on it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<PlaceEntry>,
    /// Order of work, in words.
    #[serde(default)]
    pub steps: Vec<String>,
    /// Cautions, in words.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Whatever else is planned for it.
    #[serde(flatten)]
    #[schemars(with = "more::SurfaceMore")]
    pub more: Map<String, Value>,
}

fn one() -> u32 {
    1
}

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

/// What a wash lies over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WashBaseEntry {
    /// L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as sRGB.
    #[serde(default)]
    pub hex: String,
    /// own body, colour, paint or surface.
    pub from: String,
    /// Name of the paint or surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Number of the pot that the base is painted with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
}

impl WashBaseEntry {
    /// The colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// A wash: the wanted colours, and those it should give.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WashEntry {
    /// What it lies over.
    pub base: WashBaseEntry,
    /// Flats in the end.
    pub flat: ColourEntry,
    /// Recesses in the end.
    pub recess: ColourEntry,
    /// Wanted on flats, with the grime dial applied.
    pub flat_wanted: ColourEntry,
    /// Wanted in recesses, with the grime dial applied.
    pub recess_wanted: ColourEntry,
    /// The grime dial, 1 = as photographed.
    pub grime: f64,
    /// Thickness in recesses compared with flats.
    pub pool: f64,
    /// Thickness of the wet film compared with a brushed coat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub film: Option<f64>,
    /// How much recesses count if flats count 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recess_weight: Option<f64>,
    /// Most paints in the wash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_paints: Option<usize>,
    /// Paints, thinning, passes and what else is known of it.
    #[serde(flatten)]
    #[schemars(with = "more::WashMore")]
    pub more: Map<String, Value>,
}

/// A place where dirt gathers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlaceEntry {
    /// Its name.
    pub name: String,
    /// How to lay the dirt, in the words of a scene.
    pub technique: String,
    /// Its share of the surface.
    pub share: f64,
    /// The colour wanted there.
    pub planned: ColourEntry,
    /// Paints, the predicted colour and what else is known of it.
    #[serde(flatten)]
    #[schemars(with = "more::PlaceMore")]
    pub more: Map<String, Value>,
}

/// A pot to mix.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PotEntry {
    /// "Pot 3, Yard wall, body and 2 more".
    pub name: String,
    /// ISCC–NBS name of its colour.
    #[serde(default)]
    pub colour_name: String,
    /// Number on the jar.
    pub number: usize,
    /// True for a single paint straight from its bottle.
    #[serde(default)]
    pub straight: bool,
    /// The wanted colour: L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as sRGB.
    #[serde(default)]
    pub hex: String,
    /// The paints to stir; empty if nothing on the list mixes.
    pub paints: Vec<PartsEntry>,
    /// How much, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ml: Option<f64>,
    /// What it is for.
    #[serde(default)]
    pub surfaces: Vec<String>,
    /// Whatever else is known of it.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// A paint to have ready.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShoppingEntry {
    /// The paint.
    pub paint: String,
    /// What it is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<String>,
    /// How much of it the pots take, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_ml: Option<f64>,
    /// What is on the shelf, millilitres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_hand_ml: Option<f64>,
    /// How much of it is missing, millilitres; 0 if there is enough, absent if that is unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_ml: Option<f64>,
    /// Whole pots to buy.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pots_to_buy: Option<u32>,
    /// Their price together, in the list's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

/// One line of the order of work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WorkEntry {
    /// The kind of work: clean, prime, try, first-colours, second-colours, washes, stains, dabs, seal-before-powder,
    /// powder, seal-after-powder, dry-brush, strew, tidy or varnish.
    pub stage: String,
    /// Number of its pot, if it takes one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
    /// The surfaces to do it on.
    pub surfaces: Vec<String>,
    /// What to do, in words.
    pub words: String,
}

/// Work that can be done in one go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SittingEntry {
    /// Its name in words.
    pub name: String,
    /// What to wait for first, in words; absent if nothing must dry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wait: Option<String>,
    /// What to do, in order.
    pub steps: Vec<WorkEntry>,
    /// Its dangers, in words.
    #[serde(default)]
    pub cautions: Vec<String>,
}

/// The plan that a schedule carries: all you need to solve it again for other paints, without the photos.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "Plan of a colour schedule, hillwash.plan/1")]
pub struct PlanFile {
    /// "hillwash.plan/1".
    pub format: String,
    /// The scene.
    pub scene: SceneEntry,
    /// The photos of the scene.
    #[serde(default)]
    pub photos: Vec<PhotoEntry>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfaceEntry>,
    /// What to mix.
    #[serde(default)]
    pub pots: Vec<PotEntry>,
    /// One order of work across all surfaces, sitting by sitting; something dries between two sittings.
    #[serde(default)]
    pub order_of_work: Vec<SittingEntry>,
    /// What to have ready.
    #[serde(default)]
    pub shopping: Vec<ShoppingEntry>,
    /// What a reader should know before trusting it, in words.
    #[serde(default)]
    pub notes: Vec<String>,
    /// The units of colours and differences.
    #[serde(default)]
    pub units: String,
    /// This plan compared with another one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compared: Option<Comparison>,
    /// Whatever else is planned.
    #[serde(flatten)]
    #[schemars(with = "more::PlanMore")]
    pub more: Map<String, Value>,
}

/// What the other plan of a comparison is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// Another builder's plan of the same colours, solved for other paints.
    AnotherBuilder,
    /// An earlier plan of the same scene.
    Earlier,
}

/// Two plans compared with each other: another builder's and one's own, or an older and a newer one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Comparison {
    /// What the other plan is.
    pub relation: Relation,
    /// The other plan.
    pub with: OtherPlan,
    /// Settings that differ.
    pub settings: Vec<SettingChange>,
    /// Surfaces that both have.
    pub surfaces: Vec<SurfaceCompared>,
    /// Surfaces that only the other has.
    pub only_theirs: Vec<String>,
    /// Surfaces that only this one has.
    pub only_ours: Vec<String>,
    /// Each pot of the other plan: whether you may keep it for this plan.
    #[serde(default)]
    pub pots: Vec<KeptPot>,
    /// Paints that this plan needs more of, less of, or no longer.
    pub shopping: Vec<ShoppingChange>,
}

/// Whether you may keep a pot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Keeping {
    /// It serves all it served.
    Keep,
    /// It serves some of that.
    KeepForSome,
    /// It serves none of that now.
    MixAnew,
    /// Nothing needs it now.
    NotNeeded,
}

/// A pot of the other plan, compared with this one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct KeptPot {
    /// Its number there.
    pub pot: usize,
    /// Its name there.
    pub name: String,
    /// True for a bottle used as it is.
    #[serde(default)]
    pub straight: bool,
    /// Whether you may keep it.
    pub keeping: Keeping,
    /// Surfaces that it still serves.
    pub serves: Vec<String>,
    /// Surfaces that it served and no longer does.
    pub no_longer: Vec<String>,
    /// How far it would miss the planned colour now, at worst, CIEDE2000; absent if nothing needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_de: Option<f64>,
}

/// The plan that is compared with this one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OtherPlan {
    /// Its title.
    pub title: String,
    /// Its date of issue.
    pub date: String,
    /// Its paint list.
    pub paints: String,
}

/// A setting that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SettingChange {
    /// Which.
    pub what: String,
    /// In the other plan.
    pub theirs: String,
    /// In this one.
    pub ours: String,
}

/// A surface of both plans.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SurfaceCompared {
    /// Its name.
    pub name: String,
    /// Its tones, paired by their photographed and planned colours.
    pub tones: Vec<ToneCompared>,
    /// Difference of the two mixes, averaged by share, CIEDE2000; absent if no tone has two mixes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixes_de: Option<f64>,
    /// The largest such difference of a tone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_de: Option<f64>,
    /// Two in three pairs of real pots should be within this of that difference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty_de: Option<f64>,
    /// Expected difference of the two washes, on flats and in recesses, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub washes_de: Option<[f64; 2]>,
}

/// A tone of both plans, or of one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToneCompared {
    /// Name of its colour.
    pub name: String,
    /// Its share, in this plan if it has the tone.
    pub share: f64,
    /// Planned in the other plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_theirs: Option<ColourEntry>,
    /// Planned in this one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_ours: Option<ColourEntry>,
    /// Difference of the planned colours, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_de: Option<f64>,
    /// The other plan's mix.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_theirs: Option<MixEntry>,
    /// This plan's mix.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_ours: Option<MixEntry>,
    /// Expected difference of the two mixes, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixes_de: Option<f64>,
    /// Two in three pairs of real pots should be within this of that difference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty_de: Option<f64>,
    /// A mix of this plan that is clearly nearer to the other plan's mix than the first one is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearer: Option<MixEntry>,
    /// Expected difference of that mix from the other plan's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearer_de: Option<f64>,
}

/// A paint that this plan needs more of, less of, or no longer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShoppingChange {
    /// The paint.
    pub paint: String,
    /// Needed in the other plan, millilitres; absent if it is not used or not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub theirs_ml: Option<f64>,
    /// Needed in this one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ours_ml: Option<f64>,
}

impl PlanFile {
    /// The plan as JSON text on one line, the format mark first.
    ///
    /// # Errors
    /// The serialiser's error; a plan of finite numbers can always be written.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(self)
    }

    /// The same, indented for people to read.
    ///
    /// # Errors
    /// As [`Self::to_json`].
    pub fn to_readable_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_written_as_whole_numbers_and_older_plans_still_read() {
        let entry = |parts: &str| {
            serde_json::from_str::<PartsEntry>(&format!("{{\"name\":\"umber\",\"parts\":{parts}}}"))
        };
        assert_eq!(entry("3").unwrap(), entry("3.0").unwrap());
        assert_eq!(
            serde_json::to_string(&entry("3.0").unwrap()).unwrap(),
            "{\"name\":\"umber\",\"parts\":3}"
        );
        for bad in ["2.5", "-1", "1e7", "\"3\""] {
            assert!(entry(bad).is_err(), "{bad}");
        }
        assert_eq!(as_typed(2.0).to_string(), "2");
        assert_eq!(as_typed(1.5).to_string(), "1.5");
    }
}
