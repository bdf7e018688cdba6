//! Tones found once, followed while their region moves a little: colours keep their sorting, and no tone is chosen
//! again.

use crate::colour::LabD65;
use crate::tones::choose::sorting::Sorting;
use crate::tones::count::histogram::Bin;
use crate::tones::count::points::points_of;
use crate::tones::describe::described::{described, thin_told};
use crate::tones::group::rounds::WeightedColour;
use crate::tones::tone::Tones;

/// A colour is like those of its tone up to this many times their root mean square distance, and one cell more. Our choice.
const LIKE: f64 = 3.0;
const CELL: f64 = 0.02;
/// This much more of the area may be unlike its tone before tones must be chosen again. Our choice.
const MORE_UNLIKE: f64 = 0.02;
/// So far a tone's share may move. Our choice.
const SHARE_MOVED: f64 = 0.15;
/// A tone of more than the first share that falls below the second may be none any more. Our choice.
const WAS_A_TONE: f64 = 0.035;
const HARDLY_ONE: f64 = 0.015;

/// How the colours of a region were sorted into tones.
#[derive(Debug)]
pub struct SortedColours {
    sorting: Sorting,
    /// Colours that the user joined.
    alike: Vec<Vec<LabD65>>,
    then: Spread,
}

/// Where the points of each tone lie.
#[derive(Debug)]
struct Spread {
    shares: Vec<f64>,
    means: Vec<[f64; 3]>,
    /// For each tone the squared distance from its mean up to which colours are like it.
    reach: Vec<f64>,
    unlike: f64,
}

fn squared(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum()
}

/// Share and mean of the points of each tone.
fn means(points: &[WeightedColour], of_point: &[usize], tones: usize) -> Vec<(f64, [f64; 3])> {
    let mut sums = vec![(0.0, [0.0; 3]); tones];
    for (point, tone) in points.iter().zip(of_point) {
        let (share, sum) = &mut sums[*tone];
        *share += point.weight();
        for (sum, v) in sum.iter_mut().zip(point.at()) {
            *sum += point.weight() * v;
        }
    }
    for (share, sum) in &mut sums {
        *sum = sum.map(|v| if *share > 0.0 { v / *share } else { v });
    }
    sums
}

/// Share of the points that are farther from the mean of their tone than its reach.
fn unlike(points: &[WeightedColour], of_point: &[usize], means: &[[f64; 3]], reach: &[f64]) -> f64 {
    let sorted = points.iter().zip(of_point);
    sorted
        .filter(|(point, tone)| squared(point.at(), means[**tone]) > reach[**tone])
        .map(|(point, _)| point.weight())
        .sum()
}

impl SortedColours {
    pub(in crate::tones) fn of_sorting(
        sorting: Sorting,
        alike: &[Vec<LabD65>],
        points: &[WeightedColour],
        of_point: &[usize],
    ) -> Self {
        let (shares, means): (Vec<f64>, Vec<[f64; 3]>) =
            means(points, of_point, sorting.centres.len())
                .into_iter()
                .unzip();
        let mut squares = vec![0.0; shares.len()];
        for (point, tone) in points.iter().zip(of_point) {
            squares[*tone] += point.weight() * squared(point.at(), means[*tone]);
        }
        let reach: Vec<f64> = squares
            .iter()
            .zip(&shares)
            .map(|(sum, share)| {
                let distance = if *share > 0.0 {
                    (sum / share).sqrt()
                } else {
                    0.0
                };
                (LIKE * distance + CELL).powi(2)
            })
            .collect();
        let unlike = unlike(points, of_point, &means, &reach);
        Self {
            sorting,
            alike: alike.to_vec(),
            then: Spread {
                shares,
                means,
                reach,
                unlike,
            },
        }
    }

    pub(in crate::tones) fn centres(&self) -> &[[f64; 3]] {
        &self.sorting.centres
    }

    pub(in crate::tones) fn accents(&self) -> &[bool] {
        &self.sorting.accent
    }

    /// The tones of other bins, sorted as before; each moves as far as the mean of its colours has moved.
    ///
    /// `None` when the bins differ too much for that: colours have come that are like none of the tones, or the shares are
    /// no longer what they were. Then the tones must be chosen again.
    #[must_use]
    pub fn again(&self, bins: &[Bin]) -> Option<Tones> {
        let points = points_of(bins).ok()?;
        let of_point: Vec<usize> = points.iter().map(|p| self.sorting.tone(p.at())).collect();
        let now = means(&points, &of_point, self.centres().len());
        let then = &self.then;
        let too_far = now.iter().zip(&then.shares).any(|((now, _), then)| {
            (now - then).abs() > SHARE_MOVED || (*then >= WAS_A_TONE && *now < HARDLY_ONE)
        });
        if too_far
            || unlike(&points, &of_point, &then.means, &then.reach) > then.unlike + MORE_UNLIKE
        {
            return None;
        }
        let centres: Vec<[f64; 3]> = self
            .centres()
            .iter()
            .zip(now.iter().zip(&then.means))
            .map(|(centre, ((_, now), then))| std::array::from_fn(|i| centre[i] + now[i] - then[i]))
            .collect();
        let sorted = described(&points, &centres, of_point, (self.accents(), &self.alike));
        Some(thin_told(sorted, bins).tones)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{LinearSrgb, delta_e00};
    use crate::tones::{Count, sorted_to_hold};

    /// Two materials with some texture, `part` of the first, and `third` of another one.
    fn bins(part: f64, third: f64) -> Vec<Bin> {
        let heap = |r: f64, g: f64, b: f64, share: f64| {
            (0..60).map(move |i| {
                let off = 1.0 + 0.002 * f64::from(i % 10) + 0.001 * f64::from(i / 10);
                Bin {
                    light: LinearSrgb {
                        r: r * off,
                        g: g * off,
                        b: b * off,
                    },
                    pixels: 1e4 * share / 60.0,
                    near: 0.0,
                    unmixed: 0.0,
                    thin: 0.0,
                    codes: 0,
                }
            })
        };
        heap(0.3, 0.08, 0.05, part)
            .chain(heap(0.1, 0.17, 0.05, 1.0 - part))
            .chain(heap(0.1, 0.15, 0.6, third))
            .filter(|bin| bin.pixels > 0.0)
            .collect()
    }

    #[test]
    fn the_same_bins_give_the_same_tones_again() {
        for count in [Count::Chosen, Count::Exactly(3)] {
            let (sorted, held) = sorted_to_hold(&bins(0.4, 0.0), count, &[]).unwrap();
            let again = held.again(&bins(0.4, 0.0)).unwrap();
            assert_eq!(again.tones.len(), sorted.tones.tones.len());
            for (a, b) in again.tones.iter().zip(&sorted.tones.tones) {
                assert!(delta_e00(a.colour, b.colour).0 < 1e-6, "{a:?} {b:?}");
                assert!((a.share.value() - b.share.value()).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn shares_that_move_a_little_are_followed_and_what_is_new_is_not() {
        let (_, held) = sorted_to_hold(&bins(0.4, 0.0), Count::Chosen, &[]).unwrap();
        let moved = held.again(&bins(0.45, 0.0)).unwrap();
        let fresh = sorted_to_hold(&bins(0.45, 0.0), Count::Chosen, &[])
            .unwrap()
            .0;
        for (a, b) in moved.tones.iter().zip(&fresh.tones.tones) {
            assert!(delta_e00(a.colour, b.colour).0 < 0.2);
            assert!((a.share.value() - b.share.value()).abs() < 0.01);
        }
        assert_eq!(held.again(&bins(0.45, 0.1)), None, "a blue has come in");
        assert_eq!(held.again(&bins(0.7, 0.0)), None, "shares have turned");
        assert_eq!(held.again(&[]), None);
    }
}
