//! A dried test patch compared with the plan: where it is in its photo, how close it came, what to add to the pot.
//!
//! In: a picture, the planned colour, the pot. Out: a [`PatchReport`]. It opens no files and changes no list; it only
//! offers what it learns.

mod entry;
mod find;

pub use entry::Photographed;
pub use find::{FoundPatch, find_patch};

use crate::colour::{BANDS, DeltaE00, LabD65, Srgb8, delta_e00};
use crate::mix::{
    Addition, DriedPot, Learnt, PaintId, PotRead, PotTold, Shelf, Stock, StrengthFrom, falls_short,
    learnt,
};
use crate::paint::{MixtureError, PaintList, Prepared};
use crate::photo::Reading;
use crate::plan::AsBuilt;
use crate::share::{as_typed, rounded};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// What to do about a patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Leave it.
    AsPlanned,
    /// The difference is smaller than the photo can show.
    WithinThePhoto,
    /// Add what the report says.
    Add,
    /// Adding does not bring it near.
    StartAgain,
    /// The named contents of the pot cannot have dried to this.
    NotThisPot,
}

impl Verdict {
    /// The word for files and pages.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsPlanned => "as planned",
            Self::WithinThePhoto => "within what the photo can show",
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
                "The difference is smaller than this photo can show, and no addition is likely to make it smaller: leave the pot as it is, or lay the patch beside the planned colour and trust your eye."
            }
            Self::Add => "Add, stir, let a new patch dry, and photograph it again.",
            Self::StartAgain => {
                "No addition brings this pot near enough: keep it for another use and mix a new one."
            }
            Self::NotThisPot => {
                "The program cannot say what to add, because this patch cannot be of that pot."
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
    pub parts: Vec<(PaintId, f64)>,
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
    /// The chance that it brings the pot nearer to the plan, 0 to 1.
    pub chance: Option<f64>,
    /// How much nearer to the plan it is than the last patch of this tone that was read in the same light; below 0 when it
    /// is further off.
    pub nearer: Option<DeltaE00>,
    /// How near the pot comes to the patch whatever its paints' strengths; reported if that is too far to believe.
    pub doubt: Option<DeltaE00>,
}

/// Below this a patch is as planned: no mix holds closer. Our choice.
const AS_PLANNED: f64 = 1.5;
/// An addition must bring the pot this near, or take off at least that share of the difference. Our choice.
const NEAR: f64 = 3.0;
const WORTH_IT: f64 = 0.4;
/// An addition is advised where it is more likely than not to improve the pot.
const LIKELY: f64 = 0.5;
/// What the listed colours of paints may be off. Our choice, as for the photo of a paint list.
const LISTED: f64 = 4.0;
/// What photo and list may be off together holds in two cases of three; a pot further from its patch than twice that is not
/// its pot. Our choice.
const NOT_BELIEVED: f64 = 2.0;
/// A patch more varied than this is reported as uneven. Our choice.
pub const UNEVEN: f64 = 4.0;

/// A patch that has dried, and the pot it was painted from.
#[derive(Debug, Clone, Copy)]
pub struct DriedPatch<'a> {
    /// The surface it is for.
    pub surface: &'a str,
    /// The tone's name.
    pub tone: &'a str,
    /// What was in the pot.
    pub pot: &'a [(PaintId, f64)],
    /// The colour planned.
    pub planned: LabD65,
    /// What the photo shows.
    pub seen: Reading,
    /// How far the colour seen may be off.
    pub uncertainty: DeltaE00,
    /// What was read of this tone before, in the same light.
    pub before: &'a [PotRead],
}

/// Judges a patch.
///
/// # Errors
/// [`MixtureError`] when the pot is empty or its parts are no numbers.
pub fn judge(shelf: &Shelf, patch: &DriedPatch<'_>) -> Result<PatchReport, MixtureError> {
    let DriedPatch {
        surface,
        tone,
        pot: parts,
        planned,
        seen,
        uncertainty,
        ..
    } = *patch;
    let predicted = shelf.tried(parts)?.colour;
    let difference = delta_e00(planned, seen.colour);
    let nearest = shelf.nearest_by_strength(parts, seen.colour)?;
    let doubt = (nearest.0 > NOT_BELIEVED * uncertainty.0.hypot(LISTED)).then_some(nearest);
    let told = told_with_those_before(shelf, patch)?;
    // With those before, a reading that is further off may still be of a pot as near as photos can show.
    let evened = delta_e00(planned, told.reads).0.min(difference.0);
    let likely = if evened < AS_PLANNED || doubt.is_some() {
        None
    } else {
        likely_addition(&told.shelf, parts, (told.reads, uncertainty), planned)?
    };
    let verdict = if difference.0 < AS_PLANNED {
        Verdict::AsPlanned
    } else if doubt.is_some() {
        Verdict::NotThisPot
    } else if likely.is_some() {
        Verdict::Add
    } else if evened < AS_PLANNED || difference.0 <= uncertainty.0 {
        Verdict::WithinThePhoto
    } else {
        Verdict::StartAgain
    };
    let (addition, chance) = likely.unzip();
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
        chance,
        nearer: None,
        doubt,
    })
}

/// The shares of a pot to a ten-thousandth, in order.
fn shares<P: Ord>(pot: impl Iterator<Item = (P, f64)>) -> Vec<(P, f64)> {
    let mut shares: Vec<(P, f64)> = pot.collect();
    let total: f64 = shares.iter().map(|(_, p)| p).sum();
    for (_, share) in &mut shares {
        *share = (1e4 * *share / total).round();
    }
    shares.sort_by(|a, b| a.0.cmp(&b.0));
    shares
}

/// What this reading tells together with those before.
fn told_with_those_before(shelf: &Shelf, patch: &DriedPatch<'_>) -> Result<PotTold, MixtureError> {
    // The same dab in another photo, or in a cutting of one, is no second reading.
    let is_another = |read: &&PotRead| {
        shares(read.parts.iter().copied()) != shares(patch.pot.iter().copied())
            || delta_e00(read.seen, patch.seen.colour).0 >= ONE_PATCH
    };
    let mut readings: Vec<PotRead> = patch.before.iter().filter(is_another).cloned().collect();
    readings.push(PotRead {
        parts: patch.pot.to_vec(),
        seen: patch.seen.colour,
    });
    shelf.told_by_readings(&readings, patch.uncertainty)
}

/// What to add where that brings the pot near enough and is more likely than not to improve it, with its chance.
fn likely_addition(
    shelf: &Shelf,
    parts: &[(PaintId, f64)],
    seen: (LabD65, DeltaE00),
    planned: LabD65,
) -> Result<Option<(Addition, f64)>, MixtureError> {
    let before = delta_e00(planned, seen.0).0;
    let Some(addition) = shelf.addition(parts, seen.0, planned)? else {
        return Ok(None);
    };
    let near = addition.difference.0 <= NEAR.max((1.0 - WORTH_IT) * before);
    let chance = shelf.chance_to_improve(parts, seen, planned, &addition)?;
    Ok((near && chance > LIKELY).then_some((addition, chance)))
}

/// What the log holds of a tone, read in the same light, of other photos than the one of this content: what a reading is
/// compared with.
#[must_use]
pub fn read_before(
    shelf: &Shelf,
    log: &[AsBuilt],
    (surface, tone): (&str, &str),
    (light, content): (&str, &str),
) -> Vec<PotRead> {
    let comparable = |(at, entry): &(usize, &AsBuilt)| {
        let read_again = log[at + 1..].iter().any(|later| later.is_same_patch(entry));
        !read_again
            && entry.surface == surface
            && entry.tone == tone
            && !entry.doubtful
            && entry.light.as_deref() == Some(light)
            && entry.content.as_deref() != Some(content)
    };
    log.iter()
        .enumerate()
        .filter(comparable)
        .filter_map(|(_, entry)| {
            Some(PotRead {
                parts: on_shelf(shelf, entry)?,
                seen: entry.seen,
            })
        })
        .collect()
}

/// The paints of an entry by their places; `None` when one is no longer listed.
fn on_shelf(shelf: &Shelf, entry: &AsBuilt) -> Option<Vec<(PaintId, f64)>> {
    (entry.paints.iter())
        .map(|paint| {
            let at = shelf.find(|stock| stock.name == paint.name)?;
            Some((at, paint.parts))
        })
        .collect()
}

/// How a photo is known again: the SHA-256 of its bytes, the first half in hexadecimal.
#[must_use]
pub fn fingerprint(photo: &[u8]) -> String {
    use std::fmt::Write;
    let mut text = String::new();
    for byte in &Sha256::digest(photo)[..16] {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// Two readings of one pot nearer than this are one patch: photos of two dabs hardly agree so well. Our choice.
const ONE_PATCH: f64 = 0.5;

impl AsBuilt {
    /// True when both are of one patch: of one photo, though another part of it was read, or of a cutting of it.
    fn is_same_patch(&self, other: &Self) -> bool {
        let one_photo = self.content.is_some() && self.content == other.content;
        let pot = |entry: &Self| {
            let paints = entry.paints.iter();
            shares(paints.map(|paint| (paint.name.clone(), paint.parts)))
        };
        one_photo
            || (self.surface == other.surface
                && self.tone == other.tone
                && delta_e00(self.seen, other.seen).0 < ONE_PATCH
                && pot(self) == pot(other))
    }
}

impl PatchReport {
    /// Tells how much nearer it came than the last patch of its tone in the log that was read in the same light: an
    /// error of the light is the same for both, so the step between them is known far better than their places.
    #[must_use]
    pub fn after(mut self, log: &[AsBuilt], light: &str) -> Self {
        let last = log.iter().rev().find(|entry| {
            entry.surface == self.surface && entry.tone == self.tone && !entry.doubtful
        });
        self.nearer = last
            .filter(|entry| entry.light.as_deref() == Some(light))
            .map(|entry| DeltaE00(delta_e00(self.planned, entry.seen).0 - self.difference.0));
        self
    }

    /// The report as JSON.
    #[must_use]
    pub fn json(&self, shelf: &Shelf) -> Value {
        let colour = |colour: LabD65| {
            let lab = [colour.l, colour.a, colour.b].map(rounded);
            json!({ "lab": lab, "hex": colour.to_srgb8() })
        };
        let name = |at: PaintId| shelf[at].name.clone();
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
                    "chance": self.chance.map(rounded),
                })
            },
        );
        json!({
            "format": "hillwash.patch/1", "surface": self.surface, "tone": self.tone, "pot": parts,
            "planned": colour(self.planned), "predicted": colour(self.predicted), "seen": colour(self.seen.colour),
            "spread_de": rounded(self.seen.spread.0), "de2000": rounded(self.difference.0),
            "uncertainty_de": rounded(self.uncertainty.0), "verdict": self.verdict.words(),
            "nearer_than_last_de": self.nearer.map(|by| rounded(by.0)), "direction": self.direction, "add": add, "doubtful": self.doubt.is_some(),
            "nearest_by_strength_de": self.doubt.map(|nearest| rounded(nearest.0)),
        })
    }
}

/// A change of a list's strengths that patches support.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedChange {
    /// The paint.
    pub paint: String,
    /// Strength in the list; 1 when it states none.
    pub from: f64,
    /// Strength that explains the patches best.
    pub to: f64,
    /// Screen colour that explains them best, if they show colours too.
    pub hex: Option<Srgb8>,
    /// Patches that support it.
    pub patches: usize,
}

/// Patches of one paint from which a change is offered.
const PATCHES_NEEDED: usize = 2;
/// A smaller change, in natural logarithms, is not worth the entry. Our choice.
const WORTH_ENTERING: f64 = 0.08;
/// The same for its colour, CIEDE2000: half of what a screen colour may be off.
const COLOUR_WORTH_ENTERING: f64 = 2.0;

/// What the log of a scene teaches about the paints of its list. Entries that were doubtful, and those whose paints are no
/// longer listed, are passed over, a patch read twice counts as it was read last; paints with a let-down keep the
/// strength it gives.
#[must_use]
pub fn offered_changes(shelf: &Shelf, list: &PaintList, log: &[AsBuilt]) -> Vec<OfferedChange> {
    let patches: Vec<DriedPot> = log
        .iter()
        .enumerate()
        .filter(|(_, entry)| !entry.doubtful)
        .filter(|(at, entry)| !log[at + 1..].iter().any(|later| later.is_same_patch(entry)))
        .filter_map(|(_, entry)| {
            Some(DriedPot {
                parts: on_shelf(shelf, entry)?,
                seen: entry.seen,
                uncertainty: entry.uncertainty_de,
            })
        })
        .collect();
    learnt(shelf, &patches)
        .into_iter()
        .filter(|one: &Learnt| {
            one.patches >= PATCHES_NEEDED && shelf[one.stock].strength != StrengthFrom::LetDown
        })
        .filter_map(|one| offered(&shelf[one.stock], list, &one))
        .collect()
}

/// What is offered of one paint; `None` when it is not worth the entry.
fn offered(stock: &Stock, list: &PaintList, one: &Learnt) -> Option<OfferedChange> {
    let mut paint = list.paints().get(stock.index)?.clone();
    let from = paint.strength.unwrap_or(1.0);
    let hex = one
        .colour
        .filter(|colour| delta_e00(*colour, paint.colour).0 >= COLOUR_WORTH_ENTERING)
        .map(LabD65::to_srgb8);
    // A list takes a lighter paint to scatter more: the strength that is entered counts from there.
    if let Some(hex) = hex {
        paint.colour = hex.into();
    }
    let middle = |prepared: &Prepared| prepared.scattering.values()[BANDS / 2];
    let there = middle(&Prepared::from_paint(&paint));
    let to = from * one.factor * middle(&stock.prepared) / there;
    let to = (to * 100.0).round().clamp(1.0, 10_000.0) / 100.0;
    ((to / from).ln().abs() >= WORTH_ENTERING || hex.is_some()).then(|| OfferedChange {
        paint: stock.name.clone(),
        from,
        to,
        hex,
        patches: one.patches,
    })
}
