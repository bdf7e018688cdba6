//! The shape of a scene file as written, told to editors: its JSON Schema is generated from these types.
//!
//! Scenes are read by `read.rs`, which tells all faults at once; a test holds the keys of both against each other.
#![expect(
    dead_code,
    reason = "the shape is told to editors; scenes are read key by key"
)]

use crate::lamps::ILLUMINANTS;
use crate::units::SCALE_LETTERS;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A point as fractions of width and height, from the upper left of the upright photo.
type Point = [f64; 2];

/// A region: the points of an outline, or the box left, top, right, bottom.
#[derive(Debug, JsonSchema)]
#[schemars(untagged)]
enum OutlineShape {
    Points(Vec<Point>),
    Box([f64; 4]),
}

/// What is left out: a box, or a list of boxes and outlines.
#[derive(Debug, JsonSchema)]
#[schemars(untagged)]
enum LeaveOutShape {
    Box([f64; 4]),
    All(Vec<OutlineShape>),
}

/// Any text, and the words that an editor offers for it.
fn offering(words: &[String]) -> Schema {
    json_schema!({ "anyOf": [{ "enum": words }, { "type": "string" }] })
}

/// A scale: the letters of the standards are offered, with the ratio where a letter has several.
#[derive(Debug)]
struct ScaleShape;

impl JsonSchema for ScaleShape {
    fn schema_name() -> Cow<'static, str> {
        "ScaleShape".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words = SCALE_LETTERS.iter().flat_map(|(letter, ratios)| {
            ratios.iter().map(move |ratio| match ratios.len() {
                1 => (*letter).to_owned(),
                _ => format!("{letter} 1:{ratio}"),
            })
        });
        offering(&words.collect::<Vec<_>>())
    }
}

/// Lamps: the CIE illuminants are offered.
#[derive(Debug)]
struct LampsShape;

impl JsonSchema for LampsShape {
    fn schema_name() -> Cow<'static, str> {
        "LampsShape".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words = ["daylight", "4000 K"].into_iter().chain(ILLUMINANTS);
        offering(&words.map(str::to_owned).collect::<Vec<_>>())
    }
}

/// A scene: what is to be coloured, where it is seen, and by which paints.
#[derive(Debug, JsonSchema)]
#[schemars(title = "Scene of a scale layout", deny_unknown_fields)]
pub struct SceneShape {
    /// What the schedule is headed with.
    title: String,
    /// The scale: a ratio such as "1:87", or a letter of the published standards.
    scale: ScaleShape,
    /// Eye to model, such as "0.9 m" (the default).
    view: Option<String>,
    /// The lamps over the layout: a CIE illuminant such as "LED-B3", "4000 K", "daylight", or a spectrum file.
    lamps: Option<LampsShape>,
    /// Your paint list: a table beside the scene (CSV, .xlsx, .ods).
    paints: PaintsShape,
    /// Your scatter list, a CSV file beside the scene.
    scatter: Option<String>,
    /// What scale and distance do to colours.
    scale_colour: Option<ScaleColourShape>,
    /// Photographs by a name of your choice: [photos.kiln].
    photos: Option<BTreeMap<String, PhotoShape>>,
    /// What is to be coloured, at least one surface; each is a table of its own.
    #[schemars(length(min = 1))]
    surface: Vec<SurfaceShape>,
}

#[cfg(test)]
impl SceneShape {
    /// The schema as editors get it.
    pub(crate) fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).as_value().clone()
    }
}

/// The paint list: its file, or its file and what it does not say.
#[derive(Debug, JsonSchema)]
#[schemars(untagged)]
enum PaintsShape {
    File(String),
    Told(ToldPaintsShape),
}

#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ToldPaintsShape {
    /// The file, relative to the scene.
    file: String,
    /// The medium of paints that state none: acrylic, enamel, oil …
    medium: Option<String>,
}

/// The rule of scale colour.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ScaleColourShape {
    /// air: by distance and visibility; customary: white paint by the scale; none.
    rule: Option<RuleShape>,
    /// Visibility, such as "10 km" (the default), "20 km" clear, "2 km" hazy.
    visibility: Option<String>,
    /// Colour of the air, such as "#c8d6e4" (the default).
    air: Option<String>,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum RuleShape {
    Air,
    Customary,
    None,
}

/// A photograph.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PhotoShape {
    /// The file, relative to the scene.
    file: String,
    /// Camera to subject, such as "8 m".
    from: Option<String>,
    /// Whose photo it is; printed with it.
    credit: Option<String>,
    /// Something known to be neutral in it.
    neutral: Option<NeutralShape>,
    /// Outer corners of a 24-patch colour chart, at patches 1, 6, 24, 19.
    chart: Option<[Point; 4]>,
    /// "estimate" corrects the light by an estimate when nothing better is known; "materials" by the materials in it;
    /// "as-it-is" leaves it. Without it, what is known is used.
    light: Option<LightShape>,
    /// Measured materials that are seen in it: [[photos.kiln.known]].
    known: Option<Vec<KnownShape>>,
    /// Taken in rain.
    wet: Option<bool>,
    /// Its sky just above the horizon: an outline or a box. It tells the colour of the air before the bands of a hillside.
    sky: Option<OutlineShape>,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum LightShape {
    Estimate,
    AsItIs,
    Materials,
}

/// A part of a photo that shows a measured material.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct KnownShape {
    /// What it is, such as "clay roof tile, red"; `hillwash materials` lists them.
    material: String,
    /// Outline of it, or a box.
    region: OutlineShape,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
}

/// A measured material, or a state between two.
#[derive(Debug, JsonSchema)]
#[schemars(untagged)]
enum LikeShape {
    /// One material.
    Material(String),
    /// Between two.
    Between(BetweenShape),
}

/// A state between two materials.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BetweenShape {
    /// One end.
    from: String,
    /// The other end.
    to: String,
    /// How far from one to the other; half-way when not given.
    #[schemars(range(min = 0.0, max = 1.0))]
    at: Option<f64>,
}

/// A grey card, or something known to be neutral: at a point, or over a region.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct NeutralShape {
    /// Where it is.
    at: Option<Point>,
    /// Or the outline of it.
    region: Option<OutlineShape>,
    /// Its reflectance (a grey card: 0.18); without it only the cast is corrected.
    #[schemars(range(min = 0.01, max = 1.0))]
    reflectance: Option<f64>,
}

/// Part of a photo.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PartShape {
    /// Name of the photo.
    photo: String,
    /// Outline of the part that counts.
    region: Option<OutlineShape>,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
}

/// A surface to colour.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct SurfaceShape {
    /// Its name; each surface has its own.
    name: String,
    /// Name of the photo it is seen in.
    photo: Option<String>,
    /// Or parts of several photos.
    photos: Option<Vec<PartShape>>,
    /// Outline of the part that counts; without it the whole photo.
    region: Option<OutlineShape>,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
    /// The measured material it is made of: a witness of its photo's light.
    material: Option<String>,
    /// Instead of a photo: the measured material whose tones it has, or a state between two.
    like: Option<LikeShape>,
    /// coat: opaque paint (the default); rock; scatter; wash: a wash alone over a given base.
    treatment: Option<TreatmentShape>,
    /// Area on the model, such as "310 cm2"; without it there are no quantities.
    area: Option<String>,
    /// Coats of paint, 2 when not given.
    #[schemars(range(min = 1, max = 10))]
    coats: Option<u32>,
    /// Whether to pick out some of its bricks, stones, slates or boards in mixes of their own: true, false, or as seen.
    variety: Option<bool>,
    /// How many tones; chosen when not given.
    #[schemars(range(min = 1, max = 24))]
    tones: Option<u32>,
    /// Light and shade of one material: join them, keep them apart, or ask.
    shade: Option<ShadeShape>,
    /// It is one surface, though its tones look like two side by side: that is not asked.
    one_surface: Option<bool>,
    /// Tones that are one: groups of two colours or more, each naming the tone of the photo nearest to it.
    alike: Option<Vec<Vec<String>>>,
    /// The clean model, for the picture before and after.
    model_photo: Option<ModelPhotoShape>,
    /// The wash over it.
    wash: Option<WashShape>,
    /// Where dirt gathers: [[surface.place]].
    place: Option<Vec<PlaceShape>>,
    /// A hillside in depth: [[surface.band]].
    band: Option<Vec<BandShape>>,
    /// Laying order of scatter.
    order: Option<OrderShape>,
    /// What it is, where it is strewn: guessed from its name when not given; any: whatever has the colour.
    land: Option<LandShape>,
    /// Materials of scatter that are let in beside those of its land.
    allow: Option<Vec<MaterialShape>>,
    /// Across the crowns of its trees or bushes, full size, such as "6 m".
    crown: Option<String>,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum LandShape {
    Grass,
    Heath,
    Wood,
    Scree,
    Earth,
    Any,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum MaterialShape {
    Foliage,
    Turf,
    Fibre,
    Earth,
    Ballast,
    Leaf,
    Needle,
    Flock,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum TreatmentShape {
    Coat,
    Rock,
    Scatter,
    Wash,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum OrderShape {
    CoarseFirst,
    FineFirst,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum ShadeShape {
    Join,
    Keep,
    Ask,
}

/// A photo of the clean model.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ModelPhotoShape {
    /// The file, relative to the scene.
    file: String,
    /// Outline of the part that counts.
    region: Option<OutlineShape>,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
    /// Something known to be neutral in it.
    neutral: Option<NeutralShape>,
}

/// What a wash lies over, by the name of another surface.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BaseSurfaceShape {
    /// Name of the surface.
    surface: String,
}

#[derive(Debug, JsonSchema)]
#[schemars(untagged)]
enum BaseShape {
    /// A colour, or the name of a listed paint.
    ColourOrPaint(String),
    /// Another surface's planned colour.
    Surface(BaseSurfaceShape),
}

/// A wash.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WashShape {
    /// What it lies over: a colour, a listed paint, or { surface = "name" }.
    base: Option<BaseShape>,
    /// Colour wanted on the flats.
    flat: Option<String>,
    /// Colour wanted in the recesses.
    recess: Option<String>,
    /// How much of the photographed grime, 1 = all of it.
    #[schemars(range(min = 0.0, max = 1.5))]
    grime: Option<f64>,
    /// How much thicker it lies in recesses than on flats; 4 is usual.
    #[schemars(range(min = 1.0, max = 32.0))]
    pool: Option<f64>,
    /// Wet film against a brushed coat, as a patch told it; 0.5 is usual.
    #[schemars(range(min = 0.02, max = 8.0))]
    film: Option<f64>,
    /// How much recesses count where flats count 1.
    #[schemars(range(min = 0.0, max = 10.0))]
    recess_weight: Option<f64>,
    /// Most paints in the wash; 2 when not given.
    #[schemars(range(min = 1, max = 3))]
    most_paints: Option<u32>,
}

/// A place where dirt gathers.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlaceShape {
    /// Its name.
    name: String,
    /// How dirt is laid there.
    technique: Option<TechniqueShape>,
    /// Where it is seen.
    region: Option<OutlineShape>,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
    /// Or its colour.
    colour: Option<String>,
    /// Its share of the surface.
    #[schemars(range(min = 0.0, max = 1.0))]
    share: Option<f64>,
}

#[derive(Debug, JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum TechniqueShape {
    Wash,
    PinWash,
    Filter,
    DryBrush,
    Stipple,
    Streak,
    Powder,
}

/// A band of a hillside.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BandShape {
    /// Its name.
    name: String,
    /// Where it is seen.
    region: Option<OutlineShape>,
    /// Outlines or boxes that are left out of it.
    leave_out: Option<LeaveOutShape>,
    /// Camera to it, such as "2 km".
    from: Option<String>,
    /// How far behind the front edge it lies on the model.
    model_depth: Option<String>,
    /// What it is; as its surface when not given.
    land: Option<LandShape>,
    /// Across the crowns of its trees or bushes, full size; as its surface when not given.
    crown: Option<String>,
    /// Its own scale, for forced perspective.
    scale: Option<ScaleShape>,
    /// Its area on the model.
    area: Option<String>,
}

/// The tables of a scene: the type that tells its shape, where it stands, and its keys. Written out, for the schema is not
/// carried by whatever reads a scene; a test holds the two together.
const TABLES: [(&str, &str, &[&str]); 6] = [
    (
        "",
        "at the top, above the first line in [ ]",
        &[
            "lamps",
            "paints",
            "photos",
            "scale",
            "scale_colour",
            "scatter",
            "surface",
            "title",
            "view",
        ],
    ),
    (
        "PhotoShape",
        "below [photos.…]",
        &[
            "chart", "credit", "file", "from", "known", "light", "neutral", "sky", "wet",
        ],
    ),
    (
        "SurfaceShape",
        "below [[surface]]",
        &[
            "alike",
            "allow",
            "area",
            "band",
            "coats",
            "crown",
            "land",
            "leave_out",
            "like",
            "material",
            "model_photo",
            "name",
            "one_surface",
            "order",
            "photo",
            "photos",
            "place",
            "region",
            "shade",
            "tones",
            "treatment",
            "variety",
            "wash",
        ],
    ),
    (
        "WashShape",
        "below [surface.wash]",
        &[
            "base",
            "film",
            "flat",
            "grime",
            "most_paints",
            "pool",
            "recess",
            "recess_weight",
        ],
    ),
    (
        "PlaceShape",
        "below [[surface.place]]",
        &[
            "colour",
            "leave_out",
            "name",
            "region",
            "share",
            "technique",
        ],
    ),
    (
        "BandShape",
        "below [[surface.band]]",
        &[
            "area",
            "crown",
            "from",
            "land",
            "leave_out",
            "model_depth",
            "name",
            "region",
            "scale",
        ],
    ),
];

/// Where in a scene a key stands, in words; nothing for a key that no table has.
pub(super) fn home_of(key: &str) -> Option<String> {
    let homes: Vec<&str> = TABLES
        .into_iter()
        .filter(|(_, _, keys)| keys.contains(&key))
        .map(|(_, home, _)| home)
        .collect();
    (!homes.is_empty()).then(|| homes.join(", or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_scale_that_an_editor_offers_is_read() {
        let schema = schemars::schema_for!(SceneShape);
        let offered = |shape: &str| schema.as_value()["$defs"][shape]["anyOf"][0]["enum"].clone();
        let scales: Vec<String> = serde_json::from_value(offered("ScaleShape")).unwrap();
        assert!(scales.len() > SCALE_LETTERS.len());
        for scale in scales {
            assert!(scale.parse::<crate::units::ScaleRatio>().is_ok(), "{scale}");
        }
        assert_eq!(offered("LampsShape")[0], "daylight");
    }

    #[test]
    fn tables_have_the_keys_of_the_schema() {
        let schema = schemars::schema_for!(SceneShape);
        let schema = schema.as_value();
        for (shape, _, keys) in TABLES {
            let table = match shape {
                "" => &schema["properties"],
                shape => &schema["$defs"][shape]["properties"],
            };
            let table = table.as_object().unwrap();
            let mut known: Vec<&str> = table.keys().map(String::as_str).collect();
            known.sort_unstable();
            assert_eq!(known, keys, "{shape}");
        }
    }

    #[test]
    fn a_key_is_sent_to_the_tables_that_have_it() {
        assert_eq!(home_of("coats").unwrap(), "below [[surface]]");
        assert_eq!(
            home_of("lamps").unwrap(),
            "at the top, above the first line in [ ]"
        );
        assert_eq!(
            home_of("scale").unwrap(),
            "at the top, above the first line in [ ], or below [[surface.band]]"
        );
        assert_eq!(home_of("zzz"), None);
    }
}
