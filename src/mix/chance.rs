//! How likely an addition is to improve a pot, if its colour is known only as well as a photo can show it.

use super::unknown::strength_spread;
use super::{Addition, PaintId, Shelf};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};
use crate::paint::{MixtureError, Prepared, opaque_mix};

/// Worlds that are drawn: the chance is accurate to a few parts in a hundred.
const DRAWS: u32 = 100;

/// Numbers that look random and are the same in every run.
///
/// # Source
/// Knuth 1997, *The Art of Computer Programming*, volume 2, section 3.3.4: the multiplier of MMIX.
struct RandomNumbers(u64);

impl RandomNumbers {
    /// About a normal draw: twelve even ones make a bell of standard deviation 1.
    fn bell(&mut self) -> f64 {
        let mut even = || {
            self.0 = (self.0)
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(self.0 >> 32).unwrap_or(0)) / 4_294_967_296.0
        };
        (0..12).map(|_| even()).sum::<f64>() - 6.0
    }
}

impl Shelf {
    /// The chance, 0 to 1, that an addition brings a pot nearer to `planned` than it is. The pot was read as `seen`, which
    /// may be off by `off`; the strengths of the paints are known only as well as the list gives them.
    ///
    /// # Errors
    /// [`MixtureError`] when the pot is empty or its parts are no numbers.
    pub fn chance_to_improve(
        &self,
        parts: &[(PaintId, f64)],
        (seen, off): (LabD65, DeltaE00),
        planned: LabD65,
        addition: &Addition,
    ) -> Result<f64, MixtureError> {
        let pot: Vec<(&Prepared, f64)> = parts
            .iter()
            .filter_map(|(at, p)| Some((&self.get(*at)?.prepared, *p)))
            .collect();
        // CIELAB overstates differences of colourful colours; CIEDE2000 divides chroma by about this.
        let axis = off.0 / 3.0_f64.sqrt();
        let colourful = axis * (1.0 + 0.045 * seen.chroma());
        let mut drawn = RandomNumbers(7);
        let mut better = 0;
        for _ in 0..DRAWS {
            let truth = LabD65::new(
                (seen.l + axis * drawn.bell()).clamp(1.0, 99.0),
                seen.a + colourful * drawn.bell(),
                seen.b + colourful * drawn.bell(),
            );
            let mut after = vec![(
                Prepared::of_pot(&pot, Xyz::from(truth))?,
                f64::from(addition.per_parts),
            )];
            for (at, p) in &addition.paints {
                let Some(stock) = self.get(*at) else {
                    continue;
                };
                let factor = (strength_spread(stock) * drawn.bell()).exp();
                let scattering = stock.prepared.scattering.map(|s| s * factor);
                let paint = stock.prepared.clone().with_scattering(scattering);
                after.push((paint, f64::from(*p)));
            }
            let after: Vec<(&Prepared, f64)> = after.iter().map(|(paint, p)| (paint, *p)).collect();
            let there = LabD65::from(opaque_mix(&after)?);
            better += u32::from(delta_e00(there, planned).0 < delta_e00(truth, planned).0);
        }
        Ok(f64::from(better) / f64::from(DRAWS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    /// By hand: a pot that dried as planned can only be led away by what is added, and one that dried far too dark is
    /// led back by a little white; neither hangs on how well the photo was read, here to a hundredth.
    #[test]
    fn a_pot_that_is_right_is_not_improved_and_one_far_too_dark_is_by_white() {
        let list =
            "name,hex,medium,opacity\nwhite,#f2f1ec,acrylic,opaque\nochre,#bc9145,acrylic,opaque\n";
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
        let (white, ochre) = (place("white"), place("ochre"));
        let of = |white_parts: f64| [(ochre, 3.0), (white, white_parts)];
        let [dried, paler] = [1.0, 12.0].map(|parts| shelf.tried(&of(parts)).unwrap().colour);
        let chance = |planned, paint| {
            let addition = Addition {
                per_parts: 4,
                paints: vec![(paint, 2)],
                colour: planned,
                difference: DeltaE00(1.0),
            };
            shelf
                .chance_to_improve(&of(1.0), (dried, DeltaE00(0.01)), planned, &addition)
                .unwrap()
        };
        for paint in [white, ochre] {
            assert!(chance(dried, paint) < 0.05, "{}", chance(dried, paint));
        }
        assert!(chance(paler, white) > 0.95, "{}", chance(paler, white));
    }
}
