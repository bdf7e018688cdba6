//! Whether a patch can be of a pot at all, whatever the strengths of its paints.

use super::unknown::strength_spread;
use super::{PaintId, Shelf};
use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::paint::{MixtureError, Prepared, opaque_mix};

/// How far a strength may be from its assumed value, in usual spreads: sevenfold if nothing shows it, four fifths as
/// much again if the list or a let-down does. Our choice.
const SPREADS: f64 = 4.0;
/// Rounds of the search, and steps to each side that each paint is tried at.
const ROUNDS: u32 = 8;
const STEPS: i32 = 12;

impl Shelf {
    /// How near a pot comes to a colour when the strengths of its paints are chosen freely, each within reason: what
    /// remains is a difference that no strength explains.
    ///
    /// # Errors
    /// [`MixtureError`] when the pot is empty or its parts are no numbers.
    pub fn nearest_by_strength(
        &self,
        parts: &[(PaintId, f64)],
        seen: LabD65,
    ) -> Result<DeltaE00, MixtureError> {
        let off = |logs: &[f64]| -> Result<f64, MixtureError> {
            let pot: Vec<(&Prepared, f64)> = parts
                .iter()
                .zip(logs)
                .filter_map(|((at, p), log)| Some((&self.get(*at)?.prepared, p * log.exp())))
                .collect();
            Ok(delta_e00(LabD65::from(opaque_mix(&pot)?), seen).0)
        };
        let mut logs = vec![0.0; parts.len()];
        let mut least = off(&logs)?;
        if parts.len() < 2 {
            return Ok(DeltaE00(least));
        }
        // One paint after the other over its whole range, then over ever smaller ones about the best so far.
        for round in 0..ROUNDS {
            for at in 0..logs.len() {
                let stock = parts.get(at).and_then(|(stock, _)| self.get(*stock));
                let most = SPREADS * stock.map_or(0.0, strength_spread);
                let from = logs[at];
                for step in -STEPS..=STEPS {
                    let away = f64::from(step) / f64::from(STEPS) * 2.0 * most;
                    let mut tried = logs.clone();
                    tried[at] = (from + away / 2_f64.powf(f64::from(round))).clamp(-most, most);
                    let there = off(&tried)?;
                    if there < least {
                        (logs, least) = (tried, there);
                    }
                }
            }
        }
        Ok(DeltaE00(least))
    }
}
