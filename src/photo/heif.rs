//! HEIC and AVIF by the system's libheif, when the program was built for it (feature `heif`).

use super::decode::{PhotoError, PhotoWarning};
use super::light::Correction;
use super::limits::Limits;
use super::picture::{Picture, Samples};
use super::profile::{Encoding, ProfileUsed};
use crate::problem::Noted;
use libheif_rs::{ColorSpace, HeifContext, HeifError, RgbChroma};

fn damaged(error: &HeifError) -> PhotoError {
    PhotoError::Damaged {
        detail: error.message.clone(),
    }
}

/// Decodes the primary picture, turned upright by the library.
pub(super) fn decode_heif(
    bytes: &[u8],
    limits: &Limits,
) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
    let context = HeifContext::read_from_bytes(bytes).map_err(|e| damaged(&e))?;
    let handle = context.primary_image_handle().map_err(|e| damaged(&e))?;
    // Planes of light and colour, what they are turned into, and a copy of that without padding.
    let need = u64::from(handle.width()) * u64::from(handle.height()) * 9 + bytes.len() as u64;
    limits.check_size(handle.width(), handle.height(), need)?;
    let image = handle
        .decode(ColorSpace::Rgb(RgbChroma::Rgb), None)
        .map_err(|e| damaged(&e))?;
    let planes = image.planes();
    let Some(plane) = planes.interleaved else {
        return Err(PhotoError::Damaged {
            detail: "it holds no red, green and blue".to_owned(),
        });
    };
    let (width, height) = (plane.width as usize, plane.height as usize);
    let rgb: Vec<u8> = plane
        .data
        .chunks(plane.stride)
        .take(height)
        .filter_map(|row| row.get(..width * 3))
        .flatten()
        .copied()
        .collect();
    let mut warnings = Vec::new();
    let (encoding, profile) = match handle.color_profile_raw() {
        None => (Encoding::Srgb, ProfileUsed::Assumed),
        Some(icc) => Encoding::from_icc(&icc.data, false).unwrap_or_else(|| {
            warnings.push(PhotoWarning::ProfileUnusable);
            (Encoding::Srgb, ProfileUsed::Unusable)
        }),
    };
    let mut picture = Picture::from_srgb8(width, height, rgb).ok_or(PhotoError::CutShort)?;
    debug_assert!(matches!(picture.samples, Samples::Rgb8(_)));
    picture.encoding = encoding;
    picture.profile = profile;
    picture.correction = Correction::None;
    Ok(Noted {
        value: picture,
        warnings,
    })
}
