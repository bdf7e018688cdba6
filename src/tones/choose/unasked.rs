//! Which tones a surface has if nobody says how many.
//!
//! Heaps of colour that stand apart come first: each is a tone, however small its neighbours. A small heap far from
//! all others stays as an accent; heaps too close for two pots are one. If colours are alike enough within these,
//! that is the answer, except for a heap that is clearly two. Otherwise the surface is a cloud without gaps, and
//! `loose.rs` groups it.

use super::accents::{LARGEST_ACCENT, SMALLEST_ACCENT, by_heap, with_accents};
use super::making::{ChoiceStep, MOST_CHOSEN, StepTaken, ToneInMaking, spread, step};
use super::sorting::{Sorting, sorting};
use super::{loose, uncovered};
use crate::colour::delta_e00;
use crate::tones::group::borders::fitted;
use crate::tones::group::peaks::{Heaps, heaps_of};
use crate::tones::group::rounds::{WeightedColour, nearest_of};

/// A tone of less than this share is not worth a pot, unless it is an accent. Our choice.
const SMALLEST_SHARE: f64 = 0.035;
/// Heaps closer than this are one tone to a painter. Our choice.
const DISTINCT: f64 = 7.0;
/// A heap whose colours differ from their mean by less than this is not looked at twice. Our choice.
const LOOSE: f64 = 3.0;
/// A heap is two when its halves vary this many times less than the whole: halves of one bell vary 1.65 times less. Our
/// choice.
const TWO_IN_ONE: f64 = 1.7;
/// A tone is of one colour when this part of it is near its colour: the colours drawn in scenes and walls are, those of
/// leaves, rubble and shadows are not. Our choice.
const CLOSE: f64 = 0.6;

/// Chooses the tones of weighted colours: as they are from near, where mixed places do not count, and as they are
/// from afar. Weights sum to 1.
pub(in crate::tones) fn choose(
    near: Option<&[WeightedColour]>,
    afar: &[WeightedColour],
) -> Sorting {
    let far = heaps_of(afar);
    let mut steps = Vec::new();
    let mut groups = stood_apart(&far, &mut steps);
    if loose::alike_enough(&far, &groups) {
        if part_doubles(&far, &mut groups) {
            settle_borders(&far, &mut groups);
        }
        let Some(near) = near else {
            steps.push(step(&far, &groups, StepTaken::AlikeEnough));
            return sorting(far, &groups, steps);
        };
        let heaps = heaps_of(near);
        let mut groups = from_near(&heaps, &groups);
        uncovered::covered(&heaps, &mut groups, &mut steps);
        steps.push(step(&heaps, &groups, StepTaken::AlikeEnough));
        Sorting {
            from_near: true,
            ..sorting(heaps, &groups, steps)
        }
    } else {
        let groups = loose::grouped(&far, &mut steps);
        sorting(far, &groups, steps)
    }
}

/// The tones seen from afar as they are from near: their own colours. What has none there was a blend.
fn from_near(heaps: &Heaps, seen: &[ToneInMaking]) -> Vec<ToneInMaking> {
    let centres: Vec<[f64; 3]> = seen.iter().map(|group| group.centre).collect();
    let mut cells: Vec<Vec<usize>> = vec![Vec::new(); seen.len()];
    for (i, cell) in heaps.cells.iter().enumerate() {
        cells[nearest_of(cell.mean, &centres)].push(i);
    }
    let mut groups: Vec<ToneInMaking> = Vec::new();
    let mut loose = Vec::new();
    for (cells, seen) in cells.into_iter().zip(seen) {
        let Some(middle) = uncovered::middle_of(heaps, &cells, seen.colour) else {
            continue;
        };
        let core: Vec<usize> = (cells.iter().copied())
            .filter(|i| delta_e00(heaps.lab[*i], middle).0 <= uncovered::REACH)
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
    let halves: [ToneInMaking; 2] = loose::in_two(heaps, &whole.cells).try_into().ok()?;
    let [one, other] = &halves;
    let others = || all.iter().filter(|group| group.cells != whole.cells);
    let is_two = whole.spread(heaps) >= TWO_IN_ONE * spread(heaps, halves.iter())
        && one.is_apart_from(others().chain([other]), DISTINCT)
        && other.is_apart_from(others(), DISTINCT)
        && halves.iter().all(|half| half.share >= SMALLEST_SHARE);
    is_two.then_some(halves)
}
