//! Bands, scatter and lamps as words and rounded numbers for a sheet.

use crate::colour::LabD65;
use crate::mix::{Closeness, Recipe};
use crate::paint::Grain;
use crate::plan::{BandPlan, LOW, Plan, Strewn, SurfacePlan, ZonePlan};
use crate::report::figures::Swatches;
use crate::report::hand::hand_ml;
use crate::report::hills::patch_plan::{Edge, PatchesView, edges, patches};
use crate::report::hills::words::{grain_word, missing_text, weight_text};
use crate::report::lamps::LampView;
use crate::report::tones::view::RecipeView;
use crate::report::words::{capitalised, distance_text};
use crate::report::work::lines::taken_words;
use crate::scale_colour::AirNote;
use crate::scatter::{CrownShade, Crowns, LaidKind, ScatterKind};
use crate::units::Millimetres;

/// What a sheet says of depth, scatter and lamps; each is absent where it does not apply.
#[derive(Debug)]
pub(in crate::report) struct HillsideView {
    pub(in crate::report) bands: Option<BandsView>,
    pub(in crate::report) strewn: Vec<StrewnView>,
    pub(in crate::report) edges: Vec<String>,
    pub(in crate::report) lamp: Option<LampView>,
}

impl HillsideView {
    /// True if it can say where something goes, or why.
    pub(in crate::report) fn has_places(&self) -> bool {
        !self.edges.is_empty()
            || self
                .strewn
                .iter()
                .any(|zone| zone.patches.is_some() || zone.crowns.is_some() || zone.land.is_some())
    }
}

/// A hillside from the backscene down to the front edge.
#[derive(Debug)]
pub(in crate::report) struct BandsView {
    pub(in crate::report) bands: Vec<BandView>,
    pub(in crate::report) haze: Option<String>,
    pub(in crate::report) join: Option<JoinView>,
}

/// One band.
#[derive(Debug)]
pub(in crate::report) struct BandView {
    pub(in crate::report) name: String,
    pub(in crate::report) picture: Swatches,
    pub(in crate::report) facts: String,
    pub(in crate::report) air: String,
}

/// Where the hillside meets the backscene.
#[derive(Debug)]
pub(in crate::report) struct JoinView {
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) join_recipe: Option<RecipeView>,
    pub(in crate::report) sky_recipe: Option<RecipeView>,
}

/// What is strewn in one zone.
#[derive(Debug)]
pub(in crate::report) struct StrewnView {
    pub(in crate::report) zone: Option<String>,
    /// Where a band lies on the model and how large it is.
    pub(in crate::report) facts: Option<String>,
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) land: Option<String>,
    pub(in crate::report) closeness: String,
    pub(in crate::report) near: &'static str,
    pub(in crate::report) ground: String,
    pub(in crate::report) kinds: Vec<KindView>,
    pub(in crate::report) after: Swatches,
    pub(in crate::report) after_words: String,
    pub(in crate::report) patches: Option<PatchesView>,
    pub(in crate::report) crowns: Option<CrownsView>,
    pub(in crate::report) glue: Option<String>,
    pub(in crate::report) missing: Option<String>,
}

/// The trees or bushes of a zone.
#[derive(Debug)]
pub(in crate::report) struct CrownsView {
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) words: String,
}

impl CrownsView {
    fn new(crowns: &Crowns) -> Self {
        let [lit, body, shade] = crowns.shades;
        let told = |what: &str, shade: CrownShade| {
            format!("{} {what} {}", shade.count, shade.colour.to_srgb8())
        };
        let hex = |shade: CrownShade| shade.colour.to_srgb8();
        let each = if hex(lit) == hex(body) && hex(body) == hex(shade) {
            format!("{} of {}", lit.count + body.count + shade.count, hex(body))
        } else {
            format!(
                "{}, {}, {}",
                told("lit", lit),
                told("of the body", body),
                told("in shade", shade)
            )
        };
        Self {
            swatches: Swatches::row(
                "Shades of the crowns: lit, body, shade".to_owned(),
                240,
                36,
                &crowns.shades.map(|shade| (shade.colour, 1.0)),
            ),
            words: format!(
                "Trees or bushes {:.0} mm across ({}{}): {each}, so that crowns cover nine tenths (common practice, no source).",
                crowns.across_mm,
                distance_text(crowns.across.value()),
                if crowns.usual { ", a usual size" } else { "" },
            ),
        }
    }
}

/// One kind of a blend.
#[derive(Debug)]
pub(in crate::report) struct KindView {
    pub(in crate::report) swatch: Swatches,
    pub(in crate::report) pass: String,
    pub(in crate::report) parts: u32,
    pub(in crate::report) name: String,
    pub(in crate::report) grams: String,
}

impl HillsideView {
    pub(in crate::report) fn new(surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        Self {
            bands: bands(surface, plan),
            strewn: surface
                .zones
                .iter()
                .filter_map(|zone| {
                    let strewn = zone.strewn.as_ref()?;
                    let patches = patches(surface, zone, plan);
                    Some(StrewnView {
                        patches,
                        ..StrewnView::new(zone, strewn, plan)?
                    })
                })
                .collect(),
            edges: edges(surface).iter().map(Edge::words).collect(),
            lamp: LampView::of_surface(surface, plan),
        }
    }
}

fn bands(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<BandsView> {
    // As the eye has it: the far band above the near one.
    let bands: Vec<BandView> = surface
        .zones
        .iter()
        .enumerate()
        .rev()
        .filter_map(|(i, zone)| band(i + 1, zone, surface))
        .collect();
    if bands.is_empty() {
        return None;
    }
    let haze = surface.wanted.haze.map(|haze| {
        format!(
            "The photo itself suggests a visibility of about {}, right within a factor of {:.1}, and air of about {} (± {:.0}), judged by how the darkest of its bands pales between {} and {}.",
            distance_text(haze.visibility.value()),
            haze.within,
            haze.air.to_srgb8(),
            haze.air_within.0,
            distance_text(haze.near.value()),
            distance_text(haze.far.value()),
        )
    });
    let join = surface.backscene.as_ref().map(|scene| {
        let recipe = |mixes: &[Recipe], colour| {
            mixes
                .first()
                .map(|recipe| RecipeView::new(recipe, plan.shelf, colour))
        };
        JoinView {
            swatches: Swatches::row(
                format!(
                    "Sky-line {}, join {}",
                    scene.sky_line.to_srgb8(),
                    scene.join.to_srgb8()
                ),
                240,
                72,
                &[(scene.sky_line, 1.0), (scene.join, 1.0)],
            ),
            join_recipe: recipe(&scene.join_recipes, scene.join),
            sky_recipe: recipe(&scene.sky_line_recipes, scene.sky_line),
        }
    });
    Some(BandsView { bands, haze, join })
}

/// What stands between eye and band, and what stood between camera and band.
fn air_text(band: &BandPlan) -> String {
    let eye = format!(
        "{:.1} % of what the eye sees of it is air",
        100.0 * band.air
    );
    let photo = match (band.note, band.photo_air, band.placed.from) {
        (AirNote::LeftIn, Some(air), _) => format!(
            "in its photo {:.0} % was: too much to take out, so most of that haze stays in it",
            100.0 * air
        ),
        (AirNote::Removed | AirNote::RemovedToFloor, Some(air), _) => format!(
            "in its photo about {:.0} % was; it was taken out as far as that is sure",
            100.0 * air
        ),
        (_, Some(air), _) => format!("in its photo {:.0} % was", 100.0 * air),
        (_, None, Some(_)) => {
            "its photo does not show its haze: planned as photographed".to_owned()
        }
        (_, None, None) => return eye,
    };
    format!("{eye}; {photo}")
}

fn band(number: usize, zone: &ZonePlan, surface: &SurfacePlan) -> Option<BandView> {
    let band = zone.wanted.band.as_ref()?;
    let tones: Vec<(LabD65, f64)> = surface.tones[zone.wanted.tones.clone()]
        .iter()
        .map(|tone| (tone.wanted.moved.colour, tone.wanted.tone.share.value()))
        .collect();
    let mut facts = Vec::new();
    facts.extend(
        band.placed
            .from
            .map(|m| format!("photographed from {}", distance_text(m.value()))),
    );
    facts.push(format!(
        "stands for {}",
        distance_text(band.placed.distance.value())
    ));
    facts.push(format!("built to {}", band.placed.scale));
    facts.extend(band.model_depth.map(behind_edge));
    facts.extend(zone.wanted.area.map(|a| format!("{:.0} cm²", a.value())));
    let air = air_text(band);
    Some(BandView {
        name: format!("{number} {}", band.name),
        picture: Swatches::row(
            format!("{}: planned tones by their share", band.name),
            480,
            44,
            &tones,
        ),
        facts: facts.join(", "),
        air,
    })
}

fn behind_edge(depth: Millimetres) -> String {
    format!("{} behind the edge", distance_text(depth.value() / 1000.0))
}

/// How far behind the edge a band's zone lies, and its area.
fn zone_facts(zone: &ZonePlan) -> Option<String> {
    let band = zone.wanted.band.as_ref()?;
    let depth = band.model_depth.map(behind_edge);
    let area = zone.wanted.area.map(|a| format!("{:.0} cm²", a.value()));
    let facts: Vec<String> = depth.into_iter().chain(area).collect();
    (!facts.is_empty()).then(|| facts.join(", "))
}

impl KindView {
    fn new(kind: &ScatterKind, (grain, laid): (Grain, &LaidKind), parts: u32) -> Self {
        Self {
            swatch: Swatches::row(
                format!("{}: {}", kind.name, kind.colour.to_srgb8()),
                60,
                30,
                &[(kind.colour, 1.0)],
            ),
            pass: capitalised(grain_word(grain)),
            parts,
            name: kind.name.clone(),
            grams: weight_text(laid),
        }
    }
}

impl StrewnView {
    fn new(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> Option<Self> {
        let blend = strewn.blend.as_ref()?;
        let kinds = strewn
            .layers
            .iter()
            .flat_map(|layer| layer.kinds.iter().map(move |kind| (layer.grain, kind)))
            .map(|(grain, laid)| {
                let (kind, parts) = blend.parts[laid.at];
                KindView::new(&plan.kinds[kind], (grain, laid), parts)
            })
            .collect();
        let pot = strewn.pot.map_or_else(String::new, |pot| {
            format!("{}, ", taken_words(&plan.pots[pot], plan))
        });
        Some(Self {
            zone: zone.wanted.band.as_ref().map(|band| band.name.clone()),
            facts: zone_facts(zone),
            swatches: Swatches::row(
                format!(
                    "Wanted {}, predicted blend {}",
                    strewn.wanted.to_srgb8(),
                    blend.judged.colour.to_srgb8()
                ),
                240,
                72,
                &[(strewn.wanted, 1.0), (blend.judged.colour, 1.0)],
            ),
            land: land_words(strewn, plan),
            closeness: format!(
                "{} (ΔE00 {:.1}, laid patch ± {:.0})",
                Closeness::of_difference(blend.judged.difference).words(),
                blend.judged.difference.0,
                strewn.uncertainty.0
            ),
            near: Closeness::of_difference(blend.judged.difference).words(),
            ground: format!("{pot}{:.0} % of it shows", 100.0 * blend.ground_share),
            kinds,
            after: Swatches::row(
                "The ground, and the zone after each pass".to_owned(),
                240,
                36,
                &std::iter::once(strewn.ground)
                    .chain(strewn.layers.iter().map(|layer| layer.after))
                    .map(|colour| (colour, 1.0))
                    .collect::<Vec<_>>(),
            ),
            after_words: after_words(strewn),
            patches: None,
            crowns: strewn.crowns.as_ref().map(CrownsView::new),
            glue: strewn
                .glue_a_pass
                .map(|ml| format!("{} of glue a pass", hand_ml(ml))),
            missing: strewn.missing.as_ref().map(|missing| {
                format!(
                    "What the list lacks: {}, for {:.0} % of this zone.",
                    missing_text(missing),
                    100.0 * missing.share
                )
            }),
        })
    }
}

/// "Grass, by its name. Left out: needles, larch gold; …".
fn land_words(strewn: &Strewn, plan: &Plan<'_>) -> Option<String> {
    let land = strewn.land?;
    let how = if strewn.land_guessed {
        ", by its name"
    } else {
        ""
    };
    let left = strewn.freely.as_ref().zip(strewn.blend.as_ref());
    let left = left.map_or_else(String::new, |(free, blend)| {
        let names: Vec<&str> = free
            .kinds
            .iter()
            .map(|at| plan.kinds[*at].name.as_str())
            .collect();
        format!(
            " Left out: {}; with them the mean would be {:.1} off instead of {:.1}, the shades {:.1} instead of {:.1}.",
            names.join(", "),
            free.difference.0,
            blend.judged.difference.0,
            free.variety_gap.0,
            blend.judged.variety_gap.0
        )
    });
    Some(format!("{}{how}.{left}", capitalised(land.word())))
}

/// "Bare ground, then after coarse #5a5d2f (40 % of the ground shows), …".
fn after_words(strewn: &Strewn) -> String {
    let passes: Vec<String> = strewn
        .layers
        .iter()
        .map(|layer| {
            format!(
                "after {} {} ({:.0} % of the ground shows)",
                grain_word(layer.grain),
                layer.after.to_srgb8(),
                100.0 * layer.ground_after
            )
        })
        .collect();
    let low = strewn.seen_low.as_ref().map_or_else(String::new, |low| {
        format!(
            "; seen from {LOW:.0}° above the table, where grains hide more of the ground, {}",
            low.colour.to_srgb8()
        )
    });
    format!("The bare ground, then {}{low}.", passes.join(", "))
}
