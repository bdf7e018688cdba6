//! Colour sums that follow a region while it moves: each step counts only the pixels that come in or go out.

use super::tiles::{Tiles, rows_of};
use crate::photo::Picture;
use crate::region::Region;
use crate::tones::count::histogram::{ColourSums, Counted};
use std::ops::Range;

/// When more pixels than this come and go in a step, adding up tiles is faster. Our choice, by measuring.
const MOST_CHANGED: usize = 1_500_000;

type Rows = Vec<Vec<Range<usize>>>;

/// The sums of a region of one picture, and where it was last.
#[derive(Debug)]
pub struct Moving {
    rows: Rows,
    sums: ColourSums,
}

impl Moving {
    /// Counts a region from the sums of a picture's tiles.
    #[must_use]
    pub fn new(tiles: &Tiles, picture: &Picture, region: &Region) -> Self {
        let rows = rows_of(picture, region);
        Self {
            sums: tiles.sums(picture, &rows),
            rows,
        }
    }

    /// Goes to another region of the same picture.
    pub fn go_to(&mut self, tiles: &Tiles, picture: &Picture, region: &Region) {
        let rows = rows_of(picture, region);
        let steps = || self.rows.iter().zip(&rows);
        let changed: usize = steps()
            .flat_map(|(old, new)| beyond(new, old).chain(beyond(old, new)))
            .map(|run| run.len())
            .sum();
        if changed > MOST_CHANGED || rows.len() != self.rows.len() {
            self.sums = tiles.sums(picture, &rows);
        } else {
            for (row, (old, new)) in steps().enumerate().filter(|(_, (old, new))| old != new) {
                for run in beyond(new, old) {
                    self.sums.add_run(picture, row, run);
                }
                for run in beyond(old, new) {
                    self.sums.take_run(picture, row, run);
                }
            }
        }
        self.rows = rows;
    }

    /// What it holds now, in bins twice as wide as usual.
    #[must_use]
    pub fn counted_roughly(&self, picture: &Picture) -> Counted {
        self.sums.counted_roughly(picture)
    }
}

/// What of some runs lies outside others; the runs of each kind are in order and do not overlap.
fn beyond<'a>(
    runs: &'a [Range<usize>],
    others: &'a [Range<usize>],
) -> impl Iterator<Item = Range<usize>> + 'a {
    runs.iter().flat_map(move |run| {
        // Gaps between the others, one more than there are of them.
        (0..=others.len())
            .map(move |gap| {
                let from = gap.checked_sub(1).map_or(0, |before| others[before].end);
                let to = others.get(gap).map_or(usize::MAX, |after| after.start);
                from.max(run.start)..to.min(run.end)
            })
            .filter(|rest| rest.start < rest.end)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::Outline;

    #[test]
    fn what_lies_beyond_is_what_came_or_went() {
        let found = |a: &[[usize; 2]], b: &[[usize; 2]]| -> Vec<[usize; 2]> {
            let runs = |list: &[[usize; 2]]| list.iter().map(|[a, b]| *a..*b).collect::<Vec<_>>();
            let (a, b) = (runs(a), runs(b));
            beyond(&a, &b).map(|run| [run.start, run.end]).collect()
        };
        assert_eq!(found(&[[2, 9]], &[]), [[2, 9]]);
        assert_eq!(found(&[[2, 9]], &[[4, 5], [7, 20]]), [[2, 4], [5, 7]]);
        assert_eq!(
            found(&[[2, 9], [12, 14]], &[[0, 30]]),
            Vec::<[usize; 2]>::new()
        );
    }

    #[test]
    fn sums_that_follow_are_those_of_a_fresh_count() {
        let rgb: Vec<u8> = (0..300_u32 * 200 * 3)
            .map(|i| u8::try_from((i * 7919 + i / 31) % 251).unwrap())
            .collect();
        let picture = Picture::from_srgb8(300, 200, rgb).unwrap();
        let tiles = Tiles::of_picture(&picture);
        let region = |x: f64, leave_out: Vec<Outline>| Region {
            outline: Outline::new(vec![[0.1, 0.1], [x, 0.2], [0.8, 0.9], [0.2, 0.7]]).unwrap(),
            leave_out,
        };
        let hole = Outline::new(vec![[0.3, 0.3], [0.5, 0.3], [0.5, 0.5]]).unwrap();
        let mut moving = Moving::new(&tiles, &picture, &region(0.5, Vec::new()));
        for (x, holes) in [(0.52, 1), (0.95, 1), (0.4, 0), (0.41, 1)] {
            let region = region(x, vec![hole.clone(); holes]);
            moving.go_to(&tiles, &picture, &region);
            assert_eq!(
                moving.counted_roughly(&picture),
                tiles.counted_roughly(&picture, &region)
            );
        }
    }
}
