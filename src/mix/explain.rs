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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    /// By hand: a strength is that many times as many parts. Nothing shows these two, so that each may be sevenfold.
    #[test]
    fn a_pot_of_a_strong_umber_and_a_weak_white_is_explained_by_both_strengths_and_a_blue_one_by_none()
     {
        let list = "name,hex,medium,opacity\nwhite,#f2f1ec,acrylic,\number,#5b4b39,acrylic,\n";
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
        let of = |umber: f64, white: f64| [(place("umber"), umber), (place("white"), white)];
        let off = |seen| shelf.nearest_by_strength(&of(1.0, 1.0), seen).unwrap().0;
        let seen = |umber, white| shelf.tried(&of(umber, white)).unwrap().colour;
        for (umber, white) in [(6.0, 0.25), (0.25, 6.0), (1.0, 3.0)] {
            let off = off(seen(umber, white));
            assert!(off < 0.3, "{umber} to {white}: {off}");
        }
        assert!(off(LabD65::new(50.0, 5.0, -40.0)) > 10.0);
    }
}
