//! Tones of a surface whose colours lie in one cloud, or in heaps too loose for a pot each: leaves, rubble, a whole view.
//!
//! If heaps run into each other, a little noise decides which of them stand apart, and so every choice made heap by
//! heap. The mean difference of colours from their tones does not: it moves by a hundredth or two when a photo is
//! halved, recompressed or noisy, and falls by a quarter with each tone more. So the cloud is grouped by k-means into
//! the fewest tones that leave colours alike enough. Accents are peaks high above it, and hues that no tone has.

use super::accents::{small_heaps, with_accents};
use super::making::{ChoiceStep, StepTaken, ToneInMaking, spread, step};
use crate::tones::group::cells::{cells_of, merged};
use crate::tones::group::k_means::{Clustering, group_from};
use crate::tones::group::peaks::Heaps;
use crate::tones::group::rounds::{WeightedColour, nearest_of, squared_distance};

/// Colours that lie so near to their tones, on average, are alike enough for a pot each. Our choice.
const ENOUGH_ALIKE: f64 = 5.2;
/// So near, if there is but one tone: one colour all over looks like plastic sooner. Our choice.
const ENOUGH_FOR_ONE: f64 = 4.0;
/// A cloud is grouped into this many tones at most: a painter's patience. Our choice.
const MOST: usize = 5;
/// An accent of a cloud has a peak this many times the highest pass to a higher heap. Our choice, by blobs of colour planted
/// in photos: with less, heaps come and go with a little noise.
const PROMINENT: f64 = 6.0;
/// When small heaps together cover more than this, they are no accents. Our choice.
const MOST_ASIDE: f64 = 0.5;
/// Lightness counts by this part where hues are told apart: red roofs in sun and in shadow are red. Our choice.
const LIGHTNESS: f64 = 0.4;
/// From the first of these distances on from all tones, at that lightness, a colour begins to be none of theirs; from the
/// second on it is. Our choice.
const NO_TONES: [f64; 2] = [0.06, 0.1];
/// Reach of one hue about its middle. Our choice, by photos.
const ONE_HUE: f64 = 0.16;
/// It has at least this share, weighted by how near its middle, and lies so far from every tone: three times what is
/// alike. Our choice.
const SMALLEST_HUE: f64 = 0.015;
const HUE_APART: f64 = 15.0;
/// How many starting places are tried for the middle of a hue, and how many steps each may take.
const PLACES: usize = 4;
const STEPS: usize = 50;
/// A middle that moves less than this has settled.
const RESTS: f64 = 1e-4;
/// Runs for each number of tones: with fewer, a cloud's tones come and go with a little noise.
const RESTARTS: u64 = 16;
/// Cells that restarts go through; the best is polished on all of them.
const FOR_RESTARTS: usize = 1000;

/// True when colours within tones are alike enough for a pot each; accents are left aside.
pub(in crate::tones) fn alike_enough(heaps: &Heaps, groups: &[ToneInMaking]) -> bool {
    let mains = || groups.iter().filter(|group| !group.accent);
    let most = if mains().count() > 1 {
        ENOUGH_ALIKE
    } else {
        ENOUGH_FOR_ONE
    };
    spread(heaps, mains()) <= most
}

/// The fewest tones that leave colours alike enough, and accents.
pub(in crate::tones) fn grouped(heaps: &Heaps, steps: &mut Vec<ChoiceStep>) -> Vec<ToneInMaking> {
    let high = heaps.flooded(PROMINENT);
    let mut small = small_heaps(heaps, &high);
    if small.iter().map(|group| group.share).sum::<f64>() > MOST_ASIDE {
        small.clear();
    }
    let mut aside = vec![false; heaps.cells.len()];
    for cell in small.iter().flat_map(|group| &group.cells) {
        aside[*cell] = true;
    }
    let cloud: Vec<usize> = (0..aside.len()).filter(|i| !aside[*i]).collect();
    let points = Points::of_heaps(heaps, cloud);
    let mut tones = vec![ToneInMaking::new(heaps, points.cells.clone())];
    steps.push(step(heaps, &tones, StepTaken::Grouped));
    while tones.len() < MOST && !alike_enough(heaps, &tones) {
        let more = points.grouped(heaps, &from_restarts(tones.len() + 1, RESTARTS));
        if more.len() <= tones.len() {
            break;
        }
        tones = more;
        steps.push(step(heaps, &tones, StepTaken::OneMore));
    }
    let enough = alike_enough(heaps, &tones);
    let odd = hue_of_its_own(heaps, &tones, &aside);
    if let Some(odd) = &odd {
        tones = without(heaps, tones, &odd.cells);
    }
    let all = with_accents(heaps, &high, tones, odd.into_iter().collect(), small);
    let last = if enough {
        StepTaken::AlikeEnough
    } else {
        StepTaken::Enough
    };
    steps.push(step(heaps, &all, last));
    all
}

/// Some cells in two.
pub(in crate::tones) fn in_two(heaps: &Heaps, cells: &[usize]) -> Vec<ToneInMaking> {
    Points::of_heaps(heaps, cells.to_vec()).grouped(heaps, &from_restarts(2, 4))
}

fn from_restarts(count: usize, restarts: u64) -> Clustering {
    Clustering {
        restarts,
        moves: 0,
        ..Clustering::into_groups(count)
    }
}

/// Cells to be grouped by k-means.
struct Points {
    cells: Vec<usize>,
    all: Vec<WeightedColour>,
    coarse: Vec<WeightedColour>,
}

impl Points {
    fn of_heaps(heaps: &Heaps, cells: Vec<usize>) -> Self {
        let own = cells.iter().map(|i| &heaps.cells[*i]);
        let all: Vec<_> = own
            .map(|cell| WeightedColour::new(cell.mean, cell.weight))
            .collect();
        Self {
            cells,
            coarse: merged(&all, FOR_RESTARTS),
            all,
        }
    }

    fn grouped(&self, heaps: &Heaps, how: &Clustering) -> Vec<ToneInMaking> {
        let found = group_from(&self.coarse, &self.all, how);
        let mut cells: Vec<Vec<usize>> = vec![Vec::new(); found.centres.len()];
        for (cell, tone) in self.cells.iter().zip(&found.nearest) {
            cells[*tone].push(*cell);
        }
        let groups = cells.into_iter().filter(|cells| !cells.is_empty());
        groups
            .map(|cells| ToneInMaking::new(heaps, cells))
            .collect()
    }
}

/// Tones without some cells; those with nothing left are gone.
fn without(heaps: &Heaps, tones: Vec<ToneInMaking>, taken: &[usize]) -> Vec<ToneInMaking> {
    let mut is_taken = vec![false; heaps.cells.len()];
    for cell in taken {
        is_taken[*cell] = true;
    }
    let left = tones.into_iter().map(|tone| {
        let cells = tone.cells.into_iter();
        cells.filter(|cell| !is_taken[*cell]).collect::<Vec<_>>()
    });
    left.filter(|cells| !cells.is_empty())
        .map(|cells| ToneInMaking::new(heaps, cells))
        .collect()
}

/// A place where lightness counts less.
fn by_hue(at: [f64; 3]) -> [f64; 3] {
    [LIGHTNESS * at[0], at[1], at[2]]
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    squared_distance(a, b).sqrt()
}

/// The colours of one hue that is none of the tones', light and dark together, when there are enough of them.
///
/// # Source
/// Its middle by mean shift: Fukunaga and Hostetler 1975, *The estimation of the gradient of a density function*.
fn hue_of_its_own(heaps: &Heaps, tones: &[ToneInMaking], aside: &[bool]) -> Option<ToneInMaking> {
    let centres: Vec<[f64; 3]> = tones.iter().map(|tone| by_hue(tone.centre)).collect();
    let [begins, is_none] = NO_TONES;
    let mut cells = Vec::new();
    let mut points = Vec::new();
    for (i, cell) in heaps.cells.iter().enumerate().filter(|(i, _)| !aside[*i]) {
        let at = by_hue(cell.mean);
        let nearest = centres[nearest_of(at, &centres)];
        let part = (distance(at, nearest) - begins) / (is_none - begins);
        if part > 0.0 {
            cells.push((i, part));
            points.push(WeightedColour::new(at, cell.weight * part.min(1.0)));
        }
    }
    let mut places = cells_of(&points, ONE_HUE);
    places.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    places.truncate(PLACES);
    let (middle, share) = places
        .iter()
        .map(|place| middle_of(&points, place.mean))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let own = points
        .iter()
        .zip(&cells)
        .filter(|(point, (_, part))| *part > 0.5 && distance(point.at(), middle) < ONE_HUE)
        .map(|(_, (cell, _))| *cell);
    let own: Vec<usize> = own.collect();
    if share < SMALLEST_HUE || own.is_empty() {
        return None;
    }
    let accent = ToneInMaking::accent(heaps, own);
    accent
        .is_apart_from(tones.iter(), HUE_APART)
        .then_some(accent)
}

/// The middle of the points around a place, and their weight, the nearer the more.
fn middle_of(points: &[WeightedColour], mut place: [f64; 3]) -> ([f64; 3], f64) {
    let mut all = 0.0;
    for _ in 0..STEPS {
        let mut sum = [0.0; 3];
        all = 0.0;
        for point in points {
            let off = squared_distance(point.at(), place) / (ONE_HUE * ONE_HUE);
            if off < 1.0 {
                let weight = point.weight() * (1.0 - off);
                all += weight;
                for (sum, v) in sum.iter_mut().zip(point.at()) {
                    *sum += weight * v;
                }
            }
        }
        if all <= 0.0 {
            break;
        }
        let next = sum.map(|v| v / all);
        let moved = distance(next, place);
        place = next;
        if moved < RESTS {
            break;
        }
    }
    (place, all)
}
