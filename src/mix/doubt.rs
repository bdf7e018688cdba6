//! How far a mix may be from its prediction: carries the uncertainty of each paint through the mix.
//!
//! One principle for recipes, pots and additions. Of each paint three things are not quite known: how strongly it tints,
//! what colour it has, and how much of it was counted out. Strengths and counts move the mix each by their own slope, and the
//! squares add up; colours are too light or too dark together, so that their slopes add up first. The root of the mean square is also, within a tenth, the figure that two in three stay below.

use super::lanes::{LaneSums, MOST, PaintLane};
use super::{PaintId, Shelf, Stock};
use crate::colour::{BANDS, DeltaE00, LabD65, LabSlope, SmallDifferences, Xyz, d65_sums};
use crate::paint::endless_layer_slopes;

/// A part counted out is off evenly by up to half a part: the standard deviation of that.
const OF_A_PART: f64 = 0.288_675;

/// The square of how far a mix may be off, CIEDE2000, near the colour that `near` is about; the sums of its parts and
/// its colour are known. `None` as soon as the sum so far is not `within`: it only grows.
pub(super) fn doubt_within(
    lanes: &[PaintLane],
    parts: &[(usize, f64)],
    (sums, seen): (&LaneSums, Xyz),
    near: &SmallDifferences,
    within: impl Fn(f64) -> bool,
) -> Option<f64> {
    let (mut by_absorption, mut by_scattering) = ([0.0; BANDS], [0.0; BANDS]);
    for i in 0..BANDS {
        let (k, s) = (sums.absorption[i], sums.scattering[i]);
        (by_absorption[i], by_scattering[i]) = endless_layer_slopes(k, s);
    }
    let to_lab = LabSlope::at(seen);
    // What a change of the bands does to the mix, times the parts it comes with.
    let square_of = |change: &[f64; BANDS], parts: f64| {
        let seen = (1.0 - sums.means.mirror) * parts;
        near.square_of(to_lab.change_with(d65_sums(change).map(|v| seen * v)))
    };
    let least = parts.iter().map(|(_, p)| *p).fold(1.0, f64::min).max(1e-9);
    let mut square = 0.0;
    for (lane, p) in parts.iter().take(MOST) {
        let lane = &lanes[*lane];
        let mut stronger = [0.0; BANDS];
        for i in 0..BANDS {
            stronger[i] =
                by_absorption[i] * lane.absorption[i] + by_scattering[i] * lane.scattering[i];
        }
        let counted = OF_A_PART * least / p;
        let spread = lane.strength * lane.strength + counted * counted;
        square += spread * square_of(&stronger, *p);
        if !within(square) {
            return None;
        }
    }
    let mut lighter = [0.0; BANDS];
    for (lane, p) in parts.iter().take(MOST) {
        let lane = &lanes[*lane];
        for i in 0..BANDS {
            lighter[i] += p * (by_absorption[i] * lane.swatch[i]);
        }
    }
    let all = square + square_of(&lighter, 1.0);
    within(all).then_some(all)
}

/// The figure to quote with a mix, "two in three": see the head of this file. One paint alone has its list's error
/// only.
#[must_use]
pub fn uncertainty(shelf: &Shelf, parts: &[(PaintId, f64)], mix: LabD65) -> DeltaE00 {
    let used: Vec<(&Stock, f64)> = parts
        .iter()
        .filter(|(_, p)| *p > 0.0)
        .filter_map(|(at, p)| Some((shelf.get(*at)?, *p)))
        .collect();
    let lanes: Vec<PaintLane> = used
        .iter()
        .map(|(stock, _)| PaintLane::new(PaintId::NONE, stock))
        .collect();
    let parts: Vec<(usize, f64)> = used
        .iter()
        .enumerate()
        .map(|(lane, (_, p))| (lane, *p))
        .collect();
    if parts.is_empty() {
        return DeltaE00(0.0);
    }
    let sums = LaneSums::of_parts(&lanes, &parts);
    let near = SmallDifferences::about(mix);
    let all = |_| true;
    let square = doubt_within(&lanes, &parts, (&sums, sums.seen()), &near, all);
    DeltaE00(square.unwrap_or_default().sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    #[test]
    fn a_doubt_is_given_up_only_where_all_of_it_is_too_much() {
        let text =
            "name,hex,opacity\nred,#a03028,opaque\nwhite,#f4f4f0,\nblue,#24406a,transparent\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let lanes = PaintLane::of_paints(&shelf, shelf.paints());
        for parts in [
            vec![(0, 1.0)],
            vec![(1, 3.0), (2, 1.0)],
            vec![(0, 2.0), (1, 5.0), (2, 1.0)],
        ] {
            let sums = LaneSums::of_parts(&lanes, &parts);
            let near = SmallDifferences::about(sums.colour());
            let doubt = |most: f64| {
                doubt_within(&lanes, &parts, (&sums, sums.seen()), &near, |d| d <= most)
            };
            let whole = doubt(f64::INFINITY).unwrap();
            assert!(whole > 0.0);
            for part in [0.01, 0.5, 0.99, 1.0, 1.01, 3.0] {
                let given = doubt(part * whole);
                assert_eq!(given, (part >= 1.0).then_some(whole), "{parts:?} {part}");
            }
        }
    }
}
