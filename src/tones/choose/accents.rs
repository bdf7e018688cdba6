//! Small heaps of colour beside the tones: those that are accents, and those that go to the nearest tone.

use super::making::{MOST_CHOSEN, ToneInMaking, is_blur, mean};
use crate::tones::group::peaks::{Flooded, Heaps};
use crate::tones::group::rounds::nearest_of;

/// An accent covers at least this share. Our choice.
pub(in crate::tones) const SMALLEST_ACCENT: f64 = 0.003;
/// From this share on it is a tone like others. Our choice.
pub(in crate::tones) const LARGEST_ACCENT: f64 = 0.08;
/// An accent is this far from every other tone. Our choice.
const ACCENT_APART: f64 = 10.0;
/// Most accents. Our choice.
const MOST_ACCENTS: usize = 3;
/// The core of a heap is where density is at least this part of its peak. Our choice.
const CORE: f64 = 0.3;

/// The heaps, largest first.
pub(in crate::tones) fn by_heap(heaps: &Heaps, found: &Flooded) -> Vec<ToneInMaking> {
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

/// A group as an accent: its colour is the mean of its core, clear of blurred edges.
fn into_accent(mut group: ToneInMaking, heaps: &Heaps, found: &Flooded) -> ToneInMaking {
    let core = group.cells.iter().copied();
    let core = core.filter(|i| found.height[*i] >= CORE);
    group.recolour(mean(heaps, core).0);
    group.accent = true;
    group
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
        more[nearest_of(heaps.cells[*cell].mean, &centres)].push(*cell);
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
pub(in crate::tones) fn small_heaps(heaps: &Heaps, found: &Flooded) -> Vec<ToneInMaking> {
    let mut small = by_heap(heaps, found);
    small.retain(|group| (SMALLEST_ACCENT..LARGEST_ACCENT).contains(&group.share));
    small
}

/// Tones with their accents, and those small heaps beside them that are accents too; the cells of the others go to the
/// nearest.
pub(in crate::tones) fn with_accents(
    heaps: &Heaps,
    found: &Flooded,
    mains: Vec<ToneInMaking>,
    mut accents: Vec<ToneInMaking>,
    small: Vec<ToneInMaking>,
) -> Vec<ToneInMaking> {
    let mut scattered: Vec<usize> = Vec::new();
    for group in small {
        if group.share >= SMALLEST_ACCENT && has_room(&group, &mains, &accents) {
            accents.push(into_accent(group, heaps, found));
        } else {
            scattered.extend(group.cells);
        }
    }
    let mut all = mains;
    all.extend(accents);
    give_to_nearest(heaps, &mut all, &scattered);
    all
}
