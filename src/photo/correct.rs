//! Works out how to correct a picture from everything known of its light: all witnesses enter one sum.

use super::chart::{ChartSeen, by_chart};
use super::estimate::of_the_whole;
use super::light::{
    CorrectedBy, KnownLight, KnownMaterial, KnownThings, LightCorrection, LightReport, MIDDLING,
    Witnessed, camera,
};
use super::light_error::LightError;
use super::monochrome::{Monochrome, monochrome};
use super::picture::Picture;
use super::reference::by_reference;
use super::sample::{SunAndShade, lit_mean, usable_mean, usable_neutral};
use super::witness::{Gains, Off, Witness, judged, log_light, spread};
use crate::colour::{LabD65, Xyz, delta_e00};
use crate::linear::Normal3;
use crate::materials::{MATERIALS, Material};
use crate::region::Region;
use serde::{Deserialize, Serialize};

/// A cast below this is not worth mentioning: skies and lawns cast as much. Our choice.
const WORTH_OFFERING: f64 = 8.0;
/// A chart's fit is not trusted below this.
const LEAST_CHART: f64 = 3.0;

impl Picture {
    /// Corrects the light by everything known of it. A picture without colour keeps its lightness and nothing else.
    ///
    /// # Errors
    /// [`LightError`] when the neutral or the chart cannot be used.
    pub fn correct(&mut self, known: &KnownLight) -> Result<LightReport, LightError> {
        if monochrome(self) != Monochrome::No {
            let (correction, report) = without_colour(self, known)?;
            self.correction = correction;
            return Ok(report);
        }
        let (correction, report) = correction(self, known)?;
        self.correction = correction;
        Ok(report)
    }

    /// Which of several materials a part may be, and what the gains of the picture would be then, beside what is known
    /// already; `None` if it can hardly be any, if the part cannot be read, or if there is no colour.
    #[must_use]
    pub fn supposed(
        &self,
        known: &KnownLight,
        region: &Region,
        may_be: &[&'static Material],
    ) -> Option<Supposed> {
        (!may_be.is_empty() && monochrome(self) == Monochrome::No)
            .then(|| supposed(self, known, region, may_be))
            .flatten()
    }
}

/// The correction of a picture from everything known about its light.
///
/// # Errors
/// [`LightError`] when something known cannot be used.
fn correction(
    picture: &Picture,
    known: &KnownLight,
) -> Result<(LightCorrection, LightReport), LightError> {
    if let KnownLight::Reference(reference) = known {
        return by_reference(picture, reference);
    }
    let things = KnownThings::from(known);
    let facts = Facts::seen(picture, &things)?;
    let gains = judged(&facts.witnesses(None));
    let estimate = gains.estimate();
    if *known == KnownLight::Estimate && facts.whole.is_none() {
        return Err(LightError::UnusableNeutral { found: "black" });
    }
    let undone = gains.undoing();
    let mut correction = LightCorrection::Linear(std::array::from_fn(|i| {
        std::array::from_fn(|j| if i == j { undone[i] } else { 0.0 })
    }));
    let mut off = gains.off_after(MIDDLING).with(camera(MIDDLING));
    let by = match (&facts.chart, &facts.neutral) {
        (Some(chart), _) => {
            let more: [f64; 3] =
                std::array::from_fn(|i| (chart.gains.mean[i] - gains.log.mean[i]).exp());
            correction = chart.correction.scaled(more);
            off = Off::NONE.with(chart.fit.left_out.0.max(LEAST_CHART));
            CorrectedBy::Chart(chart.fit.clone())
        }
        (None, Some((seen, reflectance))) => {
            let cast = delta_e00(LabD65::from(*seen), LabD65::from(seen.grey_of_same_y()));
            if reflectance.is_some() {
                let exposure = (-gains.stops() * std::f64::consts::LN_2).exp();
                CorrectedBy::GreyCard { cast, exposure }
            } else if things.materials.is_empty() {
                CorrectedBy::WhiteBalance { cast }
            } else {
                CorrectedBy::Materials(estimate)
            }
        }
        (None, None) if !facts.materials.is_empty() => CorrectedBy::Materials(estimate),
        (None, None) if *known == KnownLight::Estimate => CorrectedBy::Estimate(estimate),
        (None, None) => {
            correction = LightCorrection::None;
            off = gains.off_before(MIDDLING).with(camera(MIDDLING));
            CorrectedBy::Nothing {
                offered: Some(estimate)
                    .filter(|e| e.cast.0 >= WORTH_OFFERING && facts.whole.is_some()),
            }
        }
    };
    let report = LightReport {
        gains: Some(gains),
        witnesses: facts.held_against_each_other(),
        ..LightReport::new(by, off)
    };
    Ok((correction, report))
}

impl From<&KnownLight> for KnownThings {
    fn from(known: &KnownLight) -> Self {
        match known {
            KnownLight::Things(things) => things.clone(),
            KnownLight::Chart(corners) => Self {
                chart: Some(*corners),
                ..Self::default()
            },
            KnownLight::Neutral {
                region,
                reflectance,
            } => Self {
                neutral: Some((region.clone(), *reflectance)),
                ..Self::default()
            },
            KnownLight::Nothing | KnownLight::Estimate | KnownLight::Reference(_) => {
                Self::default()
            }
        }
    }
}

/// What was read off the picture.
struct Facts {
    chart: Option<ChartSeen>,
    neutral: Option<(Xyz, Option<f64>)>,
    materials: Vec<(&'static Material, SunAndShade)>,
    whole: Option<Witness>,
}

impl Facts {
    fn seen(picture: &Picture, things: &KnownThings) -> Result<Self, LightError> {
        let chart = things.chart.as_ref();
        let neutral = things.neutral.as_ref();
        Ok(Self {
            chart: chart
                .map(|corners| by_chart(picture, corners))
                .transpose()?,
            neutral: neutral
                .map(|(region, reflectance)| Ok((usable_neutral(picture, region)?, *reflectance)))
                .transpose()?,
            materials: things
                .materials
                .iter()
                .map(|known| Ok((known.material, material_seen(picture, known)?)))
                .collect::<Result<_, LightError>>()?,
            whole: of_the_whole(picture),
        })
    }

    /// All witnesses, or all but one of the materials.
    fn witnesses(&self, but: Option<usize>) -> Vec<Witness> {
        let chart = self.chart.iter().map(|chart| Witness {
            may_mean: vec![(1.0, chart.gains)],
        });
        let neutral = self
            .neutral
            .iter()
            .map(|(seen, reflectance)| Witness::neutral(seen.to_linear_srgb(), *reflectance));
        let materials = self.materials.iter().enumerate();
        let materials = materials
            .filter(|(at, _)| Some(*at) != but)
            .map(|(_, (material, lit))| {
                Witness::material(lit.light, &material.elsewhere(), &Material::any())
            });
        chart
            .chain(neutral)
            .chain(self.whole.iter().cloned())
            .chain(materials)
            .collect()
    }

    /// Each material compared with all other witnesses and with what is usual.
    fn held_against_each_other(&self) -> Vec<Witnessed> {
        self.materials
            .iter()
            .enumerate()
            .map(|(at, (material, lit))| {
                let others = judged(&self.witnesses(Some(at)));
                held_against(material, *lit, &others)
            })
            .collect()
    }
}

fn material_seen(picture: &Picture, known: &KnownMaterial) -> Result<SunAndShade, LightError> {
    lit_mean(picture, &known.region).map_err(|found| LightError::UnusableMaterial {
        what: format!("{} that is {found}", known.material.name).into(),
    })
}

/// Of correctly named things, one in a hundred lies farther off than this (chi-square, three degrees of freedom).
const ONE_IN_A_HUNDRED: f64 = 11.345;

fn held_against(material: &'static Material, lit: SunAndShade, others: &Gains) -> Witnessed {
    let seen = log_light(lit.light);
    let expected = |material: &Material| {
        let of = material.elsewhere();
        Normal3 {
            mean: std::array::from_fn(|i| of.mean[i] + others.log.mean[i]),
            covariance: of.covariance,
        }
        .widened(&others.log.covariance)
    };
    let exactly = Normal3 {
        mean: seen,
        covariance: [[0.0; 3]; 3],
    };
    let own = expected(material);
    let fits = own.distance_squared(&seen) <= ONE_IN_A_HUNDRED;
    let rather = MATERIALS
        .iter()
        .map(|other| (expected(other), other))
        .filter(|(expected, _)| expected.distance_squared(&seen) < ONE_IN_A_HUNDRED)
        .filter_map(|(expected, other)| Some((expected.and(&exactly)?.0, other)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, other)| other);
    Witnessed {
        material,
        stops: (seen[1] - own.mean[1]) / std::f64::consts::LN_2,
        chroma: material
            .holds(LabD65::from(others.undone(lit.light)))
            .chroma,
        fits,
        rather: if fits { None } else { rather },
        two_lights: lit.two_lights,
    }
}

/// What a part of a picture may be made of, and what the picture's gains would be then.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Supposed {
    /// The material.
    pub material: &'static Material,
    /// The gains, if it is that.
    pub gains: Gains,
}

/// Which of several materials a part may be, the likeliest by what is already known; `None` where none fits, or where
/// the part cannot be read.
fn supposed(
    picture: &Picture,
    known: &KnownLight,
    region: &Region,
    may_be: &[&'static Material],
) -> Option<Supposed> {
    let mut witnesses = Facts::seen(picture, &KnownThings::from(known))
        .ok()?
        .witnesses(None);
    let lit = lit_mean(picture, region).ok()?;
    let so_far = judged(&witnesses);
    let said = |material: &Material| Witness::known(lit.light, &material.elsewhere());
    let agreement = |material: &Material| {
        let said = said(material);
        so_far
            .log
            .and(&said.may_mean[0].1)
            .map(|(agreement, _)| agreement)
    };
    let material = may_be
        .iter()
        .filter(|material| held_against(material, lit, &so_far).fits)
        .filter_map(|material| Some((agreement(material)?, *material)))
        .max_by(|a, b| a.0.total_cmp(&b.0))?
        .1;
    witnesses.push(said(material));
    Some(Supposed {
        material,
        gains: judged(&witnesses),
    })
}

/// The correction of a photo that holds no colour: what is known of reflectances still mends its exposure.
fn without_colour(
    picture: &Picture,
    known: &KnownLight,
) -> Result<(LightCorrection, LightReport), LightError> {
    if let KnownLight::Reference(reference) = known {
        let seen = usable_mean(picture, &reference.region)
            .map_err(|found| LightError::UnusableReference { found })?;
        let exposure = Xyz::from(reference.colour).y / seen.y;
        return Ok(no_colour(exposure, Off::NONE.with(10.0)));
    }
    let things = KnownThings::from(known);
    let mut witnesses = Vec::new();
    if let Some((region, reflectance)) = &things.neutral {
        let seen = usable_neutral(picture, region)?;
        witnesses.push(Witness::neutral(
            seen.grey_of_same_y().to_linear_srgb(),
            *reflectance,
        ));
    }
    for known in &things.materials {
        let lit = material_seen(picture, known)?;
        let grey = Xyz::from(lit.light).grey_of_same_y().to_linear_srgb();
        witnesses.push(Witness::material(
            grey,
            &in_grey(known.material.elsewhere()),
            &in_grey(Material::any()),
        ));
    }
    let mends =
        things.neutral.as_ref().is_some_and(|(_, r)| r.is_some()) || !things.materials.is_empty();
    let gains = judged(&witnesses);
    if mends {
        let exposure = (-gains.stops() * std::f64::consts::LN_2).exp();
        Ok(no_colour(
            exposure,
            gains.off_after(MIDDLING).with(camera(MIDDLING)),
        ))
    } else {
        Ok(no_colour(
            1.0,
            gains.off_before(MIDDLING).with(camera(MIDDLING)),
        ))
    }
}

/// The lightness of a material alone, from its green.
fn in_grey(of: Normal3) -> Normal3 {
    Normal3 {
        mean: [of.mean[1]; 3],
        covariance: spread(of.covariance[1][1].sqrt(), 0.5, 0.5),
    }
}

fn no_colour(exposure: f64, off: Off) -> (LightCorrection, LightReport) {
    (
        LightCorrection::LightnessOnly(exposure),
        LightReport::new(CorrectedBy::NoColour { exposure }, off),
    )
}
