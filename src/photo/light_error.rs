//! Why a photo's light cannot be corrected.

/// More patches than this blown out, and the chart is refused. Our choice.
pub(super) const MOST_BLOWN_OUT: usize = 6;

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
    /// A known material is black, white beyond measure, or empty.
    #[error("found a region of {what}, expected one that is neither crushed nor blown out")]
    UnusableMaterial {
        /// Its name and what is wrong: "bark that is blown out"; also "empty" and "black".
        what: Box<str>,
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
                Self::UnusableMaterial { .. } => {
                    "draw its region away from glare and black shadow, or leave it out"
                }
                Self::UnusableReference { .. } => {
                    "give the box of the swatch alone, or photograph it with another exposure, out of the sun"
                }
                Self::BlownOutChart { .. } => "photograph the chart again with less exposure",
                Self::UnusableCorners | Self::NotAChart { .. } => {
                    "patch 1 is dark skin, 6 bluish green, 24 black, 19 white: begin at dark skin and go round by bluish green, black and white"
                }
            }
            .to_owned(),
        )
    }
}
