//! The light a photo was taken in, and how to remove it: by everything known of it (a colour chart, a neutral,
//! materials, the picture as a whole), or not at all.
//!
//! A correction works on linear light, and on colours, not pixels. It says in plain words what it did and how
//! far the colours may still be off.

use super::witness::{Estimate, Gains, Off};
use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz};
use crate::linear::dot;
use crate::materials::Material;
use crate::region::Region;
use serde::{Deserialize, Serialize};

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
    /// Something whose colour is known, beside the thing to read.
    Reference(Reference),
    /// Several things at once.
    Things(KnownThings),
}

impl KnownLight {
    /// Adds known materials; beside a known colour they do not count.
    #[must_use]
    pub fn with_materials(self, materials: &[KnownMaterial]) -> Self {
        if materials.is_empty() || matches!(self, Self::Reference(_)) {
            return self;
        }
        let mut things = KnownThings::from(&self);
        things.materials.extend_from_slice(materials);
        Self::Things(things)
    }
}

/// Things in one picture that are known: all are witnesses of its light.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KnownThings {
    /// The corners of a colour chart, as in [`KnownLight::Chart`].
    pub chart: Option<[[f64; 2]; 4]>,
    /// A neutral and its reflectance, as in [`KnownLight::Neutral`].
    pub neutral: Option<(Region, Option<f64>)>,
    /// Materials, and where they are.
    pub materials: Vec<KnownMaterial>,
}

/// A part of a picture that shows a known material.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownMaterial {
    /// Where it is.
    pub region: Region,
    /// What it is.
    pub material: &'static Material,
}

/// Something in the picture whose colour is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Where it is.
    pub region: Region,
    /// Its colour.
    pub colour: LabD65,
    /// How that is known.
    pub known: ReferenceKnown,
}

/// How a reference's colour is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ReferenceKnown {
    /// It was printed to have it: a printer shifts colours.
    Printed,
    /// The builder says so.
    Stated,
}

/// How colours are corrected, on linear light.
#[derive(Debug, Clone, PartialEq)]
pub enum LightCorrection {
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LightReport {
    /// What it was corrected by: the strongest of what is known.
    pub by: CorrectedBy,
    /// How far colours of this photo may be off, CIEDE2000, in two cases of three: for a middling outdoor colour, by
    /// the gains as far as they are known, and by what a camera does besides.
    pub uncertainty: DeltaE00,
    /// How far they may be off, split into lightness and colour.
    pub off: Off,
    /// The gains of the photo as they were judged; `None` if nobody asked for them.
    pub gains: Option<Gains>,
    /// What each known material shows.
    pub witnesses: Vec<Witnessed>,
}

impl LightReport {
    pub(super) fn new(by: CorrectedBy, off: Off) -> Self {
        Self {
            by,
            uncertainty: off.total,
            off,
            gains: None,
            witnesses: Vec::new(),
        }
    }

    /// How far a colour of this photo may be off: as [`LightReport::uncertainty`], for this colour.
    #[must_use]
    pub fn off_at(&self, colour: LabD65) -> Off {
        match (&self.gains, &self.by) {
            (Some(gains), CorrectedBy::Nothing { .. }) => {
                gains.off_before(colour).with(camera(colour))
            }
            (Some(gains), by) if !matches!(by, CorrectedBy::Chart(_)) => {
                gains.off_after(colour).with(camera(colour))
            }
            _ => self.off,
        }
    }
}

/// A middling outdoor colour: the mean of the 24 measured materials.
pub(super) const MIDDLING: LabD65 = LabD65::new(43.0, 4.0, 11.0);

/// What a camera does to a colour besides its gains, CIEDE2000: its curve and its own primaries. From the two chart
/// photos with their greys made right: 4.7 and 6.6, more for strong colours.
pub(super) fn camera(colour: LabD65) -> f64 {
    4.5_f64.hypot(0.08 * colour.chroma())
}

/// What one known material shows of the light, compared with all the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Witnessed {
    /// The material.
    pub material: &'static Material,
    /// By how many stops it would be too light if the others are right; too dark when negative.
    pub stops: f64,
    /// By how much it would be more colourful than what was measured, CIELAB; greyer when negative.
    pub chroma: f64,
    /// False if it can hardly be what the scene says, by the others and by what is usual.
    pub fits: bool,
    /// What would fit better.
    pub rather: Option<&'static Material>,
    /// True where it was seen in sun and in shade, and only the sunlit part counts.
    pub two_lights: bool,
}

/// What a photo's light was corrected by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
    /// Known materials: white balance and exposure.
    Materials(Estimate),
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

/// How well a chart was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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

impl LightCorrection {
    /// Scales red, green and blue afterwards.
    pub(super) fn scaled(&self, by: [f64; 3]) -> Self {
        match self {
            Self::None | Self::LightnessOnly(_) => self.clone(),
            Self::Linear(matrix) => {
                Self::Linear(std::array::from_fn(|i| matrix[i].map(|v| v * by[i])))
            }
            Self::RootPolynomial(matrix) => {
                Self::RootPolynomial(std::array::from_fn(|i| matrix[i].map(|v| v * by[i])))
            }
        }
    }

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
