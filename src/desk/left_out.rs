//! Writes outlines that are left out of another into its table; unchanged ones keep their spelling and comments.

use super::array::{LEAVE_OUT, points, rearranged, set};
use super::drawing::{DrawnHole, Point};
use crate::region::{Outline, Region};
use toml_edit::{Item, TableLike, Value};

/// The outlines that are left out of a region.
pub(super) fn outlines_of(region: &Region) -> Vec<&[Point]> {
    region.leave_out.iter().map(Outline::points).collect()
}

/// Writes the outlines that are left out, if they have changed.
pub(super) fn put_left_out(table: &mut dyn TableLike, before: &[&[Point]], drawn: &[DrawnHole]) {
    let same =
        drawn.len() == before.len() && drawn.iter().zip(before).all(|(a, b)| a.outline == *b);
    if same {
        return;
    }
    if drawn.is_empty() {
        table.remove(LEAVE_OUT);
        return;
    }
    let wanted: Vec<(Option<usize>, Option<Value>)> = drawn
        .iter()
        .map(|hole| {
            let unchanged =
                hole.was.and_then(|was| before.get(was)) == Some(&hole.outline.as_slice());
            (
                hole.was.filter(|was| *was < before.len()),
                (!unchanged).then(|| points(&hole.outline).into()),
            )
        })
        .collect();
    let old = table.get(LEAVE_OUT).and_then(Item::as_array);
    let new = rearranged(old, wanted);
    set(table, LEAVE_OUT, new.into());
}
