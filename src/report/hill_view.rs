//! Bands, scatter and lamps as words and rounded numbers for a sheet.

use super::figures::Swatches;
use super::hill_words::{grain_word, length, missing_text, shift_text};
use super::tone_view::RecipeView;
use super::words::capitalised;
use super::work_words::taken_words;
use crate::colour::LabD65;
use crate::lamps::KnownBy;
use crate::mix::{Closeness, Recipe};
use crate::plan::{Plan, Strewn, SurfacePlan, ZonePlan, weighable};
use crate::scale_colour::AirNote;
use crate::units::Millimetres;

/// What a sheet says of depth, scatter and lamps; each is absent where it does not apply.
#[derive(Debug)]
pub(super) struct HillsideView {
    pub(super) bands: Option<BandsView>,
    pub(super) strewn: Vec<StrewnView>,
    pub(super) lamp: Option<LampView>,
}

/// A hillside from the backscene down to the front edge.
#[derive(Debug)]
pub(super) struct BandsView {
    pub(super) bands: Vec<BandView>,
    pub(super) haze: Option<String>,
    pub(super) join: Option<JoinView>,
}

/// One band.
#[derive(Debug)]
pub(super) struct BandView {
    pub(super) name: String,
    pub(super) picture: Swatches,
    pub(super) facts: String,
    pub(super) air: String,
}

/// Where the hillside meets the backscene.
#[derive(Debug)]
pub(super) struct JoinView {
    pub(super) swatches: Swatches,
    pub(super) join_recipe: Option<RecipeView>,
    pub(super) sky_recipe: Option<RecipeView>,
}

/// What is strewn in one zone.
#[derive(Debug)]
pub(super) struct StrewnView {
    pub(super) zone: Option<String>,
    /// Where a band lies on the model and how large it is.
    pub(super) facts: Option<String>,
    pub(super) swatches: Swatches,
    pub(super) closeness: String,
    pub(super) near: &'static str,
    pub(super) ground: String,
    pub(super) kinds: Vec<KindView>,
    pub(super) glue: Option<String>,
    pub(super) missing: Option<String>,
}

/// One kind of a blend.
#[derive(Debug)]
pub(super) struct KindView {
    pub(super) swatch: Swatches,
    pub(super) pass: String,
    pub(super) parts: u32,
    pub(super) name: String,
    pub(super) grams: String,
}

/// The tones of a surface under the lamps.
#[derive(Debug)]
pub(super) struct LampView {
    pub(super) name: String,
    pub(super) rows: Vec<LampRow>,
    pub(super) about: String,
}

/// One tone under the lamps.
#[derive(Debug)]
pub(super) struct LampRow {
    pub(super) tone: String,
    pub(super) swatches: Swatches,
    pub(super) shift: String,
    pub(super) mix: String,
}

impl HillsideView {
    pub(super) fn new(surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        Self {
            bands: bands(surface, plan),
            strewn: surface
                .zones
                .iter()
                .filter_map(|zone| StrewnView::new(zone, zone.strewn.as_ref()?, plan))
                .collect(),
            lamp: lamp(surface, plan),
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
    let haze = surface.haze.map(|haze| {
        format!(
            "The photo itself tells a visibility of about {:.0} km, by how its shadows pale between {} and {}; this takes the shadows for alike.",
            (haze.visibility.value() / 1000.0).max(1.0),
            length(haze.near.value()),
            length(haze.far.value()),
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

fn band(number: usize, zone: &ZonePlan, surface: &SurfacePlan) -> Option<BandView> {
    let band = zone.band.as_ref()?;
    let tones: Vec<(LabD65, f64)> = surface.tones[zone.tones.clone()]
        .iter()
        .map(|tone| (tone.moved.colour, tone.tone.share.value()))
        .collect();
    let mut facts = Vec::new();
    facts.extend(
        band.placed
            .from
            .map(|m| format!("photographed from {}", length(m.value()))),
    );
    facts.push(format!(
        "stands for {}",
        length(band.placed.distance.value())
    ));
    facts.push(format!("built to {}", band.placed.scale));
    facts.extend(band.model_depth.map(behind_edge));
    facts.extend(zone.area.map(|a| format!("{:.0} cm²", a.value())));
    let air = match band.note {
        AirNote::LeftIn | AirNote::Unknown => "the photo's own haze stays in it".to_owned(),
        AirNote::Removed | AirNote::RemovedToFloor => {
            "the photo's surplus of air was taken out".to_owned()
        }
        AirNote::Added => format!(
            "{:.1} % of what the eye sees of it is air",
            100.0 * band.air
        ),
    };
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
    format!("{} behind the edge", length(depth.value() / 1000.0))
}

impl StrewnView {
    fn new(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> Option<Self> {
        let blend = strewn.blend.as_ref()?;
        let kinds = strewn
            .layers
            .iter()
            .flat_map(|layer| layer.kinds.iter().map(move |kind| (layer.grain, kind)))
            .map(|(grain, (at, grams))| {
                let (kind, parts) = blend.parts[*at];
                let kind = &plan.kinds[kind];
                KindView {
                    swatch: Swatches::row(
                        format!("{}: {}", kind.name, kind.colour.to_srgb8()),
                        60,
                        30,
                        &[(kind.colour, 1.0)],
                    ),
                    pass: capitalised(grain_word(grain)),
                    parts,
                    name: kind.name.clone(),
                    grams: grams
                        .map_or_else(|| "–".to_owned(), |g| format!("{} g", weighable(g).value())),
                }
            })
            .collect();
        let pot = strewn.pot.map_or_else(String::new, |pot| {
            format!("{}, ", taken_words(&plan.pots[pot], plan))
        });
        Some(Self {
            zone: zone.band.as_ref().map(|band| band.name.clone()),
            facts: zone.band.as_ref().and_then(|band| {
                let depth = band.model_depth.map(behind_edge);
                let area = zone.area.map(|a| format!("{:.0} cm²", a.value()));
                let facts: Vec<String> = depth.into_iter().chain(area).collect();
                (!facts.is_empty()).then(|| facts.join(", "))
            }),
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
            closeness: format!(
                "{} (ΔE00 {:.1}, laid patch ± {:.0})",
                Closeness::of(blend.judged.difference).words(),
                blend.judged.difference.0,
                strewn.uncertainty.0
            ),
            near: Closeness::of(blend.judged.difference).words(),
            ground: format!("{pot}about {:.0} % of it shows", 100.0 * blend.ground_share),
            kinds,
            glue: strewn
                .glue_a_pass
                .map(|ml| format!("about {} ml of glue a pass", ml.value())),
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

fn lamp(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<LampView> {
    let lamp = plan.lamp.as_ref()?;
    let mut all_measured = true;
    let rows = surface
        .tones
        .iter()
        .enumerate()
        .filter_map(|(i, tone)| {
            let under = tone.under_lamp.as_ref()?;
            all_measured &= under.mix_measured;
            let mut colours = vec![(under.tone.daylight, 1.0), (under.tone.lamp, 1.0)];
            if let Some(mix) = &under.mix {
                colours.extend([(mix.daylight, 1.0), (mix.lamp, 1.0)]);
            }
            Some(LampRow {
                tone: format!("{} {}", i + 1, tone.tone.name),
                swatches: Swatches::row(
                    format!(
                        "Tone {}: planned in daylight {} and under the lamps {}; its mix likewise",
                        i + 1,
                        under.tone.daylight.to_srgb8(),
                        under.tone.lamp.to_srgb8()
                    ),
                    320,
                    36,
                    &colours,
                ),
                shift: shift_text(&under.tone),
                mix: under
                    .mix
                    .as_ref()
                    .map_or_else(|| "–".to_owned(), shift_text),
            })
        })
        .collect();
    let mut about = "The shifts (CIEDE2000) are for an eye fully adapted to the lamps (CAT16); they come from spectra made up from colours, are right to about half their size, and are told in whole steps.".to_owned();
    if !all_measured {
        about.push_str(" Whether one mix holds better than another, which the special metamerism index of CIE 015 would tell, needs measured spectra of paints and target: allow 1, at worst 3 to 4, by which mix and target may part unseen.");
    }
    if lamp.known_by == KnownBy::Temperature {
        about.push_str(" Of these lamps only the temperature is known.");
    }
    Some(LampView {
        name: lamp.name.clone(),
        rows,
        about,
    })
}
