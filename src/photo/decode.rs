//! Bytes to an upright picture.

use super::beside::{self, FileHeaders};
use super::jpeg;
use super::kind::{Handling, kind_of};
use super::light::LightCorrection;
use super::limits::{Damage, Limits, Shape};
use super::phones::made_by_phones;
use super::photo_error::{MOST_NOTE_BYTES, PhotoError, PhotoWarning};
use super::picture::{Picture, Samples};
use super::profile::{Channels, Encoding, ProfileUsed};
use super::strips;
use crate::problem::Noted;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Decodes a photo, turns it upright and finds out what its numbers mean.
///
/// # Errors
/// [`PhotoError`], never a panic: a decoder that panics counts as a damaged picture.
pub fn decode(bytes: &[u8], limits: &Limits) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
    if bytes.is_empty() {
        return Err(PhotoError::Empty);
    }
    let size = bytes.len() as u64;
    if size > limits.file_bytes {
        return Err(PhotoError::FileTooLarge {
            found: size,
            limit: limits.file_bytes,
        });
    }
    let format = match kind_of(bytes) {
        Handling::Read(format) => format,
        Handling::Heic => {
            let mut read = super::heif::decode_heic(bytes, limits)?;
            read.warnings
                .extend(made_by_phones(bytes, None, &read.value));
            return Ok(read);
        }
        Handling::Refuse(kind) => return Err(PhotoError::Unsupported(kind)),
        Handling::Unknown => return Err(PhotoError::NotAPicture),
    };
    let beside = FileHeaders::read_from(bytes, format);
    beside.check()?;
    let facts = (format == ImageFormat::Jpeg).then(|| jpeg::survey(bytes));
    let whole = facts.is_none_or(|facts| facts.whole);
    if facts.is_some_and(|facts| facts.components == Some(4)) {
        return Err(PhotoError::PrintingInks);
    }
    if !whole && limits.damage == Damage::Refuse {
        return Err(PhotoError::CutShort);
    }
    let file = KnownFile {
        bytes,
        format,
        whole,
        has_profile: beside.profile,
    };
    let mut read = catch_unwind(AssertUnwindSafe(|| file.decode(limits)))
        .unwrap_or_else(|_| Err(gave_up()))?;
    read.warnings
        .extend(made_by_phones(bytes, facts.as_ref(), &read.value));
    Ok(read)
}

/// Checks by the first bytes that a file is of a kind that is read.
///
/// # Errors
/// [`PhotoError`] of a file that is empty, of no known kind, or of one that is not read.
pub fn check_kind(bytes: &[u8]) -> Result<(), PhotoError> {
    if bytes.is_empty() {
        return Err(PhotoError::Empty);
    }
    match kind_of(bytes) {
        Handling::Read(_) | Handling::Heic => Ok(()),
        Handling::Refuse(kind) => Err(PhotoError::Unsupported(kind)),
        Handling::Unknown => Err(PhotoError::NotAPicture),
    }
}

fn gave_up() -> PhotoError {
    PhotoError::Damaged {
        detail: "the decoder gave up".to_owned(),
    }
}

/// Bytes that decoding a photo takes at most, its file included; where it will be refused, its file alone.
#[must_use]
pub fn memory_needed(bytes: &[u8], limits: &Limits) -> u64 {
    told_size(bytes, limits)
        .filter(|([width, height], need)| limits.check_size(*width, *height, *need).is_ok())
        .map_or(bytes.len() as u64, |(_, need)| need)
}

/// Width and height of a photo that the limits refuse for its size alone, by its header.
#[must_use]
pub fn too_large(bytes: &[u8], limits: &Limits) -> Option<[u32; 2]> {
    let ([width, height], need) = told_size(bytes, limits)?;
    let refused = limits.check_size(width, height, need).is_err();
    refused.then_some([width, height])
}

/// Width and height by the header, and the bytes that decoding takes; `None` where the header cannot be read.
fn told_size(bytes: &[u8], limits: &Limits) -> Option<([u32; 2], u64)> {
    catch_unwind(AssertUnwindSafe(|| match kind_of(bytes) {
        Handling::Heic => super::heif::told_size(bytes, limits),
        Handling::Read(format) => {
            FileHeaders::read_from(bytes, format).check().ok()?;
            let mut decoder = decoder_of(bytes, format, limits).ok()?;
            let shape = shape_of(&mut decoder, bytes, format, limits).ok()?;
            let need = shape.need(bytes.len() as u64);
            let (width, height) = decoder.dimensions();
            Some(([width, height], need))
        }
        Handling::Refuse(_) | Handling::Unknown => None,
    }))
    .ok()
    .flatten()
}

/// A decoder that has read the header, and inflates notes and profiles within their limit alone.
fn decoder_of<'b>(
    bytes: &'b [u8],
    format: ImageFormat,
    limits: &Limits,
) -> Result<impl ImageDecoder + use<'b>, PhotoError> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    // A PNG's decoder takes its limit when it is made, and inflates profiles there and then; the others are told later,
    // when the size is known: their own answer to a side too long would not name it.
    reader.limits(if format == ImageFormat::Png {
        let mut beside = image::Limits::no_limits();
        beside.max_alloc = Some(MOST_NOTE_BYTES.min(limits.decoded_bytes));
        beside
    } else {
        image::Limits::no_limits()
    });
    reader.into_decoder().map_err(|e| damaged(&e))
}

/// What the decoder is going to make.
fn shape_of(
    decoder: &mut impl ImageDecoder,
    bytes: &[u8],
    format: ImageFormat,
    limits: &Limits,
) -> Result<Shape, PhotoError> {
    let (width, height) = decoder.dimensions();
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let kept = match format {
        ImageFormat::Jpeg => (true, jpeg::survey_head(bytes).kept_per_pixel),
        // Lossless: four bytes a pixel; lossy: one for light and two halves for colour.
        ImageFormat::WebP => (false, 4),
        // All of it as it is stored, before it is put in order.
        ImageFormat::Tiff => {
            let bits = u64::from(decoder.original_color_type().bits_per_pixel());
            (false, bits.div_ceil(8))
        }
        _ => (false, 0),
    };
    Ok(Shape {
        pixels: u64::from(width) * u64::from(height),
        colour: decoder.color_type(),
        turned: matches!(
            orientation,
            Orientation::Rotate90
                | Orientation::Rotate270
                | Orientation::Rotate90FlipH
                | Orientation::Rotate270FlipH
        ),
        kept,
        part: match format {
            ImageFormat::Tiff => strips::held(bytes, limits)?,
            _ => 0,
        },
    })
}

fn damaged(error: &image::ImageError) -> PhotoError {
    let detail = error.to_string();
    if let image::ImageError::IoError(io) = error
        && io.kind() == std::io::ErrorKind::UnexpectedEof
    {
        return PhotoError::CutShort;
    }
    if detail.contains("unexpected end of file") || detail.contains("unexpected EOF") {
        return PhotoError::CutShort;
    }
    PhotoError::Damaged { detail }
}

/// A file of a known kind, and what its headers say.
#[derive(Clone, Copy)]
struct KnownFile<'b> {
    bytes: &'b [u8],
    format: ImageFormat,
    /// Its end marker was found, or its kind has none.
    whole: bool,
    has_profile: bool,
}

/// What a decoder tells of a picture beside its pixels.
struct ToldBeside {
    orientation: Orientation,
    icc: Option<Vec<u8>>,
    /// The headers tell of a profile that the decoder does not find.
    profile_lost: bool,
    space: ExifSpace,
}

impl KnownFile<'_> {
    fn decode(&self, limits: &Limits) -> Result<Noted<Picture, PhotoWarning>, PhotoError> {
        let (mut image, beside) = self.read(limits)?;
        let mut warnings = Vec::new();
        if !self.whole {
            let rows;
            (image, rows) = readable_part(&image)?;
            warnings.push(rows);
        }
        image.apply_orientation(beside.orientation);
        let grey = !image.color().has_color();
        let (encoding, profile) = beside.encoding(channels_of(&image), &mut warnings);
        if grey {
            warnings.push(PhotoWarning::Grey);
        }
        if self.format == ImageFormat::Gif {
            warnings.push(PhotoWarning::FirstFrame);
        }
        let (width, height) = (image.width() as usize, image.height() as usize);
        let alpha = image.color().has_alpha().then(|| alpha_of(&image));
        let alpha = alpha.filter(|mask| mask.iter().any(|a| *a != 255));
        if alpha.is_some() {
            warnings.push(PhotoWarning::Transparency);
        }
        Ok(Noted {
            value: Picture {
                width,
                height,
                samples: samples_of(image),
                alpha,
                grey,
                encoding,
                profile,
                correction: LightCorrection::None,
            },
            warnings,
        })
    }

    /// The pixels as they are stored, and what stands beside them, all within the limits.
    fn read(&self, limits: &Limits) -> Result<(DynamicImage, ToldBeside), PhotoError> {
        let mut decoder = decoder_of(self.bytes, self.format, limits)?;
        let (width, height) = decoder.dimensions();
        let shape = shape_of(&mut decoder, self.bytes, self.format, limits)?;
        limits.check_size(width, height, shape.need(self.bytes.len() as u64))?;
        let mut image_limits = image::Limits::default();
        image_limits.max_image_width = Some(limits.side);
        image_limits.max_image_height = Some(limits.side);
        image_limits.max_alloc = Some(limits.decoded_bytes);
        decoder.set_limits(image_limits).map_err(|e| damaged(&e))?;
        let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
        let icc = match self.format {
            ImageFormat::Tiff => beside::tiff_profile(self.bytes),
            _ => decoder.icc_profile().ok().flatten(),
        };
        let told = ToldBeside {
            orientation,
            profile_lost: icc.is_none() && self.has_profile,
            icc,
            space: exif_space(decoder.exif_metadata().ok().flatten()),
        };
        let image = DynamicImage::from_decoder(decoder).map_err(|e| damaged(&e))?;
        Ok((image, told))
    }
}

impl ToldBeside {
    /// How the values are to be read, and by what that is known.
    fn encoding(
        &self,
        channels: Channels,
        warnings: &mut Vec<PhotoWarning>,
    ) -> (Encoding, ProfileUsed) {
        let unusable = (Encoding::Srgb, ProfileUsed::Unusable);
        let assumed = (Encoding::Srgb, ProfileUsed::Assumed);
        if let Some(icc) = &self.icc {
            return Encoding::from_icc(icc, channels).unwrap_or_else(|| {
                warnings.push(PhotoWarning::ProfileUnusable);
                unusable
            });
        }
        if self.profile_lost {
            warnings.push(PhotoWarning::ProfileUnusable);
            return unusable;
        }
        match self.space {
            ExifSpace::Srgb => assumed,
            ExifSpace::OpRgb => {
                warnings.push(PhotoWarning::SpaceUnknown);
                Encoding::op_rgb().unwrap_or(assumed)
            }
            ExifSpace::Unknown => {
                warnings.push(PhotoWarning::SpaceUnknown);
                assumed
            }
        }
    }
}

fn channels_of(image: &DynamicImage) -> Channels {
    if image.color().has_color() {
        Channels::Colour
    } else {
        Channels::Grey
    }
}

/// The rows of a file that is cut short which can be read, and the warning that says how many they are.
fn readable_part(image: &DynamicImage) -> Result<(DynamicImage, PhotoWarning), PhotoError> {
    let of = image.height() as usize;
    let rows = readable_rows(image);
    if rows == 0 {
        return Err(PhotoError::CutShort);
    }
    let high = u32::try_from(rows).unwrap_or(image.height());
    let part = image.crop_imm(0, 0, image.width(), high);
    Ok((part, PhotoWarning::CutShort { rows, of }))
}

/// Its values, as deep as they are stored.
fn samples_of(image: DynamicImage) -> Samples {
    let deep = image.color().bytes_per_pixel() / image.color().channel_count() > 1;
    if deep {
        Samples::Rgb16(image.into_rgb16().into_raw())
    } else {
        Samples::Rgb8(image.into_rgb8().into_raw())
    }
}

/// The colour space according to EXIF, if there is no profile.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ExifSpace {
    /// sRGB, or nothing is said.
    Srgb,
    /// Uncalibrated, with the interoperability index R03: opRGB.
    OpRgb,
    /// Uncalibrated.
    Unknown,
}

/// Reads the two tags that give a colour space. Damaged EXIF says nothing.
///
/// # Source
/// CIPA DC-008 (EXIF 2.32): `ColorSpace` 0xFFFF is uncalibrated; DCF 2.0: R03 is the optional colour space, opRGB (IEC 61966-2-5).
fn exif_space(raw: Option<Vec<u8>>) -> ExifSpace {
    let Some(exif) = raw.and_then(|raw| exif::Reader::new().read_raw(raw).ok()) else {
        return ExifSpace::Srgb;
    };
    let primary = exif::In::PRIMARY;
    let space = exif
        .get_field(exif::Tag::ColorSpace, primary)
        .and_then(|field| field.value.get_uint(0));
    if space != Some(0xffff) {
        return ExifSpace::Srgb;
    }
    match exif
        .get_field(exif::Tag::InteroperabilityIndex, primary)
        .map(|f| &f.value)
    {
        Some(exif::Value::Ascii(text)) if text.first().is_some_and(|t| t.starts_with(b"R03")) => {
            ExifSpace::OpRgb
        }
        _ => ExifSpace::Unknown,
    }
}

/// Rows above the flat fill that a decoder leaves below the data of a file that is cut short.
fn readable_rows(image: &DynamicImage) -> usize {
    let rgb = image.to_rgb8();
    let width = rgb.width() as usize * 3;
    let rows: Vec<&[u8]> = rgb.as_raw().chunks_exact(width.max(3)).collect();
    let flat = |row: &[u8]| row.chunks_exact(3).all(|pixel| pixel == &row[..3]);
    let Some(last) = rows.last().filter(|row| flat(row)) else {
        return rows.len();
    };
    // The row of blocks that was cut through is in doubt too: 16 rows at most.
    let filled = rows.iter().rev().take_while(|row| *row == last).count();
    rows.len().saturating_sub(filled).saturating_sub(16)
}

fn alpha_of(image: &DynamicImage) -> Vec<u8> {
    match image {
        DynamicImage::ImageLumaA8(pixels) => pixels.pixels().map(|p| p.0[1]).collect(),
        DynamicImage::ImageRgba8(pixels) => pixels.pixels().map(|p| p.0[3]).collect(),
        other => other.to_rgba8().pixels().map(|p| p.0[3]).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::kind::Unsupported;
    use super::*;

    #[test]
    fn what_is_no_picture_is_said_plainly() {
        let limits = Limits::default();
        assert_eq!(decode(b"", &limits).unwrap_err(), PhotoError::Empty);
        assert_eq!(
            decode(b"a shopping list", &limits).unwrap_err(),
            PhotoError::NotAPicture
        );
        assert_eq!(
            decode(b"\0\0\0\x18ftypavif\0\0\0\0mif1avif", &limits).unwrap_err(),
            PhotoError::Unsupported(Unsupported::Avif)
        );
    }

    #[test]
    fn a_png_goes_there_and_back() {
        let rgb = vec![10, 20, 30, 40, 50, 60];
        let mut png = Vec::new();
        image::RgbImage::from_raw(2, 1, rgb.clone())
            .unwrap()
            .write_to(&mut Cursor::new(&mut png), ImageFormat::Png)
            .unwrap();
        let picture = decode(&png, &Limits::default()).unwrap().value;
        assert!(matches!(&picture.samples, Samples::Rgb8(v) if *v == rgb));
        let tight = Limits {
            pixels: 1,
            ..Limits::default()
        };
        assert!(matches!(
            decode(&png, &tight),
            Err(PhotoError::TooManyPixels { width: 2, .. })
        ));
    }

    #[test]
    fn a_small_tiff_keeps_a_profile_larger_than_its_pixels() {
        use image::ImageEncoder;
        let icc = moxcms::ColorProfile::new_display_p3().encode().unwrap();
        let mut tiff = Cursor::new(Vec::new());
        let mut encoder = image::codecs::tiff::TiffEncoder::new(&mut tiff);
        encoder.set_icc_profile(icc).unwrap();
        encoder
            .write_image(&[200; 12], 2, 2, image::ExtendedColorType::Rgb8)
            .unwrap();
        let read = decode(tiff.get_ref(), &Limits::default()).unwrap();
        assert!(matches!(read.value.profile, ProfileUsed::Embedded(_)));
    }

    #[test]
    fn a_tiff_counts_its_pixels_as_they_are_stored_and_as_they_are_given() {
        let mut tiff = Cursor::new(Vec::new());
        image::ImageBuffer::<image::Rgb<u16>, _>::from_raw(40, 30, vec![9_u16; 3600])
            .unwrap()
            .write_to(&mut tiff, ImageFormat::Tiff)
            .unwrap();
        let tiff = tiff.into_inner();
        let needed = memory_needed(&tiff, &Limits::default());
        assert_eq!(needed, tiff.len() as u64 + 2 * 6 * 40 * 30);
        let tight = Limits {
            decoded_bytes: needed - 1,
            ..Limits::default()
        };
        assert!(matches!(
            decode(&tiff, &tight),
            Err(PhotoError::TooMuchMemory { .. })
        ));
    }

    #[test]
    fn a_jpeg_with_ten_thousand_empty_tables_is_refused_before_it_is_decoded() {
        let mut plain = Cursor::new(Vec::new());
        image::RgbImage::new(16, 16)
            .write_to(&mut plain, ImageFormat::Jpeg)
            .unwrap();
        let plain = plain.into_inner();
        assert!(decode(&plain, &Limits::default()).is_ok());
        // ITU-T T.81, B.2.4.2: a table of class and number, 16 counts, and no codes; alone, or 3,000 in one segment.
        let one = [&[0xff, 0xc4, 0, 19][..], &[0; 17]].concat();
        let length = u16::try_from(2 + 17 * 3000).unwrap().to_be_bytes();
        let many = [&[0xff, 0xc4][..], &length, &vec![0; 17 * 3000]].concat();
        for tables in [one.repeat(10_000), many.repeat(4)] {
            let mut bomb = plain.clone();
            bomb.splice(2..2, tables);
            assert!(matches!(
                decode(&bomb, &Limits::default()),
                Err(PhotoError::TooMuchBeside { .. })
            ));
        }
    }
}
