//! A plan as words and rounded numbers: what the page prints, made once and under test.

use crate::plan::{Plan, PlanNote, SurfaceId};
use crate::report::compared::CompareView;
use crate::report::doubts::{note_hint, note_text};
use crate::report::page::cover::accents;
use crate::report::page::sheet::SheetView;
use crate::report::pots::view::PotView;
use crate::report::shopping::fewest::FewestView;
use crate::report::shopping::view::{ShoppingView, ready};
use crate::report::words::{distance_text, file_name, or_dash, rule_text};
use crate::report::work::craft::{CraftView, all_cautions, craft_notes};
use crate::report::work::tonight::TonightView;
use crate::share::Comparison;
use rayon::prelude::*;

/// A line of the title block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::report) struct Fact {
    /// Its text.
    pub(in crate::report) label: &'static str,
    /// What it is.
    pub(in crate::report) value: String,
}

/// The whole page.
#[derive(Debug)]
pub struct View {
    pub(in crate::report) title: String,
    /// Scale, distance of the eye, lamps, date on one line.
    pub(in crate::report) facts_line: String,
    pub(in crate::report) facts: Vec<Fact>,
    pub(in crate::report) tonight: TonightView,
    /// The page's accent on light and on dark ground.
    pub(in crate::report) accents: [String; 2],
    /// The surface whose place is shown first.
    pub(in crate::report) first_place: usize,
    pub(in crate::report) craft: Vec<CraftView>,
    pub(in crate::report) credits: Vec<String>,
    pub(in crate::report) photos: Vec<PhotoView>,
    pub(in crate::report) pots: Vec<PotView>,
    pub(in crate::report) sheets: Vec<SheetView>,
    /// What is short.
    pub(in crate::report) to_buy: Vec<ShoppingView>,
    /// What may be: the lists do not say.
    pub(in crate::report) to_check: Vec<ShoppingView>,
    /// What is there.
    pub(in crate::report) in_hand: Vec<ShoppingView>,
    pub(in crate::report) shopping_total: Option<String>,
    pub(in crate::report) fewest: Option<FewestView>,
    pub(in crate::report) notes: Vec<NoteView>,
    pub(in crate::report) cautions: Vec<&'static str>,
    pub(in crate::report) rule_words: String,
    pub(in crate::report) compared: Option<CompareView>,
    pub(in crate::report) lamp: Option<String>,
}

/// One photo of the strip.
#[derive(Debug)]
pub(in crate::report) struct PhotoView {
    pub(in crate::report) key: String,
    pub(in crate::report) caption: String,
}

/// One doubt.
#[derive(Debug)]
pub(in crate::report) struct NoteView {
    pub(in crate::report) text: String,
    pub(in crate::report) hint: Option<&'static str>,
}

impl View {
    /// Everything the page says; `date` as it should be printed.
    #[must_use]
    pub fn new(plan: &Plan<'_>, date: &str) -> Self {
        let layout = &plan.layout;
        let known: f64 = plan.shopping.iter().filter_map(|line| line.price).sum();
        let unknown = plan
            .shopping
            .iter()
            .filter(|line| line.price.is_none())
            .count();
        let tonight = TonightView::new(plan);
        let (in_hand, rest): (Vec<_>, Vec<_>) =
            ready(plan).into_iter().partition(|line| line.enough);
        let (to_check, to_buy) = rest.into_iter().partition(|line| line.check);
        Self {
            title: layout.title.clone(),
            facts_line: facts_line(plan, date),
            facts: facts(plan, date),
            first_place: tonight
                .first()
                .and_then(|step| step.picture)
                .or_else(|| tonight.places.first().map(|place| place.surface))
                .unwrap_or(0),
            tonight,
            accents: accents(plan),
            craft: craft_notes(),
            credits: credits(plan),
            photos: photos(plan),
            pots: PotView::all(plan),
            sheets: SurfaceId::all(plan.surfaces.len())
                .collect::<Vec<_>>()
                .into_par_iter()
                .map(|at| SheetView::new(at, plan))
                .collect(),
            to_buy,
            to_check,
            in_hand,
            fewest: FewestView::of_plan(plan),
            shopping_total: (known > 0.0).then(|| match unknown {
                0 => format!("{known:.2}"),
                n => format!("at least {known:.2}; {n} to check"),
            }),
            notes: plan
                .doubts()
                .into_iter()
                // That a powder takes no part in mixes is no doubt.
                .filter(|note| !matches!(note, PlanNote::NotMixed { .. }))
                .map(|note| NoteView {
                    text: note_text(note),
                    hint: note_hint(note),
                })
                .collect(),
            cautions: all_cautions(plan),
            rule_words: rule_text(plan),
            compared: None,
            lamp: plan.lamp.as_ref().map(|lamp| lamp.name.clone()),
        }
    }

    /// Adds a sheet that holds this plan against another one.
    #[must_use]
    pub fn held_against(mut self, comparison: &Comparison) -> Self {
        self.compared = Some(CompareView::new(comparison));
        self
    }
}

/// Scale, distance of the eye, lamps and date.
fn facts_line(plan: &Plan<'_>, date: &str) -> String {
    let layout = &plan.layout;
    let mut facts = vec![
        layout.scale.to_string(),
        format!("seen from {}", distance_text(layout.view.value() / 1000.0)),
    ];
    facts.extend(layout.lamps.as_ref().map(ToString::to_string));
    facts.push(date.to_owned());
    facts.join(" · ")
}

/// Whose photographs these are, each once.
fn credits(plan: &Plan<'_>) -> Vec<String> {
    let mut credits: Vec<String> = Vec::new();
    for credit in plan.photos.iter().filter_map(|photo| photo.credit.clone()) {
        let credit = credit.trim_start_matches("Photo: ").to_owned();
        if !credits.contains(&credit) {
            credits.push(credit);
        }
    }
    credits
}

/// The title block.
fn facts(plan: &Plan<'_>, date: &str) -> Vec<Fact> {
    let layout = &plan.layout;
    let mut facts = vec![
        Fact {
            label: "Scale",
            value: layout.scale.to_string(),
        },
        Fact {
            label: "Seen from",
            value: distance_text(layout.view.value() / 1000.0),
        },
        Fact {
            label: "Lamps",
            value: or_dash(layout.lamps.as_ref().map(ToString::to_string)),
        },
        Fact {
            label: "Scale colour",
            value: rule_text(plan),
        },
        Fact {
            label: "Paint list",
            value: format!(
                "{}, {} paints",
                file_name(&plan.paints.file),
                plan.paints.paints().len()
            ),
        },
    ];
    if let Some(scatter) = plan.scatter {
        facts.push(Fact {
            label: "Scatter list",
            value: format!(
                "{}, {} kinds",
                file_name(&scatter.file),
                scatter.items().len()
            ),
        });
    }
    facts.push(Fact {
        label: "Issued",
        value: date.to_owned(),
    });
    facts
}

/// The photo strip, in the order in which surfaces first use the photos.
fn photos(plan: &Plan<'_>) -> Vec<PhotoView> {
    let mut all: Vec<(usize, PhotoView)> = plan
        .photos
        .iter()
        .enumerate()
        .map(|(i, photo)| {
            let regions: Vec<usize> = plan
                .surfaces
                .iter()
                .enumerate()
                .filter(|(_, surface)| surface.wanted.parts.iter().any(|part| part.photo == i))
                .map(|(s, _)| s + 1)
                .collect();
            let names: Vec<String> = regions
                .iter()
                .map(|number| plan.surfaces[number - 1].wanted.name.clone())
                .collect();
            let from = photo.from.map_or_else(String::new, |m| {
                format!(", taken from {}", distance_text(m.value()))
            });
            let view = PhotoView {
                key: names.join(", "),
                caption: format!(
                    "{}, {} × {} pixels, {}{from}. Colours ± {:.0}.",
                    photo.key, photo.width, photo.height, photo.profile, photo.light.uncertainty.0
                ),
            };
            (regions.first().copied().unwrap_or(usize::MAX), view)
        })
        .collect();
    all.sort_by_key(|(first, _)| *first);
    all.into_iter().map(|(_, view)| view).collect()
}
