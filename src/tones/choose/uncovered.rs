//! Nearly all unmixed places lie within a painter's tolerance of their tone. Those that do not, and have a middle of
//! their own, are a tone too; those whose middle lies in the core of an existing
//! tone are its grain.

use super::making::{ChoiceStep, MOST_CHOSEN, StepTaken, ToneInMaking, is_blur, step};
use crate::colour::{LabD65, delta_e00};
use crate::tones::group::peaks::Heaps;
use crate::tones::space::{lab_of, place_of};

/// A painter's tolerance: what lies nearer to a tone than this is that tone. Our choice.
pub(in crate::tones) const TOLERANCE: f64 = 7.0;
/// This much may be missed: a share of the unmixed area, times its squared distance from the nearest tone over the
/// tolerance. Our choice, by drawn walls, with joints and without, and by photos.
const UNCOVERED: f64 = 0.02;
/// What lies so near to a middle is its core: half a tolerance. Our choice.
pub(in crate::tones) const REACH: f64 = 0.5 * TOLERANCE;
/// Reach of one look when a middle is sought: below the distance from a body's flank to a joint. Our choice.
const CLIMB: f64 = 2.0;
/// Looks until a middle rests.
const LOOKS: usize = 30;
/// A middle that moves less than this rests.
const RESTS: f64 = 0.05;

/// Adds tones until they cover nearly everything, or the rest belongs to existing tones.
pub(in crate::tones) fn covered(
    heaps: &Heaps,
    groups: &mut Vec<ToneInMaking>,
    steps: &mut Vec<ChoiceStep>,
) {
    let mut own = middles(heaps, groups);
    let mut left: Vec<bool> = heaps
        .lab
        .iter()
        .map(|lab| {
            let (off, loose) = (own.iter().zip(groups.iter()))
                .map(|(own, group)| (delta_e00(*own, *lab).0, group.loose))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((f64::INFINITY, false));
            off > TOLERANCE && !loose
        })
        .collect();
    while groups.len() < MOST_CHOSEN && missed(heaps, &own, &left) > UNCOVERED {
        let Some((from, middle)) = middle_of_the_rest(heaps, &left) else {
            return;
        };
        let gain: Vec<bool> = (heaps.lab.iter().zip(&left))
            .map(|(lab, left)| *left && delta_e00(*lab, middle).0 <= TOLERANCE)
            .collect();
        let is_new = off(&own, middle) > REACH
            && missed(heaps, &own, &gain) >= UNCOVERED
            && !is_blur(place_of(middle), groups);
        if is_new {
            let core = (0..left.len()).filter(|i| delta_e00(heaps.lab[*i], middle).0 <= REACH);
            take(heaps, groups, core.collect());
            own = middles(heaps, groups);
            steps.push(step(heaps, groups, StepTaken::Uncovered));
        }
        // What climbs to a tone there is belongs to it, as grain does.
        for (left, lab) in left.iter_mut().zip(&heaps.lab) {
            *left &= delta_e00(*lab, from).0 > REACH && delta_e00(*lab, middle).0 > TOLERANCE;
        }
    }
}

/// What tones are where nothing pulls at them: the middles of their own cells. A joint that counts with the body draws the
/// body's mean towards itself, and would seem nearer to it than it is.
fn middles(heaps: &Heaps, groups: &[ToneInMaking]) -> Vec<LabD65> {
    let all = groups.iter().map(|group| {
        let pulled = !group.accent && !group.loose;
        let own = pulled.then(|| middle_of(heaps, &group.cells, group.colour));
        own.flatten().unwrap_or(group.colour)
    });
    all.collect()
}

fn off(middles: &[LabD65], lab: LabD65) -> f64 {
    let all = middles.iter().map(|middle| delta_e00(*middle, lab).0);
    all.fold(f64::INFINITY, f64::min)
}

/// How much is missed: shares of the area, times their squared distance from the nearest tone over the tolerance.
fn missed(heaps: &Heaps, middles: &[LabD65], left: &[bool]) -> f64 {
    let cells = heaps.cells.iter().zip(&heaps.lab).zip(left);
    cells
        .filter(|(_, left)| **left)
        .map(|((cell, lab), _)| cell.weight * (off(middles, *lab) / TOLERANCE).powi(2))
        .sum()
}

/// The densest place of the rest, and the middle it climbs to among all colours.
///
/// # Source
/// Mean shift: Fukunaga and Hostetler 1975, *The estimation of the gradient of a density function*.
fn middle_of_the_rest(heaps: &Heaps, left: &[bool]) -> Option<(LabD65, LabD65)> {
    let heaviest = (0..left.len())
        .filter(|i| left[*i])
        .max_by(|a, b| heaps.density_of(*a).total_cmp(&heaps.density_of(*b)))?;
    let from = heaps.lab[heaviest];
    let mut middle = from;
    for _ in 0..LOOKS {
        let next = look(heaps, middle);
        let moved = delta_e00(next, middle).0;
        middle = next;
        if moved < RESTS {
            break;
        }
    }
    Some((from, middle))
}

/// The middle of some cells, from a colour on: the mean of what lies within half a tolerance, until it rests; `None` where
/// nothing does.
pub(in crate::tones) fn middle_of(heaps: &Heaps, cells: &[usize], from: LabD65) -> Option<LabD65> {
    let mut middle = from;
    for _ in 0..LOOKS {
        let core: Vec<usize> = (cells.iter().copied())
            .filter(|i| delta_e00(heaps.lab[*i], middle).0 <= REACH)
            .collect();
        if core.is_empty() {
            return None;
        }
        let next = ToneInMaking::new(heaps, core).colour;
        let moved = delta_e00(next, middle).0;
        middle = next;
        if moved < RESTS {
            break;
        }
    }
    Some(middle)
}

/// The mean of what lies about a colour, the nearer the more.
fn look(heaps: &Heaps, about: LabD65) -> LabD65 {
    let (mut sum, mut all) = ([0.0; 3], 0.0);
    for (cell, lab) in heaps.cells.iter().zip(&heaps.lab) {
        if (lab.l - about.l).abs() > 2.0 * CLIMB {
            continue;
        }
        let near = 1.0 - (delta_e00(*lab, about).0 / CLIMB).powi(2);
        if near > 0.0 {
            all += near * cell.weight;
            for (sum, v) in sum.iter_mut().zip(cell.mean) {
                *sum += near * cell.weight * v;
            }
        }
    }
    if all > 0.0 {
        lab_of(sum.map(|v| v / all))
    } else {
        about
    }
}

/// Gives a new tone the cells that are nearer to it than to their own, and all of a tone that is the new one except for these.
fn take(heaps: &Heaps, groups: &mut Vec<ToneInMaking>, core: Vec<usize>) {
    let mut fresh = ToneInMaking::new(heaps, core);
    let colour = fresh.colour;
    let mut taken = Vec::new();
    let mut kept = Vec::new();
    for group in groups.drain(..) {
        let (own, lost): (Vec<usize>, Vec<usize>) = group.cells.iter().partition(|i| {
            delta_e00(heaps.lab[**i], colour).0 >= delta_e00(heaps.lab[**i], group.colour).0
        });
        taken.extend(lost);
        let mut left = ToneInMaking::new(heaps, own);
        let has_moved_to_it = delta_e00(left.colour, colour).0 <= REACH;
        if !group.accent && has_moved_to_it {
            taken.extend(left.cells);
        } else if !left.cells.is_empty() {
            if group.accent || group.loose {
                left.recolour(group.centre);
                (left.accent, left.loose) = (group.accent, group.loose);
            }
            kept.push(left);
        }
    }
    let centre = fresh.centre;
    fresh = ToneInMaking::new(heaps, taken);
    fresh.recolour(centre);
    kept.push(fresh);
    *groups = kept;
}
