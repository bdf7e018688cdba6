//! A plan as words and rounded numbers: what the page prints, made once and under test.

use super::compared::CompareView;
use super::figures::PhotoFigure;
use super::hand::exact_ml;
use super::hill_view::ScatterShoppingView;
use super::pot_view::PotView;
use super::sheet_view::SheetView;
use super::trim::FewestView;
use super::words::{distance_text, file_name, ml, note_hint, note_text, or_dash, rule_text};
use crate::plan::{Caution, Plan, Purpose, ShoppingLine};
use crate::region::Region;
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
    pub(super) facts: Vec<Fact>,
    pub(super) photos: Vec<PhotoView>,
    pub(super) pots: Vec<PotView>,
    pub(super) sheets: Vec<SheetView>,
    pub(super) shopping: Vec<ShoppingView>,
    pub(super) shopping_total: Option<String>,
    pub(super) fewest: Option<FewestView>,
    pub(super) scatter_shopping: Vec<ScatterShoppingView>,
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
    pub(super) credit: Option<String>,
    pub(super) figure: Option<PhotoFigure>,
}

/// One paint to have ready.
#[derive(Debug)]
pub(super) struct ShoppingView {
    pub(super) paint: String,
    pub(super) needed: String,
    pub(super) on_hand: String,
    pub(super) to_buy: String,
    pub(super) price: String,
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
        let scene = plan.scene;
        let known: f64 = plan.shopping.iter().filter_map(|line| line.price).sum();
        let unknown = plan
            .shopping
            .iter()
            .filter(|line| line.price.is_none())
            .count();
        Self {
            title: scene.title.clone(),
            facts: facts(plan, date),
            photos: photos(plan),
            pots: plan
                .pots
                .iter()
                .map(|pot| PotView::new(pot, plan))
                .collect(),
            sheets: plan
                .surfaces
                .iter()
                .enumerate()
                .map(|(i, surface)| SheetView::new(i + 1, surface, plan))
                .collect(),
            shopping: plan
                .shopping
                .iter()
                .map(|line| ShoppingView {
                    paint: match line.purpose {
                        Purpose::Paint => line.paint.clone(),
                        other if line.paint.contains(other.word()) => line.paint.clone(),
                        other => format!("{} ({})", line.paint, other.word()),
                    },
                    needed: or_dash(line.needed.map(|v| ml(v.value()))),
                    on_hand: or_dash(line.on_hand.map(|v| ml(v.value()))),
                    to_buy: to_buy_words(line),
                    price: or_dash(line.price.filter(|p| *p > 0.0).map(|p| format!("{p:.2}"))),
                })
                .collect(),
            scatter_shopping: ScatterShoppingView::all(plan),
            fewest: FewestView::of(plan),
            shopping_total: (known > 0.0).then(|| match unknown {
                0 => format!("{known:.2}"),
                n => format!("at least {known:.2}; {n} to check"),
            }),
            notes: plan
                .notes
                .iter()
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

/// What to buy: "2 pots (48.8 ml short)", "2.3 ml short", "none", "check the shelf".
fn to_buy_words(line: &ShoppingLine) -> String {
    let short = line.short.filter(|short| short.value() > 0.0);
    match (line.to_buy, short) {
        (Some(0), _) => "none".to_owned(),
        (Some(n), Some(short)) => {
            let s = if n == 1 { "" } else { "s" };
            format!("{n} pot{s} ({} short)", exact_ml(short))
        }
        (None, Some(short)) => format!("{} short", exact_ml(short)),
        (Some(n), None) => format!("{n}"),
        (None, None) => "check the shelf".to_owned(),
    }
}

/// The title block.
fn facts(plan: &Plan<'_>, date: &str) -> Vec<Fact> {
    let scene = plan.scene;
    let mut facts = vec![
        Fact {
            label: "Scale",
            value: scene.scale.to_string(),
        },
        Fact {
            label: "Seen from",
            value: distance_text(scene.view.value() / 1000.0),
        },
        Fact {
            label: "Lamps",
            value: or_dash(scene.lamps.as_ref().map(ToString::to_string)),
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

/// The cautions of all surfaces, each once.
fn all_cautions(plan: &Plan<'_>) -> Vec<&'static str> {
    let mut cautions: Vec<Caution> = plan
        .surfaces
        .iter()
        .flat_map(|s| s.cautions.iter().copied())
        .collect();
    cautions.sort_unstable();
    cautions.dedup();
    cautions.into_iter().map(Caution::text).collect()
}

/// The photo strip, in the order in which surfaces first use the photos.
fn photos(plan: &Plan<'_>) -> Vec<PhotoView> {
    let mut all: Vec<(usize, PhotoView)> = plan
        .photos
        .iter()
        .enumerate()
        .map(|(i, photo)| {
            let regions: Vec<(usize, &Region)> = plan
                .surfaces
                .iter()
                .enumerate()
                .flat_map(|(s, surface)| surface.parts.iter().map(move |part| (s + 1, part)))
                .filter(|(_, part)| part.photo == i)
                .map(|(number, part)| (number, &part.region))
                .collect();
            let names: Vec<String> = regions
                .iter()
                .map(|(number, _)| format!("{number} {}", plan.surfaces[number - 1].name))
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
                credit: photo.credit.clone(),
                figure: photo.strip.as_ref().map(|strip| {
                    let label = format!(
                        "Photo {} with the regions of {}",
                        photo.key,
                        names.join(", ")
                    );
                    PhotoFigure::new(label, strip, [0.0, 0.0, 1.0, 1.0], &regions)
                }),
            };
            (
                regions.first().map_or(usize::MAX, |(number, _)| *number),
                view,
            )
        })
        .collect();
    all.sort_by_key(|(first, _)| *first);
    all.into_iter().map(|(_, view)| view).collect()
}
