//! What several readings of a pot tell together: the strengths of its paints, and how the pot reads now.
//!
//! Readings in one light share the error of that light, and what the model gets wrong of the pot. So the steps between
//! them are known far better than their places: what an addition did shows how strong the paints are.

use super::learn::MODEL_ERROR;
use super::unknown::strength_spread;
use super::{PaintId, Shelf};
use crate::colour::{DeltaE00, LabD65};
use crate::linear::eliminated;
use crate::paint::{MixtureError, Prepared, opaque_mix};

/// A pot, and how a patch of it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct PotRead {
    /// Places in [`Shelf::stocks`] and parts.
    pub parts: Vec<(PaintId, f64)>,
    /// The colour read.
    pub seen: LabD65,
}

/// What readings of one pot in one light tell.
#[derive(Debug, Clone)]
pub struct PotTold {
    /// The shelf with the strengths that explain them best.
    pub shelf: Shelf,
    /// How the pot of the last reading should read: as its photo shows it, evened out by the others.
    pub reads: LabD65,
}

/// By how much two readings of one patch in one light differ on each axis, CIEDE2000: photos beside a true print were read
/// within 1.2 (`tests/FIGURES.md`).
const READ_AGAIN: f64 = 1.0;
/// Rounds of least squares, and the step of its slopes in the logarithm of a strength.
const ROUNDS: usize = 8;
const STEP: f64 = 0.01;
/// No step is longer, in natural logarithms.
const LONGEST: f64 = 0.7;

impl Shelf {
    /// What readings of one pot, before and after additions, tell together; the last one is of the pot as it is. `light` is
    /// how far all of them may be off together.
    ///
    /// Least squares: usual spreads hold the strengths; what all readings are off by together counts by `light`, what each
    /// is off by besides by what a reading differs from the next.
    ///
    /// # Errors
    /// [`MixtureError`] when a pot is empty or its parts are no numbers.
    pub fn told_by_readings(
        &self,
        readings: &[PotRead],
        light: DeltaE00,
    ) -> Result<PotTold, MixtureError> {
        let mut paints: Vec<PaintId> = (readings.iter())
            .flat_map(|read| read.parts.iter().map(|(at, _)| *at))
            .filter(|at| self.get(*at).is_some())
            .collect();
        paints.sort_unstable();
        paints.dedup();
        let fit = StrengthFit {
            shelf: self,
            readings,
            paints,
            together: light.0.hypot(MODEL_ERROR),
        };
        fit.best_explained()
    }
}

/// The strengths that are looked for.
struct StrengthFit<'a> {
    shelf: &'a Shelf,
    readings: &'a [PotRead],
    paints: Vec<PaintId>,
    /// What all readings may be off by together: their light, and what the model gets wrong of the pot.
    together: f64,
}

impl StrengthFit<'_> {
    fn best_explained(&self) -> Result<PotTold, MixtureError> {
        let mut logs = vec![0.0; self.paints.len()];
        let mut here = self.misses(&logs)?;
        for _ in 0..ROUNDS {
            let Some(next) = self.step(&logs, &here)? else {
                break;
            };
            let there = self.misses(&next)?;
            if squares(&there) >= squares(&here) {
                break;
            }
            (logs, here) = (next, there);
        }
        let mut shelf = self.shelf.clone();
        for (at, log) in self.paints.iter().zip(&logs) {
            if let Some(stock) = shelf.stocks.get_mut(at.place()) {
                let scattering = stock.prepared.scattering.map(|s| s * log.exp());
                stock.prepared = stock.prepared.clone().with_scattering(scattering);
            }
        }
        let off = self.off(&logs)?;
        let (Some(last), Some(of_last)) = (self.readings.last(), off.last()) else {
            return Err(MixtureError::Empty);
        };
        // Of what the last reading is off by, so much is its own and no other's.
        let own = |axis: usize| of_last[axis] - self.in_common() * mean(&off, axis);
        let seen = last.seen;
        let reads = LabD65::new(seen.l + own(0), seen.a + own(1), seen.b + own(2));
        Ok(PotTold { shelf, reads })
    }

    /// What each reading is off by on each axis: predicted less seen.
    fn off(&self, logs: &[f64]) -> Result<Vec<[f64; 3]>, MixtureError> {
        let mixed = |read: &PotRead| {
            let pot: Vec<(&Prepared, f64)> = (read.parts.iter())
                .filter_map(|(at, p)| {
                    let known = self.paints.iter().position(|paint| paint == at);
                    let factor = known.map_or(1.0, |i| logs[i].exp());
                    Some((&self.shelf.get(*at)?.prepared, p * factor))
                })
                .collect();
            let mix = LabD65::from(opaque_mix(&pot)?);
            let seen = read.seen;
            Ok([mix.l - seen.l, mix.a - seen.a, mix.b - seen.b])
        };
        self.readings.iter().map(mixed).collect()
    }

    /// The share of the mean that is an error of all readings together: n together² of n together² + own².
    fn in_common(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a few readings")]
        let all = self.readings.len() as f64 * self.together * self.together;
        all / (all + READ_AGAIN * READ_AGAIN)
    }

    /// All that is to be small, over what it usually is: of each reading what is off, so turned that errors count as
    /// independent, and of each paint how far its strength is from the assumed one.
    fn misses(&self, logs: &[f64]) -> Result<Vec<f64>, MixtureError> {
        let off = self.off(logs)?;
        let kept = (1.0 - self.in_common()).sqrt();
        let mut all = Vec::new();
        for (own, read) in off.iter().zip(self.readings) {
            // CIELAB overstates differences of colourful colours; CIEDE2000 divides chroma by about this.
            let colourful = 1.0 + 0.045 * read.seen.chroma();
            for (axis, own) in own.iter().enumerate() {
                let mean = mean(&off, axis);
                let error = READ_AGAIN * if axis == 0 { 1.0 } else { colourful };
                all.push((own - mean + kept * mean) / error);
            }
        }
        let spread = |at: &PaintId| self.shelf.get(*at).map_or(1.0, strength_spread);
        all.extend(
            self.paints
                .iter()
                .zip(logs)
                .map(|(at, log)| log / spread(at)),
        );
        Ok(all)
    }

    /// One step of Gauss and Newton; `None` when the equations have no solution.
    fn step(&self, logs: &[f64], here: &[f64]) -> Result<Option<Vec<f64>>, MixtureError> {
        let mut slopes = Vec::new();
        for at in 0..logs.len() {
            let mut nudged = logs.to_vec();
            nudged[at] += STEP;
            let there = self.misses(&nudged)?;
            let slope: Vec<f64> = (there.iter().zip(here))
                .map(|(there, here)| (there - here) / STEP)
                .collect();
            slopes.push(slope);
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mut rows: Vec<Vec<f64>> = (slopes.iter())
            .map(|one| {
                let mut row: Vec<f64> = slopes.iter().map(|other| dot(one, other)).collect();
                row.push(dot(one, here));
                row
            })
            .collect();
        Ok(eliminated(&mut rows).map(|by| {
            let step = logs.iter().zip(by);
            step.map(|(log, by)| log - by.clamp(-LONGEST, LONGEST))
                .collect()
        }))
    }
}

fn squares(misses: &[f64]) -> f64 {
    misses.iter().map(|v| v * v).sum()
}

fn mean(off: &[[f64; 3]], axis: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few readings")]
    let count = off.len().max(1) as f64;
    off.iter().map(|off| off[axis]).sum::<f64>() / count
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::delta_e00;
    use crate::paint::PaintList;

    fn shelf() -> (Shelf, PaintId, PaintId) {
        let list = "name,hex,medium,opacity\nwhite,#f2f1ec,acrylic,\number,#5b4b39,acrylic,\n";
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
        let (white, umber) = (place("white"), place("umber"));
        (shelf, white, umber)
    }

    /// By hand: a paint twice as strong is one of which twice as much was poured. All readings are off in one direction, as by
    /// one light: some of it is taken for strength, as it may be.
    #[test]
    fn what_an_addition_did_shows_a_strength_and_the_light_of_all_readings_shows_none() {
        let (shelf, white, umber) = shelf();
        let pot = |p: f64| vec![(umber, 1.0), (white, p)];
        let read = |p: f64, strength: f64, light: f64| {
            let truth = shelf.tried(&[(umber, strength), (white, p)]).unwrap();
            let LabD65 { l, a, b } = truth.colour;
            PotRead {
                parts: pot(p),
                seen: LabD65::new(l + light, a - light, b + light),
            }
        };
        let ratio = |told: &PotTold| {
            let middle = |at: PaintId| told.shelf[at].prepared.scattering.values()[18];
            let was = |at: PaintId| shelf[at].prepared.scattering.values()[18];
            middle(umber) / was(umber) / (middle(white) / was(white))
        };
        for (strength, light) in [(2.0, 0.0), (2.0, 3.0), (1.0, 3.0), (0.5, -3.0)] {
            let readings = [1.0, 2.0, 6.0].map(|p| read(p, strength, light));
            let told = shelf.told_by_readings(&readings, DeltaE00(5.0)).unwrap();
            let ratio = ratio(&told);
            assert!(
                (0.65..1.5).contains(&(ratio / strength)),
                "{strength}, {light}: {ratio}"
            );
            let off = delta_e00(told.reads, readings[2].seen).0;
            assert!(off < 0.5, "{off}");
        }
    }

    #[test]
    fn one_reading_alone_is_taken_nearly_as_it_is() {
        let (shelf, white, umber) = shelf();
        let seen = LabD65::new(60.0, 9.0, 25.0);
        let parts = vec![(umber, 1.0), (white, 2.0)];
        let reading = PotRead { parts, seen };
        let told = shelf.told_by_readings(&[reading], DeltaE00(5.0)).unwrap();
        assert!(delta_e00(told.reads, seen).0 < 0.6, "{told:?}");
    }
}
