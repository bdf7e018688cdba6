//! Learning from dried patches: how strongly paints tint, and what their colours really are.
//!
//! In: a shelf and patches (parts, and the colour they dried to). Out: what the program assumes of each paint from
//! then on, or nothing. Learning must not hurt, so it has three conditions, all from the patches themselves: the list
//! must miss them by more than their photos may be off; the posterior must predict left-out patches better than the
//! list does; and by more than chance. Only ratios of strength count in a mix, so a paint without evidence stays as
//! it is.

use super::unknown::{listed_error, strength_spread};
use super::{PaintId, Shelf, Stock, StrengthFrom};
use crate::colour::{BANDS, LabD65, Spectrum, Xyz, delta_e00};
use crate::paint::{ColourSource, Prepared, opaque_mix};

/// A pot and the colour it dried to.
#[derive(Debug, Clone, PartialEq)]
pub struct DriedPot {
    /// Place in [`Shelf::stocks`] and parts.
    pub parts: Vec<(PaintId, f64)>,
    /// The dried colour, as photographed or measured.
    pub seen: LabD65,
    /// How far that may be off, CIEDE2000.
    pub uncertainty: f64,
}

/// What patches show of one paint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learnt {
    /// The paint.
    pub stock: PaintId,
    /// Strength relative to the assumed one.
    pub factor: f64,
    /// Its more likely colour, if the patches show colours too.
    pub colour: Option<LabD65>,
    /// Patches that hold it together with another paint.
    pub patches: usize,
}

/// The error of the model itself, CIEDE2000, besides the patch's own error. Our choice.
pub(super) const MODEL_ERROR: f64 = 2.5;
/// Rounds of least squares; fewer while patches are left out.
const ROUNDS: usize = 12;
const ROUNDS_LEFT_OUT: usize = 6;
/// Steps of its slopes: in the logarithm of a strength, and in CIELAB.
const STEP: f64 = 0.02;
const COLOUR_STEP: f64 = 0.5;
/// No paint may be more than this many times stronger or weaker, or farther off in colour. Our choice.
const FARTHEST: f64 = 8.0;
const FARTHEST_COLOUR: f64 = 15.0;
/// Fewer pots cannot predict left-out ones; more parts than this are left out no more singly.
const POTS_NEEDED: usize = 3;
const MOST_FOLDS: usize = 10;

/// What may be learnt of a paint: its strength, and its colour on three axes.
const OF_A_PAINT: usize = 4;

/// What is let free. Colours go with a wider spread of strengths: few patches can separate the one from the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Free {
    Strengths,
    StrengthsAndColours,
}

impl Free {
    /// The spread of what may be learnt of a stock; 0 for what stays as it is.
    fn spreads(self, stock: &Stock) -> [f64; OF_A_PAINT] {
        let strength = strength_spread(stock);
        match self {
            Self::Strengths => [strength, 0.0, 0.0, 0.0],
            Self::StrengthsAndColours => {
                // What was measured stands, and so does what a let-down was fitted to.
                let stands =
                    stock.source != ColourSource::Hex || stock.strength == StrengthFrom::LetDown;
                let axis = if stands {
                    0.0
                } else {
                    listed_error(stock) / 3.0_f64.sqrt()
                };
                [WIDER * strength, axis, axis, axis]
            }
        }
    }
}

/// How much wider strengths spread where colours are free too. Our choice, by drawn worlds.
const WIDER: f64 = 1.4;

/// What explains all patches together best: least squares of their differences over the logarithms of the strengths
/// and, if that predicts better, over the colours; usual values hold each of them; empty where the list as it stands
/// is no worse.
///
/// # Source
/// Stone 1974, *Cross-validatory choice and assessment of statistical predictions*; that a gain must exceed its standard
/// error is common practice.
#[must_use]
pub fn learnt(shelf: &Shelf, patches: &[DriedPot]) -> Vec<Learnt> {
    learnt_of_one_paint(shelf, patches, &|at| at)
}

/// The same where several stocks are one paint, laid thin and thick for example: `paint_of` gives each its paint, told by
/// the place of one of its stocks, and all stocks of a paint share what is learnt.
#[must_use]
pub fn learnt_of_one_paint(
    shelf: &Shelf,
    patches: &[DriedPot],
    paint_of: &dyn Fn(PaintId) -> PaintId,
) -> Vec<Learnt> {
    let telling: Vec<&DriedPot> = patches
        .iter()
        .filter(|patch| patch.parts.len() > 1)
        .filter(|patch| patch.parts.iter().all(|(at, _)| shelf.get(*at).is_some()))
        .collect();
    let bench = LearningBench::new(shelf, paint_of);
    let Some(free) = bench.better_than_the_list(&telling) else {
        return Vec::new();
    };
    let fit = bench.fitted(&telling, free, ROUNDS);
    shelf
        .paints()
        .filter_map(|stock| {
            let paint = paint_of(stock);
            let at = fit.paints.iter().position(|other| *other == paint)?;
            let [log, l, a, b] = fit.moved[at];
            let own = shelf[stock].prepared.lab;
            Some(Learnt {
                stock,
                factor: log.exp(),
                colour: (l.abs() + a.abs() + b.abs() > 0.0).then(|| shifted(own, [l, a, b])),
                patches: telling
                    .iter()
                    .filter(|patch| patch.parts.iter().any(|(at, _)| paint_of(*at) == paint))
                    .count(),
            })
        })
        .collect()
}

fn shifted(colour: LabD65, [l, a, b]: [f64; 3]) -> LabD65 {
    LabD65::new((colour.l + l).clamp(1.0, 99.0), colour.a + a, colour.b + b)
}

/// A paint of another colour that scatters as it does.
fn recoloured(paint: &Prepared, colour: LabD65) -> Prepared {
    Prepared::of_pot(&[(paint, 1.0)], Xyz::from(colour)).unwrap_or_else(|_| paint.clone())
}

impl Shelf {
    /// The same shelf as learnt.
    #[must_use]
    pub fn with_learnt(&self, learnt: &[Learnt]) -> Self {
        let mut shelf = self.clone();
        for one in learnt {
            if let Some(stock) = shelf.stocks.get_mut(one.stock.place()) {
                if let Some(colour) = one.colour {
                    stock.prepared = recoloured(&stock.prepared, colour);
                }
                let scattering = stock.prepared.scattering.map(|s| s * one.factor);
                stock.prepared = stock.prepared.clone().with_scattering(scattering);
                if stock.strength == StrengthFrom::Nothing {
                    stock.strength = StrengthFrom::List;
                }
            }
        }
        shelf
    }
}

/// The paints of a shelf and how each changes with its colour.
struct LearningBench<'a> {
    shelf: &'a Shelf,
    paint_of: &'a dyn Fn(PaintId) -> PaintId,
    /// Change of ln(K/S) a band with L*, a*, b*, a stock.
    slopes: Vec<[[f64; BANDS]; 3]>,
}

/// What was fitted: by paint, in the order of `paints`.
#[derive(Clone)]
struct LearntFit {
    paints: Vec<PaintId>,
    moved: Vec<[f64; OF_A_PAINT]>,
}

impl<'a> LearningBench<'a> {
    fn new(shelf: &'a Shelf, paint_of: &'a dyn Fn(PaintId) -> PaintId) -> Self {
        let slopes = shelf
            .stocks
            .iter()
            .map(|stock| {
                std::array::from_fn(|axis| {
                    let log = |by: f64| {
                        let mut off = [0.0; 3];
                        off[axis] = by;
                        let there = recoloured(&stock.prepared, shifted(stock.prepared.lab, off));
                        there.k_over_s.map(|q| q.max(1e-12).ln())
                    };
                    let (up, down) = (log(COLOUR_STEP), log(-COLOUR_STEP));
                    std::array::from_fn(|i| {
                        (up.values()[i] - down.values()[i]) / (2.0 * COLOUR_STEP)
                    })
                })
            })
            .collect();
        Self {
            shelf,
            paint_of,
            slopes,
        }
    }

    /// A stock as moved.
    fn moved(&self, at: PaintId, [log, l, a, b]: [f64; OF_A_PAINT]) -> Prepared {
        let mut paint = self.shelf[at].prepared.clone();
        let slopes = &self.slopes[at.place()];
        paint.k_over_s = Spectrum::new(std::array::from_fn(|i| {
            let change = l * slopes[0][i] + a * slopes[1][i] + b * slopes[2][i];
            paint.k_over_s.values()[i] * change.clamp(-4.0, 4.0).exp()
        }));
        let scattering = paint.scattering.map(|s| s * log.exp());
        paint.with_scattering(scattering)
    }

    /// What a pot should dry to.
    fn foretold(&self, fit: &LearntFit, patch: &DriedPot) -> LabD65 {
        let paints: Vec<(Prepared, f64)> = (patch.parts.iter())
            .map(|(at, p)| {
                let of = (self.paint_of)(*at);
                let known = fit.paints.iter().position(|paint| *paint == of);
                let moved = known.map_or([0.0; OF_A_PAINT], |i| fit.moved[i]);
                (self.moved(*at, moved), *p)
            })
            .collect();
        let parts: Vec<(&Prepared, f64)> = paints.iter().map(|(paint, p)| (paint, *p)).collect();
        opaque_mix(&parts).map_or(patch.seen, LabD65::from)
    }

    /// What to set free so that left-out patches are predicted better than by the list; `None` if nothing helps.
    fn better_than_the_list(&self, patches: &[&DriedPot]) -> Option<Free> {
        let pots = groups(patches);
        let count = pots.iter().max().map_or(0, |last| last + 1);
        if count < POTS_NEEDED {
            return None;
        }
        let none = LearntFit {
            paints: Vec::new(),
            moved: Vec::new(),
        };
        let off =
            |fit: &LearntFit, patch: &DriedPot| delta_e00(self.foretold(fit, patch), patch.seen).0;
        let by_list: Vec<f64> = patches.iter().map(|patch| off(&none, patch)).collect();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred patches")]
        let n = patches.len() as f64;
        // A list that is right misses a patch by what its photo may be off: 1 on average, in these squares.
        let squares: f64 = (by_list.iter().zip(patches))
            .map(|(off, patch)| (off / patch.uncertainty.max(0.1)).powi(2))
            .sum();
        if squares <= n + (2.0 * n / 3.0).sqrt() {
            return None;
        }
        let folds = count.min(MOST_FOLDS);
        let gain = |free: Free| -> Option<f64> {
            let mut gains = vec![0.0; patches.len()];
            for fold in 0..folds {
                let out = |i: &usize| pots[*i] % folds == fold;
                let (left, kept): (Vec<usize>, Vec<usize>) = (0..patches.len()).partition(out);
                let kept: Vec<&DriedPot> = kept.into_iter().map(|i| patches[i]).collect();
                let fit = self.fitted(&kept, free, ROUNDS_LEFT_OUT);
                for i in left {
                    gains[i] = by_list[i].powi(2) - off(&fit, patches[i]).powi(2);
                }
            }
            let mean = gains.iter().sum::<f64>() / n;
            let spread = gains.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / (n - 1.0);
            (mean > (spread / n).sqrt()).then_some(mean)
        };
        [Free::Strengths, Free::StrengthsAndColours]
            .into_iter()
            .filter_map(|free| Some((gain(free)?, free)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, free)| free)
    }

    fn fitted(&self, patches: &[&DriedPot], free: Free, rounds: usize) -> LearntFit {
        let mut paints: Vec<PaintId> = (patches.iter())
            .flat_map(|patch| patch.parts.iter().map(|(at, _)| (self.paint_of)(*at)))
            .collect();
        paints.sort_unstable();
        paints.dedup();
        let spreads = (paints.iter())
            .map(|paint| free.spreads(&self.shelf[*paint]))
            .collect();
        let mut fit = LearntFit {
            moved: vec![[0.0; OF_A_PAINT]; paints.len()],
            paints,
        };
        Squares {
            bench: self,
            patches,
            spreads,
        }
        .lessen(&mut fit, rounds);
        fit
    }
}

/// The pot of each patch, numbered: dabs of one pot predict each other and are left out together.
fn groups(patches: &[&DriedPot]) -> Vec<usize> {
    let shares = |patch: &DriedPot| {
        let total: f64 = patch.parts.iter().map(|(_, p)| p).sum();
        let mut shares: Vec<(PaintId, f64)> = (patch.parts.iter())
            .map(|(at, p)| (*at, (1e6 * p / total).round()))
            .collect();
        shares.sort_by_key(|(at, _)| *at);
        shares
    };
    let mut known: Vec<Vec<(PaintId, f64)>> = Vec::new();
    patches
        .iter()
        .map(|patch| {
            let own = shares(patch);
            known
                .iter()
                .position(|other| *other == own)
                .unwrap_or_else(|| {
                    known.push(own);
                    known.len() - 1
                })
        })
        .collect()
}

/// The sum that is made small: squares of the patches' differences over their errors, and of the learnt changes over
/// the usual ones.
struct Squares<'a> {
    bench: &'a LearningBench<'a>,
    patches: &'a [&'a DriedPot],
    spreads: Vec<[f64; OF_A_PAINT]>,
}

impl Squares<'_> {
    /// What a patch is missed by on three axes, over its error.
    fn misses(&self, fit: &LearntFit, patch: &DriedPot) -> [f64; 3] {
        let (mix, seen) = (self.bench.foretold(fit, patch), patch.seen);
        // CIELAB overstates differences of colourful colours; CIEDE2000 divides chroma by about this.
        let colourful = 1.0 + 0.045 * f64::midpoint(mix.chroma(), seen.chroma());
        let error = patch.uncertainty.hypot(MODEL_ERROR);
        [
            (mix.l - seen.l) / error,
            (mix.a - seen.a) / (error * colourful),
            (mix.b - seen.b) / (error * colourful),
        ]
    }

    fn sum(&self, fit: &LearntFit) -> f64 {
        let patches = self
            .patches
            .iter()
            .flat_map(|patch| self.misses(fit, patch));
        let held = (fit.moved.iter().zip(&self.spreads)).flat_map(|(moved, spreads)| {
            (moved.iter().zip(spreads))
                .filter(|(_, spread)| **spread > 0.0)
                .map(|(moved, spread)| moved / spread)
        });
        patches.chain(held).map(|v| v * v).sum()
    }

    /// Damped Gauss–Newton.
    fn lessen(&self, fit: &mut LearntFit, rounds: usize) {
        let mut now = self.sum(fit);
        let mut damping = 1e-3;
        for _ in 0..rounds {
            let Some(next) = self.step(fit, damping) else {
                return;
            };
            let there = self.sum(&next);
            if there < now {
                let gained = now - there;
                (*fit, now) = (next, there);
                damping *= 0.3;
                if gained < 1e-5 * (1.0 + now) {
                    return;
                }
            } else {
                damping = (damping * 10.0).max(1e-3);
            }
        }
    }

    /// One step; `None` when the equations have no solution.
    fn step(&self, fit: &LearntFit, damping: f64) -> Option<LearntFit> {
        // What is free, as paint and place within it.
        let free: Vec<(usize, usize)> = (self.spreads.iter().enumerate())
            .flat_map(|(paint, spreads)| {
                (0..OF_A_PAINT)
                    .filter(|what| spreads[*what] > 0.0)
                    .map(move |what| (paint, what))
            })
            .collect();
        let mut rows = vec![vec![0.0; free.len() + 1]; free.len()];
        for patch in self.patches {
            let here = self.misses(fit, patch);
            let holds = |paint: usize| {
                (patch.parts.iter()).any(|(at, _)| (self.bench.paint_of)(*at) == fit.paints[paint])
            };
            let slopes: Vec<(usize, [f64; 3])> = (free.iter().enumerate())
                .filter(|(_, (paint, _))| holds(*paint))
                .map(|(i, (paint, what))| {
                    let step = if *what == 0 { STEP } else { COLOUR_STEP };
                    let mut nudged = fit.clone();
                    nudged.moved[*paint][*what] += step;
                    let there = self.misses(&nudged, patch);
                    (i, std::array::from_fn(|c| (there[c] - here[c]) / step))
                })
                .collect();
            let dot = |a: &[f64; 3], b: &[f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
            for (i, one) in &slopes {
                for (k, other) in &slopes {
                    rows[*i][*k] += dot(one, other);
                }
                rows[*i][free.len()] += dot(one, &here);
            }
        }
        for (i, (paint, what)) in free.iter().enumerate() {
            let spread = self.spreads[*paint][*what];
            rows[i][i] += 1.0 / (spread * spread);
            rows[i][i] *= 1.0 + damping;
            rows[i][free.len()] += fit.moved[*paint][*what] / (spread * spread);
        }
        let change = crate::linear::eliminated(&mut rows)?;
        let mut moved = fit.moved.clone();
        for ((paint, what), delta) in free.into_iter().zip(change) {
            let (longest, farthest) = if what == 0 {
                (1.0, FARTHEST.ln())
            } else {
                (5.0, FARTHEST_COLOUR)
            };
            let value = &mut moved[paint][what];
            *value = (*value - delta.clamp(-longest, longest)).clamp(-farthest, farthest);
        }
        Some(LearntFit {
            paints: fit.paints.clone(),
            moved,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    /// CIE 116-1995 (CIE94): differences of chroma count less by 1 + 0.045 C*; the errors of a patch and of the model add up
    /// as squares.
    #[test]
    fn a_patch_is_missed_in_lightness_and_in_colour_by_what_one_sees_of_it() {
        let list = "name,hex\nred,#a03020\nyellow,#c9a030\n";
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let pots: Vec<PaintId> = shelf.paints().collect();
        let bench = LearningBench::new(&shelf, &|at| at);
        let none = LearntFit {
            paints: Vec::new(),
            moved: Vec::new(),
        };
        let mut patch = DriedPot {
            parts: vec![(pots[0], 1.0), (pots[1], 2.0)],
            seen: LabD65::new(50.0, 0.0, 0.0),
            uncertainty: 6.0,
        };
        let mix = bench.foretold(&none, &patch);
        patch.seen = LabD65::new(mix.l - 3.0, mix.a + 4.0, mix.b - 5.0);
        let squares = Squares {
            bench: &bench,
            patches: &[],
            spreads: Vec::new(),
        };
        // 6² + 2.5² = 6.5².
        let colourful = 1.0 + 0.045 * (mix.chroma() + patch.seen.chroma()) / 2.0;
        let by_hand = [3.0 / 6.5, -4.0 / (6.5 * colourful), 5.0 / (6.5 * colourful)];
        let missed = squares.misses(&none, &patch);
        for (missed, by_hand) in missed.iter().zip(by_hand) {
            assert!((missed - by_hand).abs() < 1e-9, "{missed} {by_hand}");
        }
    }
}
