//! Which tones a surface has if nobody says how many.
//!
//! Heaps of colour that stand apart come first: each is a tone, however small its neighbours. A small heap far from
//! all others stays as an accent; heaps too close for two pots are one. If colours are alike enough within these,
//! that is the answer, except for a heap that is clearly two. Otherwise the surface is a cloud without gaps, and
//! `cloud.rs` groups it.

use super::cluster::WeightedColour;
use super::heaps::{Flooded, Heaps, heaps_of};
use super::lab_of;
use super::mixture::fitted;
use super::{cloud, cover};
use crate::colour::{DeltaE00, LabD65, LinearSrgb, OklabPoint, delta_e00};
use serde::Serialize;
use std::cell::OnceCell;

/// Most tones chosen unasked: a painter's patience. Our choice.
pub const MOST_CHOSEN: usize = 8;
/// Heaps closer than this are one tone to a painter. Our choice.
const DISTINCT: f64 = 7.0;
/// A tone of less than this share is not worth a pot, unless it is an accent. Our choice.
const SMALLEST_SHARE: f64 = 0.035;
/// An accent covers at least this share. Our choice.
const SMALLEST_ACCENT: f64 = 0.003;
/// From this share on it is a tone like others. Our choice.
const LARGEST_ACCENT: f64 = 0.08;
/// An accent is this far from every other tone. Our choice.
const ACCENT_APART: f64 = 10.0;
/// An accent is so far from the colours that two tones give where they blur into each other. Our choice.
const BLURRED: f64 = 4.0;
/// Most accents. Our choice.
const MOST_ACCENTS: usize = 3;
/// A heap whose colours differ from their mean by less than this is not looked at twice. Our choice.
const LOOSE: f64 = 3.0;
/// A heap is two when its halves vary this many times less than the whole: halves of one bell vary 1.65 times less. Our
/// choice.
const TWO_IN_ONE: f64 = 1.7;
/// A tone is of one colour when this part of it is near its colour: the colours drawn in scenes and walls are, those of
/// leaves, rubble and shadows are not. Our choice.
const CLOSE: f64 = 0.6;
/// The core of a heap is where density is at least this part of its peak. Our choice.
const CORE: f64 = 0.3;

/// One step in choosing the number of tones.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChoiceStep {
    /// Tones after it.
    pub tones: usize,
    /// Mean CIEDE2000 of all pixels from their tones after it.
    pub mean_spread_de: DeltaE00,
    /// What was done, or why it ended here.
    pub what: StepTaken,
}

/// What was done in a step of choosing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepTaken {
    /// Heaps of colour that stand apart.
    Heaps,
    /// Heaps too close for two pots are one; scatter goes to its neighbours.
    Joined,
    /// The heaps do not explain the colours: all but small heaps far from others grouped again.
    Grouped,
    /// One tone more for what lay farther from every tone than a painter's tolerance.
    Uncovered,
    /// Grouped again, by one tone more.
    OneMore,
    /// Colours within the tones are alike enough.
    AlikeEnough,
    /// As many as a painter wants.
    Enough,
}

/// How colours are sorted into tones: by the cells they lie in, else to the nearest.
#[derive(Debug)]
pub(super) struct Sorting {
    heaps: Heaps,
    /// For each cell its tone.
    of_cell: Vec<usize>,
    /// For each tone its colour in the grouping space.
    pub(super) centres: Vec<[f64; 3]>,
    /// For each tone whether it is an accent.
    pub(super) accent: Vec<bool>,
    /// How it came about.
    pub(super) steps: Vec<ChoiceStep>,
    /// True when they were found from near.
    pub(super) from_near: bool,
}

impl Sorting {
    /// Each colour to the nearest of some centres.
    pub(super) fn nearest(centres: Vec<[f64; 3]>) -> Self {
        Self {
            heaps: Heaps::none(),
            of_cell: Vec::new(),
            accent: vec![false; centres.len()],
            centres,
            steps: Vec::new(),
            from_near: false,
        }
    }

    /// The tone of a place: that of its cell, else the nearest.
    pub(super) fn tone(&self, at: [f64; 3]) -> usize {
        self.heaps.cell(at).map_or_else(
            || super::cluster::nearest_of(at, &self.centres),
            |cell| self.of_cell[cell],
        )
    }
}

/// A tone in the making.
#[derive(Clone)]
pub(super) struct ToneInMaking {
    pub(super) cells: Vec<usize>,
    pub(super) share: f64,
    pub(super) centre: [f64; 3],
    pub(super) colour: LabD65,
    pub(super) accent: bool,
    /// True when its colours are so spread that those far from it are its own all the same.
    pub(super) loose: bool,
    /// Its spread, once needed.
    spread: OnceCell<f64>,
}

impl ToneInMaking {
    pub(super) fn new(heaps: &Heaps, cells: Vec<usize>) -> Self {
        let (centre, share) = mean(heaps, cells.iter().copied());
        Self {
            cells,
            share,
            centre,
            colour: lab_of(centre),
            accent: false,
            loose: false,
            spread: OnceCell::new(),
        }
    }

    /// Gives it a colour that is not the mean of its cells.
    pub(super) fn recolour(&mut self, centre: [f64; 3]) {
        self.centre = centre;
        self.colour = lab_of(centre);
        self.spread.take();
    }

    /// Some cells as an accent of their mean colour.
    pub(super) fn accent(heaps: &Heaps, cells: Vec<usize>) -> Self {
        Self {
            accent: true,
            ..Self::new(heaps, cells)
        }
    }

    /// True when every one of some groups is at least so far from it.
    pub(super) fn is_apart_from<'a>(
        &self,
        mut others: impl Iterator<Item = &'a Self>,
        least: f64,
    ) -> bool {
        others.all(|other| delta_e00(other.colour, self.colour).0 >= least)
    }

    /// The same cells as an accent: its colour is the mean of its core, clear of blurred edges.
    fn into_accent(mut self, heaps: &Heaps, found: &Flooded) -> Self {
        let core = self.cells.iter().copied();
        let core = core.filter(|i| found.height[*i] >= CORE);
        self.recolour(mean(heaps, core).0);
        self.accent = true;
        self
    }

    /// Mean difference of its cells from its colour.
    fn spread(&self, heaps: &Heaps) -> f64 {
        *self.spread.get_or_init(|| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for i in &self.cells {
                let cell = &heaps.cells[*i];
                if cell.weight >= heaps.least {
                    sum += cell.weight * delta_e00(heaps.lab[*i], self.colour).0;
                    weight += cell.weight;
                }
            }
            if weight > 0.0 { sum / weight } else { 0.0 }
        })
    }
}

fn mean(heaps: &Heaps, cells: impl Iterator<Item = usize>) -> ([f64; 3], f64) {
    let mut sum = [0.0; 3];
    let mut weight = 0.0;
    for cell in cells.map(|i| &heaps.cells[i]) {
        weight += cell.weight;
        for (total, v) in sum.iter_mut().zip(cell.mean) {
            *total += cell.weight * v;
        }
    }
    (sum.map(|v| v / weight), weight)
}

/// Chooses the tones of weighted colours: as they are from near, where mixed places do not count, and as they are
/// from afar. Weights sum to 1.
pub(super) fn choose(near: Option<&[WeightedColour]>, afar: &[WeightedColour]) -> Sorting {
    let far = heaps_of(afar);
    let mut steps = Vec::new();
    let mut groups = stood_apart(&far, &mut steps);
    if cloud::alike_enough(&far, &groups) {
        if part_doubles(&far, &mut groups) {
            settle_borders(&far, &mut groups);
        }
        let Some(near) = near else {
            steps.push(step(&far, &groups, StepTaken::AlikeEnough));
            return sorting(far, &groups, steps);
        };
        let heaps = heaps_of(near);
        let mut groups = from_near(&heaps, &groups);
        cover::covered(&heaps, &mut groups, &mut steps);
        steps.push(step(&heaps, &groups, StepTaken::AlikeEnough));
        Sorting {
            from_near: true,
            ..sorting(heaps, &groups, steps)
        }
    } else {
        let groups = cloud::grouped(&far, &mut steps);
        sorting(far, &groups, steps)
    }
}

/// The tones seen from afar as they are from near: their own colours. What has none there was a blend.
fn from_near(heaps: &Heaps, seen: &[ToneInMaking]) -> Vec<ToneInMaking> {
    let centres: Vec<[f64; 3]> = seen.iter().map(|group| group.centre).collect();
    let mut cells: Vec<Vec<usize>> = vec![Vec::new(); seen.len()];
    for (i, cell) in heaps.cells.iter().enumerate() {
        cells[super::cluster::nearest_of(cell.mean, &centres)].push(i);
    }
    let mut groups: Vec<ToneInMaking> = Vec::new();
    let mut loose = Vec::new();
    for (cells, seen) in cells.into_iter().zip(seen) {
        let Some(middle) = cover::middle_of(heaps, &cells, seen.colour) else {
            continue;
        };
        let core: Vec<usize> = (cells.iter().copied())
            .filter(|i| delta_e00(heaps.lab[*i], middle).0 <= cover::REACH)
            .collect();
        let own = ToneInMaking::new(heaps, core.clone());
        if core.is_empty() || own.share < SMALLEST_ACCENT {
            continue;
        }
        let mut group = ToneInMaking::new(heaps, cells);
        let is_loose = own.share < CLOSE * group.share;
        loose.push(is_loose.then_some(seen.centre));
        if seen.accent {
            group.recolour(own.centre);
            group.accent = true;
        }
        groups.push(group);
    }
    settle_borders(heaps, &mut groups);
    for (group, loose) in groups.iter_mut().zip(loose) {
        if let Some(centre) = loose {
            group.recolour(centre);
            group.loose = true;
        }
    }
    groups
}

/// Heaps that stand apart as tones and accents, with the likeliest borders between them.
fn stood_apart(heaps: &Heaps, steps: &mut Vec<ChoiceStep>) -> Vec<ToneInMaking> {
    let mut groups = by_heap(heaps, &heaps.apart);
    steps.push(step(heaps, &groups, StepTaken::Heaps));
    let before = groups.len();
    groups = pots_and_accents(heaps, groups);
    if groups.len() < before {
        steps.push(step(heaps, &groups, StepTaken::Joined));
    }
    settle_borders(heaps, &mut groups);
    grown_accents(heaps, &mut groups);
    groups
}

/// The sorting that some groups of cells make.
fn sorting(heaps: Heaps, groups: &[ToneInMaking], steps: Vec<ChoiceStep>) -> Sorting {
    let mut of_cell = vec![0; heaps.cells.len()];
    for (tone, group) in groups.iter().enumerate() {
        for cell in &group.cells {
            of_cell[*cell] = tone;
        }
    }
    Sorting {
        of_cell,
        centres: groups.iter().map(|group| group.centre).collect(),
        accent: groups.iter().map(|group| group.accent).collect(),
        steps,
        from_near: false,
        heaps,
    }
}

pub(super) fn step(heaps: &Heaps, groups: &[ToneInMaking], what: StepTaken) -> ChoiceStep {
    ChoiceStep {
        tones: groups.len(),
        mean_spread_de: DeltaE00(spread(heaps, groups.iter())),
        what,
    }
}

/// Mean difference of the colours of some groups from that of their group; 0 of none.
pub(super) fn spread<'a>(heaps: &Heaps, groups: impl Iterator<Item = &'a ToneInMaking>) -> f64 {
    let (sum, share) = groups.fold((0.0, 0.0), |(sum, share), group| {
        (sum + group.share * group.spread(heaps), share + group.share)
    });
    if share > 0.0 { sum / share } else { 0.0 }
}

/// The heaps, largest first.
fn by_heap(heaps: &Heaps, found: &Flooded) -> Vec<ToneInMaking> {
    let mut cells: Vec<Vec<usize>> = vec![Vec::new(); found.count];
    for (cell, heap) in found.heap_of.iter().enumerate() {
        cells[*heap].push(cell);
    }
    let mut groups: Vec<ToneInMaking> = cells
        .into_iter()
        .filter(|cells| !cells.is_empty())
        .map(|cells| ToneInMaking::new(heaps, cells))
        .collect();
    groups.sort_by(|a, b| b.share.total_cmp(&a.share));
    groups
}

/// Heaps close to each other joined, small ones kept as accents or given to their neighbours.
fn pots_and_accents(heaps: &Heaps, groups: Vec<ToneInMaking>) -> Vec<ToneInMaking> {
    let (mut mains, small): (Vec<ToneInMaking>, Vec<ToneInMaking>) = groups
        .into_iter()
        .partition(|group| group.share >= SMALLEST_SHARE);
    let mut small = small.into_iter();
    if mains.is_empty() {
        mains.extend(small.next());
    }
    while let Some((one, other, _)) =
        closest(&mains).filter(|(_, _, off)| *off < DISTINCT || mains.len() > MOST_CHOSEN)
    {
        let taken = mains.swap_remove(other);
        let mut cells = std::mem::take(&mut mains[one].cells);
        cells.extend(taken.cells);
        mains[one] = ToneInMaking::new(heaps, cells);
    }
    with_accents(heaps, &heaps.apart, mains, Vec::new(), small.collect())
}

/// True when one more accent is wanted, and this one is far from all tones and no blur of two of them.
fn has_room(one: &ToneInMaking, mains: &[ToneInMaking], accents: &[ToneInMaking]) -> bool {
    accents.len() < MOST_ACCENTS
        && mains.len() + accents.len() < MOST_CHOSEN
        && one.is_apart_from(mains.iter().chain(accents), ACCENT_APART)
        && !is_blur(one.centre, mains)
}

/// Gives cells to the groups whose centres are nearest. Accents keep their colour.
fn give_to_nearest(heaps: &Heaps, all: &mut [ToneInMaking], scattered: &[usize]) {
    let centres: Vec<[f64; 3]> = all.iter().map(|group| group.centre).collect();
    let mut more: Vec<Vec<usize>> = vec![Vec::new(); all.len()];
    for cell in scattered {
        more[super::cluster::nearest_of(heaps.cells[*cell].mean, &centres)].push(*cell);
    }
    for (group, more) in all
        .iter_mut()
        .zip(more)
        .filter(|(_, more)| !more.is_empty())
    {
        let (centre, accent) = (group.centre, group.accent);
        let mut cells = std::mem::take(&mut group.cells);
        cells.extend(more);
        *group = ToneInMaking::new(heaps, cells);
        if accent {
            group.recolour(centre);
            group.accent = true;
        }
    }
}

/// Small heaps that stand far above what lies around them, largest first: what may be accents in a cloud.
pub(super) fn small_heaps(heaps: &Heaps, found: &Flooded) -> Vec<ToneInMaking> {
    let mut small = by_heap(heaps, found);
    small.retain(|group| (SMALLEST_ACCENT..LARGEST_ACCENT).contains(&group.share));
    small
}

/// Tones with their accents, and those small heaps beside them that are accents too; the cells of the others go to the
/// nearest.
pub(super) fn with_accents(
    heaps: &Heaps,
    found: &Flooded,
    mains: Vec<ToneInMaking>,
    mut accents: Vec<ToneInMaking>,
    small: Vec<ToneInMaking>,
) -> Vec<ToneInMaking> {
    let mut scattered: Vec<usize> = Vec::new();
    for group in small {
        if group.share >= SMALLEST_ACCENT && has_room(&group, &mains, &accents) {
            accents.push(group.into_accent(heaps, found));
        } else {
            scattered.extend(group.cells);
        }
    }
    let mut all = mains;
    all.extend(accents);
    give_to_nearest(heaps, &mut all, &scattered);
    all
}

/// True for a colour that two large tones give where they blur into each other: mixed light lies between them.
pub(super) fn is_blur(centre: [f64; 3], mains: &[ToneInMaking]) -> bool {
    let linear = |at: [f64; 3]| {
        let light = LinearSrgb::from(OklabPoint::from_grouping(at));
        [light.r, light.g, light.b]
    };
    let (at, seen) = (linear(centre), lab_of(centre));
    mains.iter().enumerate().any(|(i, one)| {
        mains[..i].iter().any(|other| {
            let (from, to) = (linear(one.centre), linear(other.centre));
            let along: [f64; 3] = std::array::from_fn(|c| to[c] - from[c]);
            let length: f64 = along.iter().map(|v| v * v).sum();
            let part: f64 = (0..3).map(|c| along[c] * (at[c] - from[c])).sum::<f64>() / length;
            let [r, g, b] = std::array::from_fn(|c| from[c] + part.clamp(0.0, 1.0) * along[c]);
            delta_e00(LabD65::from(LinearSrgb { r, g, b }), seen).0 < BLURRED
        })
    })
}

/// Moves the borders between groups to where a cell is as likely of the one as of the other. Accents keep their colour.
fn settle_borders(heaps: &Heaps, groups: &mut [ToneInMaking]) {
    let mut of_cell = vec![0; heaps.cells.len()];
    for (tone, group) in groups.iter().enumerate() {
        for cell in &group.cells {
            of_cell[*cell] = tone;
        }
    }
    let Some((bells, likeliest)) = fitted(&heaps.cells, &of_cell, groups.len()) else {
        return;
    };
    for (tone, (group, bell)) in groups.iter_mut().zip(bells).enumerate() {
        let cells: Vec<usize> = (0..likeliest.len())
            .filter(|i| likeliest[*i] == tone)
            .collect();
        if cells.is_empty() {
            return;
        }
        let fresh = ToneInMaking::new(heaps, cells);
        group.cells = fresh.cells;
        group.share = fresh.share;
        group.recolour(if group.accent {
            group.centre
        } else {
            bell.mean
        });
    }
}

/// An accent that has grown large by its fitted borders is a tone like others.
fn grown_accents(heaps: &Heaps, groups: &mut [ToneInMaking]) {
    let grown = |group: &&mut ToneInMaking| group.accent && group.share >= LARGEST_ACCENT;
    for group in groups.iter_mut().filter(grown) {
        *group = ToneInMaking::new(heaps, std::mem::take(&mut group.cells));
    }
}

/// The two closest groups and how far apart they are.
fn closest(groups: &[ToneInMaking]) -> Option<(usize, usize, f64)> {
    (0..groups.len())
        .flat_map(|i| (0..i).map(move |j| (j, i)))
        .map(|(i, j)| (i, j, delta_e00(groups[i].colour, groups[j].colour).0))
        .min_by(|a, b| a.2.total_cmp(&b.2))
}

/// Parts heaps that are plainly two, without a pass between their peaks. True when there were any.
fn part_doubles(heaps: &Heaps, groups: &mut Vec<ToneInMaking>) -> bool {
    let before = groups.len();
    let mut at = 0;
    while at < groups.len() && groups.len() < MOST_CHOSEN {
        let may_be_two = !groups[at].accent && groups[at].spread(heaps) >= LOOSE;
        let parted = may_be_two.then(|| halves(heaps, &groups[at], groups));
        if let Some([one, other]) = parted.flatten() {
            groups[at] = one;
            groups.push(other);
        } else {
            at += 1;
        }
    }
    groups.len() > before
}

/// A group in two, when it is two and both are worth a pot.
fn halves(heaps: &Heaps, whole: &ToneInMaking, all: &[ToneInMaking]) -> Option<[ToneInMaking; 2]> {
    let halves: [ToneInMaking; 2] = cloud::in_two(heaps, &whole.cells).try_into().ok()?;
    let [one, other] = &halves;
    let others = || all.iter().filter(|group| group.cells != whole.cells);
    let is_two = whole.spread(heaps) >= TWO_IN_ONE * spread(heaps, halves.iter())
        && one.is_apart_from(others().chain([other]), DISTINCT)
        && other.is_apart_from(others(), DISTINCT)
        && halves.iter().all(|half| half.share >= SMALLEST_SHARE);
    is_two.then_some(halves)
}
