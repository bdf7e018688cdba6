//! Judges a photo's light by all witnesses at once.
//!
//! It looks for three numbers, the natural logarithms of the gains by which red, green and blue of the photo differ
//! from the scene in daylight: exposure, warm or cool along the daylight locus, green or magenta. A [`Witness`] says
//! where they lie, as one normal distribution or as several it may mean: a grey card, the patches of a chart, a known
//! material (or, if it was named wrongly, any material), the picture as a whole. [`judged`] multiplies all of them
//! with what is usual, and returns the [`Gains`] with their covariance.

use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::linear::{Matrix3, Normal3, outer, scaled, sum};
use serde::{Deserialize, Serialize};

/// Warm against cool: the unit vector along the logarithm of linear sRGB of CIE daylight, 5500 K less 7500 K, with its
/// luminance taken out, so that lightness stays. A test computes it again.
pub(super) const WARM: [f64; 3] = [0.466_427, -0.049_493, -0.883_174];
/// Green against magenta: the unit vector across [`WARM`] and without luminance.
pub(super) const GREEN: [f64; 3] = [-0.837_860, 0.295_403, -0.459_050];
/// Exposure.
const EXPOSURE: [f64; 3] = [1.0; 3];

/// Standard deviations along exposure, warm and green, as a covariance of the three channels.
pub(super) fn spread(exposure: f64, warm: f64, green: f64) -> Matrix3 {
    let along = |axis: &[f64; 3], by: f64| scaled(&outer(axis), by * by);
    sum(
        &along(&EXPOSURE, exposure),
        &sum(&along(&WARM, warm), &along(&GREEN, green)),
    )
}

/// Evidence about the gains.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness {
    /// What it may mean, each with its probability.
    pub may_mean: Vec<(f64, Normal3)>,
}

/// It says nothing of exposure: it may be anything within reason.
const UNKNOWN: f64 = 3.0;
/// A material is named wrongly once in this many times. Our choice; 1 to 10 % did as well on drawn cases.
const NAMED_WRONGLY: f64 = 0.05;

impl Witness {
    /// What is usual: a camera that balances and exposes by itself is off by half a stop and a little colour; one photo
    /// in five has kept the colour of a lamp, or lies far from its exposure. Our choice: two of two chart photos
    /// developed without balance were off by 1.4 stops and 0.8 and 1.5 towards warm.
    #[must_use]
    pub fn usual() -> Self {
        let about = |covariance| Normal3 {
            mean: [0.0; 3],
            covariance,
        };
        Self {
            may_mean: vec![
                (0.8, about(spread(0.4, 0.25, 0.1))),
                (0.2, about(spread(1.0, 1.0, 0.2))),
            ],
        }
    }

    /// Something of known reflectance: where `seen` is photographed, light is known to be `known`.
    #[must_use]
    pub fn known(seen: LinearSrgb, known: &Normal3) -> Self {
        Self {
            may_mean: vec![(1.0, gains_of(log_light(seen), known))],
        }
    }

    /// Something that the user says is of a material; it may be another.
    #[must_use]
    pub fn material(seen: LinearSrgb, said: &Normal3, any: &Normal3) -> Self {
        let seen = log_light(seen);
        Self {
            may_mean: vec![
                (1.0 - NAMED_WRONGLY, gains_of(seen, said)),
                (NAMED_WRONGLY, gains_of(seen, any)),
            ],
        }
    }

    /// A neutral: of known reflectance, or of any.
    #[must_use]
    pub fn neutral(seen: LinearSrgb, reflectance: Option<f64>) -> Self {
        match reflectance {
            Some(reflectance) => Self::known(
                seen,
                &Normal3 {
                    mean: [reflectance.ln(); 3],
                    covariance: spread(CARD, NEUTRAL.0, NEUTRAL.1),
                },
            ),
            None => Self {
                may_mean: vec![(1.0, colour_of(seen, NEUTRAL.0, NEUTRAL.1))],
            },
        }
    }

    /// Estimates of the light's colour from the whole picture, each with its standard deviations along warm and green;
    /// they say nothing of exposure. One picture in seven shows mostly one colour (a brick wall, moss, autumn leaves):
    /// there all of them mislead, and together. `None` if nothing is known.
    #[must_use]
    pub fn picture(said: &[(LinearSrgb, f64, f64)]) -> Option<Self> {
        let accounts = said
            .iter()
            .map(|(light, warm, green)| colour_of(*light, *warm, *green));
        let varied = together(accounts)?;
        let (warm, green) = OF_ONE_COLOUR;
        let of_one_colour = varied.widened(&spread(0.0, warm, green));
        Some(Self {
            may_mean: vec![(1.0 - ONE_COLOURED, varied), (ONE_COLOURED, of_one_colour)],
        })
    }
}

/// The share of pictures that show mostly one colour: two of the eleven photos that we have.
const ONE_COLOURED: f64 = 0.15;
/// How far they mislead then, along warm and green: as those two did, moss and a spruce wood.
const OF_ONE_COLOUR: (f64, f64) = (0.9, 0.7);

/// What several accounts say together.
fn together(mut accounts: impl Iterator<Item = Normal3>) -> Option<Normal3> {
    let first = accounts.next()?;
    accounts.try_fold(first, |so_far, next| Some(so_far.and(&next)?.1))
}

/// The colour of a light, of any lightness.
fn colour_of(light: LinearSrgb, warm: f64, green: f64) -> Normal3 {
    let log = log_light(light);
    let luminance = Xyz::from(light_of_log(log)).y.ln();
    Normal3 {
        mean: log.map(|v| v - luminance),
        covariance: spread(UNKNOWN, warm, green),
    }
}

/// A grey card: how it is held, and how grey it is. Our choice.
const CARD: f64 = 0.05;
/// A neutral is so neutral, along warm and green: what the five lighter greys of a colour chart are, as published and as
/// measured by N. Ohta (root of the mean square 0.023 and 0.009).
const NEUTRAL: (f64, f64) = (0.02, 0.01);

/// Below this, linear light has no logarithm worth the name.
pub(super) const LEAST_LIGHT: f64 = 0.001;

pub(super) fn log_light(light: LinearSrgb) -> [f64; 3] {
    [light.r, light.g, light.b].map(|v| v.max(LEAST_LIGHT).ln())
}

fn light_of_log(log: [f64; 3]) -> LinearSrgb {
    let [r, g, b] = log.map(f64::exp);
    LinearSrgb { r, g, b }
}

fn gains_of(seen: [f64; 3], known: &Normal3) -> Normal3 {
    Normal3 {
        mean: std::array::from_fn(|i| seen[i] - known.mean[i]),
        covariance: known.covariance,
    }
}

/// The gains of a photo, as far as they are known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Gains {
    /// Their natural logarithms.
    pub log: Normal3,
}

/// How many of the cases are kept, the likeliest.
const MOST_CASES: usize = 128;

/// The evidence of all witnesses, together with what is usual: the mean and covariance over every case of what they
/// may mean.
#[must_use]
pub fn judged(witnesses: &[Witness]) -> Gains {
    let mut cases: Vec<(f64, Normal3)> = Witness::usual()
        .may_mean
        .into_iter()
        .map(|(probability, normal)| (probability.ln(), normal))
        .collect();
    for witness in witnesses {
        let mut next = Vec::new();
        for (weight, so_far) in &cases {
            for (probability, normal) in &witness.may_mean {
                if let Some((agreement, joint)) = so_far.and(normal) {
                    next.push((weight + probability.ln() + agreement, joint));
                }
            }
        }
        next.sort_by(|a, b| b.0.total_cmp(&a.0));
        next.truncate(MOST_CASES);
        if !next.is_empty() {
            cases = next;
        }
    }
    Gains { log: mixed(&cases) }
}

/// One normal distribution with the mean and covariance of a mixture; weights are logarithms.
fn mixed(cases: &[(f64, Normal3)]) -> Normal3 {
    let top = cases.iter().map(|c| c.0).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = cases.iter().map(|c| (c.0 - top).exp()).sum();
    let share = |weight: f64| (weight - top).exp() / total;
    let mut mean = [0.0; 3];
    for (weight, case) in cases {
        for (sum, v) in mean.iter_mut().zip(case.mean) {
            *sum += share(*weight) * v;
        }
    }
    let mut covariance = [[0.0; 3]; 3];
    for (weight, case) in cases {
        let apart: [f64; 3] = std::array::from_fn(|i| case.mean[i] - mean[i]);
        covariance = sum(
            &covariance,
            &scaled(&sum(&case.covariance, &outer(&apart)), share(*weight)),
        );
    }
    Normal3 { mean, covariance }
}

/// How far a colour may be off: the root of the mean square, so that two cases in three lie within.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Off {
    /// In all.
    pub total: DeltaE00,
    /// In lightness alone.
    pub lightness: DeltaE00,
    /// In hue and chroma alone.
    pub hue: DeltaE00,
}

impl Off {
    /// Nothing is off.
    pub(super) const NONE: Self = Self {
        total: DeltaE00(0.0),
        lightness: DeltaE00(0.0),
        hue: DeltaE00(0.0),
    };

    /// With something else that may be wrong, a third of it counted to lightness.
    #[must_use]
    pub fn with(self, other: f64) -> Self {
        let square = other * other;
        Self {
            total: DeltaE00(self.total.0.hypot(other)),
            lightness: DeltaE00(self.lightness.0.hypot((square / 3.0).sqrt())),
            hue: DeltaE00(self.hue.0.hypot((square * 2.0 / 3.0).sqrt())),
        }
    }
}

impl Gains {
    /// By how much linear light is scaled to undo them.
    #[must_use]
    pub fn undoing(&self) -> [f64; 3] {
        self.log.mean.map(|v| (-v).exp())
    }

    /// A light with them undone.
    pub(super) fn undone(&self, seen: LinearSrgb) -> LinearSrgb {
        let [r, g, b] = self.undoing();
        LinearSrgb {
            r: seen.r * r,
            g: seen.g * g,
            b: seen.b * b,
        }
    }

    /// How far a colour may still be off once the gains are undone.
    #[must_use]
    pub fn off_after(&self, colour: LabD65) -> Off {
        self.off(colour, self.log.mean)
    }

    /// How far a colour may be off if nothing is done.
    #[must_use]
    pub fn off_before(&self, colour: LabD65) -> Off {
        self.off(colour, [0.0; 3])
    }

    fn off(&self, colour: LabD65, undone: [f64; 3]) -> Off {
        let log = log_light(Xyz::from(colour).to_linear_srgb());
        let points = self.log.sigma_points();
        let (mut total, mut lightness) = (0.0, 0.0);
        for gains in points {
            let there: [f64; 3] = std::array::from_fn(|i| log[i] + undone[i] - gains[i]);
            let there = LabD65::from(Xyz::from(light_of_log(there)).clamped());
            let all = delta_e00(colour, there).0;
            let light = delta_e00(colour, LabD65::new(there.l, colour.a, colour.b)).0;
            total += all * all / 6.0;
            lightness += light * light / 6.0;
        }
        Off {
            total: DeltaE00(total.sqrt()),
            lightness: DeltaE00(lightness.sqrt()),
            hue: DeltaE00((total - lightness).max(0.0).sqrt()),
        }
    }

    /// Stops by which the photo is too light; too dark when negative.
    #[must_use]
    pub fn stops(&self) -> f64 {
        self.lightness_log() / std::f64::consts::LN_2
    }

    /// Natural logarithm of the luminance of what would be white.
    fn lightness_log(&self) -> f64 {
        Xyz::from(light_of_log(self.log.mean)).y.ln()
    }

    /// The gains as an estimate of the light.
    pub(super) fn estimate(&self) -> Estimate {
        let light = self.light();
        Estimate {
            light,
            cast: delta_e00(light, LabD65::new(light.l, 0.0, 0.0)),
        }
    }

    /// The colour of the light, as a middling light grey under it.
    #[must_use]
    pub fn light(&self) -> LabD65 {
        let scale = LIGHT_GREY_Y.ln() - self.lightness_log();
        LabD65::from(Xyz::from(light_of_log(self.log.mean.map(|v| v + scale))).clamped())
    }
}

/// The light, estimated from the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// Colour of the light, scaled to L* 75.
    pub light: LabD65,
    /// How far from neutral that is.
    pub cast: DeltaE00,
}

/// Luminance of L* 75.
const LIGHT_GREY_Y: f64 = 0.482_8;

#[cfg(test)]
mod tests {
    use super::*;

    /// CIE 015:2018, formula of daylight.
    fn daylight(kelvin: f64) -> [f64; 3] {
        let x = if kelvin <= 7000.0 {
            -4.6070e9 / kelvin.powi(3) + 2.9678e6 / kelvin.powi(2) + 0.09911e3 / kelvin + 0.244_063
        } else {
            -2.0064e9 / kelvin.powi(3) + 1.9018e6 / kelvin.powi(2) + 0.24748e3 / kelvin + 0.237_040
        };
        let y = -3.0 * x * x + 2.87 * x - 0.275;
        let light = Xyz::from_array([x / y, 1.0, (1.0 - x - y) / y]).to_linear_srgb();
        log_light(light)
    }

    fn luminance(v: [f64; 3]) -> f64 {
        0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]
    }

    #[test]
    fn warm_is_the_way_of_daylight() {
        let (warm, cool) = (daylight(5500.0), daylight(7500.0));
        let apart: [f64; 3] = std::array::from_fn(|i| warm[i] - cool[i]);
        let bare = apart.map(|v| v - luminance(apart));
        let length = bare.iter().map(|v| v * v).sum::<f64>().sqrt();
        for (found, kept) in bare.iter().zip(WARM) {
            assert!(
                (found / length - kept).abs() < 1e-3,
                "{:?}",
                bare.map(|v| v / length)
            );
        }
        assert!(
            luminance(WARM).abs() < 1e-3 && luminance(GREEN).abs() < 1e-3,
            "{GREEN:?}"
        );
        let across: f64 = WARM.iter().zip(GREEN).map(|(a, b)| a * b).sum();
        assert!(across.abs() < 1e-3, "{across}");
    }

    #[test]
    fn a_grey_card_under_an_orange_lamp_becomes_grey() {
        let seen = LinearSrgb {
            r: 0.30,
            g: 0.18,
            b: 0.08,
        };
        let gains = judged(&[Witness::neutral(seen, Some(0.18))]);
        let [r, g, b] = gains.undoing();
        let mended = LabD65::from(Xyz::from(LinearSrgb {
            r: seen.r * r,
            g: seen.g * g,
            b: seen.b * b,
        }));
        assert!(
            mended.chroma() < 1.0 && (mended.l - 49.5).abs() < 1.0,
            "{mended:?}"
        );
        assert!(gains.off_after(mended).total.0 < 2.5);
        assert!(gains.off_before(mended).total.0 > 15.0);
    }

    #[test]
    fn witnesses_that_part_widen_what_is_quoted() {
        let grey = |v: f64| LinearSrgb { r: v, g: v, b: v };
        let tight = Normal3 {
            mean: [0.18_f64.ln(); 3],
            covariance: spread(0.2, 0.05, 0.05),
        };
        let any = Normal3 {
            mean: [0.1_f64.ln(); 3],
            covariance: spread(0.7, 0.3, 0.2),
        };
        let at = |a: f64, b: f64| {
            judged(&[
                Witness::material(grey(a), &tight, &any),
                Witness::material(grey(b), &tight, &any),
            ])
            .off_after(LabD65::new(45.0, 0.0, 0.0))
            .lightness
            .0
        };
        assert!(at(0.18, 0.18) < at(0.18, 0.9));
    }
}
