//! Two states of a material, and what lies between them: fresh and worn, green and dry.

use super::{Material, TYPICAL_COUNT};
use crate::colour::{LabD65, LinearSrgb, Spectrum, delta_e00, seen_in_daylight};

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
    pub fn of_material(material: &'static Material) -> Self {
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
        std::array::from_fn(|k| self.between(k, k))
    }

    fn between(&self, from: usize, to: usize) -> Spectrum {
        let (a, b) = (
            self.from.typical[from].values(),
            self.to.typical[to].values(),
        );
        Spectrum::new(std::array::from_fn(|band| {
            let (a, b) = (a[band].max(LEAST), b[band].max(LEAST));
            (a.ln() * (1.0 - self.at) + b.ln() * self.at).exp()
        }))
    }

    /// Linear light of these in daylight.
    #[must_use]
    pub fn typical_light(&self) -> [LinearSrgb; TYPICAL_COUNT] {
        self.typical()
            .map(|spectrum| seen_in_daylight(&spectrum).to_linear_srgb())
    }

    /// Its dark, its usual and its light reflectance, of the five.
    #[must_use]
    pub fn dark_body_light(&self) -> [Spectrum; 3] {
        let (from, to) = (self.from.dark_body_light(), self.to.dark_body_light());
        std::array::from_fn(|i| self.between(from[i], to[i]))
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

impl Material {
    /// Which of the five typical reflectances are its dark, its usual and its light one: the likeliest by how the class
    /// varies, and the likeliest of those that are plainly darker and lighter; the usual one itself where none is.
    fn dark_body_light(&self) -> [usize; 3] {
        let colours = self.typical_light().map(LabD65::from);
        let unlikely = |at: usize| {
            let colour = colours[at];
            let apart = [
                colour.l - self.mean.l,
                colour.a - self.mean.a,
                colour.b - self.mean.b,
            ];
            let in_spreads =
                |(v, deviation): (&f64, &f64)| (v / deviation.max(LEAST_SPREAD)).powi(2);
            apart
                .iter()
                .zip(&self.deviation)
                .map(in_spreads)
                .sum::<f64>()
        };
        let likeliest = |of: &dyn Fn(usize) -> bool| {
            (0..TYPICAL_COUNT)
                .filter(|at| of(*at))
                .min_by(|a, b| unlikely(*a).total_cmp(&unlikely(*b)))
        };
        let body = likeliest(&|_| true).unwrap_or(TYPICAL_COUNT / 2);
        let plainly = |at: usize| delta_e00(colours[at], colours[body]).0 >= PLAINLY;
        let dark = likeliest(&|at| plainly(at) && colours[at].l < colours[body].l);
        let light = likeliest(&|at| plainly(at) && colours[at].l > colours[body].l);
        [dark.unwrap_or(body), body, light.unwrap_or(body)]
    }
}

/// Nearer than this (CIEDE2000) two tones are one: no mix holds closer.
const PLAINLY: f64 = 2.0;
/// We assume that a class varies by at least this much, CIELAB.
const LEAST_SPREAD: f64 = 0.5;

/// A reflectance below this counts as this.
const LEAST: f64 = 0.001;

#[cfg(test)]
mod tests {
    use super::*;

    /// A red road is among the five of worn asphalt, a pale one too; neither is what worn asphalt looks like.
    #[test]
    fn what_is_rare_in_a_class_is_none_of_its_tones() {
        for material in crate::materials::MATERIALS.iter() {
            let [dark, body, light] = State::of_material(material)
                .dark_body_light()
                .map(|s| LabD65::from(seen_in_daylight(&s)));
            assert!(dark.l <= body.l && body.l <= light.l, "{}", material.name);
        }
        let worn = Material::named("asphalt road, worn").unwrap();
        for tone in State::of_material(worn).dark_body_light() {
            let colour = LabD65::from(seen_in_daylight(&tone));
            assert!(colour.a.abs() < 3.0 && colour.l < 45.0, "{colour:?}");
        }
    }

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
        assert_eq!(State::of_material(dark).words(), "asphalt, dark");
    }
}
