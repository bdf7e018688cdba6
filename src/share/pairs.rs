//! Which tones of two plans are the same.

use super::{ColourEntry, ToneEntry};
use crate::colour::delta_e00;
use std::collections::BTreeMap;

/// Colours farther apart (CIEDE2000) are not the same tone. Our choice.
const SAME_TONE: f64 = 15.0;
/// Pairs tones whose photographed or planned colours lie nearest to each other, nearest pairs first.
pub(super) fn pairs(
    theirs: &[ToneEntry],
    ours: &[ToneEntry],
) -> Vec<(Option<usize>, Option<usize>)> {
    let planned = |tone: &ToneEntry| {
        tone.planned
            .as_ref()
            .map_or_else(|| tone.colour(), ColourEntry::colour)
    };
    let mut all: Vec<(f64, usize, usize)> = Vec::new();
    for (t, their) in theirs.iter().enumerate() {
        for (o, our) in ours.iter().enumerate() {
            let apart = delta_e00(planned(their), planned(our))
                .0
                .min(delta_e00(their.colour(), our.colour()).0);
            if apart <= SAME_TONE {
                all.push((apart, t, o));
            }
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut of_ours: BTreeMap<usize, usize> = BTreeMap::new();
    let mut taken: Vec<usize> = Vec::new();
    for (_, t, o) in all {
        if !taken.contains(&t) && !of_ours.contains_key(&o) {
            taken.push(t);
            of_ours.insert(o, t);
        }
    }
    (0..ours.len())
        .map(|o| (of_ours.get(&o).copied(), Some(o)))
        .chain(
            (0..theirs.len())
                .filter(|t| !taken.contains(t))
                .map(|t| (Some(t), None)),
        )
        .collect()
}
