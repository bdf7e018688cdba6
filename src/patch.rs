//! A dried test patch against the plan: where it is in its photo, how close it came, what to add to the pot.
//!
//! In: a picture, the planned colour, the pot. Out: a [`PatchReport`]. It opens no files and changes no list: what it
//! learns is offered.

use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::mix::{Addition, Learnt, Patch, Shelf, StrengthFrom, falls_short, learnt};
use crate::paint::{MixtureError, PaintList};
use crate::photo::{LightGrid, Picture, Reading};
use crate::plan::AsBuilt;
use crate::region::{Outline, Region};
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
}

/// Below this a patch is as planned: no mix holds closer. Our choice.
const AS_PLANNED: f64 = 1.5;
/// An addition must bring the pot this near, or take off at least that share of the difference. Our choice.
const NEAR: f64 = 3.0;
const WORTH_IT: f64 = 0.4;
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
    let addition = if difference.0 < AS_PLANNED {
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
    })
}

impl PatchReport {
    /// The report as JSON.
    #[must_use]
    pub fn json(&self, shelf: &Shelf) -> Value {
        let colour = |colour: LabD65| {
            let lab = [colour.l, colour.a, colour.b].map(to_thousandths);
            json!({ "lab": lab, "hex": colour.to_srgb8() })
        };
        let name = |at: usize| shelf.stocks()[at].name.clone();
        let parts: Vec<Value> = self
            .parts
            .iter()
            .map(|(at, p)| json!({ "name": name(*at), "parts": p }))
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
                    "gives": colour(addition.colour), "de2000": to_thousandths(addition.difference.0),
                })
            },
        );
        json!({
            "format": "hillwash.patch/1", "surface": self.surface, "tone": self.tone, "pot": parts,
            "planned": colour(self.planned), "predicted": colour(self.predicted), "seen": colour(self.seen.colour),
            "spread_de": to_thousandths(self.seen.spread.0), "de2000": to_thousandths(self.difference.0),
            "uncertainty_de": to_thousandths(self.uncertainty.0), "verdict": self.verdict.words(),
            "direction": self.direction, "add": add,
        })
    }
}

fn to_thousandths(value: f64) -> f64 {
    (value * 1e3).round() / 1e3 + 0.0
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

/// What the log of a scene teaches about the paints of its list. Entries whose paints are no longer listed are passed over;
/// paints with a let-down keep what that says.
#[must_use]
pub fn offered_changes(shelf: &Shelf, list: &PaintList, log: &[AsBuilt]) -> Vec<OfferedChange> {
    let patches: Vec<Patch> = log
        .iter()
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

/// Where a patch lies in its photo.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPatch {
    /// The part to read.
    pub region: Region,
    /// True when another part of the photo is nearly as likely.
    pub doubtful: bool,
}

/// Cells along the longer side of the photo.
const CELLS: usize = 72;
/// Neighbouring cells that differ by less are of one piece; the farthest from its first cell that a piece reaches.
const SMOOTH: f64 = 2.5;
const ONE_PIECE: f64 = 7.0;
/// The least share of the photo that a patch covers.
const LEAST_SHARE: f64 = 0.004;
/// Another piece that is at most so much further from the plan makes it doubtful.
const DOUBT: f64 = 3.0;

/// Finds the even piece of the photo that comes nearest to the colour planned; `None` when nothing in it is even. Cards
/// and charts are set aside with all that is of one piece with them; what reaches from side to side of the photo is taken
/// for the ground, and only where there is nothing else.
#[must_use]
pub fn find_patch(picture: &Picture, near: LabD65, set_aside: &[Region]) -> Option<FoundPatch> {
    let grid = picture.light_grid(CELLS);
    let colours: Vec<LabD65> = grid
        .cells
        .iter()
        .map(|light| LabD65::from(*light))
        .collect();
    let mut taken: Vec<bool> = (0..colours.len())
        .map(|at| on_an_edge(at, &grid, &colours))
        .collect();
    for at in 0..colours.len() {
        if !taken[at] && set_aside.iter().any(|region| holds(region, &grid, at)) {
            piece_from(at, &grid, &colours, &mut taken);
        }
    }
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few thousand cells"
    )]
    let least = ((LEAST_SHARE * colours.len() as f64).ceil() as usize).max(6);
    let mut pieces: Vec<(bool, f64, Vec<usize>)> = Vec::new();
    for first in 0..colours.len() {
        if taken[first] {
            continue;
        }
        let piece = piece_from(first, &grid, &colours, &mut taken);
        if piece.len() >= least {
            let off = delta_e00(middle(&piece, &colours), near).0;
            pieces.push((reaches_across(&piece, &grid), off, piece));
        }
    }
    pieces.sort_by(|a, b| {
        (a.0.cmp(&b.0))
            .then(a.1.total_cmp(&b.1))
            .then(b.2.len().cmp(&a.2.len()))
    });
    let doubtful = matches!(pieces.as_slice(), [a, b, ..] if b.1 - a.1 < DOUBT);
    let (_, _, piece) = pieces.into_iter().next()?;
    Some(FoundPatch {
        region: inner_box(&piece, &grid)?,
        doubtful,
    })
}

/// True for a piece that touches opposite sides of the photo.
fn reaches_across(piece: &[usize], grid: &LightGrid) -> bool {
    let touches = |side: fn(usize, &LightGrid) -> bool| piece.iter().any(|at| side(*at, grid));
    // An edge's own cells belong to no piece where the picture ends in one, so the outermost two count.
    let left = touches(|at, grid| at % grid.width < 2);
    let right = touches(|at, grid| at % grid.width + 2 >= grid.width);
    let top = touches(|at, grid| at / grid.width < 2);
    let bottom = touches(|at, grid| at / grid.width + 2 >= grid.height);
    (left && right) || (top && bottom)
}

/// True for a cell that differs from a neighbour: where a patch ends, cells blend it with what lies beside it.
fn on_an_edge(at: usize, grid: &LightGrid, colours: &[LabD65]) -> bool {
    neighbours(at, grid).any(|other| delta_e00(colours[at], colours[other]).0 >= SMOOTH)
}

/// The cells left, right, above and below.
fn neighbours(at: usize, grid: &LightGrid) -> impl Iterator<Item = usize> + use<> {
    let (column, row) = (at % grid.width, at / grid.width);
    [
        (column > 0).then(|| at - 1),
        (column + 1 < grid.width).then_some(at + 1),
        (row > 0).then(|| at - grid.width),
        (row + 1 < grid.height).then_some(at + grid.width),
    ]
    .into_iter()
    .flatten()
}

/// True when a cell touches the region's bounds.
fn holds(region: &Region, grid: &LightGrid, at: usize) -> bool {
    let [left, top, right, bottom] = region.outline.bounds();
    let [x, y, dx, dy] = cell(grid, at);
    x + dx >= left && x <= right && y + dy >= top && y <= bottom
}

/// Left, top, width and height of a cell, as fractions.
#[expect(clippy::cast_precision_loss, reason = "a few dozen cells a side")]
fn cell(grid: &LightGrid, at: usize) -> [f64; 4] {
    let (dx, dy) = (1.0 / grid.width as f64, 1.0 / grid.height as f64);
    let (column, row) = (at % grid.width, at / grid.width);
    [column as f64 * dx, row as f64 * dy, dx, dy]
}

fn piece_from(
    first: usize,
    grid: &LightGrid,
    colours: &[LabD65],
    taken: &mut [bool],
) -> Vec<usize> {
    let mut piece = vec![first];
    let mut next = 0;
    taken[first] = true;
    while next < piece.len() {
        let at = piece[next];
        next += 1;
        for other in neighbours(at, grid) {
            if !taken[other]
                && delta_e00(colours[at], colours[other]).0 < SMOOTH
                && delta_e00(colours[first], colours[other]).0 < ONE_PIECE
            {
                taken[other] = true;
                piece.push(other);
            }
        }
    }
    piece
}

/// The colour of the cell with the middle lightness.
fn middle(piece: &[usize], colours: &[LabD65]) -> LabD65 {
    let mut sorted: Vec<LabD65> = piece.iter().map(|at| colours[*at]).collect();
    sorted.sort_by(|a, b| a.l.total_cmp(&b.l));
    sorted[sorted.len() / 2]
}

/// A box within a piece, grown about its middle as far as all of it belongs to the piece, a cell's edge left off.
fn inner_box(piece: &[usize], grid: &LightGrid) -> Option<Region> {
    let mut inside = vec![false; grid.cells.len()];
    for at in piece {
        inside[*at] = true;
    }
    let mean = |of: fn(usize, usize) -> usize| {
        piece.iter().map(|at| of(*at, grid.width)).sum::<usize>() / piece.len().max(1)
    };
    let (column, row) = (mean(|at, width| at % width), mean(|at, width| at / width));
    let start = piece
        .iter()
        .copied()
        .min_by_key(|at| (at % grid.width).abs_diff(column) + (at / grid.width).abs_diff(row))?;
    let (mut left, mut top) = (start % grid.width, start / grid.width);
    let (mut right, mut bottom) = (left, top);
    let all_in = |left: usize, top: usize, right: usize, bottom: usize| {
        (top..=bottom).all(|y| (left..=right).all(|x| inside[y * grid.width + x]))
    };
    loop {
        let before = (left, top, right, bottom);
        if left > 0 && all_in(left - 1, top, left - 1, bottom) {
            left -= 1;
        }
        if right + 1 < grid.width && all_in(right + 1, top, right + 1, bottom) {
            right += 1;
        }
        if top > 0 && all_in(left, top - 1, right, top - 1) {
            top -= 1;
        }
        if bottom + 1 < grid.height && all_in(left, bottom + 1, right, bottom + 1) {
            bottom += 1;
        }
        if before == (left, top, right, bottom) {
            break;
        }
    }
    let [l, t, dx, dy] = cell(grid, top * grid.width + left);
    let [r, b, _, _] = cell(grid, bottom * grid.width + right);
    let (off_x, off_y) = (0.35 * dx, 0.35 * dy);
    let (l, t, r, b) = (l + off_x, t + off_y, r + dx - off_x, b + dy - off_y);
    let outline = Outline::new(vec![[l, t], [r, t], [r, b], [l, b]]).ok()?;
    Some(Region {
        outline,
        leave_out: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_patch_is_found_beside_a_card_on_a_bench() {
        // A brown patch and a grey card on a bench whose grain is uneven.
        let (width, height) = (300, 200);
        let mut rgb = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let grain = u8::try_from((x * 7 + y * 13) % 40).unwrap();
                rgb.extend(match (x, y) {
                    (180..260, 60..140) => [122, 84, 62],
                    (40..120, 50..150) => [118, 118, 118],
                    _ => [150 + grain, 120 + grain, 80 + grain],
                });
            }
        }
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let near = LabD65::from(crate::colour::Srgb8([110, 80, 62]));
        let card = Region {
            outline: Outline::new(vec![[0.15, 0.3], [0.38, 0.3], [0.38, 0.7], [0.15, 0.7]])
                .unwrap(),
            leave_out: Vec::new(),
        };
        let found = find_patch(&picture, near, &[card]).unwrap();
        let [left, top, right, bottom] = found.region.outline.bounds();
        assert!(left >= 0.6 && right <= 0.867 && top >= 0.3 && bottom <= 0.7);
        assert!((right - left) * (bottom - top) > 0.05);
        let read = picture.reading(&found.region).unwrap();
        assert!(read.spread.0 < 0.5, "{read:?}");
    }

    #[test]
    fn neither_the_whole_card_about_a_point_nor_the_ground_is_taken_for_the_patch() {
        // A brown patch and a grey card on even white; of the card only a point is known, and the plan was a grey.
        let (width, height) = (300, 200);
        let mut rgb = Vec::new();
        for y in 0..height {
            for x in 0..width {
                rgb.extend(match (x, y) {
                    (180..260, 60..140) => [150, 120, 95],
                    (40..120, 50..150) => [118, 118, 118],
                    _ => [240, 240, 238],
                });
            }
        }
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let near = LabD65::from(crate::colour::Srgb8([136, 137, 132]));
        let point = Region::about([0.27, 0.5]).unwrap();
        let found = find_patch(&picture, near, &[point]).unwrap();
        let [left, top, right, bottom] = found.region.outline.bounds();
        assert!(left >= 0.6 && right <= 0.867 && top >= 0.3 && bottom <= 0.7);
    }
}
