//! HEIC, as most phones store photos, by a decoder in Rust alone.
//!
//! Three decoders under licences we may pass on were compared with libheif 1.23 on 13 files (two photos, one in Display
//! P3; 8 and 10 bit; full and half chroma; lossless; odd sizes; matrices 1 and 6; grids of tiles, turned and mirrored;
//! 12 megapixels), mean CIEDE2000 over all pixels, and on 360 damaged files:
//!
//! | | heifer 0.3.22 | heic-decoder 0.1.1 | heic-rs 0.1.4 |
//! |---|---|---|---|
//! | worst mean of a file | 0.29 | 0.62 | 24 (a mirror is lost) |
//! | mean of the 13 | 0.07 | 0.35 | 4.2 over the 11 it reads |
//! | files refused | 0 | 0 | 2 (full chroma) |
//! | 12 megapixels, two cores | 1.4 s | 1.2 s | 1.5 s |
//! | panics on damaged files; longest | 0; 0.1 s | 0; 0.14 s | 0; 0.12 s |
//!
//! `tests/bench/rivals/heic.py` makes the files.
//!
//! AVIF is refused, with advice. One decoder of AV1 in Rust under a licence we may pass on was measured,
//! `re_rav1d` 0.1.3 without assembler (BSD-2-Clause), against libavif 1.2: the same planes to the bit on three files (8 and 10
//! bit, 12 megapixels), 0.5 s of processor time for 12 megapixels (libavif, with assembler: 0.1 s), no panic on 360 damaged
//! files. It is a translation of C with some 560 unsafe passages, and a photo from elsewhere is decoded inside this
//! program: that is more trust than AVIF is worth while phones save HEIC and JPEG. Its safe branch is under the AGPL, which
//! we may not pass on. To be looked at again when one of the two changes.

use super::heif_parts::{CodedParts, lists_within};
use super::light::LightCorrection;
use super::limits::Limits;
use super::photo_error::{PhotoError, PhotoWarning};
use super::picture::Picture;
use super::profile::{Channels, Encoding, ProfileUsed};
use crate::problem::Noted;
use heifer::heifer_isobmff::HeifFile;
use heifer::{Options, decode_rgba8, decode_srgb_rgba8};
use std::panic::{AssertUnwindSafe, catch_unwind};

fn damaged(error: impl std::fmt::Display) -> PhotoError {
    PhotoError::Damaged {
        detail: error.to_string(),
    }
}

/// Decodes the primary picture, turned upright; a decoder that panics counts as a damaged picture.
pub(super) fn decode_heic(
    bytes: &[u8],
    limits: &Limits,
) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
    catch_unwind(AssertUnwindSafe(|| decode_primary(bytes, limits)))
        .unwrap_or_else(|_| Err(damaged("the decoder gave up")))
}

/// Width and height according to the file, and the bytes that decoding it takes; `None` where it tells none, or is
/// put together from more than a photo is.
pub(super) fn told_size(bytes: &[u8], limits: &Limits) -> Option<([u32; 2], u64)> {
    lists_within(bytes).ok()?;
    let file = HeifFile::parse(bytes).ok()?;
    let parts = CodedParts::of_file(&file, bytes.len() as u64, limits).ok()?;
    match parts.check(limits) {
        Err(PhotoError::TooManyParts { .. }) => None,
        _ => Some((parts.size, parts.need)),
    }
}

fn decode_primary(
    bytes: &[u8],
    limits: &Limits,
) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
    lists_within(bytes)?;
    let file = HeifFile::parse(bytes).map_err(damaged)?;
    let parts = CodedParts::of_file(&file, bytes.len() as u64, limits)?;
    parts.check(limits)?;
    let profile = file
        .icc_profile(file.primary_id)
        .ok()
        .flatten()
        .map(<[u8]>::to_vec);
    drop(file);
    let options = Options {
        max_pixels: limits.pixels,
        max_threads: parts.threads,
    };
    let mut warnings = Vec::new();
    let (decoded, encoding, used) = if let Some(icc) = &profile {
        let (encoding, used) = Encoding::from_icc(icc, Channels::Colour).unwrap_or_else(|| {
            warnings.push(PhotoWarning::ProfileUnusable);
            (Encoding::Srgb, ProfileUsed::Unusable)
        });
        (decode_rgba8(bytes, &options), encoding, used)
    } else {
        // Without a profile the file may name its primaries by number; the decoder brings those to sRGB.
        let as_srgb = decode_srgb_rgba8(bytes, &options).or_else(|_| {
            warnings.push(PhotoWarning::SpaceUnknown);
            decode_rgba8(bytes, &options)
        });
        (as_srgb, Encoding::Srgb, ProfileUsed::Assumed)
    };
    let decoded = decoded.map_err(damaged)?;
    limits.check_size(decoded.width, decoded.height, parts.need)?;
    let (width, height) = (decoded.width as usize, decoded.height as usize);
    let mut picture =
        Picture::from_srgb8(width, height, decoded.into_rgb8()).ok_or(PhotoError::CutShort)?;
    picture.encoding = encoding;
    picture.profile = used;
    picture.correction = LightCorrection::None;
    Ok(Noted {
        value: picture,
        warnings,
    })
}
