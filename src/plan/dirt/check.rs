//! Checks of a scene's dirt that need the paint list.

use crate::paint::PaintList;
use crate::problem::{Explain, Place, nearest_word};
use crate::scene::{Scene, Treatment, WashBase};

/// A wish that the paint list or the scene's other surfaces do not allow.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DirtError {
    /// A base that is no paint of the list.
    #[error(
        "found \"{found}\", expected a colour such as \"#a4523a\", the name of a paint in {list}, or {{ surface = \"…\" }}"
    )]
    UnknownPaint {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The list.
        list: String,
        /// The nearest paint.
        nearest: Option<String>,
    },
    /// A base that is itself nothing but a wash.
    #[error(
        "found the surface \"{found}\", which is a wash alone, expected one with a body of its own"
    )]
    BaseIsWash {
        /// Where.
        place: Place,
        /// The surface.
        found: String,
    },
}

impl Explain for DirtError {
    fn place(&self) -> Place {
        match self {
            Self::UnknownPaint { place, .. } | Self::BaseIsWash { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::UnknownPaint { nearest, .. } => nearest
                .as_ref()
                .map(|nearest| format!("did you mean \"{nearest}\"?")),
            Self::BaseIsWash { .. } => Some(
                "write the colour that lies under the wash, such as base = \"#a4523a\"".to_owned(),
            ),
        }
    }
}

/// Checks the bases of all washes against the list and the other surfaces.
///
/// # Errors
/// All bases that cannot be used, in scene order.
pub fn check_dirt(scene: &Scene, paints: &PaintList) -> Result<(), Vec<DirtError>> {
    let faults: Vec<DirtError> = scene
        .surfaces
        .iter()
        .filter_map(|surface| surface.wash.as_ref())
        .filter_map(|wash| {
            let place = || wash.base_place.clone();
            match wash.base.as_ref()? {
                WashBase::Colour(_) => None,
                WashBase::Paint(name) => {
                    paints
                        .named(name)
                        .is_none()
                        .then(|| DirtError::UnknownPaint {
                            place: place(),
                            found: name.clone(),
                            list: paints.file.clone(),
                            nearest: nearest_word(
                                name,
                                paints.paints().iter().map(|p| p.name.as_str()),
                            )
                            .map(str::to_owned),
                        })
                }
                WashBase::Surface(name) => scene
                    .surfaces
                    .iter()
                    .any(|s| s.name.eq_ignore_ascii_case(name) && s.treatment == Treatment::Wash)
                    .then(|| DirtError::BaseIsWash {
                        place: place(),
                        found: name.clone(),
                    }),
            }
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
