//! The light a photo was taken in, and how it is taken out: by a colour chart, by a known neutral, by an estimate when
//! asked, or not at all.
//!
//! A correction works on linear light and is applied a colour, not a pixel. It says in plain words what it did and how
//! far the colours may still be off.

use super::chart::{MOST_BLOWN_OUT, by_chart};
use super::picture::{Picture, Samples};
use super::reference::{Reference, ReferenceKnown, by_reference};
use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::linear::{Matrix3, dot, inverse, product, times};
use crate::region::Region;
use std::fmt;

/// What is known about a photo's light.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum KnownLight {
    /// Nothing.
    #[default]
    Nothing,
    /// Correct by an estimate from the picture itself.
    Estimate,
    /// A known neutral in the picture.
    Neutral {
        /// Where it is.
        region: Region,
        /// Its reflectance, 0..1; without it only the white balance is mended.
        reflectance: Option<f64>,
    },
    /// A 24-patch colour chart: the outer corners at patches 1, 6, 24 and 19, as fractions of the picture.
    Chart([[f64; 2]; 4]),
    /// Something whose colour is known, beside what is to be read.
    Reference(Reference),
}

/// How colours are corrected, on linear light.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction {
    /// Left as they are.
    None,
    /// A 3 × 3 matrix.
    Linear([[f64; 3]; 3]),
    /// To the grey of the same luminance times a factor: the photo holds no colour.
    LightnessOnly(f64),
    /// A matrix over red, green, blue and the roots of their products in pairs.
    RootPolynomial([[f64; 6]; 3]),
}

/// What was done about the light, and how far the colours may still be off.
#[derive(Debug, Clone, PartialEq)]
pub struct LightReport {
    /// What it was corrected by.
    pub by: CorrectedBy,
    /// How far colours of this photo may be off, CIEDE2000. Our choice, no source: chart 3, grey card 5, white balance
    /// only 8, estimate 9, nothing 10, a stated colour beside it 5, a printed one 7; never less than the residual on the
    /// chart.
    pub uncertainty: DeltaE00,
}

/// What a photo's light was corrected by.
#[derive(Debug, Clone, PartialEq)]
pub enum CorrectedBy {
    /// Nothing; where an estimate would change much, the white it would take.
    Nothing {
        /// What the estimate takes for white, and how far from neutral that is.
        offered: Option<Estimate>,
    },
    /// The estimate.
    Estimate(Estimate),
    /// A neutral of unknown reflectance: white balance only.
    WhiteBalance {
        /// How far from neutral it was.
        cast: DeltaE00,
    },
    /// A neutral of known reflectance: white balance and exposure.
    GreyCard {
        /// How far from neutral it was.
        cast: DeltaE00,
        /// By how much light was scaled.
        exposure: f64,
    },
    /// A colour chart.
    Chart(ChartFit),
    /// A colour known beforehand.
    Reference {
        /// How it is known.
        known: ReferenceKnown,
        /// How far from it the photo showed it.
        off: DeltaE00,
    },
    /// The photo holds no colour.
    NoColour {
        /// By how much light was scaled; 1 without a grey card.
        exposure: f64,
    },
}

/// The light, estimated from the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Colour of the light, scaled to L* 75.
    pub light: LabD65,
    /// How far from neutral that is.
    pub cast: DeltaE00,
}

/// How well a chart was fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartFit {
    /// True when the root-polynomial form was the better one.
    pub root_polynomial: bool,
    /// Patches that were used: those not blown out.
    pub patches: usize,
    /// Mean CIEDE2000 of the patches before, best exposure aside.
    pub before: DeltaE00,
    /// Mean CIEDE2000 of the patches after.
    pub after: DeltaE00,
    /// Mean CIEDE2000 with each patch in turn left out of the fit.
    pub left_out: DeltaE00,
    /// Mean CIEDE2000 of the six greys before.
    pub greys_before: DeltaE00,
    /// Mean CIEDE2000 of the six greys after.
    pub greys_after: DeltaE00,
}

/// Why what is known about the light cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LightError {
    /// The neutral is black, white beyond measure, or empty.
    #[error(
        "found a neutral that is {found}, expected a grey that is neither crushed nor blown out"
    )]
    UnusableNeutral {
        /// "empty", "black", "blown out".
        found: &'static str,
    },
    /// The reference is black, white beyond measure, or empty.
    #[error(
        "found a reference that is {found}, expected a colour that is neither crushed nor blown out"
    )]
    UnusableReference {
        /// "empty", "black", "blown out".
        found: &'static str,
    },
    /// The corners do not span a chart.
    #[error(
        "found chart corners that do not span a chart, expected the outer corners at patches 1, 6, 24 and 19, in this order"
    )]
    UnusableCorners,
    /// Too many patches are blown out.
    #[error(
        "found {blown_out} of the chart's 24 patches blown out, expected at most {MOST_BLOWN_OUT}"
    )]
    BlownOutChart {
        /// How many.
        blown_out: usize,
    },
    /// The patches are not those of a 24-patch chart.
    #[error(
        "found patches that do not fit a 24-patch chart (mean ΔE00 {left_out:.0} after the best fit), expected at most {limit:.0}"
    )]
    NotAChart {
        /// Mean difference, each patch in turn left out.
        left_out: f64,
        /// The limit.
        limit: f64,
    },
}

impl crate::problem::Explain for LightError {
    fn hint(&self) -> Option<String> {
        Some(
            match self {
                Self::UnusableNeutral { .. } => {
                    "point at a grey card, or at something known to be grey, that is lit like the subject"
                }
                Self::UnusableReference { .. } => {
                    "give the box of the swatch alone, or photograph it with other exposure, out of the sun"
                }
                Self::BlownOutChart { .. } => "photograph the chart again with less exposure",
                Self::UnusableCorners | Self::NotAChart { .. } => {
                    "patch 1 is dark skin, 6 bluish green, 24 black, 19 white: begin at dark skin and go round past bluish green, black and white"
                }
            }
            .to_owned(),
        )
    }
}

/// The correction of a photo that holds no colour: a grey card of known reflectance still mends its exposure.
pub(super) fn without_colour(
    picture: &Picture,
    known: &KnownLight,
) -> Result<(Correction, LightReport), LightError> {
    let (exposure, uncertainty) = match known {
        KnownLight::Neutral {
            region,
            reflectance: Some(reflectance),
        } => {
            let seen = usable_neutral(picture, region)?;
            (reflectance / seen.y, 5.0)
        }
        KnownLight::Reference(reference) => {
            let seen = usable_mean(picture, &reference.region)
                .map_err(|found| LightError::UnusableReference { found })?;
            (Xyz::from(reference.colour).y / seen.y, 10.0)
        }
        _ => (1.0, 10.0),
    };
    let report = LightReport {
        by: CorrectedBy::NoColour { exposure },
        uncertainty: DeltaE00(uncertainty),
    };
    Ok((Correction::LightnessOnly(exposure), report))
}

impl Correction {
    /// Corrects one colour.
    #[must_use]
    pub fn apply(&self, light: LinearSrgb) -> LinearSrgb {
        let [r, g, b] = match self {
            Self::None => return light,
            Self::LightnessOnly(exposure) => [exposure * Xyz::from(light).y; 3],
            Self::Linear(matrix) => matrix.map(|row| dot(&row, &[light.r, light.g, light.b])),
            Self::RootPolynomial(matrix) => {
                let terms = root_terms(light);
                matrix.map(|row| dot(&row, &terms))
            }
        };
        LinearSrgb { r, g, b }
    }
}

/// r, g, b, √rg, √gb, √rb: each scales as light does, so that exposure does not change hue.
///
/// # Source
/// Finlayson, Mackiewicz and Hurlbert 2015, *Color correction using root-polynomial regression*, second degree.
pub(super) fn root_terms(light: LinearSrgb) -> [f64; 6] {
    let [r, g, b] = [light.r, light.g, light.b].map(|v| v.max(0.0));
    [r, g, b, (r * g).sqrt(), (g * b).sqrt(), (r * b).sqrt()]
}

/// Works out the correction of a picture from what is known about its light.
///
/// # Errors
/// [`LightError`] when the neutral or the chart cannot be used.
pub(super) fn correction(
    picture: &Picture,
    known: &KnownLight,
) -> Result<(Correction, LightReport), LightError> {
    match known {
        KnownLight::Nothing => {
            let offered = estimate(picture).filter(|e| e.cast.0 >= WORTH_OFFERING);
            Ok((
                Correction::None,
                LightReport {
                    by: CorrectedBy::Nothing { offered },
                    uncertainty: DeltaE00(10.0),
                },
            ))
        }
        KnownLight::Estimate => match estimate(picture) {
            Some(found) => Ok((
                Correction::Linear(to_neutral(found.light.into(), 1.0)),
                LightReport {
                    by: CorrectedBy::Estimate(found),
                    uncertainty: DeltaE00(9.0),
                },
            )),
            None => Err(LightError::UnusableNeutral { found: "black" }),
        },
        KnownLight::Neutral {
            region,
            reflectance,
        } => by_neutral(picture, region, *reflectance),
        KnownLight::Chart(corners) => by_chart(picture, corners),
        KnownLight::Reference(reference) => by_reference(picture, reference),
    }
}

/// A cast below this is not worth a word: skies and lawns cast as much. Our choice.
const WORTH_OFFERING: f64 = 8.0;

/// The mean colour of a part that is neither crushed nor blown out; or the word for what it is.
pub(super) fn usable_mean(picture: &Picture, region: &Region) -> Result<Xyz, &'static str> {
    let seen = mean_light(picture, region).ok_or("empty")?;
    if seen.clipped_share > 0.1 {
        return Err("blown out");
    }
    let xyz = Xyz::from(seen.light);
    if xyz.y < 0.002 {
        return Err("black");
    }
    Ok(xyz)
}

fn usable_neutral(picture: &Picture, region: &Region) -> Result<Xyz, LightError> {
    usable_mean(picture, region).map_err(|found| LightError::UnusableNeutral { found })
}

fn by_neutral(
    picture: &Picture,
    region: &Region,
    reflectance: Option<f64>,
) -> Result<(Correction, LightReport), LightError> {
    let xyz = usable_neutral(picture, region)?;
    let cast = delta_e00(LabD65::from(xyz), LabD65::from(xyz.grey_of_same_y()));
    let exposure = reflectance.map_or(1.0, |r| r / xyz.y);
    let by = match reflectance {
        Some(_) => CorrectedBy::GreyCard { cast, exposure },
        None => CorrectedBy::WhiteBalance { cast },
    };
    let uncertainty = if reflectance.is_some() { 5.0 } else { 8.0 };
    Ok((
        Correction::Linear(to_neutral(xyz, exposure)),
        LightReport {
            by,
            uncertainty: DeltaE00(uncertainty),
        },
    ))
}

/// CAT16 cone responses from XYZ.
///
/// # Source
/// Li et al. 2017, *Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS*.
const CAT16: [[f64; 3]; 3] = [
    [0.401_288, 0.650_173, -0.051_461],
    [-0.250_268, 1.204_414, 0.045_854],
    [-0.002_079, 0.048_952, 0.953_127],
];

/// Stands in for an inverse that does not exist; the matrices of this file all have one.
pub(super) const IDENTITY: Matrix3 = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// The matrix from linear sRGB to XYZ, column by column.
fn srgb_to_xyz() -> Matrix3 {
    let column = |r: f64, g: f64, b: f64| Xyz::from(LinearSrgb { r, g, b }).as_array();
    let (r, g, b) = (
        column(1.0, 0.0, 0.0),
        column(0.0, 1.0, 0.0),
        column(0.0, 0.0, 1.0),
    );
    std::array::from_fn(|i| [r[i], g[i], b[i]])
}

/// Linear sRGB to linear sRGB: what had the colour `seen` becomes neutral of the same luminance, times `exposure`.
fn to_neutral(seen: Xyz, exposure: f64) -> Matrix3 {
    let grey = seen.grey_of_same_y();
    adapted(seen, grey.blend(exposure, grey, 0.0))
}

/// Linear sRGB to linear sRGB: what had the colour `seen` gets the colour `wanted`. Full von Kries adaptation in CAT16
/// cone space.
pub(super) fn adapted(seen: Xyz, wanted: Xyz) -> Matrix3 {
    let from = times(&CAT16, &seen.as_array());
    let to = times(&CAT16, &wanted.as_array());
    let mut scaled = CAT16;
    for (row, (to, from)) in scaled.iter_mut().zip(to.iter().zip(from)) {
        for v in row.iter_mut() {
            *v *= to / from.max(1e-6);
        }
    }
    let rgb = srgb_to_xyz();
    let back = |matrix: &Matrix3| inverse(matrix).unwrap_or(IDENTITY);
    product(
        &back(&rgb),
        &product(&product(&back(&CAT16), &scaled), &rgb),
    )
}

/// Mean light of a region.
#[derive(Debug, Clone, Copy)]
pub(super) struct MeanLight {
    pub(super) light: LinearSrgb,
    pub(super) clipped_share: f64,
}

/// About as many pixels as are read for a mean.
const ENOUGH_PIXELS: f64 = 10_000.0;

/// Encoded values 0..1 of some 10 000 pixels of a region at most, on a regular grid.
pub(super) fn sampled(picture: &Picture, region: &Region) -> Vec<[f64; 3]> {
    let [left, top, right, bottom] = region.outline.bounds();
    #[expect(
        clippy::cast_precision_loss,
        reason = "pixel counts stay far below 2^52"
    )]
    let spanned = (right - left) * (bottom - top) * picture.pixel_count() as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a positive number of pixels"
    )]
    let stride = ((spanned / ENOUGH_PIXELS).sqrt().ceil() as usize).max(1);
    let mut taken = Vec::new();
    for row in (stride / 2..picture.height).step_by(stride) {
        for run in region.runs(row, picture.width, picture.height) {
            let first = run.start.next_multiple_of(stride) + stride / 2;
            taken.extend(
                (first.min(run.end)..run.end)
                    .step_by(stride)
                    .filter(|column| picture.counts(row, *column))
                    .map(|column| picture.encoded(row, column)),
            );
        }
    }
    taken
}

pub(super) fn mean_light(picture: &Picture, region: &Region) -> Option<MeanLight> {
    let encoded = sampled(picture, region);
    if encoded.is_empty() {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = encoded.len() as f64;
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let clipped = encoded
        .iter()
        .filter(|v| v.iter().any(|c| *c > 0.997))
        .count() as f64;
    let mut sum = [0.0; 3];
    for light in picture.encoding.to_linear(&encoded) {
        sum[0] += light.r;
        sum[1] += light.g;
        sum[2] += light.b;
    }
    Some(MeanLight {
        light: LinearSrgb {
            r: sum[0] / count,
            g: sum[1] / count,
            b: sum[2] / count,
        },
        clipped_share: clipped / count,
    })
}

/// Estimates the light as the Minkowski mean (p = 6) of the picture's linear light, blown-out pixels left out.
///
/// # Source
/// Finlayson and Trezzi 2004, *Shades of gray and colour constancy*.
fn estimate(picture: &Picture) -> Option<Estimate> {
    let encoded: Vec<[f64; 3]> = sampled(picture, &Region::whole())
        .into_iter()
        .filter(|v| v.iter().all(|c| *c < 0.985))
        .collect();
    if encoded.is_empty() || picture.grey {
        return None;
    }
    let mut sum = [0.0_f64; 3];
    for light in picture.encoding.to_linear(&encoded) {
        for (total, v) in sum.iter_mut().zip([light.r, light.g, light.b]) {
            *total += v.max(0.0).powi(6);
        }
    }
    let [r, g, b] = sum.map(|v| v.powf(1.0 / 6.0));
    let xyz = Xyz::from(LinearSrgb { r, g, b });
    if xyz.y <= 0.0 {
        return None;
    }
    // L* 75, a middling light grey, so that the cast can be told as a difference.
    let bright = Xyz::from(LabD65::new(75.0, 0.0, 0.0)).y / xyz.y;
    let light = LabD65::from(xyz.blend(bright, xyz, 0.0));
    Some(Estimate {
        light,
        cast: delta_e00(light, LabD65::new(75.0, 0.0, 0.0)),
    })
}

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
                "nothing corrects its light; as a whole it leans to {}, which may be its light or only what it shows (an estimate is offered, not applied)",
                cast_words(estimate.light)
            ),
            CorrectedBy::Estimate(estimate) => write!(
                f,
                "white balance by an estimate: the light was taken to be {}; exposure is as the camera made it",
                cast_words(estimate.light)
            ),
            CorrectedBy::WhiteBalance { cast } => write!(
                f,
                "white balance by a known neutral, which was off by ΔE00 {:.0}; lightness is as the camera made it",
                cast.0
            ),
            CorrectedBy::GreyCard { cast, exposure } => write!(
                f,
                "white balance and exposure by a grey card, which was off by ΔE00 {:.0}; light was scaled by {exposure:.2}; the camera's tone curve remains",
                cast.0
            ),
            CorrectedBy::NoColour { exposure } if (exposure - 1.0).abs() > 1e-9 => write!(
                f,
                "it holds no colour: its lightness is used, scaled by {exposure:.2} after a grey card; no colour is invented"
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

impl Picture {
    /// Encoded red, green and blue of a pixel, 0..1.
    #[must_use]
    pub fn encoded(&self, row: usize, column: usize) -> [f64; 3] {
        let at = (row * self.width + column) * 3;
        match &self.samples {
            Samples::Rgb8(all) => std::array::from_fn(|c| f64::from(all[at + c]) / 255.0),
            Samples::Rgb16(all) => std::array::from_fn(|c| f64::from(all[at + c]) / 65535.0),
        }
    }

    /// False for transparent pixels.
    fn counts(&self, row: usize, column: usize) -> bool {
        self.alpha
            .as_ref()
            .is_none_or(|mask| mask[row * self.width + column] == 255)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cast_neutral_becomes_neutral_and_gets_its_reflectance() {
        let orange = LinearSrgb {
            r: 0.30,
            g: 0.18,
            b: 0.08,
        };
        let xyz = Xyz::from(orange);
        let matrix = Correction::Linear(to_neutral(xyz, 0.18 / xyz.y));
        let lab = LabD65::from(matrix.apply(orange));
        assert!(lab.chroma() < 1e-9, "{lab:?}");
        assert!((Xyz::from(lab).y - 0.18).abs() < 1e-9);
    }
}
