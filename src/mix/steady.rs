//! Recipes that match under a lamp as well as in daylight; only if there are measured spectra.

use super::{Recipe, Search, Shelf};
use crate::colour::{DeltaE00, LabD65, Spectrum, seen_in_daylight};
use crate::lamps::Lamp;
use crate::paint::ColourSource;

/// What a drift of 1 under the lamp costs in rank. Our choice.
const PER_DRIFT: f64 = 0.25;
/// Recipes that are looked at for their drift.
const LOOKED_AT: usize = 60;

/// Why there are no steady recipes: spectra made up from colours say nothing of how a mix drifts (in measured mixes
/// the two had a correlation of 0.3 at most).
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "found paints known by colour alone ({}), expected a measured spectrum for every paint that mixes",
    .paints.join(", ")
)]
pub struct NotMeasured {
    /// Paints without a measured spectrum.
    pub paints: Vec<String>,
}

impl crate::problem::Explain for NotMeasured {
    fn hint(&self) -> Option<String> {
        Some(
            "a spectrum estimated from a colour cannot show which mix still matches under a lamp; enter measured spectra in the column spectrum, or keep a list of the measured paints alone"
                .to_owned(),
        )
    }
}

/// A recipe and how far it drifts from the colour wanted under the lamp.
#[derive(Debug, Clone, PartialEq)]
pub struct SteadyRecipe {
    /// The recipe; its rank holds the drift.
    pub recipe: Recipe,
    /// The special metamerism index of CIE 015, as CIEDE2000.
    pub drift: DeltaE00,
}

impl Shelf {
    /// Recipes for a measured reflectance, those that hold under `lamp` preferred: of the sixty soundest the rank is
    /// worsened by a quarter of the drift. Best first.
    ///
    /// # Errors
    /// [`NotMeasured`] when a paint that mixes is known by its colour alone.
    pub fn steady_recipes(
        &self,
        target: &Spectrum,
        lamp: &Lamp,
        search: &Search,
    ) -> Result<Vec<SteadyRecipe>, NotMeasured> {
        let paints: Vec<String> = self
            .stocks()
            .iter()
            .filter(|stock| stock.source != ColourSource::Spectrum)
            .map(|stock| stock.name.clone())
            .collect();
        if !paints.is_empty() {
            return Err(NotMeasured { paints });
        }
        let wide = Search {
            answers: LOOKED_AT.max(search.answers),
            ..*search
        };
        let wanted = LabD65::from(seen_in_daylight(target));
        let mut found: Vec<SteadyRecipe> = self
            .recipes_near(wanted, &wide)
            .into_iter()
            .filter_map(|mut recipe| {
                let drift = lamp.drift(target, &self.reflectance_of(&recipe)?);
                recipe.rank += PER_DRIFT * drift.0;
                Some(SteadyRecipe { recipe, drift })
            })
            .collect();
        found.sort_by(|a, b| a.recipe.rank.total_cmp(&b.recipe.rank));
        found.truncate(search.answers);
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;

    /// Reflectance that rises about a wavelength, as earths do, every 10 nm.
    fn rising(low: f64, high: f64, about: f64) -> impl Fn(f64) -> f64 {
        move |nm| low + (high - low) / (1.0 + (-(nm - about) / 25.0).exp())
    }

    #[test]
    fn what_parts_from_the_colour_under_the_lamp_ranks_a_quarter_of_that_lower() {
        let list = "name,spectrum,opacity\nwhite,0.80 0.88 420,opaque\nblack,0.05 0.05 500,opaque\n\
            red,0.06 0.55 600,opaque\nyellow,0.08 0.75 510,opaque\number,0.06 0.25 580,opaque\n";
        let spectrum = |of: &str| {
            let of: Vec<f64> = of.split(' ').filter_map(|v| v.parse().ok()).collect();
            let seen = rising(of[0], of[1], of[2]);
            let line = |step: u32| 380.0 + 10.0 * f64::from(step);
            (0..=36)
                .map(line)
                .map(|nm| format!("{nm},{:.4}\n", seen(nm)))
                .collect::<Vec<_>>()
                .concat()
        };
        let head = "wavelength_nm,reflectance\n";
        let read = |of: &str| Ok(format!("{head}{}", spectrum(of)));
        let list = PaintList::parse("p.csv", list.as_bytes(), &read).unwrap();
        let shelf = Shelf::new(&list);
        let target = Spectrum::new(std::array::from_fn(|band| {
            #[expect(clippy::cast_precision_loss, reason = "36 bands")]
            rising(0.09, 0.40, 570.0)(380.0 + 10.0 * band as f64)
        }));
        let lamp = Lamp::named("FL11").unwrap();
        let search = Search::default();
        let steady = shelf.steady_recipes(&target, &lamp, &search).unwrap();
        assert!(steady.iter().any(|steady| steady.drift.0 > 0.2));
        let wide = Search {
            answers: LOOKED_AT,
            ..search
        };
        let plain = shelf.recipes_near(LabD65::from(seen_in_daylight(&target)), &wide);
        for steady in &steady {
            let same = |plain: &&Recipe| plain.parts == steady.recipe.parts;
            let plain = plain.iter().find(same).unwrap();
            let lower = steady.recipe.rank - plain.rank;
            assert!((lower - steady.drift.0 / 4.0).abs() < 1e-9, "{steady:?}");
        }
    }
}
