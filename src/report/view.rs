//! A plan as words and rounded numbers: what the page prints, made once and under test.

use super::compared::CompareView;
use super::cover::accents;
use super::craft::{CraftView, all_cautions, craft_notes};
use super::pot_view::PotView;
use super::sheet_view::SheetView;
use super::shopping_view::{ShoppingView, ready};
use super::tonight_view::TonightView;
use super::trim::FewestView;
use super::words::{distance_text, file_name, note_hint, note_text, or_dash, rule_text};
use crate::plan::{Plan, PlanNote, SurfaceId};
use crate::share::Comparison;

/// A line of the title block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fact {
    /// What it tells.
    pub(super) label: &'static str,
    /// What it is.
    pub(super) value: String,
}

/// The whole page.
#[derive(Debug)]
pub struct View {
    pub(super) title: String,
    /// Scale, distance of the eye, lamps, date on one line.
    pub(super) facts_line: String,
    pub(super) facts: Vec<Fact>,
    pub(super) tonight: TonightView,
    /// The page's accent on light and on dark ground.
    pub(super) accents: [String; 2],
    /// The surface whose place is shown first.
    pub(super) first_place: usize,
    pub(super) craft: Vec<CraftView>,
    pub(super) credits: Vec<String>,
    pub(super) photos: Vec<PhotoView>,
    pub(super) pots: Vec<PotView>,
    pub(super) sheets: Vec<SheetView>,
    /// What is short.
    pub(super) to_buy: Vec<ShoppingView>,
    /// What may be: the lists do not say.
    pub(super) to_check: Vec<ShoppingView>,
    /// What is there.
    pub(super) in_hand: Vec<ShoppingView>,
    pub(super) shopping_total: Option<String>,
    pub(super) fewest: Option<FewestView>,
    pub(super) notes: Vec<NoteView>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) rule_words: String,
    pub(super) compared: Option<CompareView>,
    pub(super) lamp: Option<String>,
}

/// One photo of the strip.
#[derive(Debug)]
pub(super) struct PhotoView {
    pub(super) key: String,
    pub(super) caption: String,
}

/// One doubt.
#[derive(Debug)]
pub(super) struct NoteView {
    pub(super) text: String,
    pub(super) hint: Option<&'static str>,
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
                .map(|at| SheetView::new(at, plan))
                .collect(),
            to_buy,
            to_check,
            in_hand,
            fewest: FewestView::of(plan),
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

    /// The same with a sheet that holds this plan against another one.
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
