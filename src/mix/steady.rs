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
