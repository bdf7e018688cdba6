//! Which tones a surface has when nobody says how many.
//!
//! Heaps of colour that stand apart are the floor: each is a tone, however small its neighbours. What is small and far
//! from all others is kept as an accent; what is too close for two pots is one. Then, while the surface has fewer tones
//! than a painter can use, the heap that varies most is parted in two, if both parts are worth a pot.

use super::cluster::{Clustering, WeightedColour, group_from, merged};
use super::heaps::{Heaps, heaps_of};
use super::lab_of;
use super::mixture::fitted;
use crate::colour::{DeltaE00, LabD65, LinearSrgb, OklabPoint, delta_e00};
use serde::Serialize;
use std::cell::OnceCell;

/// Most tones chosen unasked: a painter's patience. Our choice.
pub const MOST_CHOSEN: usize = 8;
/// Heaps are parted only up to so many tones. Our choice.
const ENOUGH: usize = 5;
/// Heaps closer than this are one tone to a painter. Our choice.
const DISTINCT: f64 = 7.0;
/// Halves of a heap closer than this are not worth two pots. Our choice.
const DISTINCT_HALVES: f64 = 8.0;
/// A tone of less than this share is not worth a pot, unless it is an accent. Our choice.
const SMALLEST_SHARE: f64 = 0.035;
/// Half a heap must cover this share to be worth a pot. Our choice.
const SMALLEST_HALF: f64 = 0.06;
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
/// Cells that restarts go through when cells are grouped anew; the best is polished on all of them.
const FOR_RESTARTS: usize = 1000;
/// A heap whose colours differ from their mean by less than this is of one piece. Our choice.
const LOOSE: f64 = 4.5;

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
    /// The heap that varied most was parted in two.
    Parted,
    /// No heap varies enough, or its halves are too close or too small for two pots.
    NothingWorthAPot,
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
struct Group {
    cells: Vec<usize>,
    share: f64,
    centre: [f64; 3],
    colour: LabD65,
    accent: bool,
    /// Its halves were looked at and not worth it.
    settled: bool,
    /// Its spread, once asked for.
    spread: OnceCell<f64>,
}

impl Group {
    fn new(heaps: &Heaps, cells: Vec<usize>) -> Self {
        let (centre, share) = mean(heaps, cells.iter().copied());
        Self {
            cells,
            share,
            centre,
            colour: lab_of(centre),
            accent: false,
            settled: false,
            spread: OnceCell::new(),
        }
    }

    /// Gives it a colour that is not the mean of its cells.
    fn recolour(&mut self, centre: [f64; 3]) {
        self.centre = centre;
        self.colour = lab_of(centre);
        self.spread.take();
    }

    /// Mean difference of its cells from its colour.
    fn spread(&self, heaps: &Heaps) -> f64 {
        *self.spread.get_or_init(|| {
            let differences = self.cells.iter().map(|i| {
                let cell = &heaps.cells[*i];
                cell.weight * delta_e00(heaps.lab[*i], self.colour).0
            });
            differences.sum::<f64>() / self.share
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

/// Chooses the tones of weighted colours whose weights sum to 1.
pub(super) fn choose(points: &[WeightedColour]) -> Sorting {
    let heaps = heaps_of(points);
    let mut steps = Vec::new();
    let mut groups = by_heap(&heaps);
    steps.push(step(&heaps, &groups, StepTaken::Heaps));
    let before = groups.len();
    groups = pots_and_accents(&heaps, groups);
    if groups.len() < before {
        steps.push(step(&heaps, &groups, StepTaken::Joined));
    }
    settle_borders(&heaps, &mut groups);
    grown_accents(&heaps, &mut groups);
    part(&heaps, &mut groups, &mut steps);
    if drop_near_accents(&heaps, &mut groups) {
        part(&heaps, &mut groups, &mut steps);
    }
    if steps.iter().any(|step| step.what == StepTaken::Parted) {
        regroup(&heaps, &mut groups);
    }
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
        heaps,
    }
}

fn step(heaps: &Heaps, groups: &[Group], what: StepTaken) -> ChoiceStep {
    let spread: f64 = groups.iter().map(|g| g.share * g.spread(heaps)).sum();
    ChoiceStep {
        tones: groups.len(),
        mean_spread_de: DeltaE00(spread),
        what,
    }
}

/// The heaps, largest first.
fn by_heap(heaps: &Heaps) -> Vec<Group> {
    let mut cells: Vec<Vec<usize>> = vec![Vec::new(); heaps.count];
    for (cell, heap) in heaps.heap_of.iter().enumerate() {
        cells[*heap].push(cell);
    }
    let mut groups: Vec<Group> = cells
        .into_iter()
        .filter(|cells| !cells.is_empty())
        .map(|cells| Group::new(heaps, cells))
        .collect();
    groups.sort_by(|a, b| b.share.total_cmp(&a.share));
    groups
}

/// Heaps close to each other joined, small ones kept as accents or given to their neighbours.
fn pots_and_accents(heaps: &Heaps, groups: Vec<Group>) -> Vec<Group> {
    let (mut mains, small): (Vec<Group>, Vec<Group>) = groups
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
        mains[one] = Group::new(heaps, cells);
    }
    let mut accents: Vec<Group> = Vec::new();
    let mut scattered: Vec<usize> = Vec::new();
    for mut group in small {
        let apart = mains
            .iter()
            .chain(&accents)
            .all(|other| delta_e00(other.colour, group.colour).0 >= ACCENT_APART);
        let apart = apart && !is_blur(group.centre, &mains);
        let room = accents.len() < MOST_ACCENTS && mains.len() + accents.len() < MOST_CHOSEN;
        if apart && room && group.share >= SMALLEST_ACCENT {
            let core = group
                .cells
                .iter()
                .copied()
                .filter(|i| heaps.height[*i] >= 0.3);
            group.recolour(mean(heaps, core).0);
            group.accent = true;
            accents.push(group);
        } else {
            scattered.extend(group.cells);
        }
    }
    let mut all = mains;
    all.extend(accents);
    let centres: Vec<[f64; 3]> = all.iter().map(|group| group.centre).collect();
    let mut more: Vec<Vec<usize>> = vec![Vec::new(); all.len()];
    for cell in scattered {
        more[super::cluster::nearest_of(heaps.cells[cell].mean, &centres)].push(cell);
    }
    for (group, more) in all
        .iter_mut()
        .zip(more)
        .filter(|(_, more)| !more.is_empty())
    {
        let (centre, accent) = (group.centre, group.accent);
        let mut cells = std::mem::take(&mut group.cells);
        cells.extend(more);
        *group = Group::new(heaps, cells);
        if accent {
            group.recolour(centre);
            group.accent = true;
        }
    }
    all
}

/// True for a colour that two large tones give where they blur into each other: mixed light lies between them.
fn is_blur(centre: [f64; 3], mains: &[Group]) -> bool {
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
fn settle_borders(heaps: &Heaps, groups: &mut [Group]) {
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
        let fresh = Group::new(heaps, cells);
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
fn grown_accents(heaps: &Heaps, groups: &mut [Group]) {
    let grown = |group: &&mut Group| group.accent && group.share >= LARGEST_ACCENT;
    for group in groups.iter_mut().filter(grown) {
        *group = Group::new(heaps, std::mem::take(&mut group.cells));
    }
}

/// Gives accents that are no longer apart, now that heaps are parted, to their nearest tone. True when there were any.
fn drop_near_accents(heaps: &Heaps, groups: &mut Vec<Group>) -> bool {
    let mut any = false;
    while let Some((accent, main)) = near_accent(groups) {
        let gone = std::mem::take(&mut groups[accent].cells);
        let mut cells = std::mem::take(&mut groups[main].cells);
        cells.extend(gone);
        groups[main] = Group::new(heaps, cells);
        groups.remove(accent);
        any = true;
    }
    if any {
        for group in groups {
            group.settled = false;
        }
    }
    any
}

/// An accent that is not apart from some main tone, and that tone.
fn near_accent(groups: &[Group]) -> Option<(usize, usize)> {
    let accents = groups.iter().enumerate().filter(|(_, group)| group.accent);
    accents
        .flat_map(|(accent, group)| {
            let mains = groups.iter().enumerate().filter(|(_, main)| !main.accent);
            mains.map(move |(main, other)| {
                let off = delta_e00(other.colour, group.colour).0;
                (off, accent, main)
            })
        })
        .filter(|(off, _, _)| *off < ACCENT_APART)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, accent, main)| (accent, main))
}

/// The two closest groups and how far apart they are.
fn closest(groups: &[Group]) -> Option<(usize, usize, f64)> {
    (0..groups.len())
        .flat_map(|i| (0..i).map(move |j| (j, i)))
        .map(|(i, j)| (i, j, delta_e00(groups[i].colour, groups[j].colour).0))
        .min_by(|a, b| a.2.total_cmp(&b.2))
}

/// Parts heaps while that is worth a pot.
fn part(heaps: &Heaps, groups: &mut Vec<Group>, steps: &mut Vec<ChoiceStep>) {
    loop {
        let mains = groups.iter().filter(|group| !group.accent).count();
        if mains >= ENOUGH || groups.len() >= MOST_CHOSEN {
            steps.push(step(heaps, groups, StepTaken::Enough));
            return;
        }
        let loosest = groups
            .iter()
            .enumerate()
            .filter(|(_, group)| !group.accent && !group.settled)
            .map(|(i, group)| (i, group.spread(heaps), group.share))
            .filter(|(_, spread, _)| *spread >= LOOSE)
            .max_by(|a, b| (a.1 * a.2).total_cmp(&(b.1 * b.2)));
        let Some((at, _, _)) = loosest else {
            steps.push(step(heaps, groups, StepTaken::NothingWorthAPot));
            return;
        };
        if let Some([one, other]) = halves(heaps, &groups[at], groups) {
            groups[at] = one;
            groups.push(other);
            steps.push(step(heaps, groups, StepTaken::Parted));
        } else {
            groups[at].settled = true;
        }
    }
}

/// Groups the cells of all but the accents anew, as many groups as there are: where no gaps lie between tones, the way by
/// which they were parted must not show.
fn regroup(heaps: &Heaps, groups: &mut Vec<Group>) {
    let (accents, mains): (Vec<Group>, Vec<Group>) = groups.drain(..).partition(|g| g.accent);
    let cells: Vec<usize> = mains.iter().flat_map(|g| g.cells.iter().copied()).collect();
    let points: Vec<WeightedColour> = cells
        .iter()
        .map(|i| WeightedColour::new(heaps.cells[*i].mean, heaps.cells[*i].weight))
        .collect();
    let coarse = merged(&points, FOR_RESTARTS);
    let grouped = group_from(&coarse, &points, &Clustering::of(mains.len()));
    for tone in 0..grouped.centres.len() {
        let own = cells
            .iter()
            .zip(&grouped.nearest)
            .filter(|(_, n)| **n == tone);
        groups.push(Group::new(heaps, own.map(|(cell, _)| *cell).collect()));
    }
    groups.extend(accents);
}

/// A group in two, when both are worth a pot.
fn halves(heaps: &Heaps, whole: &Group, all: &[Group]) -> Option<[Group; 2]> {
    let points: Vec<WeightedColour> = whole
        .cells
        .iter()
        .map(|i| WeightedColour::new(heaps.cells[*i].mean, heaps.cells[*i].weight))
        .collect();
    let grouped = group_from(
        &merged(&points, FOR_RESTARTS),
        &points,
        &Clustering {
            restarts: 4,
            ..Clustering::of(2)
        },
    );
    if grouped.centres.len() < 2 {
        return None;
    }
    let half = |side: usize| {
        let cells = whole.cells.iter().zip(&grouped.nearest);
        Group::new(
            heaps,
            cells
                .filter(|(_, n)| **n == side)
                .map(|(cell, _)| *cell)
                .collect(),
        )
    };
    let parts = [half(0), half(1)];
    let apart = delta_e00(parts[0].colour, parts[1].colour).0 >= DISTINCT_HALVES;
    let others_apart = parts.iter().all(|part| {
        all.iter()
            .filter(|other| other.cells != whole.cells)
            .all(|other| delta_e00(other.colour, part.colour).0 >= DISTINCT)
    });
    (apart && others_apart && parts.iter().all(|part| part.share >= SMALLEST_HALF)).then_some(parts)
}
