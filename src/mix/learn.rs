//! Learning tinting strengths from dried patches.
//!
//! In: a shelf and patches (parts, and the colour they dried to). Out: how much stronger or weaker each paint is than it
//! was taken to be. Only ratios of strength count in a mix, so a paint that nothing speaks of stays where it is.

use super::{Shelf, StrengthFrom};
use crate::colour::{LabD65, Spectrum};

/// A pot and the colour it dried to.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Place in [`Shelf::stocks`] and parts.
    pub parts: Vec<(usize, f64)>,
    /// The dried colour, as photographed or measured.
    pub seen: LabD65,
    /// How far that may be off, CIEDE2000.
    pub uncertainty: f64,
}

/// What patches tell of one paint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learnt {
    /// Place in [`Shelf::stocks`].
    pub stock: usize,
    /// Strength relative to what it was taken to be.
    pub factor: f64,
    /// Patches that hold it together with another paint.
    pub patches: usize,
}

/// How far, in natural logarithms, a typical paint's strength is from what a list lets one take: about a factor of two.
/// Our choice; the study's strengths fitted to measured watercolours spread as much.
pub(super) const SPREAD: f64 = 0.7;
/// Spread of a paint whose strength a let-down or the list tells already.
pub(super) const SPREAD_KNOWN: f64 = 0.15;
/// What the model itself misses of a mix, CIEDE2000, beside the patch's own error. Our choice.
const MODEL_ERROR: f64 = 2.5;
/// Rounds of least squares, and the step of its slopes.
const ROUNDS: usize = 12;
const STEP: f64 = 0.02;
/// No paint is taken to be more than so many times stronger or weaker. Our choice.
const FARTHEST: f64 = 8.0;

/// The strengths that best explain all patches together: least squares of their differences in CIELAB over the logarithms
/// of the strengths, each held by what is usual.
#[must_use]
pub fn learnt(shelf: &Shelf, patches: &[Patch]) -> Vec<Learnt> {
    learnt_of_one_paint(shelf, patches, &|at| at)
}

/// The same where several stocks are one paint, laid thin and thick for example: `paint_of` gives each its paint, told by
/// the place of one of its stocks, and all stocks of a paint share their factor.
#[must_use]
pub fn learnt_of_one_paint(
    shelf: &Shelf,
    patches: &[Patch],
    paint_of: &dyn Fn(usize) -> usize,
) -> Vec<Learnt> {
    let telling: Vec<Patch> = patches
        .iter()
        .filter(|patch| patch.parts.len() > 1)
        .cloned()
        .collect();
    let mut stocks: Vec<usize> = telling
        .iter()
        .flat_map(|patch| patch.parts.iter().map(|(at, _)| paint_of(*at)))
        .collect();
    stocks.sort_unstable();
    stocks.dedup();
    let unknown = Unknown {
        shelf,
        patches: &telling,
        stocks: &stocks,
        paint_of,
    };
    let mut logs = vec![0.0; stocks.len()];
    let mut now = unknown.cost(&logs);
    let mut damping = 1e-3;
    for _ in 0..ROUNDS {
        let Some(next) = unknown.improved(&logs, damping) else {
            break;
        };
        let there = unknown.cost(&next);
        if there < now {
            let gained = now - there;
            (logs, now) = (next, there);
            damping *= 0.3;
            if gained < 1e-6 * (1.0 + now) {
                break;
            }
        } else {
            damping = (damping * 10.0).max(1e-3);
        }
    }
    let factor_of = |paint: usize| {
        let at = stocks.iter().position(|stock| *stock == paint)?;
        Some(logs[at].exp())
    };
    (0..shelf.stocks.len())
        .filter_map(|stock| {
            let paint = paint_of(stock);
            Some(Learnt {
                stock,
                factor: factor_of(paint)?,
                patches: telling
                    .iter()
                    .filter(|patch| patch.parts.iter().any(|(at, _)| paint_of(*at) == paint))
                    .count(),
            })
        })
        .collect()
}

impl Shelf {
    /// The same shelf with strengths as learnt.
    #[must_use]
    pub fn with_learnt(&self, learnt: &[Learnt]) -> Self {
        let mut shelf = self.clone();
        for one in learnt {
            if let Some(stock) = shelf.stocks.get_mut(one.stock) {
                let scattering = stock.prepared.scattering;
                stock.prepared = stock
                    .prepared
                    .clone()
                    .with_scattering(Spectrum::new(scattering.values().map(|s| s * one.factor)));
                if stock.strength == StrengthFrom::Nothing {
                    stock.strength = StrengthFrom::List;
                }
            }
        }
        shelf
    }
}

/// What is looked for: the logarithm of one factor a paint.
struct Unknown<'a> {
    shelf: &'a Shelf,
    patches: &'a [Patch],
    stocks: &'a [usize],
    paint_of: &'a dyn Fn(usize) -> usize,
}

impl Unknown<'_> {
    /// Predicted less seen, over its error, three a patch; then each logarithm over its usual spread.
    fn misses(&self, logs: &[f64]) -> Vec<f64> {
        let shelf = self.shelf;
        let factor = |at: usize| {
            self.stocks
                .iter()
                .position(|stock| *stock == (self.paint_of)(at))
                .map_or(1.0, |i| logs[i].exp())
        };
        let mut all = Vec::new();
        for patch in self.patches {
            let paints: Vec<_> = patch
                .parts
                .iter()
                .filter_map(|(at, p)| {
                    let prepared = &shelf.stocks.get(*at)?.prepared;
                    let scaled = prepared.scattering.values().map(|s| s * factor(*at));
                    Some((prepared.clone().with_scattering(Spectrum::new(scaled)), *p))
                })
                .collect();
            let parts: Vec<_> = paints.iter().map(|(paint, p)| (paint, *p)).collect();
            let Ok(xyz) = crate::paint::opaque_mix(&parts) else {
                continue;
            };
            let (mix, seen) = (LabD65::from(xyz), patch.seen);
            // CIELAB overstates differences of colourful colours; CIEDE2000 divides chroma by about this.
            let colourful = 1.0 + 0.045 * f64::midpoint(mix.chroma(), seen.chroma());
            let error = patch.uncertainty.hypot(MODEL_ERROR);
            all.extend([
                (mix.l - seen.l) / error,
                (mix.a - seen.a) / (error * colourful),
                (mix.b - seen.b) / (error * colourful),
            ]);
        }
        all.extend(self.stocks.iter().zip(logs).map(|(at, log)| {
            let known = shelf
                .stocks
                .get(*at)
                .is_some_and(|stock| stock.strength != StrengthFrom::Nothing);
            log / if known { SPREAD_KNOWN } else { SPREAD }
        }));
        all
    }

    fn cost(&self, logs: &[f64]) -> f64 {
        self.misses(logs).iter().map(|v| v * v).sum()
    }

    /// One damped step; `None` when the equations have no solution.
    fn improved(&self, logs: &[f64], damping: f64) -> Option<Vec<f64>> {
        let here = self.misses(logs);
        let slopes: Vec<Vec<f64>> = (0..logs.len())
            .map(|i| {
                let mut nudged = logs.to_vec();
                nudged[i] += STEP;
                self.misses(&nudged)
                    .iter()
                    .zip(&here)
                    .map(|(there, here)| (there - here) / STEP)
                    .collect()
            })
            .collect();
        let count = logs.len();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let mut matrix: Vec<Vec<f64>> = (0..count)
            .map(|i| {
                let mut row: Vec<f64> = (0..count).map(|j| dot(&slopes[i], &slopes[j])).collect();
                row[i] *= 1.0 + damping;
                row.push(dot(&slopes[i], &here));
                row
            })
            .collect();
        let change = crate::linear::eliminated(&mut matrix)?;
        let farthest = FARTHEST.ln();
        Some(
            logs.iter()
                .zip(change)
                .map(|(log, delta)| (log - delta.clamp(-1.0, 1.0)).clamp(-farthest, farthest))
                .collect(),
        )
    }
}
