//! A colour known beforehand that lies in the picture: a printed swatch, or anything whose colour is known.
//!
//! What lies beside it in the same light is compared with it. That takes out light, exposure and, for colours near to
//! each other, the camera's own curve; what is wrong with the reference itself stays in.

use super::light::{CorrectedBy, Correction, LightError, LightReport, adapted, usable_mean};
use super::picture::Picture;
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00};
use crate::region::Region;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferenceKnown {
    /// It was printed to have it: a printer shifts colours.
    Printed,
    /// The builder says so.
    Stated,
}

/// What a printer may be off, CIEDE2000. Our choice, no source: papers, inks and drivers differ.
const PRINTER: f64 = 6.0;
/// What a stated colour may be off. Our choice, as for the screen colours of a paint list.
const STATED: f64 = 4.0;
/// What a comparison side by side may be off besides. Our choice.
const SIDE_BY_SIDE: f64 = 3.0;
/// Of the distance between two compared colours so much may be off: a camera's curve and a lamp's colour bend it. Our
/// choice.
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
                "held beside the printed swatch of the planned colour, in the same light: that takes out light and camera, but not what your printer did to the swatch (taken as ± {PRINTER:.0}: our choice, no source)"
            ),
            Self::Stated => format!(
                "held beside a colour you stated, in the same light: that takes out light and camera, but not what is wrong with the stated colour (taken as ± {STATED:.0}: our choice, no source)"
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
) -> Result<(Correction, LightReport), LightError> {
    let seen = usable_mean(picture, &reference.region)
        .map_err(|found| LightError::UnusableReference { found })?;
    let report = LightReport {
        by: CorrectedBy::Reference {
            known: reference.known,
            off: delta_e00(LabD65::from(seen), reference.colour),
        },
        uncertainty: DeltaE00(reference.known.uncertainty()),
    };
    let matrix = adapted(seen, Xyz::from(reference.colour));
    Ok((Correction::Linear(matrix), report))
}
