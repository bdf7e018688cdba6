//! How a photo's light was corrected, in words.

use super::correct::Supposed;
use super::light::{CorrectedBy, LightReport, Witnessed};
use super::witness::Estimate;
use crate::colour::LabD65;
use std::fmt;

impl fmt::Display for LightReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.by {
            CorrectedBy::Nothing { offered: None } => f.write_str(
                "nothing corrects its light: lightness and warmth are as the camera made them",
            ),
            CorrectedBy::Nothing {
                offered: Some(estimate),
            } => write!(
                f,
                "nothing corrects its light; as a whole it leans to {}, which may be its light or only the colour of what it shows (an estimate is offered, not applied)",
                cast_words(estimate.light)
            ),
            CorrectedBy::Estimate(estimate) if estimate.cast.0 < self.off.hue.0 => write!(
                f,
                "the picture cannot show its own light: taken as a whole, it leaves the light's colour uncertain by ± {:.0}; white balance was hardly changed, exposure is as the camera made it",
                self.off.hue.0
            ),
            CorrectedBy::Estimate(estimate) => write!(
                f,
                "white balance by an estimate: the light was taken to be {}; exposure is as the camera made it",
                cast_words(estimate.light)
            ),
            CorrectedBy::Materials(estimate) => f.write_str(&self.by_materials(*estimate)),
            CorrectedBy::WhiteBalance { cast } => write!(
                f,
                "white balance by a known neutral, which was off by ΔE00 {:.0}; lightness is as the camera made it",
                cast.0
            ),
            CorrectedBy::GreyCard { cast, exposure } => write!(
                f,
                "white balance and exposure by a grey card, which was off by ΔE00 {:.0}; its light was scaled by {exposure:.2}; the camera's tone curve remains",
                cast.0
            ),
            CorrectedBy::NoColour { exposure } if (exposure - 1.0).abs() > 1e-9 => write!(
                f,
                "it holds no colour: its lightness is used, scaled by {exposure:.2} to match a grey card; no colour is invented"
            ),
            CorrectedBy::NoColour { .. } => {
                f.write_str("it holds no colour: its lightness is used, no colour is invented")
            }
            CorrectedBy::Reference { known, .. } => f.write_str(&known.words()),
            CorrectedBy::Chart(fit) => write!(
                f,
                "corrected by a colour chart ({}): its patches were off by ΔE00 {:.1} and are now by {:.1}; patches left out of the fit by {:.1}",
                if fit.root_polynomial {
                    "root-polynomial"
                } else {
                    "linear"
                },
                fit.before.0,
                fit.after.0,
                fit.left_out.0
            ),
        }
    }
}

/// The cast of a light in words: "orange", "blue", …
fn cast_words(light: LabD65) -> &'static str {
    if light.chroma() < 4.0 {
        return "neutral";
    }
    match light.hue_degrees() {
        h if h < 30.0 => "pink",
        h if h < 80.0 => "orange",
        h if h < 115.0 => "yellow",
        h if h < 200.0 => "green",
        h if h < 300.0 => "blue",
        _ => "violet",
    }
}

/// How a light differs from neutral: "neutral", "a little blue", "orange".
fn degree_of_cast(light: LabD65) -> String {
    match light.chroma() {
        c if c < 4.0 => "neutral in colour".to_owned(),
        c if c < 12.0 => format!("a little {}", cast_words(light)),
        _ => cast_words(light).to_owned(),
    }
}

/// "0.7 stops too dark", "rightly exposed".
fn exposure_words(stops: f64) -> String {
    if stops.abs() < 0.15 {
        "rightly exposed".to_owned()
    } else {
        format!(
            "{:.1} stops too {}",
            stops.abs(),
            if stops > 0.0 { "light" } else { "dark" }
        )
    }
}

impl Estimate {
    /// How a photo with such gains is off, in words: "0.7 stops too dark and a little blue".
    #[must_use]
    pub fn words(&self, stops: f64) -> String {
        format!(
            "{} and {}",
            exposure_words(stops),
            degree_of_cast(self.light)
        )
    }
}

impl Supposed {
    /// "if these are red clay tiles, the photo is 0.7 stops too dark and a little blue; say material = …".
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "if {}, the photo is {}; say material = \"{}\" on the surface to use that",
            self.material.said,
            self.gains.estimate().words(self.gains.stops()),
            self.material.name
        )
    }
}

impl LightReport {
    /// True when something of known lightness mended the exposure.
    #[must_use]
    pub fn mends_exposure(&self) -> bool {
        match self.by {
            CorrectedBy::Nothing { .. }
            | CorrectedBy::Estimate(_)
            | CorrectedBy::WhiteBalance { .. } => false,
            CorrectedBy::NoColour { exposure } => (exposure - 1.0).abs() > 1e-9,
            CorrectedBy::GreyCard { .. }
            | CorrectedBy::Chart(_)
            | CorrectedBy::Materials(_)
            | CorrectedBy::Reference { .. } => true,
        }
    }

    fn by_materials(&self, estimate: Estimate) -> String {
        let mut names: Vec<&str> = self.witnesses.iter().map(|w| w.material.name).collect();
        names.dedup();
        format!(
            "white balance and exposure by the known things in it ({}): it was {}; ± {:.0} in lightness, ± {:.0} in hue and chroma",
            names.join("; "),
            estimate.words(self.gains.map_or(0.0, |gains| gains.stops())),
            self.off.lightness.0,
            self.off.hue.0
        )
    }

    /// What the known materials contradict, each in words; none where all fit.
    #[must_use]
    pub fn contradictions(&self) -> Vec<String> {
        self.witnesses
            .iter()
            .filter(|witness| !witness.fits)
            .map(Witnessed::contradiction)
            .collect()
    }
}

impl Witnessed {
    /// "as asphalt road, worn, this would be 1.4 stops too light; is it concrete pavement, or in full sun?"
    #[must_use]
    pub fn contradiction(&self) -> String {
        let other = self
            .rather
            .filter(|rather| *rather != self.material)
            .map(|rather| format!("is it {}, or", rather.name));
        if self.stops.abs() < 0.5 {
            let (how, why) = match self.chroma {
                c if c < -1.0 => ("too grey", "weathered, dirty or mossy"),
                c if c > 1.0 => ("too colourful", "painted, wet or in coloured light"),
                _ => ("of the wrong hue", "painted or in coloured light"),
            };
            return format!(
                "as {} this would be {how}; {} {why}?",
                self.material.name,
                other.unwrap_or_else(|| "is it".to_owned())
            );
        }
        let (how, lit) = if self.stops > 0.0 {
            ("light", "in brighter light than the rest")
        } else {
            ("dark", "in shade")
        };
        format!(
            "as {} this would be {:.1} stops too {how}; {} {lit}?",
            self.material.name,
            self.stops.abs(),
            other.unwrap_or_else(|| "is it".to_owned()),
        )
    }
}
