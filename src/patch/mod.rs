//! A dried test patch against the plan: where it is in its photo, how close it came, what to add to the pot.
//!
//! In: a picture, the planned colour, the pot. Out: a [`PatchReport`]. It opens no files and changes no list: what it
//! learns is offered.

mod find;

pub use find::{FoundPatch, find_patch};

use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::mix::{Addition, Learnt, Patch, Shelf, StrengthFrom, falls_short, learnt};
use crate::paint::{MixtureError, PaintList};
use crate::photo::Reading;
use crate::plan::AsBuilt;
use crate::share::{as_typed, rounded};
use serde_json::{Value, json};

/// What is to be done about a patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Leave it.
    AsPlanned,
    /// The difference is smaller than what the photo can tell.
    WithinThePhoto,
    /// Add what is told.
    Add,
    /// Adding does not bring it near.
    StartAgain,
    /// What was said to be in the pot cannot have dried to this.
    NotThisPot,
}

impl Verdict {
    /// The word for files and pages.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsPlanned => "as planned",
            Self::WithinThePhoto => "within what the photo can tell",
            Self::Add => "add",
            Self::StartAgain => "start again",
            Self::NotThisPot => "not this pot",
        }
    }

    /// What to do, as a sentence.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            Self::AsPlanned => "It dried as planned: leave the pot as it is.",
            Self::WithinThePhoto => {
                "The difference is smaller than what this photo can tell: lay the patch beside the planned colour and trust your eye before you add anything."
            }
            Self::Add => "Add, stir, let a new patch dry, and photograph it again.",
            Self::StartAgain => {
                "Adding to this pot does not bring it near enough: keep it for another use and mix anew."
            }
            Self::NotThisPot => {
                "What to add is not told: it would be reckoned from a pot that this patch cannot be of."
            }
        }
    }
}

/// A patch against its plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PatchReport {
    /// The surface.
    pub surface: String,
    /// The tone's name.
    pub tone: String,
    /// What was in the pot: places in [`Shelf::stocks`] and parts.
    pub parts: Vec<(usize, f64)>,
    /// The colour planned.
    pub planned: LabD65,
    /// The colour the mix was predicted to have.
    pub predicted: LabD65,
    /// What the photo shows.
    pub seen: Reading,
    /// Its difference from the plan.
    pub difference: DeltaE00,
    /// How far the colour seen may be off.
    pub uncertainty: DeltaE00,
    /// What to do.
    pub verdict: Verdict,
    /// How it differs: "darker and greyer"; `None` when it hardly does.
    pub direction: Option<String>,
    /// What to add; `None` when nothing helps or nothing is needed.
    pub addition: Option<Addition>,
    /// How near the pot comes to the patch whatever its paints' strengths; told when that is too far to believe.
    pub doubt: Option<DeltaE00>,
}

/// Below this a patch is as planned: no mix holds closer. Our choice.
const AS_PLANNED: f64 = 1.5;
/// An addition must bring the pot this near, or take off at least that share of the difference. Our choice.
const NEAR: f64 = 3.0;
const WORTH_IT: f64 = 0.4;
/// What the listed colours of paints may be off. Our choice, as for the photo of a paint list.
const LISTED: f64 = 4.0;
/// What photo and list may be off together holds in two cases of three; a pot further from its patch than twice that is not
/// its pot. Our choice.
const NOT_BELIEVED: f64 = 2.0;
/// A patch more varied than this is told as uneven. Our choice.
pub const UNEVEN: f64 = 4.0;

/// Judges a patch.
///
/// # Errors
/// [`MixtureError`] when the pot is empty or its parts are no numbers.
pub fn judge(
    shelf: &Shelf,
    surface: &str,
    tone: &str,
    parts: &[(usize, f64)],
    planned: LabD65,
    seen: Reading,
    uncertainty: DeltaE00,
) -> Result<PatchReport, MixtureError> {
    let predicted = shelf.tried(parts)?.colour;
    let difference = delta_e00(planned, seen.colour);
    let nearest = shelf.nearest_by_strength(parts, seen.colour)?;
    let doubt = (nearest.0 > NOT_BELIEVED * uncertainty.0.hypot(LISTED)).then_some(nearest);
    let addition = if difference.0 < AS_PLANNED || doubt.is_some() {
        None
    } else {
        shelf
            .addition(parts, seen.colour, planned)?
            .filter(|addition| {
                addition.difference.0 <= NEAR
                    || addition.difference.0 <= (1.0 - WORTH_IT) * difference.0
            })
    };
    let verdict = if difference.0 < AS_PLANNED {
        Verdict::AsPlanned
    } else if difference.0 <= uncertainty.0 {
        Verdict::WithinThePhoto
    } else if doubt.is_some() {
        Verdict::NotThisPot
    } else if addition.is_some() {
        Verdict::Add
    } else {
        Verdict::StartAgain
    };
    Ok(PatchReport {
        surface: surface.to_owned(),
        tone: tone.to_owned(),
        parts: parts.to_vec(),
        planned,
        predicted,
        seen,
        difference,
        uncertainty,
        verdict,
        direction: falls_short(planned, seen.colour),
        addition,
        doubt,
    })
}

impl PatchReport {
    /// The report as JSON.
    #[must_use]
    pub fn json(&self, shelf: &Shelf) -> Value {
        let colour = |colour: LabD65| {
            let lab = [colour.l, colour.a, colour.b].map(rounded);
            json!({ "lab": lab, "hex": colour.to_srgb8() })
        };
        let name = |at: usize| shelf.stocks()[at].name.clone();
        let parts: Vec<Value> = self
            .parts
            .iter()
            .map(|(at, p)| json!({ "name": name(*at), "parts": as_typed(*p) }))
            .collect();
        let add = self.addition.as_ref().map_or_else(
            || json!({ "per_parts": 0, "paints": [] }),
            |addition| {
                let paints: Vec<Value> = addition
                    .paints
                    .iter()
                    .map(|(at, p)| json!({ "name": name(*at), "parts": p }))
                    .collect();
                json!({
                    "per_parts": addition.per_parts, "paints": paints,
                    "gives": colour(addition.colour), "de2000": rounded(addition.difference.0),
                })
            },
        );
        json!({
            "format": "hillwash.patch/1", "surface": self.surface, "tone": self.tone, "pot": parts,
            "planned": colour(self.planned), "predicted": colour(self.predicted), "seen": colour(self.seen.colour),
            "spread_de": rounded(self.seen.spread.0), "de2000": rounded(self.difference.0),
            "uncertainty_de": rounded(self.uncertainty.0), "verdict": self.verdict.words(),
            "direction": self.direction, "add": add, "doubtful": self.doubt.is_some(),
            "nearest_by_strength_de": self.doubt.map(|nearest| rounded(nearest.0)),
        })
    }
}

/// A change of a list's strengths that patches speak for.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedChange {
    /// The paint.
    pub paint: String,
    /// Strength in the list; 1 when it states none.
    pub from: f64,
    /// Strength that explains the patches best.
    pub to: f64,
    /// Patches that speak for it.
    pub patches: usize,
}

/// Patches of one paint from which a change is offered.
const PATCHES_NEEDED: usize = 2;
/// A smaller change, in natural logarithms, is not worth the entry. Our choice.
const WORTH_ENTERING: f64 = 0.08;

/// What the log of a scene teaches about the paints of its list. Entries that were doubtful, and those whose paints are no
/// longer listed, are passed over; paints with a let-down keep what that says.
#[must_use]
pub fn offered_changes(shelf: &Shelf, list: &PaintList, log: &[AsBuilt]) -> Vec<OfferedChange> {
    let patches: Vec<Patch> = log
        .iter()
        .filter(|entry| !entry.doubtful)
        .filter_map(|entry| {
            let parts: Option<Vec<(usize, f64)>> = entry
                .paints
                .iter()
                .map(|paint| {
                    let stocks = shelf.stocks();
                    let at = stocks.iter().position(|stock| stock.name == paint.name)?;
                    Some((at, paint.parts))
                })
                .collect();
            Some(Patch {
                parts: parts?,
                seen: entry.seen,
                uncertainty: entry.uncertainty_de,
            })
        })
        .collect();
    learnt(shelf, &patches)
        .into_iter()
        .filter(|one: &Learnt| {
            one.patches >= PATCHES_NEEDED
                && one.factor.ln().abs() >= WORTH_ENTERING
                && shelf.stocks()[one.stock].strength != StrengthFrom::LetDown
        })
        .map(|one| {
            let stock = &shelf.stocks()[one.stock];
            let from = list.paints()[stock.index].strength.unwrap_or(1.0);
            OfferedChange {
                paint: stock.name.clone(),
                from,
                to: (from * one.factor * 100.0).round().max(1.0) / 100.0,
                patches: one.patches,
            }
        })
        .collect()
}
