//! Two states of a material, and what lies between them: fresh and worn, green and dry.

use super::{Material, TYPICAL_COUNT};
use crate::colour::{LinearSrgb, Spectrum, seen_in_daylight};

/// Where between two materials something is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// One end.
    pub from: &'static Material,
    /// The other end; the same where there is one state only.
    pub to: &'static Material,
    /// How far from one to the other, 0..=1.
    pub at: f64,
}

impl State {
    /// A material as it is.
    #[must_use]
    pub fn of(material: &'static Material) -> Self {
        Self {
            from: material,
            to: material,
            at: 0.0,
        }
    }

    /// Its typical reflectances, dark to light: in between, band by band in the logarithm, as where one thing films
    /// over or wears off another.
    #[must_use]
    pub fn typical(&self) -> [Spectrum; TYPICAL_COUNT] {
        std::array::from_fn(|k| {
            let (a, b) = (self.from.typical[k].values(), self.to.typical[k].values());
            Spectrum::new(std::array::from_fn(|band| {
                let (a, b) = (a[band].max(LEAST), b[band].max(LEAST));
                (a.ln() * (1.0 - self.at) + b.ln() * self.at).exp()
            }))
        })
    }

    /// Linear light of these in daylight.
    #[must_use]
    pub fn typical_light(&self) -> [LinearSrgb; TYPICAL_COUNT] {
        self.typical()
            .map(|spectrum| seen_in_daylight(&spectrum).to_linear_srgb())
    }

    /// In words: "asphalt, dark", or "half-way from wood to bark".
    #[must_use]
    pub fn words(&self) -> String {
        if self.from == self.to || self.at <= 0.0 {
            self.from.name.to_owned()
        } else if self.at >= 1.0 {
            self.to.name.to_owned()
        } else {
            format!(
                "{:.0} % of the way from {} to {}",
                100.0 * self.at,
                self.from.name,
                self.to.name
            )
        }
    }
}

/// A reflectance below this counts as this.
const LEAST: f64 = 0.001;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::LabD65;

    #[test]
    fn half_way_lies_between_the_two() {
        let (dark, worn) = (
            Material::named("asphalt, dark").unwrap(),
            Material::named("asphalt road, worn").unwrap(),
        );
        let l = |at: f64| {
            let state = State {
                from: dark,
                to: worn,
                at,
            };
            LabD65::from(state.typical_light()[2]).l
        };
        assert!(l(0.0) + 3.0 < l(0.5) && l(0.5) + 3.0 < l(1.0));
        assert!((l(0.0) - LabD65::from(dark.typical_light()[2]).l).abs() < 1e-9);
        assert_eq!(State::of(dark).words(), "asphalt, dark");
    }
}
