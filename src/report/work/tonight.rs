//! The first screen: the evening as a strip, the next step, every step to tick, what is short, what is doubtful.

use crate::photo::Thumbnail;
use crate::plan::{Caution, Plan, PlanNote, SurfacePlan};
use crate::region::Outline;
use crate::report::doubts::note_text;
use crate::report::figures::Swatches;
use crate::report::figures::px;
use crate::report::hand::listed;
use crate::report::page::cover::CoverFigure;
use crate::report::work::lines::{
    Craft, WorkLine, WorkPlace, pots_words, shortages, sitting_words, wait_words, work_lines,
};
use crate::scale_colour::AirNote;
use crate::scene::Treatment;
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// What the first screen shows.
#[derive(Debug)]
pub(in crate::report) struct TonightView {
    pub(in crate::report) cover: CoverFigure,
    pub(in crate::report) sittings: Vec<SittingView>,
    pub(in crate::report) pots: String,
    pub(in crate::report) short: Vec<String>,
    /// How many more are short.
    pub(in crate::report) short_more: usize,
    pub(in crate::report) doubts: Vec<DoubtView>,
    pub(in crate::report) pictures: Vec<PictureOfPhoto>,
    pub(in crate::report) places: Vec<PlaceFigure>,
}

/// Work that can be done in one go.
#[derive(Debug)]
pub(in crate::report) struct SittingView {
    pub(in crate::report) name: &'static str,
    pub(in crate::report) wait: Option<&'static str>,
    pub(in crate::report) craft: Option<&'static str>,
    pub(in crate::report) steps: Vec<StepView>,
    pub(in crate::report) cautions: Vec<&'static str>,
    /// How wide it stands in the strip: its colours, at least one.
    pub(in crate::report) colours: usize,
}

/// One line to tick.
#[derive(Debug)]
pub(in crate::report) struct StepView {
    pub(in crate::report) number: usize,
    pub(in crate::report) what: String,
    pub(in crate::report) mix: Option<String>,
    pub(in crate::report) amount: Option<String>,
    pub(in crate::report) places: Vec<PlaceView>,
    /// Instead of a list of all places: that these are all.
    pub(in crate::report) everywhere: Option<String>,
    pub(in crate::report) whole: String,
    pub(in crate::report) swatch: Option<Swatches>,
    pub(in crate::report) strip: Option<Swatches>,
    /// Key of the picture of its place.
    pub(in crate::report) picture: Option<usize>,
}

/// Where a step applies.
#[derive(Debug)]
pub(in crate::report) struct PlaceView {
    pub(in crate::report) number: usize,
    pub(in crate::report) name: String,
    pub(in crate::report) detail: String,
}

/// One of the doubts that matter most.
#[derive(Debug)]
pub(in crate::report) struct DoubtView {
    pub(in crate::report) text: String,
}

/// A photo that places are shown on, held once.
#[derive(Debug)]
pub(in crate::report) struct PictureOfPhoto {
    pub(in crate::report) number: usize,
    pub(in crate::report) width: u32,
    pub(in crate::report) height: u32,
    pub(in crate::report) base64: String,
}

/// Where a surface is in its photo: lit, the rest dimmed.
#[derive(Debug, Template)]
#[template(path = "figures/place.svg", config = "report-templates/askama.toml")]
pub(in crate::report) struct PlaceFigure {
    pub(in crate::report) label: String,
    pub(in crate::report) name: String,
    /// The surface, counted from 1.
    pub(in crate::report) surface: usize,
    pub(in crate::report) photo: usize,
    pub(in crate::report) width: u32,
    pub(in crate::report) height: u32,
    pub(in crate::report) line: String,
    pub(in crate::report) shade: String,
    pub(in crate::report) outlines: Vec<String>,
}

/// Doubts on the first screen.
pub(in crate::report) const DOUBTS: usize = 3;
/// Shortages on the first screen.
const SHORT: usize = 5;

impl TonightView {
    pub(in crate::report) fn new(plan: &Plan<'_>) -> Self {
        let mut number = 0;
        let places = places(plan);
        let short = shortages(plan);
        let sittings: Vec<SittingView> = work_lines(plan)
            .into_iter()
            .map(|(sitting, lines)| {
                let steps: Vec<StepView> = lines
                    .iter()
                    .map(|line| {
                        number += 1;
                        StepView::new(number, line, &places, plan)
                    })
                    .collect();
                SittingView {
                    name: sitting_words(sitting),
                    wait: sitting.wait.map(wait_words),
                    craft: lines.last().map(|line| line.craft).map(Craft::key),
                    colours: steps.iter().filter(|s| s.strip.is_some()).count().max(1),
                    steps,
                    cautions: sitting
                        .cautions
                        .iter()
                        .map(|c| Caution::short(*c))
                        .collect(),
                }
            })
            .collect();
        Self {
            cover: CoverFigure::of_plan(plan),
            sittings,
            pots: pots_words(plan),
            short_more: short.len().saturating_sub(SHORT),
            short: short.into_iter().take(SHORT).collect(),
            doubts: plan
                .doubts()
                .into_iter()
                .take(DOUBTS)
                .map(|note| DoubtView { text: gist(note) })
                .collect(),
            pictures: pictures(plan),
            places,
        }
    }

    /// The first thing to do.
    pub(in crate::report) fn first(&self) -> Option<&StepView> {
        self.sittings
            .iter()
            .flat_map(|sitting| &sitting.steps)
            .next()
    }
}

impl SittingView {
    /// Whether it has any colour to show in the strip.
    pub(in crate::report) fn coloured(&self) -> bool {
        self.steps.iter().any(|step| step.strip.is_some())
    }

    /// How wide it stands in the strip.
    pub(in crate::report) fn span(&self) -> usize {
        self.colours.clamp(1, 6)
    }
}

impl StepView {
    fn new(number: usize, line: &WorkLine, places: &[PlaceFigure], plan: &Plan<'_>) -> Self {
        let swatch = |width, height| {
            line.colour.map(|colour| {
                let names: Vec<String> = line.on.iter().map(|p| p.name.clone()).collect();
                Swatches::row(
                    format!("{}, for {}", line.what, listed(&names)),
                    width,
                    height,
                    &[(colour, 1.0)],
                )
            })
        };
        let on = |place: &WorkPlace| PlaceView {
            number: place.surface.number(),
            name: place.name.clone(),
            detail: place.detail.clone(),
        };
        Self {
            number,
            what: line.what.clone(),
            mix: line.mix.clone(),
            amount: line.amount.clone(),
            places: line.on.iter().map(on).collect(),
            everywhere: everywhere(line, plan),
            whole: line.words(),
            swatch: swatch(48, 40),
            strip: swatch(64, 64),
            picture: line
                .on
                .iter()
                .map(|place| place.surface.number())
                .find(|surface| places.iter().any(|figure| figure.surface == *surface)),
        }
    }
}

/// The photos that places are shown on; a file named as two photos is held once.
fn pictures(plan: &Plan<'_>) -> Vec<PictureOfPhoto> {
    let photos = plan.photos.iter().enumerate();
    photos
        .filter(|(i, _)| picture_of(*i, plan) == *i)
        .filter_map(|(i, photo)| {
            let picture = plan.pictures.shown(photo.strip.as_ref())?.jpeg()?;
            Some(PictureOfPhoto {
                number: i + 1,
                width: picture.width,
                height: picture.height,
                base64: STANDARD.encode(&picture.bytes),
            })
        })
        .collect()
}

/// The first photo whose picture is the same as this one's.
fn picture_of(photo: usize, plan: &Plan<'_>) -> usize {
    let own = &plan.photos[photo].strip;
    (0..photo)
        .find(|other| plan.photos[*other].strip == *own)
        .unwrap_or(photo)
}

/// A doubt in the words of the first screen: the common ones without figures, which stand in the list of all.
fn gist(note: &PlanNote) -> String {
    match note {
        PlanNote::LightUncorrected { photos } => format!(
            "No grey card or known material in {}: {} colours may be plainly too light or dark, too warm or cold.",
            listed(photos),
            if photos.len() == 1 { "its" } else { "their" },
        ),
        PlanNote::Light { photo, .. } => {
            format!("The light of \"{photo}\" is known only roughly.")
        }
        PlanNote::Air {
            surface,
            note: AirNote::LeftIn | AirNote::Unknown,
        } => format!("{surface}: photographed through much air; the haze stays in its colours."),
        PlanNote::OutOfReach { surface, tone, .. } => {
            format!("{surface}, {tone}: no mix from the list comes near it.")
        }
        _ => note_text(note),
    }
}

/// For a step that is the same on every painted surface: how many there are, if a list would be long.
fn everywhere(line: &WorkLine, plan: &Plan<'_>) -> Option<String> {
    let painted = |s: &SurfacePlan| s.wanted.treatment != Treatment::Scatter;
    let all = plan.surfaces.iter().filter(|s| painted(s)).count();
    let alike = line.on.iter().all(|place| place.detail.is_empty());
    let on = line.on.iter();
    let painted = on.filter(|place| painted(&plan.surfaces[place.surface]));
    (all > 2 && alike && line.on.len() == all && painted.count() == all)
        .then(|| format!("all {all} painted surfaces"))
}

fn places(plan: &Plan<'_>) -> Vec<PlaceFigure> {
    plan.surfaces
        .iter()
        .enumerate()
        .filter_map(|(s, surface)| {
            let part = surface.wanted.parts.first()?;
            let picture = (plan.pictures).shown(plan.photos[part.photo].strip.as_ref())?;
            Some(place(
                s + 1,
                surface,
                picture_of(part.photo, plan) + 1,
                picture,
            ))
        })
        .collect()
}

fn place(number: usize, surface: &SurfacePlan, photo: usize, picture: &Thumbnail) -> PlaceFigure {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let path = |outline: &Outline| {
        let points: Vec<String> = outline
            .points()
            .iter()
            .map(|[x, y]| format!("{},{}", px(x * width), px(y * height)))
            .collect();
        format!("M{}Z", points.join("L"))
    };
    let own = surface
        .wanted
        .parts
        .first()
        .map(|part| &part.region.outline);
    let bands: Vec<&Outline> = surface
        .zones
        .iter()
        .filter_map(|zone| Some(&zone.wanted.band.as_ref()?.region.as_ref()?.outline))
        .collect();
    let outlines: Vec<String> = if bands.is_empty() {
        own.into_iter().map(path).collect()
    } else {
        bands.into_iter().map(path).collect()
    };
    PlaceFigure {
        label: format!("Where {} is in its photo", surface.wanted.name),
        name: surface.wanted.name.clone(),
        surface: number,
        photo,
        width: picture.width(),
        height: picture.height(),
        line: px((width.max(height) / 260.0).max(1.0)),
        shade: format!(
            "M0,0H{}V{}H0Z{}",
            picture.width(),
            picture.height(),
            outlines.concat()
        ),
        outlines,
    }
}
