//! Improves centres after k-means: Lloyd's rounds never move a centre across a group, so two centres may share a
//! group that needs one, while another has a group that needs two.

use super::rounds::{WeightedColour, lloyd, squared_distance};

/// Number of moves in a row to try without gain.
const MOST_IN_VAIN: usize = 5;
/// A gain below this part of the sum of squares is none.
const GAIN: f64 = 1e-5;
/// Squared move below which centres rest while a move is tried.
const RESTS: f64 = 1e-7;
/// Mean distance of a bell from its middle along an axis, over its deviation.
const HALF_OF_A_BELL: f64 = 0.798;

/// A group, with what splitting it would gain and dropping it would cost.
#[derive(Clone, Default)]
struct GroupWorth {
    weight: f64,
    /// Sums of offsets from its centre, two by two.
    spread: [[f64; 3]; 3],
    /// What its points would be farther from the next centre.
    missed: f64,
}

/// Moves centres from where they are missed least to where one more helps most, while the sum of squares falls; at most so
/// many moves.
///
/// # Source
/// Random swap clustering: Fränti 2018, *Efficiency of random swap clustering*; here the swap is chosen by what it promises,
/// as in Fritzke 2017, *The k-means-u\* algorithm*. Both from memory.
pub(in crate::tones) fn bettered(
    points: &[WeightedColour],
    centres: Vec<WeightedColour>,
    moves: usize,
) -> Vec<WeightedColour> {
    if centres.len() < 2 || moves == 0 {
        return centres;
    }
    let mut best = centres;
    lloyd(points, &mut best, RESTS);
    let (mut squares, groups) = groups_of(points, &best);
    let mut swaps = promising(&groups);
    for _ in 0..moves {
        let Some(mut moved) = swaps.next().map(|swap| swap.swapped(&best)) else {
            break;
        };
        lloyd(points, &mut moved, RESTS);
        let (now, its_groups) = groups_of(points, &moved);
        if now < squares * (1.0 - GAIN) {
            (best, squares) = (moved, now);
            swaps = promising(&its_groups);
        }
    }
    best
}

/// The sum of squares, and what each centre's points are.
fn groups_of(points: &[WeightedColour], centres: &[WeightedColour]) -> (f64, Vec<GroupWorth>) {
    let mut groups = vec![GroupWorth::default(); centres.len()];
    let mut squares = 0.0;
    for point in points {
        let (mut nearest, mut next, mut at) = (f64::INFINITY, f64::INFINITY, 0);
        for (i, centre) in centres.iter().enumerate() {
            let off = squared_distance(point.at, centre.at);
            if off < nearest {
                (next, nearest, at) = (nearest, off, i);
            } else if off < next {
                next = off;
            }
        }
        let group = &mut groups[at];
        squares += point.weight * nearest;
        group.weight += point.weight;
        group.missed += point.weight * (next - nearest);
        let off: [f64; 3] = std::array::from_fn(|i| point.at[i] - centres[at].at[i]);
        for (row, u) in group.spread.iter_mut().zip(off) {
            for (sum, v) in row.iter_mut().zip(off) {
                *sum += point.weight * u * v;
            }
        }
    }
    (squares, groups)
}

/// One centre moved to halve the group of another.
struct Swap {
    from: usize,
    to: usize,
    half: [f64; 3],
    promise: f64,
}

impl Swap {
    fn swapped(&self, centres: &[WeightedColour]) -> Vec<WeightedColour> {
        let mut moved = centres.to_vec();
        let middle = centres[self.to].at;
        moved[self.from].at = std::array::from_fn(|i| middle[i] + self.half[i]);
        moved[self.to].at = std::array::from_fn(|i| middle[i] - self.half[i]);
        moved
    }
}

/// The swaps worth trying, what promises most first.
fn promising(groups: &[GroupWorth]) -> impl Iterator<Item = Swap> + use<> {
    let parted: Vec<([f64; 3], f64)> = groups.iter().map(longest_axis).collect();
    let mut all = Vec::new();
    for (from, gone) in groups.iter().enumerate() {
        for (to, (half, gain)) in parted.iter().enumerate().filter(|(to, _)| *to != from) {
            let promise = gain - gone.missed;
            all.push(Swap {
                from,
                to,
                half: *half,
                promise,
            });
        }
    }
    all.sort_by(|a, b| b.promise.total_cmp(&a.promise));
    all.into_iter().take(MOST_IN_VAIN)
}

/// From the middle of a group to that of its half along its longest axis, and the squares that parting it there saves.
fn longest_axis(group: &GroupWorth) -> ([f64; 3], f64) {
    let mut axis = [1.0, 0.9, 0.8];
    let mut length = 0.0;
    // Power iteration: a rough axis will do.
    for _ in 0..8 {
        let next = group
            .spread
            .map(|row| row.iter().zip(axis).map(|(m, v)| m * v).sum::<f64>());
        length = squared_distance(next, [0.0; 3]).sqrt();
        if length <= 0.0 {
            return ([0.0; 3], 0.0);
        }
        axis = next.map(|v| v / length);
    }
    let deviation = (length / group.weight).sqrt();
    let half = HALF_OF_A_BELL * deviation;
    (axis.map(|v| v * half), group.weight * half * half)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_centre_crosses_to_where_it_is_wanted() {
        // Four flat colours; three centres begin in the first, one holds the other three.
        let points: Vec<WeightedColour> = [0.1, 0.3, 0.6, 0.9]
            .iter()
            .flat_map(|l| (0..9).map(move |i| l + 0.002 * f64::from(i)))
            .map(|l| WeightedColour::new([l, 0.0, 0.0], 1.0))
            .collect();
        let start = [0.1, 0.105, 0.11, 0.6].map(|l| WeightedColour::new([l, 0.0, 0.0], 0.0));
        let mut found: Vec<f64> = bettered(&points, start.to_vec(), 24)
            .iter()
            .map(|centre| centre.at[0])
            .collect();
        found.sort_by(f64::total_cmp);
        for (found, drawn) in found.iter().zip([0.108, 0.308, 0.608, 0.908]) {
            assert!((found - drawn).abs() < 1e-3, "{found} {drawn}");
        }
    }

    #[test]
    fn few_points_and_few_centres_stay_as_they_are() {
        let one = WeightedColour::new([0.5, 0.0, 0.0], 1.0);
        assert_eq!(bettered(&[one], vec![one], 24), vec![one]);
        let two = bettered(&[one], vec![one, one], 24);
        assert!(squared_distance(two[0].at, one.at) < 1e-18);
    }
}
