//! Fields of `plan.json` that a received plan is not read by; the JSON Schema describes them to readers.
//!
//! `report` writes these parts key by key, and whatever a later version adds is passed on untouched. A test compares every path of a written plan with the schema.
#![expect(
    dead_code,
    reason = "the shapes are told in the schema; plans are written key by key"
)]

use super::{ColourEntry, MixEntry, PartsEntry, WashEntry};
use schemars::JsonSchema;

/// More about a tone.
#[derive(JsonSchema)]
pub(super) struct ToneMore {
    /// Its colour when dry, if the photo was taken in rain.
    dried: Option<ColourEntry>,
    /// The tone and its first mix under the scene's lamps; absent in daylight.
    under_lamps: Option<UnderLampsEntry>,
}

/// A tone and its mix under the lamps.
#[derive(JsonSchema)]
struct UnderLampsEntry {
    /// The planned colour under the lamps.
    tone: ColourEntry,
    /// How far the lamps shift it, CIEDE2000, in whole steps.
    shift_de: f64,
    /// The first mix under the lamps.
    mix: Option<ColourEntry>,
    /// How far the lamps shift it.
    mix_shift_de: Option<f64>,
    /// True when the mix's spectrum is known from measured paints.
    mix_measured: bool,
}

/// More about the correction of a photo's light; what corrected it decides which figures there are.
#[derive(JsonSchema)]
pub(super) struct LightMore {
    /// An estimate of the light that was offered and not applied.
    offered: Option<LightOffered>,
    /// The light as estimated.
    light: Option<ColourEntry>,
    /// How strongly the light was tinted, CIEDE2000.
    cast_de: Option<f64>,
    /// The factor for all channels.
    exposure: Option<f64>,
    /// Difference of a known colour before the correction.
    off_de: Option<f64>,
    /// The fit of a chart: linear or root-polynomial.
    form: Option<String>,
    /// Mean difference of its patches before.
    before_de: Option<f64>,
    /// The error after it.
    after_de: Option<f64>,
    /// The error of the patches that were left out of the fit.
    left_out_de: Option<f64>,
    /// The error of its greys, before it.
    greys_before_de: Option<f64>,
    /// The error of its greys, after it.
    greys_after_de: Option<f64>,
    /// How far lightness may be off, CIEDE2000.
    lightness_uncertainty_de: f64,
    /// How far hue and chroma may be off, CIEDE2000.
    hue_uncertainty_de: f64,
    /// By how many stops the photo was too light, below 0 too dark.
    stops_too_light: Option<f64>,
    /// What each known material shows.
    witnesses: Option<Vec<WitnessEntry>>,
}

/// A known material as evidence of a photo's light.
#[derive(JsonSchema)]
struct WitnessEntry {
    /// Its name.
    material: String,
    /// How many spectra were measured.
    measured: f64,
    /// False where it contradicts the others.
    fits: bool,
    /// By how many stops the photo was too light, according to it.
    stops_too_light: f64,
    /// What it is more likely to be.
    rather: Option<String>,
    /// True when the region lies partly in sun, partly in shade.
    sun_and_shade: bool,
}

/// An estimate of the light.
#[derive(JsonSchema)]
struct LightOffered {
    /// Its colour.
    light: ColourEntry,
    /// How strongly it is tinted, CIEDE2000.
    cast_de: f64,
}

/// A thinned film and its mix.
#[derive(JsonSchema)]
struct FilmEntry {
    /// How to lay it, in the words of a scene.
    technique: Option<String>,
    /// The paints to stir.
    paints: Option<Vec<PartsEntry>>,
    /// What kind of paint that is.
    family: Option<String>,
    /// Parts of thinner to one part of paint.
    thin: Option<u32>,
    /// Passes.
    passes: Option<u32>,
    /// What it is thinned with.
    thinner: Option<String>,
    /// Whether a drop of flow aid helps.
    flow_aid: Option<bool>,
    /// How much to make, millilitres; absent where the area is unknown.
    batch_ml: Option<f64>,
    /// Amount of each paint, millilitres, in their order.
    paints_ml: Option<Vec<f64>>,
    /// Of thinner, millilitres.
    thinner_ml: Option<f64>,
    /// Two in three real films should fall within this difference, CIEDE2000.
    uncertainty_de: Option<f64>,
    /// All of this in words.
    words: Option<String>,
}

/// One of the washes, and the flats and recesses under it.
#[derive(JsonSchema)]
struct OneWash {
    #[serde(flatten)]
    film: FilmEntry,
    /// Flats under this wash.
    flat: ColourEntry,
    /// Recesses under it.
    recess: ColourEntry,
}

/// More about a wash: the mix of its first film, and what is known of all films.
#[derive(JsonSchema)]
pub(super) struct WashMore {
    #[serde(flatten)]
    film: FilmEntry,
    /// How far flats are from the wanted colour, CIEDE2000.
    flat_de2000: f64,
    /// How far recesses are from theirs.
    recess_de2000: f64,
    /// In recesses, two in three real washes should fall within this difference.
    recess_uncertainty_de: Option<f64>,
    /// What colours alone cannot decide.
    ambiguity: AmbiguityEntry,
    /// All washes in laying order: a filter comes first if one film cannot do both.
    washes: Vec<OneWash>,
    /// What is wanted at other settings of the grime dial.
    grime_steps: Vec<GrimeEntry>,
}

/// Other mixes that come as near.
#[derive(JsonSchema)]
struct AmbiguityEntry {
    /// How many.
    other_mixes: usize,
    /// Parts of paint in one part of the weakest.
    weakest: f64,
    /// Parts of paint in one part of the strongest.
    strongest: f64,
    /// The same in words.
    words: String,
}

/// One setting of the grime dial.
#[derive(JsonSchema)]
struct GrimeEntry {
    /// The setting.
    grime: f64,
    /// Wanted on flats there.
    flat_wanted: ColourEntry,
    /// Wanted in recesses there.
    recess_wanted: ColourEntry,
}

/// More about a place where dirt gathers: what to lay there, and the colour it will have.
#[derive(JsonSchema)]
pub(super) struct PlaceMore {
    #[serde(flatten)]
    film: FilmEntry,
    /// The colour it will have: L*, a*, b*.
    lab: Option<[f64; 3]>,
    /// The same as sRGB.
    hex: Option<String>,
    /// How far that is from the wanted colour, CIEDE2000.
    de2000: Option<f64>,
}

/// More about a surface.
#[derive(JsonSchema)]
pub(super) struct SurfaceMore {
    /// The haze of its photo, as its bands show it.
    haze: Option<HazeEntry>,
    /// The join of its farthest band and a painted backscene.
    backscene: Option<BacksceneEntry>,
    /// What is strewn on it.
    scatter: Option<ScatterEntry>,
    /// Its rock scheme.
    rock: Option<RockEntry>,
    /// Its dried and logged patches.
    as_built: Option<Vec<AsBuiltEntry>>,
}

/// Haze read from a photo.
#[derive(JsonSchema)]
struct HazeEntry {
    /// The distance at which a black object just disappears, metres.
    visibility_m: f64,
    /// Two in three such readings are right within this factor.
    within_factor: f64,
    /// The colour of its air.
    air: ColourEntry,
    /// Two in three such colours are right within this difference, CIEDE2000.
    air_uncertainty_de: f64,
    /// The two distances it was read from, metres.
    between_m: [f64; 2],
}

/// The join to a painted backscene.
#[derive(JsonSchema)]
struct BacksceneEntry {
    /// The colour to bring up to the join.
    join: MixedColour,
    /// The colour of the sky-line.
    sky_line: MixedColour,
}

/// A colour and mixes for it.
#[derive(JsonSchema)]
struct MixedColour {
    #[serde(flatten)]
    colour: ColourEntry,
    /// Mixes, the soundest first.
    recipes: Vec<MixEntry>,
}

/// What is strewn on a surface.
#[derive(JsonSchema)]
struct ScatterEntry {
    /// The painted ground of the first zone.
    ground: ColourEntry,
    /// The kinds of all zones in laying order.
    layers: Vec<LayerEntry>,
    /// "area seen": parts count the area of each kind that shows from above.
    parts_by: String,
    /// Zone by zone.
    zones: Vec<StrewnZone>,
    /// Where two strewn bands meet, from the front edge.
    edges: Vec<EdgeEntry>,
}

/// Where two strewn bands meet.
#[derive(JsonSchema)]
struct EdgeEntry {
    /// The band in front.
    near: String,
    /// The band behind.
    far: String,
    /// The width, in centimetres, over which to strew both mixes.
    over_cm: f64,
}

/// One kind of one zone.
#[derive(JsonSchema)]
struct LayerEntry {
    /// The kind, as the scatter list names it.
    item: String,
    /// coarse, medium, fine or fibre.
    grain: String,
    /// The pass it is laid in, by its grain.
    pass: String,
    /// Which pass that is, counted from 1.
    pass_number: u32,
    /// Parts by the area that shows.
    parts: u32,
    /// Share of the zone that shows it from above, once all passes lie.
    area_share: f64,
    /// Grams to strew; absent where the area is unknown.
    grams: Option<f64>,
    /// The same for a square decimetre.
    grams_per_dm2: f64,
    /// The same for the whole zone in teaspoons of 5 ml.
    teaspoons: Option<f64>,
    /// What it is: foliage, turf, fibre, earth, ballast, leaf, needle or flock.
    material: Option<String>,
    /// The zone, where there are several.
    zone: Option<String>,
}

/// What is strewn in one zone.
#[derive(JsonSchema)]
struct StrewnZone {
    /// The zone, where there are several.
    zone: Option<String>,
    /// What the zone is: grass, heath, wood, scree or earth.
    land: Option<String>,
    /// True if this was guessed from its name, not given by the scene.
    land_guessed: Option<bool>,
    /// Kinds that do not belong to its land, and what it costs to leave them out.
    left_out: Option<LeftOutEntry>,
    /// The painted ground.
    ground: ColourEntry,
    /// Number of its pot.
    ground_pot: Option<usize>,
    /// Share of the ground that shows.
    ground_share: Option<f64>,
    /// Where each of its tones lies in the photo.
    r#where: Option<Vec<WhereEntry>>,
    /// Trees or bushes that stand on it.
    crowns: Option<CrownsEntry>,
    /// The mean wanted.
    wanted: ColourEntry,
    /// How varied the zone is in the photo, CIEDE2000.
    wanted_spread_de: f64,
    /// The mean of the blend.
    blend: Option<ColourEntry>,
    /// How far that is off, CIEDE2000.
    de2000: Option<f64>,
    /// How varied the blend is.
    spread_de: Option<f64>,
    /// Two in three laid patches should fall within this difference.
    uncertainty_de: f64,
    /// Its kinds in the order they are laid.
    layers: Vec<LayerEntry>,
    /// What it looks like after each pass.
    after_passes: Vec<AfterPass>,
    /// How it looks from 30 degrees above the ground.
    from_30_degrees: Option<SeenLowEntry>,
    /// Glue for one pass, millilitres.
    glue_ml_a_pass: Option<f64>,
    /// The kind that the list lacks.
    missing: Option<MissingEntry>,
}

/// Kinds that do not belong to the land of a zone.
#[derive(JsonSchema)]
struct LeftOutEntry {
    /// Their names.
    kinds: Vec<String>,
    /// How far the best blend with them would be off, CIEDE2000.
    de2000_with_them: f64,
    /// How much less varied than the photo it would be, CIEDE2000.
    variety_gap_with_them: f64,
    /// The same for the blend without them.
    variety_gap: Option<f64>,
}

/// Where a tone lies in a zone.
#[derive(JsonSchema)]
struct WhereEntry {
    /// Number of the tone on the surface.
    tone: usize,
    /// top, middle or foot, if it lies mostly in one.
    upright: Option<String>,
    /// left, middle or right, if it lies mostly in one.
    across: Option<String>,
    /// True if it lies in patches, false if it is speckled among the others.
    in_patches: bool,
}

/// Trees or bushes of a zone.
#[derive(JsonSchema)]
struct CrownsEntry {
    /// How wide a crown is at full size, metres.
    across_m: f64,
    /// True if that is a usual size, false if the scene gives it.
    usual_size: bool,
    /// The same on the model, millimetres.
    across_mm: f64,
    /// Their three shades.
    shades: Vec<CrownShadeEntry>,
}

/// One shade of crowns.
#[derive(JsonSchema)]
struct CrownShadeEntry {
    #[serde(flatten)]
    colour: ColourEntry,
    /// lit, body or shade.
    role: String,
    /// How many crowns of it.
    count: Option<u32>,
}

/// A zone after one of its passes.
#[derive(JsonSchema)]
struct AfterPass {
    /// The pass, by its grain.
    pass: String,
    /// The mean colour seen from above.
    looks: ColourEntry,
    /// The share of the ground that still shows.
    ground_share: f64,
}

/// A zone seen from low down.
#[derive(JsonSchema)]
struct SeenLowEntry {
    /// The mean colour.
    looks: ColourEntry,
    /// The share of the ground that shows.
    ground_share: f64,
    /// The share of each kind.
    shares: Vec<SeenShare>,
}

/// The share of a kind.
#[derive(JsonSchema)]
struct SeenShare {
    /// The kind, as the scatter list names it.
    item: String,
    /// Its share of what is seen.
    area_share: f64,
}

/// A kind that a scatter list lacks.
#[derive(JsonSchema)]
struct MissingEntry {
    /// Its colour: L*, a*, b*.
    lab: [f64; 3],
    /// The same as sRGB.
    hex: String,
    /// coarse, medium, fine or fibre.
    grain: String,
    /// The share of the zone it would take.
    share: f64,
    /// How far the list's nearest kind is from it, CIEDE2000.
    nearest_de: f64,
}

/// A rock scheme.
#[derive(JsonSchema)]
struct RockEntry {
    /// Its steps in order.
    steps: Vec<RockStepEntry>,
}

/// One step of a rock scheme.
#[derive(JsonSchema)]
struct RockStepEntry {
    /// undercoat, mid tint, dark wash or dry-brushed light.
    role: String,
    /// The colour wanted.
    planned: ColourEntry,
    /// Its share of the surface.
    share: f64,
    /// Mixes for it; none if it is a wash.
    recipes: Vec<MixEntry>,
    /// The wash that lays it.
    wash: Option<WashEntry>,
}

/// A dried patch, as logged.
#[derive(JsonSchema)]
struct AsBuiltEntry {
    /// When it was photographed or entered.
    date: String,
    /// The name of its tone.
    tone: String,
    /// What was in the pot.
    paints: Vec<MixedParts>,
    /// The colour planned.
    planned: LabOnly,
    /// The colour it dried to.
    seen: LabOnly,
    /// Their difference, CIEDE2000.
    de2000: f64,
    /// How far the dried colour may be off.
    uncertainty_de: f64,
    /// The verdict in words.
    verdict: String,
    /// What it was compared with in the photo.
    beside: Option<String>,
    /// True when the patch cannot be of that pot.
    doubtful: bool,
}

/// A paint of a pot that was mixed: parts need not be whole.
#[derive(JsonSchema)]
struct MixedParts {
    /// Its name on the list.
    name: String,
    /// Its parts.
    parts: f64,
}

/// A colour by its numbers alone.
#[derive(JsonSchema)]
struct LabOnly {
    /// L*, a*, b*.
    lab: [f64; 3],
}

/// More about the whole plan.
#[derive(JsonSchema)]
pub(super) struct PlanMore {
    /// The fewest paints that are enough for it, if the user asked for them.
    fewest_paints: Option<FewestEntry>,
    /// Scatter to have ready and to buy.
    scatter_shopping: Option<Vec<ScatterLineEntry>>,
}

/// One kind of scatter to have ready.
#[derive(JsonSchema)]
struct ScatterLineEntry {
    /// The kind, as the scatter list names it.
    scatter: String,
    /// How much of it the blends take, grams.
    needed_g: Option<f64>,
    /// What is on the shelf.
    on_hand_g: Option<f64>,
    /// What to buy.
    to_buy_g: Option<f64>,
    /// How much is missing.
    short_g: Option<f64>,
}

/// The fewest paints for a scene.
#[derive(JsonSchema)]
struct FewestEntry {
    /// "hillwash.trim/1".
    format: String,
    /// The limit for every mix, CIEDE2000.
    within_de: f64,
    /// The paints.
    paints: Vec<FewestPaint>,
    /// How many they are.
    count: usize,
    /// How many of them to buy.
    added: usize,
    /// At least this many are needed.
    at_least: usize,
    /// Whether that was proved.
    exact: bool,
    /// The mixes that they must make.
    tones: Vec<FewestMix>,
    /// The films that they must make.
    films: Vec<FewestFilm>,
    /// Paints that are also needed, but not for mixing.
    kept_apart: Vec<String>,
    /// The list to choose purchases from.
    from: Option<String>,
    /// What one paint more would gain.
    one_more: Option<OneMoreEntry>,
}

/// A paint of the fewest.
#[derive(JsonSchema)]
struct FewestPaint {
    /// Its name.
    name: String,
    /// Whether to buy it.
    to_buy: bool,
    /// What it is for.
    used_for: Vec<String>,
}

/// A mix that the fewest paints are to make.
#[derive(JsonSchema)]
struct FewestMix {
    /// What it is.
    name: String,
    /// Where it is.
    surfaces: String,
    /// The colour wanted: L*, a*, b*.
    lab: [f64; 3],
    /// The same as sRGB.
    hex: String,
    /// Whether it comes near enough.
    within: bool,
    /// How it is mixed.
    recipe: Option<MixEntry>,
}

/// A film that the fewest paints are to make.
#[derive(JsonSchema)]
struct FewestFilm {
    /// What it is.
    name: String,
    /// Where it is.
    surfaces: String,
    /// The colour wanted: L*, a*, b*.
    lab: [f64; 3],
    /// The same as sRGB.
    hex: String,
    /// Whether it comes near enough.
    within: bool,
    /// The paints it is mixed from.
    paints: Option<Vec<String>>,
    /// How far it is off, CIEDE2000.
    de2000: Option<f64>,
}

/// What one paint more would gain.
#[derive(JsonSchema)]
struct OneMoreEntry {
    /// The paint.
    name: String,
    /// Mean difference without it, CIEDE2000.
    mean_de_before: f64,
    /// Mean difference with it.
    mean_de_after: f64,
}
