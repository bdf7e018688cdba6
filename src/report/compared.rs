//! Two plans compared with each other, as words and swatches.

use super::figures::Swatches;
use super::words::capitalised;
use crate::colour::LabD65;
use crate::share::{
    Comparison, Relation, ShoppingChange, SurfaceCompared, ToneCompared, surface_words,
};

/// The sheet.
#[derive(Debug)]
pub(super) struct CompareView {
    pub(super) heading: &'static str,
    pub(super) lead: String,
    pub(super) theirs: &'static str,
    pub(super) ours: &'static str,
    pub(super) settings: Vec<[String; 3]>,
    pub(super) pots: Vec<[String; 2]>,
    pub(super) surfaces: Vec<SurfaceCompareView>,
    pub(super) others: Vec<String>,
    pub(super) shopping: Vec<[String; 3]>,
}

/// One surface.
#[derive(Debug)]
pub(super) struct SurfaceCompareView {
    pub(super) name: String,
    pub(super) words: String,
    pub(super) tones: Vec<ToneCompareView>,
}

/// One tone.
#[derive(Debug)]
pub(super) struct ToneCompareView {
    pub(super) name: String,
    pub(super) swatches: Option<Swatches>,
    pub(super) theirs: String,
    pub(super) ours: String,
    pub(super) apart: String,
    pub(super) note: String,
}

impl CompareView {
    pub(super) fn new(comparison: &Comparison) -> Self {
        let builder = comparison.relation == Relation::AnotherBuilder;
        let (theirs, ours) = if builder {
            ("Theirs", "Ours")
        } else {
            ("Then", "Now")
        };
        let others = [
            (
                &comparison.only_theirs,
                if builder { "only theirs" } else { "gone" },
            ),
            (
                &comparison.only_ours,
                if builder { "only ours" } else { "new" },
            ),
        ];
        Self {
            heading: heading(comparison.relation),
            lead: lead(comparison),
            theirs,
            ours,
            settings: comparison
                .settings
                .iter()
                .map(|change| {
                    [
                        capitalised(&change.what),
                        change.theirs.clone(),
                        change.ours.clone(),
                    ]
                })
                .collect(),
            // A bottle is kept in any case.
            pots: comparison
                .pots
                .iter()
                .filter(|pot| !pot.straight)
                .map(|pot| [pot.name.clone(), pot.words()])
                .collect(),
            surfaces: comparison
                .surfaces
                .iter()
                .map(|surface| SurfaceCompareView::new(surface, comparison.relation))
                .filter(|surface| builder || !surface.tones.is_empty())
                .collect(),
            others: others
                .into_iter()
                .flat_map(|(names, what)| names.iter().map(move |name| format!("{name} ({what})")))
                .collect(),
            shopping: comparison.shopping.iter().map(shopping_row).collect(),
        }
    }
}

/// What is compared with what.
fn lead(comparison: &Comparison) -> String {
    let with = &comparison.with;
    let issued = if with.date.is_empty() {
        String::new()
    } else {
        format!(", issued {}", with.date)
    };
    match comparison.relation {
        Relation::AnotherBuilder => format!(
            "Solved again from \"{}\"{issued}, without its photographs. The planned colours are unchanged; only the paints differ. Beside each tone stand the predicted difference between the two builders' pots, and how far two real pots may be from that, in two cases of three.",
            with.title
        ),
        Relation::Earlier => format!("Compared with \"{}\"{issued}.", with.title),
    }
}

/// What either has to buy of a paint.
fn shopping_row(change: &ShoppingChange) -> [String; 3] {
    let ml =
        |volume: Option<f64>| volume.map_or_else(|| "–".to_owned(), |ml| format!("{ml:.1} ml"));
    [
        change.paint.clone(),
        ml(change.theirs_ml),
        ml(change.ours_ml),
    ]
}

/// What the sheet is headed with.
fn heading(relation: Relation) -> &'static str {
    match relation {
        Relation::AnotherBuilder => "The two builders' mixes",
        Relation::Earlier => "What changed",
    }
}

impl SurfaceCompareView {
    fn new(surface: &SurfaceCompared, relation: Relation) -> Self {
        let builder = relation == Relation::AnotherBuilder;
        Self {
            name: surface.name.clone(),
            words: surface_words(surface)
                .filter(|_| builder)
                .unwrap_or_default(),
            tones: surface
                .tones
                .iter()
                .filter(|tone| builder || changed(tone))
                .map(ToneCompareView::new)
                .collect(),
        }
    }
}

/// Whether a tone of an earlier plan is worth telling: another colour, or another mix.
fn changed(tone: &ToneCompared) -> bool {
    let mixes = [&tone.mix_theirs, &tone.mix_ours].map(|m| m.as_ref().map(|m| &m.paints));
    tone.planned_de.is_none_or(|moved| moved >= 0.05) || mixes[0] != mixes[1]
}

impl ToneCompareView {
    fn new(tone: &ToneCompared) -> Self {
        let mixes: Vec<LabD65> = [&tone.mix_theirs, &tone.mix_ours]
            .into_iter()
            .flatten()
            .map(crate::share::MixEntry::colour)
            .collect();
        let words = |mix: &Option<crate::share::MixEntry>| {
            mix.as_ref()
                .map_or_else(|| "–".to_owned(), crate::share::MixEntry::words)
        };
        let name = capitalised(&tone.name);
        let hexes: Vec<String> = mixes.iter().map(|c| c.to_srgb8().to_string()).collect();
        let mut notes = Vec::new();
        match (&tone.planned_theirs, &tone.planned_ours) {
            (Some(_), None) => notes.push("a tone of the other plan only".to_owned()),
            (None, Some(_)) => notes.push("a tone of this plan only".to_owned()),
            _ => {}
        }
        if let Some(moved) = tone.planned_de.filter(|moved| *moved >= 0.05) {
            notes.push(format!("planned colour moved by ΔE00 {moved:.1}"));
        }
        if let (Some(nearer), Some(distance)) = (&tone.nearer, tone.nearer_de) {
            notes.push(format!(
                "nearer to theirs: {} (ΔE00 {distance:.1})",
                nearer.words()
            ));
        }
        Self {
            swatches: (!mixes.is_empty()).then(|| {
                let weighted: Vec<(LabD65, f64)> = mixes.iter().map(|c| (*c, 1.0)).collect();
                let label = format!("{name}: predicted mixes {}", hexes.join(" and "));
                Swatches::row(label, 120, 44, &weighted)
            }),
            theirs: words(&tone.mix_theirs),
            ours: words(&tone.mix_ours),
            apart: tone.mixes_de.zip(tone.uncertainty_de).map_or_else(
                || "–".to_owned(),
                |(apart, off)| format!("{apart:.1} ± {off:.0}"),
            ),
            note: notes.join("; "),
            name,
        }
    }
}
