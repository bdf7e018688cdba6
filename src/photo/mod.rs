//! Photographs: bytes in, an upright [`Picture`] with a known colour encoding out.
//!
//! It goes by content, not by file name, and knows nothing of paths. Limits are checked on the header, before pixels
//! are made. Doubtful but usable photos come with a [`PhotoWarning`].

mod beside;
mod chart;
mod correct;
mod decode;
mod estimate;
mod heif;
mod heif_parts;
mod jpeg;
mod kind;
mod light;
mod light_error;
mod light_words;
mod limits;
mod monochrome;
mod phones;
mod photo_error;
mod picture;
mod profile;
mod reading;
mod reference;
mod relief;
mod sample;
mod small;
mod strips;
mod witness;

pub use correct::Supposed;
pub use decode::{check_kind, decode, memory_needed, too_large};
pub use kind::Unsupported;
pub use light::{
    ChartFit, CorrectedBy, KnownLight, KnownMaterial, KnownThings, LightCorrection, LightReport,
    Reference, ReferenceKnown, Witnessed,
};
pub use light_error::LightError;
pub use limits::{Damage, Limits, waves};
pub use monochrome::Monochrome;
pub use photo_error::{PhotoError, PhotoWarning};
pub use picture::{Picture, Samples};
pub use profile::{Encoding, ProfileUsed};
pub use reading::{LightGrid, Reading};
pub use relief::{
    FilmColours, PictureOf, Recesses, SmallPicture, clean_and_dirtied, small_picture,
};
pub(crate) use small::pixels_within;
pub use small::{Crop, SmallJpeg, Thumbnail, before_after, png, small_jpeg, small_rgb};
pub use witness::{Estimate, Gains, Off, Witness, judged};
