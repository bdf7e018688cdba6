//! Surfaces as the page prints them.

use crate::colour::{LabD65, delta_e00};
use crate::mix::{Addition, falls_short};
use crate::plan::{
    Caution, PartSeen, PickedOut, Pictures, PlacePlan, PlacedBy, Plan, RockStepPlan, SurfaceId,
    SurfacePlan, ToneId, WashPlan,
};
use crate::region::Region;
use crate::report::dirt::view::{DirtView, WashView};
use crate::report::dirt::words::technique_words;
use crate::report::figures::{
    MapFigure, PhotoFigure, PlaneFigure, Swatches, ToneNumber, tone_numbers,
};
use crate::report::hand::hand_ml;
use crate::report::hills::view::HillsideView;
use crate::report::pots::brushed::{BrushView, near_words};
use crate::report::tones::figures::{confused_pairs, confusion_text, tag};
use crate::report::tones::variety::{short_mix_words, short_where, variety_text};
use crate::report::tones::view::ToneView;
use crate::report::words::{capitalised, closeness_text, distance_text, moved_by, rule_text};
use crate::report::work::as_built::AsBuiltView;
use crate::report::work::lines::{open_words, short_blend_words};
use crate::rock::RockRole;
use crate::scale_colour::{AirNote, ScaleRule};
use crate::scene::Treatment;

/// One surface.
#[derive(Debug)]
pub(in crate::report) struct SheetView {
    pub(in crate::report) number: usize,
    pub(in crate::report) name: String,
    pub(in crate::report) about: String,
    pub(in crate::report) crops: Vec<PhotoFigure>,
    pub(in crate::report) maps: Vec<MapFigure>,
    pub(in crate::report) confused: Option<String>,
    pub(in crate::report) plane: PlaneFigure,
    pub(in crate::report) tones: Vec<ToneView>,
    /// What is brushed on, its base first.
    pub(in crate::report) brushed: Vec<BrushView>,
    /// What is laid besides: washes, usual colours of a rock, places.
    pub(in crate::report) rows: Vec<LaidRow>,
    /// How its units differ.
    pub(in crate::report) variety: Option<String>,
    pub(in crate::report) moved: String,
    pub(in crate::report) keep: String,
    /// The head of the table of rules.
    pub(in crate::report) rule_words: [&'static str; ScaleRule::ALL.len()],
    pub(in crate::report) rules: Vec<RuleView>,
    pub(in crate::report) cautions: Vec<&'static str>,
    pub(in crate::report) hillside: HillsideView,
    pub(in crate::report) dirt: DirtView,
    pub(in crate::report) as_built: Vec<AsBuiltView>,
}

/// A wash, a rock colour, a place: one line.
#[derive(Debug)]
pub(in crate::report) struct LaidRow {
    pub(in crate::report) name: String,
    pub(in crate::report) words: String,
    pub(in crate::report) amount: Option<String>,
    pub(in crate::report) near: String,
    pub(in crate::report) figures: String,
    pub(in crate::report) swatches: Option<Swatches>,
}

/// What each rule does to one tone.
#[derive(Debug)]
pub(in crate::report) struct RuleView {
    pub(in crate::report) tone: usize,
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) by: Vec<RuleMove>,
}

/// One rule's move of one tone.
#[derive(Debug)]
pub(in crate::report) struct RuleMove {
    pub(in crate::report) hex: String,
    /// By how much, where that is anything.
    pub(in crate::report) moved: Option<String>,
}

impl SheetView {
    pub(in crate::report) fn new(at: SurfaceId, plan: &Plan<'_>) -> Self {
        let surface = &plan.surfaces[at];
        let number = at.number();
        let pairs = confused_pairs(&surface.tones);
        let brushed = BrushView::all(at, plan);
        let tones: Vec<ToneView> = surface
            .tones
            .iter()
            .zip(ToneId::all(surface.tones.len()))
            .map(|(tone, id)| ToneView::new((at, id), tone, plan, tag(&pairs, id.place())))
            .collect();
        let planned: Vec<LabD65> = surface
            .tones
            .iter()
            .map(|t| t.wanted.moved.colour)
            .collect();
        let paints: Vec<LabD65> = plan.shelf.stocks().iter().map(|s| s.prepared.lab).collect();
        Self {
            number,
            name: surface.wanted.name.clone(),
            about: about_surface(surface),
            crops: crops(number, surface, plan.pictures),
            maps: maps(number, surface, plan.pictures),
            confused: confusion_text(&pairs),
            plane: PlaneFigure::new(
                format!(
                    "Planned tones of {} by lightness and in the a* b* plane; dashed: the span of the listed paints",
                    surface.wanted.name
                ),
                &planned,
                &paints,
            ),
            tones,
            brushed,
            variety: variety_text(surface),
            rows: laid(surface, plan),
            moved: moved_text(surface, plan),
            keep: keep_text(surface),
            rule_words: ScaleRule::ALL.map(|(word, _)| word),
            rules: rules(surface),
            cautions: surface
                .cautions
                .iter()
                .filter(|c| !matches!(c, Caution::KeepApart | Caution::LabelFirst))
                .map(|c| c.short())
                .collect(),
            hillside: HillsideView::new(surface, plan),
            dirt: DirtView::new(surface, plan.pictures),
            as_built: AsBuiltView::all(surface, plan),
        }
    }

    /// How many pictures are beside its tones.
    pub(in crate::report) fn pictures(&self) -> usize {
        self.crops.len() + self.maps.len()
    }

    /// The clean base under its wash.
    pub(in crate::report) fn base(&self) -> Option<&BrushView> {
        self.brushed.iter().find(|brush| brush.tone.is_none())
    }

    /// The wash whose picture before and after is shown.
    pub(in crate::report) fn slider(&self) -> Option<&WashView> {
        let washes = self.dirt.wash.iter().chain(self.dirt.rock_wash.iter());
        washes.into_iter().find(|wash| wash.picture.is_some())
    }

    /// Whether anything is laid besides its tones.
    pub(in crate::report) fn has_rows(&self) -> bool {
        let bands = self.hillside.bands.as_ref();
        !self.rows.is_empty()
            || self.base().is_some()
            || bands.is_some_and(|bands| bands.join.is_some())
    }
}

fn numbers(part: &PartSeen, surface: &SurfacePlan) -> Vec<ToneNumber> {
    // One tone alone needs no number.
    let map = part.map.as_ref().filter(|_| surface.tones.len() > 1);
    map.map_or_else(Vec::new, |map| tone_numbers(map, surface.tones.len()))
}

fn crops(number: usize, surface: &SurfacePlan, pictures: Pictures) -> Vec<PhotoFigure> {
    let parts = surface.wanted.parts.iter().enumerate();
    parts
        .filter_map(|(p, part)| {
            let crop = pictures.shown(part.crop.as_ref())?.jpeg()?;
            let label = format!(
                "{} in its photo, with its region drawn on",
                surface.wanted.name
            );
            let mut figure = PhotoFigure::new(label, &crop, part.span, &regions_of(surface, part));
            figure.id = format!("crop-{number}-{}", p + 1);
            figure.place_numbers(&numbers(part, surface));
            Some(figure)
        })
        .collect()
}

/// Maps of tones, at the size of the crop beside them; none where there is one tone alone.
fn maps(number: usize, surface: &SurfacePlan, pictures: Pictures) -> Vec<MapFigure> {
    if surface.tones.len() < 2 {
        return Vec::new();
    }
    let parts = surface.wanted.parts.iter().enumerate();
    parts
        .filter_map(|(p, part)| {
            let crop = pictures.shown(part.crop.as_ref())?;
            let map = part.map.as_ref()?;
            let numbers = numbers(part, surface);
            let mut figure =
                MapFigure::new(&surface.wanted.name, map, &surface.tones, crop, &numbers)?;
            figure.id = format!("map-{number}-{}", p + 1);
            Some(figure)
        })
        .collect()
}

/// Washes, usual rock colours and places, in the order of work.
fn laid(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<LaidRow> {
    let rock = surface.dirt.rock.as_ref();
    let usual = rock.iter().flat_map(|rock| &rock.steps);
    let picked = surface.picked.iter();
    let mut rows: Vec<LaidRow> = picked.map(|picked| picked_row(picked, plan)).collect();
    rows.extend(
        usual
            .filter(|step| step.tone.is_none() && step.role != RockRole::DarkWash)
            .map(rock_row),
    );
    for wash in surface.dirt.washes() {
        rows.extend(wash_rows(wash));
    }
    rows.extend(surface.dirt.places.iter().map(place_row));
    rows
}

fn pair(what: &str, planned: LabD65, reached: Option<LabD65>) -> Swatches {
    let mut colours = vec![(planned, 1.0)];
    colours.extend(reached.map(|colour| (colour, 1.0)));
    let reached = reached.map_or_else(String::new, |c| format!(", comes to {}", c.to_srgb8()));
    let label = format!(
        "{}: wanted {}{reached}",
        capitalised(what),
        planned.to_srgb8()
    );
    Swatches::row(label, 96, 44, &colours)
}

fn picked_row(picked: &PickedOut, plan: &Plan<'_>) -> LaidRow {
    let pot = open_words(&plan.pots[picked.pot], plan);
    let Addition {
        colour, difference, ..
    } = picked.addition;
    LaidRow {
        name: format!("Pick out {}", short_where(picked)),
        words: format!("{pot}: {}", short_mix_words(picked)),
        amount: None,
        near: String::new(),
        figures: format!(
            "wanted {}, comes to {}, ΔE00 {:.1}",
            picked.wanted.to_srgb8(),
            colour.to_srgb8(),
            difference.0
        ),
        swatches: Some(pair("picked out", picked.wanted, Some(colour))),
    }
}

fn rock_row(step: &RockStepPlan) -> LaidRow {
    let recipe = step.recipes.first();
    let off = recipe.map(|recipe| delta_e00(step.planned, recipe.colour));
    LaidRow {
        name: capitalised(step.role.words()),
        words: step
            .blend
            .as_ref()
            .map_or_else(|| "nothing on the list mixes".to_owned(), short_blend_words),
        amount: None,
        near: format!(
            "{}; the photo shows none, a usual colour",
            off.map_or_else(String::new, |off| near_words(off, None))
        ),
        figures: recipe.zip(off).map_or_else(String::new, |(recipe, off)| {
            closeness_text(off.0, recipe.uncertainty.0)
        }),
        swatches: Some(pair(
            step.role.words(),
            step.planned,
            recipe.map(|r| r.colour),
        )),
    }
}

fn wash_rows(wash: &WashPlan) -> Vec<LaidRow> {
    let films = wash.washes.iter();
    films
        .map(|film| {
            let last = Some(film) == wash.washes.last();
            LaidRow {
                name: capitalised(technique_words(film.technique)),
                words: short_blend_words(&film.blend),
                amount: film.amounts.as_ref().map(|a| hand_ml(a.batch)),
                near: if last {
                    format!(
                        "flats {}, recesses {}",
                        near_words(wash.flat_off, falls_short(wash.flat_wanted, wash.flat)),
                        near_words(
                            wash.recess_off,
                            falls_short(wash.recess_wanted, wash.recess)
                        ),
                    )
                } else {
                    String::new()
                },
                figures: closeness_text(wash.flat_off.0, film.uncertainty.0),
                swatches: Some(Swatches::row(
                    format!(
                        "Base {}, flats under the wash {}, recesses {}",
                        wash.base.to_srgb8(),
                        wash.flat.to_srgb8(),
                        wash.recess.to_srgb8()
                    ),
                    96,
                    44,
                    &[(wash.base, 1.0), (wash.flat, 1.0), (wash.recess, 1.0)],
                )),
            }
        })
        .collect()
}

fn place_row(place: &PlacePlan) -> LaidRow {
    LaidRow {
        name: capitalised(&place.name),
        words: format!(
            "{}: {}",
            technique_words(place.technique),
            place.blend().map_or_else(
                || "nothing on the list will do".to_owned(),
                short_blend_words
            )
        ),
        amount: match &place.by {
            PlacedBy::Film(film) => film.amounts.as_ref().map(|a| hand_ml(a.batch)),
            _ => None,
        },
        near: place.off.map_or_else(String::new, |off| {
            let how = place.colour.and_then(|c| falls_short(place.wanted, c));
            near_words(off, how)
        }),
        figures: place
            .off
            .zip(place.uncertainty)
            .map_or_else(String::new, |(off, sure)| closeness_text(off.0, sure.0)),
        swatches: Some(pair(&place.name, place.wanted, place.colour)),
    }
}

/// Treatment, area, coats and distance on one line.
fn about_surface(surface: &SurfacePlan) -> String {
    let mut about = vec![
        match surface.wanted.treatment {
            Treatment::Coat => "painted",
            Treatment::Rock => "rock",
            Treatment::Scatter => "strewn with scatter",
            Treatment::Wash => "wash",
        }
        .to_owned(),
    ];
    if let Some(area) = surface.wanted.area {
        about.push(format!("{:.0} cm²", area.value()));
    }
    if surface.wanted.treatment == Treatment::Coat {
        about.push(if surface.wanted.coats == 1 {
            "1 coat".to_owned()
        } else {
            format!("{} coats", surface.wanted.coats)
        });
    }
    if let Some(from) = surface.wanted.from {
        about.push(format!("photographed from {}", distance_text(from.value())));
    }
    about.join(", ")
}

/// What each rule of scale colour does to each tone.
fn rules(surface: &SurfacePlan) -> Vec<RuleView> {
    surface
        .tones
        .iter()
        .enumerate()
        .map(|(i, tone)| RuleView {
            tone: i + 1,
            swatches: Swatches::row(
                format!(
                    "Tone {}: as photographed, by air, by custom, with none",
                    i + 1
                ),
                320,
                36,
                &std::iter::once((tone.wanted.tone.colour, 1.0))
                    .chain(tone.wanted.by_rule.iter().map(|m| (m.colour, 1.0)))
                    .collect::<Vec<_>>(),
            ),
            by: tone
                .wanted
                .by_rule
                .iter()
                .map(|m| RuleMove {
                    hex: m.colour.to_srgb8().to_string(),
                    moved: moved_by(m.by),
                })
                .collect(),
        })
        .collect()
}

/// How far the rule changed the tones, in words.
fn moved_text(surface: &SurfacePlan, plan: &Plan<'_>) -> String {
    let moves: Vec<f64> = surface.tones.iter().map(|t| t.wanted.moved.by.0).collect();
    let (low, high) = moves
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(*m), h.max(*m)));
    let rule = rule_text(plan);
    let direction = match surface.tones.first().map(|t| t.wanted.moved.note) {
        Some(AirNote::Removed | AirNote::RemovedToFloor) => {
            " The camera stood farther away than you see the model from, so the photo's extra air was taken out."
        }
        Some(AirNote::LeftIn | AirNote::Unknown) => " The photo's own haze was left in.",
        _ => "",
    };
    if high < 0.05 {
        format!("Scale colour by {rule}: nothing moved.{direction}")
    } else if high - low < 0.05 {
        format!("Scale colour by {rule}: tones moved by ΔE00 {high:.1}.{direction}")
    } else {
        format!("Scale colour by {rule}: tones moved by ΔE00 {low:.1} to {high:.1}.{direction}")
    }
}

/// Whether the mixes want to be kept loose.
fn keep_text(surface: &SurfacePlan) -> String {
    let spread = surface.wanted.spread.0;
    if surface.wanted.treatment == Treatment::Scatter {
        return format!(
            "Within its tones the surface varies by ΔE00 {spread:.0}: strew unevenly, and do not stir the kinds of a pass into one even mix."
        );
    }
    let varied = surface
        .tones
        .iter()
        .filter(|t| !t.wanted.tone.is_even())
        .count();
    let how = if varied == 0 {
        "even: keep the mixes well stirred and the coat smooth"
    } else if varied < surface.tones.len() {
        "even in some and varied in others: where it says loose, let brush marks and a half-mixed pot show a little"
    } else {
        "varied: keep the mixes loose, go over it with small patches lighter and darker"
    };
    format!("Within its tones the surface is {how} (mean ΔE00 {spread:.0}).")
}

/// The regions to draw on a crop: those of the bands where the surface has some, else the part's own.
fn regions_of<'a>(surface: &'a SurfacePlan, part: &'a PartSeen) -> Vec<(usize, &'a Region)> {
    let bands: Vec<(usize, &Region)> = surface
        .zones
        .iter()
        .enumerate()
        .filter_map(|(i, zone)| Some((i + 1, zone.wanted.band.as_ref()?.region.as_ref()?)))
        .collect();
    if bands.is_empty() {
        vec![(0, &part.region)]
    } else {
        bands
    }
}
