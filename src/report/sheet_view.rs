//! Surfaces as the page prints them.

use super::as_built::AsBuiltView;
use super::dirt_view::DirtView;
use super::figures::{MapFigure, PhotoFigure, PlaneFigure, Swatches};
use super::hill_view::HillsideView;
use super::tone_figures::{BarFigure, confused_pairs, confusion_text, tag};
use super::tone_view::ToneView;
use super::words::{distance_text, rule_text, step_text};
use crate::colour::LabD65;
use crate::plan::{Caution, PartSeen, Plan, SurfacePlan};
use crate::region::Region;
use crate::scale_colour::AirNote;
use crate::scene::Treatment;

/// One surface.
#[derive(Debug)]
pub(super) struct SheetView {
    pub(super) number: usize,
    pub(super) name: String,
    pub(super) about: String,
    pub(super) crops: Vec<PhotoFigure>,
    pub(super) maps: Vec<MapFigure>,
    pub(super) bar: BarFigure,
    pub(super) confused: Option<String>,
    pub(super) plane: PlaneFigure,
    pub(super) tones: Vec<ToneView>,
    pub(super) moved: String,
    pub(super) keep: String,
    pub(super) rules: Vec<RuleView>,
    pub(super) steps: Vec<String>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) hillside: HillsideView,
    pub(super) dirt: DirtView,
    pub(super) as_built: Vec<AsBuiltView>,
}

/// What each rule does to one tone.
#[derive(Debug)]
pub(super) struct RuleView {
    pub(super) tone: usize,
    pub(super) swatches: Swatches,
    pub(super) by: Vec<RuleMove>,
}

/// One rule's move of one tone.
#[derive(Debug)]
pub(super) struct RuleMove {
    pub(super) hex: String,
    pub(super) by: String,
}

impl SheetView {
    pub(super) fn new(number: usize, surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        let pairs = confused_pairs(&surface.tones);
        let tones: Vec<ToneView> = surface
            .tones
            .iter()
            .enumerate()
            .map(|(i, tone)| {
                let mut view = ToneView::new(i + 1, tone, surface, plan, tag(&pairs, i));
                if surface.unpainted.contains(&i) {
                    view.role.push_str(unpainted_words(surface.treatment));
                }
                view
            })
            .collect();
        let shares = surface
            .tones
            .iter()
            .map(|t| format!("{} {:.0} %", t.tone.name, 100.0 * t.tone.share.value()))
            .collect::<Vec<_>>()
            .join(", ");
        let planned: Vec<LabD65> = surface.tones.iter().map(|t| t.moved.colour).collect();
        let paints: Vec<LabD65> = plan.shelf.stocks().iter().map(|s| s.prepared.lab).collect();
        Self {
            number,
            name: surface.name.clone(),
            about: about_surface(surface),
            crops: surface
                .parts
                .iter()
                .enumerate()
                .filter_map(|(p, part)| {
                    let crop = part.crop.as_ref()?;
                    let label = format!("{} in its photo, with its region drawn on", surface.name);
                    let mut figure =
                        PhotoFigure::new(label, crop, part.span, &regions_of(surface, part));
                    figure.id = format!("crop-{number}-{}", p + 1);
                    Some(figure)
                })
                .collect(),
            maps: surface
                .parts
                .iter()
                .filter_map(|part| {
                    MapFigure::new(&surface.name, part.map.as_ref()?, &surface.tones)
                })
                .collect(),
            bar: BarFigure::new(
                format!("Planned tones by their share of the area: {shares}"),
                &surface.tones,
                &pairs,
            ),
            confused: confusion_text(&pairs),
            plane: PlaneFigure::new(
                format!(
                    "Planned tones of {} by lightness and in the a* b* plane; dashed: the span of the listed paints",
                    surface.name
                ),
                &planned,
                &paints,
            ),
            tones,
            moved: moved_text(surface, plan),
            keep: keep_text(surface),
            rules: rules(surface),
            steps: surface
                .steps
                .iter()
                .map(|step| step_text(step, &plan.pots))
                .collect(),
            cautions: surface
                .cautions
                .iter()
                .filter(|c| !matches!(c, Caution::KeepApart | Caution::LabelFirst))
                .map(|c| c.text())
                .collect(),
            hillside: HillsideView::new(surface, plan),
            dirt: DirtView::new(surface),
            as_built: AsBuiltView::all(surface, plan),
        }
    }
}

/// Treatment, area, coats and distance on one line.
fn about_surface(surface: &SurfacePlan) -> String {
    let mut about = vec![
        match surface.treatment {
            Treatment::Coat => "painted",
            Treatment::Rock => "rock",
            Treatment::Scatter => "strewn with scatter",
            Treatment::Wash => "wash",
        }
        .to_owned(),
    ];
    if let Some(area) = surface.area {
        about.push(format!("{:.0} cm²", area.value()));
    }
    if surface.treatment == Treatment::Coat {
        about.push(if surface.coats == 1 {
            "1 coat".to_owned()
        } else {
            format!("{} coats", surface.coats)
        });
    }
    if let Some(from) = surface.from {
        about.push(format!("photographed from {}", distance_text(from.value())));
    }
    about.join(", ")
}

/// Why no pot is mixed for a tone.
fn unpainted_words(treatment: Treatment) -> &'static str {
    match treatment {
        Treatment::Rock => " (not in the scheme)",
        Treatment::Coat | Treatment::Wash | Treatment::Scatter => " (the wash leads there)",
    }
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
                &std::iter::once((tone.tone.colour, 1.0))
                    .chain(tone.by_rule.iter().map(|m| (m.colour, 1.0)))
                    .collect::<Vec<_>>(),
            ),
            by: tone
                .by_rule
                .iter()
                .map(|m| RuleMove {
                    hex: m.colour.to_srgb8().to_string(),
                    by: format!("{:.1}", m.by.0),
                })
                .collect(),
        })
        .collect()
}

/// How far the rule moved the tones, in words.
fn moved_text(surface: &SurfacePlan, plan: &Plan<'_>) -> String {
    let moves: Vec<f64> = surface.tones.iter().map(|t| t.moved.by.0).collect();
    let (low, high) = moves
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(*m), h.max(*m)));
    let rule = rule_text(plan);
    let direction = match surface.tones.first().map(|t| t.moved.note) {
        Some(AirNote::Removed | AirNote::RemovedToFloor) => {
            " The camera stood further off than the model is seen, so the photo's surplus of air was taken out."
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
    let spread = surface.spread.0;
    if surface.treatment == Treatment::Scatter {
        return format!(
            "Within its tones the surface varies by ΔE00 {spread:.0}: strew unevenly, and do not stir the kinds of a pass into one even mix."
        );
    }
    let varied = surface.tones.iter().filter(|t| !t.tone.is_even()).count();
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
        .filter_map(|(i, zone)| Some((i + 1, zone.band.as_ref()?.region.as_ref()?)))
        .collect();
    if bands.is_empty() {
        vec![(0, &part.region)]
    } else {
        bands
    }
}
