//! What one more paint would gain: it looks only at mixes with that paint, at each once for all colours.

use super::super::approach::{ROUGH, rough_colour};
use super::super::lanes::{PaintLane, colour_of};
use super::super::ratios::{coprime_ratios, subsets};
use super::super::search::{FUSS, covers, trouble};
use super::super::{PaintId, Recipe, Search, Shelf};
use crate::colour::{LabD65, delta_e00, is_farther};

/// How near a mix comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Near {
    /// With its trouble, as `Rank::ClosestOnPaper` has it.
    rank: f64,
    /// CIEDE2000.
    off: f64,
}

impl Near {
    pub(super) fn of_recipe(recipe: &Recipe) -> Self {
        Self {
            rank: recipe.rank,
            off: recipe.difference.0,
        }
    }
}

/// The mean difference of those colours that something is mixed for.
pub(super) fn mean(nearest: &[Option<Near>]) -> f64 {
    let found = || nearest.iter().flatten();
    #[expect(clippy::cast_precision_loss, reason = "a few dozen colours")]
    let count = found().count().max(1) as f64;
    found().map(|near| near.off).sum::<f64>() / count
}

/// Colours that mixes are wanted for, each with how near the best mix comes so far.
#[derive(Clone, Copy)]
pub(super) struct BestSoFar<'a> {
    pub(super) targets: &'a [LabD65],
    pub(super) best: &'a [Option<Near>],
}

/// How near the best mixes of up to three paints come with one paint more; `so_far` is how near they come without it.
pub(super) fn with_one_more(
    shelf: &Shelf,
    kept: &[PaintId],
    more: PaintId,
    so_far: BestSoFar<'_>,
    search: &Search,
) -> Vec<Option<Near>> {
    let mut best = so_far.best.to_vec();
    let family = shelf[more].family;
    let stirred = |at: &&PaintId| shelf[**at].family == family;
    let with_it = kept.iter().filter(stirred).copied();
    let lanes = PaintLane::of_paints(shelf, std::iter::once(more).chain(with_it));
    for count in 1..=search.most_paints.min(3) {
        let ratios = coprime_ratios(count, search.most_parts);
        for others in subsets(lanes.len() - 1, count - 1) {
            let picked = || std::iter::once(0).chain(others.iter().map(|other| other + 1));
            for ratio in &ratios {
                if !covers(picked().map(|lane| &lanes[lane]).zip(ratio.iter().copied())) {
                    continue;
                }
                let parts: Vec<(usize, f64)> = picked()
                    .zip(ratio.iter().map(|part| f64::from(*part)))
                    .collect();
                let total = parts.iter().map(|(_, part)| part).sum();
                let fuss = FUSS * trouble(count, total);
                let rough = rough_colour(&lanes, &parts);
                let mut exact = None;
                for (best, target) in best.iter_mut().zip(so_far.targets) {
                    let to_beat = best.map_or(f64::INFINITY, |best| best.rank);
                    if !is_farther(*target, rough, ROUGH, to_beat - fuss) {
                        let mix = *exact.get_or_insert_with(|| colour_of(&lanes, &parts));
                        let off = delta_e00(*target, mix).0;
                        if off + fuss < to_beat {
                            *best = Some(Near {
                                rank: off + fuss,
                                off,
                            });
                        }
                    }
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mix::Rank;
    use crate::paint::PaintList;
    use std::fmt::Write;

    #[test]
    fn one_more_paint_gains_what_the_plain_search_says() {
        let mut list = "name,hex,medium\n".to_owned();
        let media = ["acrylic", "acrylic", "acrylic", "enamel", "ink"];
        for n in 0_u64..15 {
            let random = (n + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40;
            let medium = media[usize::try_from(n).unwrap() % media.len()];
            let _ = writeln!(list, "paint {n},#{random:06x},{medium}");
        }
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let targets: Vec<LabD65> = (0..12)
            .map(f64::from)
            .map(|i| LabD65::new(20.0 + 5.0 * i, 12.0 - 2.0 * i, 4.0 * (i - 3.0)))
            .collect();
        for most_paints in 1..=3 {
            let search = Search {
                rank: Rank::ClosestOnPaper,
                answers: 1,
                most_paints,
                ..Search::default()
            };
            let plain = |stocks: &[PaintId]| -> Vec<Option<Near>> {
                let found = shelf.only(stocks).recipes_for_all(&targets, &search);
                found
                    .iter()
                    .map(|r| r.first().map(Near::of_recipe))
                    .collect()
            };
            let kept: Vec<PaintId> = shelf.paints().take(9).collect();
            let best = plain(&kept);
            let so_far = BestSoFar {
                targets: &targets,
                best: &best,
            };
            for more in shelf.paints().skip(9) {
                let quick = with_one_more(&shelf, &kept, more, so_far, &search);
                let plain = plain(&[&kept[..], &[more]].concat());
                for (quick, plain) in quick.iter().zip(&plain) {
                    let (quick, plain) = (quick.unwrap(), plain.unwrap());
                    assert!(
                        (quick.rank - plain.rank).abs() < 1e-9,
                        "{quick:?} {plain:?}"
                    );
                    assert!((quick.off - plain.off).abs() < 1e-5, "{quick:?} {plain:?}");
                }
            }
        }
    }
}
