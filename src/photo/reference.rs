//! A colour known beforehand that lies in the picture: a printed swatch, or anything whose colour is known.
//!
//! The thing beside it, in the same light, is compared with it. That removes light, exposure and, for similar
//! colours, the camera's own curve. An error in the reference itself stays.

use super::light::{CorrectedBy, LightCorrection, LightReport, Reference, ReferenceKnown};
use super::light_error::LightError;
use super::picture::Picture;
use super::sample::usable_mean;
use super::witness::Off;
use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::linear::{Matrix3, inverse, product, times};

/// What a printer may be off, CIEDE2000. Our choice, no source: papers, inks and drivers differ.
const PRINTER: f64 = 6.0;
/// What a stated colour may be off. Our choice, as for the screen colours of a paint list.
const STATED: f64 = 4.0;
/// What a comparison side by side may be off besides. Our choice.
const SIDE_BY_SIDE: f64 = 3.0;
/// This part of the distance between two compared colours may be wrong: a camera's curve and a lamp's colour bend it.
/// Our choice.
const OF_DISTANCE: f64 = 0.1;

impl ReferenceKnown {
    /// How far colours may be off that are near to the reference's.
    pub(super) fn uncertainty(self) -> f64 {
        let own = match self {
            Self::Printed => PRINTER,
            Self::Stated => STATED,
        };
        own.hypot(SIDE_BY_SIDE)
    }

    /// The word for files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Printed => "printed swatch",
            Self::Stated => "known colour",
        }
    }

    /// What was compared and what stays uncertain, in words.
    pub(super) fn words(self) -> String {
        match self {
            Self::Printed => format!(
                "compared with the printed swatch of the planned colour, in the same light: that removes the effect of light and camera, but not what your printer did to the swatch (taken as ± {PRINTER:.0}: our choice, no source)"
            ),
            Self::Stated => format!(
                "compared with a colour you gave, in the same light: that removes the effect of light and camera, but not an error in the colour you gave (taken as ± {STATED:.0}: our choice, no source)"
            ),
        }
    }
}

impl Reference {
    /// How far a colour of a picture that was corrected by this may be off: the more, the less it resembles it.
    #[must_use]
    pub fn uncertainty_of(&self, colour: LabD65) -> DeltaE00 {
        let distance = delta_e00(self.colour, colour).0;
        DeltaE00(self.known.uncertainty().hypot(OF_DISTANCE * distance))
    }
}

/// The correction that gives the reference its colour: full von Kries adaptation in CAT16 cone space.
///
/// # Errors
/// [`LightError::UnusableReference`] when it is black, blown out or empty.
pub(super) fn by_reference(
    picture: &Picture,
    reference: &Reference,
) -> Result<(LightCorrection, LightReport), LightError> {
    let seen = usable_mean(picture, &reference.region)
        .map_err(|found| LightError::UnusableReference { found })?;
    let report = LightReport::new(
        CorrectedBy::Reference {
            known: reference.known,
            off: delta_e00(LabD65::from(seen), reference.colour),
        },
        Off::NONE.with(reference.known.uncertainty()),
    );
    let matrix = adapted(seen, Xyz::from(reference.colour));
    Ok((LightCorrection::Linear(matrix), report))
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

/// Stands in for an inverse that does not exist; the matrices here and in `chart.rs` all have one.
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

/// Linear sRGB to linear sRGB: what had the colour `seen` gets the colour `wanted`. Full von Kries adaptation in CAT16
/// cone space.
fn adapted(seen: Xyz, wanted: Xyz) -> Matrix3 {
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
