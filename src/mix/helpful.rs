//! Which one extra colour would help a list most.

use super::{Recipe, Search, Shelf, Stock, StrengthFrom};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00, is_farther};
use crate::paint::{ColourSource, Opacity, Prepared, opaque_mix};
use rayon::prelude::*;

/// A colour that, as one more opaque paint, would help most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Helpful {
    /// The colour of the paint; not of any product.
    pub colour: LabD65,
    /// Mean difference of the colours out of reach, as things are.
    pub before: DeltaE00,
    /// The same with that paint on the shelf, by mixes of it alone and with one or two others.
    pub after: DeltaE00,
    /// How many colours it would bring within reach.
    pub brought_within: usize,
}

/// Beyond this difference a colour counts as out of a list's reach. Our choice.
pub const OUT_OF_REACH: f64 = 6.0;
/// How far beyond a wanted colour, in steps of what it lacks, a paint is tried: one more colourful than the goal also
/// serves its neighbours, let down.
const BEYOND: [f64; 4] = [0.0, 0.5, 1.0, 2.0];
/// Parts of the new paint and of a known one.
const PARTS: [[f64; 2]; 9] = [
    [6.0, 1.0],
    [4.0, 1.0],
    [2.0, 1.0],
    [3.0, 2.0],
    [1.0, 1.0],
    [2.0, 3.0],
    [1.0, 2.0],
    [1.0, 4.0],
    [1.0, 8.0],
];
/// Most colours that paints are thought out for: the furthest out.
const MOST_TRIED: usize = 8;

impl Shelf {
    /// The colour of the one extra paint that would help most with colours out of reach; `None` when all is within,
    /// or nothing mixes.
    ///
    /// Paints are thought out near each colour out of reach and beyond it; the paint is taken as opaque and of typical
    /// strength. It is an estimate: mixes of it alone, with one paint, and with one paint in the best recipe are tried.
    #[must_use]
    pub fn most_helpful_colour(&self, targets: &[LabD65], search: &Search) -> Option<Helpful> {
        let search = Search {
            answers: 1,
            ..*search
        };
        let found = self.recipes_for_all(targets, &search);
        let first = targets.iter().zip(found);
        self.most_helpful_beyond(
            first
                .filter_map(|(target, recipes)| Some((*target, recipes.into_iter().next()?)))
                .collect(),
        )
    }

    /// The same where the best recipe of each colour is known.
    #[must_use]
    pub fn most_helpful_beyond(&self, found: Vec<(LabD65, Recipe)>) -> Option<Helpful> {
        let mut out = found;
        out.retain(|(_, recipe)| recipe.difference.0 > OUT_OF_REACH);
        out.sort_by(|a, b| b.1.difference.0.total_cmp(&a.1.difference.0));
        let before = mean(out.iter().map(|(_, recipe)| recipe.difference.0))?;
        let thought_out = out.iter().take(MOST_TRIED).flat_map(|(target, recipe)| {
            BEYOND.map(|by| {
                let (t, r) = (*target, recipe.colour);
                let away = |t: f64, r: f64| t + by * (t - r);
                let wished = LabD65::new(
                    away(t.l, r.l).clamp(8.0, 97.0),
                    away(t.a, r.a),
                    away(t.b, r.b),
                );
                LabD65::from(wished.to_srgb8())
            })
        });
        // All at once, and then chosen among in order.
        let thought_out: Vec<LabD65> = thought_out.collect();
        let judged: Vec<Helpful> = thought_out
            .into_par_iter()
            .map(|colour| {
                let with = self.with_one_more(colour);
                let each: Vec<f64> = out
                    .iter()
                    .map(|(target, recipe)| nearest(&with, *target, recipe))
                    .collect();
                Helpful {
                    colour,
                    before: DeltaE00(before),
                    after: DeltaE00(mean(each.iter().copied()).unwrap_or(before)),
                    brought_within: each.iter().filter(|d| **d <= OUT_OF_REACH).count(),
                }
            })
            .collect();
        judged
            .into_iter()
            .min_by(|a, b| {
                b.brought_within
                    .cmp(&a.brought_within)
                    .then(a.after.0.total_cmp(&b.after.0))
            })
            .filter(|best| best.after.0 < best.before.0)
    }

    /// The paints of the largest family and one more, of this colour, at the end.
    fn with_one_more(&self, colour: LabD65) -> Vec<Stock> {
        let Some((family, members)) = self.families.first() else {
            return Vec::new();
        };
        let mut stocks: Vec<Stock> = members.iter().map(|at| self[*at].clone()).collect();
        stocks.push(Stock {
            index: usize::MAX,
            name: String::new(),
            prepared: Prepared::from_colour(Xyz::from(colour), Some(Opacity::Opaque), 1.0),
            source: ColourSource::Hex,
            opacity: Some(Opacity::Opaque),
            strength: StrengthFrom::Nothing,
            family: *family,
            thin: false,
        });
        stocks
    }
}

/// How near the last of these paints brings a target, at most as far as it is already.
fn nearest(stocks: &[Stock], target: LabD65, recipe: &Recipe) -> f64 {
    let Some((new, known)) = stocks.split_last() else {
        return recipe.difference.0;
    };
    // What is known to be no nearer than the best is not worked out.
    let miss = |parts: &[(&Prepared, f64)], best: f64| {
        let mix = opaque_mix(parts).ok().map(LabD65::from);
        let mix = mix.filter(|mix| !is_farther(target, *mix, 0.0, best));
        mix.map_or(f64::INFINITY, |mix| delta_e00(target, mix).0)
    };
    let mut best = recipe.difference.0;
    best = best.min(miss(&[(&new.prepared, 1.0)], best));
    let mut with: Option<(&Prepared, [f64; 2])> = None;
    for stock in known {
        for parts in PARTS {
            let pair = [(&new.prepared, parts[0]), (&stock.prepared, parts[1])];
            let now = miss(&pair, best);
            if now < best {
                (best, with) = (now, Some((&stock.prepared, parts)));
            }
        }
    }
    if let Some((second, [p, q])) = with {
        for third in known {
            for r in [0.25, 0.5, 1.0] {
                let parts = [(&new.prepared, p), (second, q), (&third.prepared, r)];
                best = best.min(miss(&parts, best));
            }
        }
    }
    best
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    #[test]
    fn greys_are_helped_most_by_a_red_when_red_is_wanted() {
        let text = "name,hex,medium\nblack,#222222,acrylic\nwhite,#f0f0f0,acrylic\nochre,#b58a3c,acrylic\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let red = LabD65::new(42.0, 52.0, 32.0);
        let helpful = shelf
            .most_helpful_colour(&[red, LabD65::new(50.0, 0.0, 0.0)], &Search::default())
            .unwrap();
        assert!(helpful.colour.a > 40.0, "{helpful:?}");
        assert!(
            helpful.after.0 < 3.0 && helpful.brought_within == 1,
            "{helpful:?}"
        );
        let grey = [LabD65::new(50.0, 0.0, 0.0)];
        assert!(
            shelf
                .most_helpful_colour(&grey, &Search::default())
                .is_none()
        );
    }
}
