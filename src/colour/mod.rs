//! Colour as numbers: spectra, the standard observer, CIE XYZ, CIELAB, Oklab, sRGB, differences and names.
//!
//! In: numbers and colour text. Out: typed colours. Everything is under D65 for the 2° observer unless a name says
//! otherwise. It knows nothing of paint, photos or files.

mod css;
mod cube_root;
mod difference;
mod lab;
mod munsell;
mod names;
mod observer;
mod oklab;
mod spectrum;
mod spectrum_text;
mod srgb;
mod vision;
mod xyz;

pub use css::{ColourTextError, lab_under_d50, parse_colour};
pub use cube_root::{cube_root, cube_roots};
pub use difference::{DeltaE00, SmallDifferences, delta_e00, is_farther, least_delta_e00};
pub use lab::{LabD65, LabSlope};
pub use names::{hue_way, plain_name, plain_word};
pub use observer::{OBSERVER_AND_D65, d65_sums, d65_weights, seen_in_daylight};
pub use oklab::OklabPoint;
pub use spectrum::{BANDS, FIRST_NM, STEP_NM, Spectrum};
pub use spectrum_text::{SpectrumFault, spectrum_points};
pub use srgb::{LinearSrgb, Srgb8};
pub use vision::{Dichromat, confused};
pub use xyz::{D65_WHITE, Xyz};
