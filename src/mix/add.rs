//! What to add to a pot that did not dry to the colour it was mixed for. One can only add.

use super::approach::Approach;
use super::lanes::{PaintLane, colour_of};
use super::{PaintId, Shelf, Stock, StrengthFrom};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};
use crate::paint::{ColourSource, MixtureError, Prepared};

/// What to add to a pot.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// To this many parts in the pot …
    pub per_parts: u32,
    /// … this many parts of these paints, by place in [`Shelf::stocks`], most first.
    pub paints: Vec<(PaintId, u32)>,
    /// The colour that should come of it.
    pub colour: LabD65,
    /// Its difference from the colour planned.
    pub difference: DeltaE00,
}

impl Addition {
    /// Parts added in all.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.paints.iter().map(|(_, p)| p).sum()
    }
}

/// About how many parts of the pot additions are counted for: few parts if they are enough, more if paints are
/// strong.
const COUNTED_FOR: [u32; 3] = [10, 20, 40];
/// More than twice as much again is no mending: mix again. Our choice.
const AS_MUCH_AGAIN: f64 = 2.0;
/// What one more paint, one more part for every ten and a finer count cost besides the difference; a smaller
/// difference than the last figure counts as that, since no mix holds closer. Our choice.
const PER_PAINT: f64 = 0.4;
const PER_TENTH: f64 = 0.1;
const PER_COUNT: f64 = 0.005;
const NEAR_ENOUGH: f64 = 0.6;
/// Steps to the best real-valued amounts, and pairs that get a third paint.
const STEPS: usize = 8;
const BEST_PAIRS: usize = 24;
/// Paints added at most.
const MOST_ADDED: usize = 3;
/// Paints that are tried in pairs where two at most are wanted.
const BEST_ALONE: usize = 12;
/// Share at which a paint is first tried.
const FIRST_SHARE: f64 = 0.05;

/// The pot as one more paint, and the paints that may be stirred into it.
struct Mending {
    lanes: Vec<PaintLane>,
    planned: LabD65,
    counts: Vec<u32>,
    /// How many paints are added at most; where it is two, of those that alone help most.
    most_paints: usize,
    best: Option<(f64, Addition)>,
}

impl Shelf {
    /// The best additions to bring a pot, mixed in `parts` and dried to `seen`, near `planned`; `None`
    /// when no addition brings it nearer.
    ///
    /// The pot counts as a paint of the colour seen, that scatters as its paints do together.
    ///
    /// # Errors
    /// [`MixtureError`] when the pot is empty or its parts are no numbers.
    pub fn addition(
        &self,
        parts: &[(PaintId, f64)],
        seen: LabD65,
        planned: LabD65,
    ) -> Result<Option<Addition>, MixtureError> {
        self.addition_of(parts, (seen, planned), MOST_ADDED)
    }

    /// The same with one paint or two: what to stir into a little of the pot to vary it.
    ///
    /// # Errors
    /// As [`Shelf::addition`].
    pub fn small_addition(
        &self,
        parts: &[(PaintId, f64)],
        seen: LabD65,
        planned: LabD65,
    ) -> Result<Option<Addition>, MixtureError> {
        self.addition_of(parts, (seen, planned), 2)
    }

    fn addition_of(
        &self,
        parts: &[(PaintId, f64)],
        (seen, planned): (LabD65, LabD65),
        most_paints: usize,
    ) -> Result<Option<Addition>, MixtureError> {
        let mixed: Vec<(&Stock, f64)> = parts
            .iter()
            .filter_map(|(at, p)| Some((self.get(*at)?, *p)))
            .collect();
        let paints: Vec<(&Prepared, f64)> = mixed.iter().map(|(s, p)| (&s.prepared, *p)).collect();
        let pot = Prepared::of_pot(&paints, Xyz::from(seen))?;
        let Some((first, _)) = mixed.first() else {
            return Err(MixtureError::Empty);
        };
        let family = first.family;
        let pot = Stock {
            index: usize::MAX,
            name: String::new(),
            prepared: pot,
            source: ColourSource::Hex,
            opacity: None,
            strength: StrengthFrom::Nothing,
            family,
            thin: false,
        };
        let total: f64 = parts.iter().map(|(_, p)| p).sum();
        // A pot of one paint stays that paint, however much of it is added.
        let mut poured = parts.iter().filter(|(_, p)| *p > 0.0);
        let alone = match (poured.next(), poured.next()) {
            (Some((at, _)), None) => Some(*at),
            _ => None,
        };
        let mut lanes = vec![PaintLane::new(PaintId::NONE, &pot)];
        let others = self
            .paints()
            .filter(|at| self[*at].family == family && alone != Some(*at));
        lanes.extend(PaintLane::of_paints(self, others));
        let mut mending = Mending {
            lanes,
            planned,
            counts: counts(total),
            most_paints,
            best: None,
        };
        mending.search();
        let as_it_is = delta_e00(seen, planned).0;
        Ok(mending
            .best
            .map(|(_, addition)| addition)
            .filter(|addition| addition.difference.0 < as_it_is))
    }
}

/// Multiples of the recipe's own parts near the usual counts, so that additions can be given for the pot.
fn counts(total: f64) -> Vec<u32> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few parts, rounded"
    )]
    let whole = (total.round().clamp(1.0, 60.0)) as u32;
    let mut counts: Vec<u32> = COUNTED_FOR
        .iter()
        .map(|count| count.div_ceil(whole) * whole)
        .collect();
    counts.dedup();
    counts
}

impl Mending {
    fn search(&mut self) {
        let paints = 1..self.lanes.len();
        let mut alone: Vec<(f64, usize)> = Vec::new();
        for lane in paints.clone() {
            alone.push((self.approach(&[lane]), lane));
        }
        if self.most_paints < MOST_ADDED {
            alone.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            alone.truncate(BEST_ALONE);
            for (i, (_, one)) in alone.iter().enumerate() {
                for (_, other) in &alone[i + 1..] {
                    self.approach(&[*one, *other]);
                }
            }
            return;
        }
        let mut pairs: Vec<(f64, [usize; 2])> = Vec::new();
        for one in paints.clone() {
            for other in one + 1..self.lanes.len() {
                pairs.push((self.approach(&[one, other]), [one, other]));
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (_, [one, other]) in pairs.into_iter().take(BEST_PAIRS) {
            for third in paints.clone().filter(|lane| *lane != one && *lane != other) {
                self.approach(&[one, other, third]);
            }
        }
    }

    /// Finds the best real-valued amounts of these paints and keeps the best whole parts near them; gives how near the
    /// real-valued ones come.
    fn approach(&mut self, lanes: &[usize]) -> f64 {
        let mut parts = vec![(0, 1.0)];
        parts.extend(lanes.iter().map(|lane| (*lane, FIRST_SHARE)));
        let mut approach = Approach::from(&self.lanes, &parts);
        for _ in 0..STEPS {
            if approach.arrived {
                break;
            }
            approach.step(&self.lanes, self.planned);
        }
        let pot = approach.parts()[0].1;
        let amounts: Vec<f64> = approach.parts()[1..].iter().map(|(_, p)| p / pot).collect();
        for count in self.counts.clone() {
            self.round(lanes, &amounts, count);
        }
        delta_e00(approach.mix, self.planned).0
    }

    /// Each amount rounded down and up, to `count` parts of the pot.
    fn round(&mut self, lanes: &[usize], amounts: &[f64], count: u32) {
        for choice in 0..1_u32 << lanes.len() {
            let mut paints = Vec::new();
            let mut parts = vec![(0, f64::from(count))];
            for (i, (lane, amount)) in lanes.iter().zip(amounts).enumerate() {
                let exact = amount * f64::from(count);
                let whole = exact.floor() + f64::from((choice >> i) & 1);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "held in 0..=1000"
                )]
                let whole = whole.clamp(0.0, 1000.0) as u32;
                if whole > 0 {
                    paints.push((self.lanes[*lane].stock, whole));
                    parts.push((*lane, f64::from(whole)));
                }
            }
            let added: u32 = paints.iter().map(|(_, p)| p).sum();
            if added == 0 || f64::from(added) > AS_MUCH_AGAIN * f64::from(count) {
                continue;
            }
            let colour = colour_of(&self.lanes, &parts);
            let difference = delta_e00(colour, self.planned);
            #[expect(clippy::cast_precision_loss, reason = "at most three paints")]
            let cost = difference.0.max(NEAR_ENOUGH)
                + PER_PAINT * paints.len() as f64
                + PER_TENTH * 10.0 * f64::from(added) / f64::from(count)
                + PER_COUNT * f64::from(count);
            if self.best.as_ref().is_none_or(|(least, _)| cost < *least) {
                paints.sort_by_key(|(stock, p)| (std::cmp::Reverse(*p), *stock));
                self.best = Some((
                    cost,
                    Addition {
                        per_parts: count,
                        paints,
                        colour,
                        difference,
                    },
                ));
            }
        }
    }
}
