//! Bytes to an upright picture.

use super::beside::{self, FileHeaders, MOST_NOTE_BYTES, MOST_NOTES};
use super::jpeg;
use super::kind::{Handling, Unsupported, kind_of};
use super::light::LightCorrection;
use super::limits::{Damage, Limits, Shape};
use super::phones::made_by_phones;
use super::picture::{Picture, Samples};
use super::profile::{Channels, Encoding, ProfileUsed};
use super::strips;
use crate::problem::{Explain, Noted};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use serde::{Deserialize, Serialize};
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Why a photo cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    /// No bytes.
    #[error("found an empty file, expected a photo")]
    Empty,
    /// More bytes than the limit.
    #[error("found a file of {found} bytes, expected at most {limit}")]
    FileTooLarge {
        /// Its size.
        found: u64,
        /// The limit.
        limit: u64,
    },
    /// Recognised, not read.
    #[error("found {}, expected JPEG, PNG, TIFF, WebP, HEIC, GIF, BMP or QOI", .0.name())]
    Unsupported(Unsupported),
    /// Not recognised at all.
    #[error("found no picture in it, expected JPEG, PNG, TIFF, WebP, HEIC, GIF, BMP or QOI")]
    NotAPicture,
    /// A header beyond the limits.
    #[error(
        "found a picture of {width} x {height} pixels, expected at most {side} a side and {pixels} in all"
    )]
    TooManyPixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// Limit of a side.
        side: u32,
        /// Limit of all.
        pixels: u64,
    },
    /// A picture that takes too much while it is decoded.
    #[error("found a picture that takes {} MB while it is read, expected at most {}", .need >> 20, .limit >> 20)]
    TooMuchMemory {
        /// Bytes it takes.
        need: u64,
        /// The limit.
        limit: u64,
    },
    /// A picture whose parts are more than it shows.
    #[error(
        "found a picture made of {parts} parts of {found} pixels in all, expected at most {pixels}"
    )]
    TooManyParts {
        /// Parts, each as often as it is used.
        parts: u64,
        /// Their pixels.
        found: u64,
        /// Limit of all.
        pixels: u64,
    },
    /// A HEIC file that is not as phones save it.
    #[error(
        "found a HEIC file whose picture is {found}, expected one picture or one grid of tiles, as phones save it"
    )]
    PutTogether {
        /// What its picture is.
        found: String,
    },
    /// More besides the picture than any camera or editor writes.
    #[error("found {notes} notes or tables, with {} bytes of notes, beside the picture, expected at most {MOST_NOTES} and {} MB", .bytes, MOST_NOTE_BYTES >> 20)]
    TooMuchBeside {
        /// Notes, profiles, tables and the like.
        notes: u64,
        /// Their bytes.
        bytes: u64,
    },
    /// Four printing inks.
    #[error("found a JPEG in four printing inks (CMYK), expected red, green and blue")]
    PrintingInks,
    /// The file ends too soon.
    #[error("found a file that is cut short, expected a whole picture")]
    CutShort,
    /// Damaged some other way.
    #[error("found a damaged picture ({detail}), expected one that can be read")]
    Damaged {
        /// The decoder's words.
        detail: String,
    },
}

impl Explain for PhotoError {
    fn hint(&self) -> Option<String> {
        Some(match self {
            Self::Empty | Self::CutShort => "copy it again from the camera or phone".to_owned(),
            Self::TooMuchBeside { .. } => {
                "save a copy without its notes (metadata) from an image editor".to_owned()
            }
            Self::FileTooLarge { .. }
            | Self::TooManyPixels { .. }
            | Self::TooMuchMemory { .. } => {
                "save a smaller copy (4000 pixels on the long side are plenty for colours), or raise the limit with --megapixels"
                    .to_owned()
            }
            Self::TooManyParts { .. } | Self::PutTogether { .. } => {
                "open it in an image viewer and save it as JPEG".to_owned()
            }
            Self::Unsupported(kind) => kind.advice().to_owned(),
            Self::NotAPicture => "give a photograph".to_owned(),
            Self::PrintingInks => {
                "open it in an image editor, convert it to sRGB and save it as JPEG or PNG"
                    .to_owned()
            }
            Self::Damaged { .. } => {
                "open it in an image viewer and save it again, or copy it again".to_owned()
            }
        })
    }
}

/// What is doubtful about a photo that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum PhotoWarning {
    /// The embedded profile is broken or not for such a picture; sRGB is assumed.
    ProfileUnusable,
    /// One channel: there is no colour in it.
    Grey,
    /// Only the first of several frames was read.
    FirstFrame,
    /// Transparent pixels do not count.
    Transparency,
    /// The file is cut short; the rows that could be read are used.
    CutShort {
        /// Rows that are used.
        rows: usize,
        /// Rows the picture has.
        of: usize,
    },
    /// The file says that its colours are in another space than sRGB, without a profile.
    SpaceUnknown,
    /// Small, coarsely saved and without profile or notes: as pictures are that were passed on in a chat.
    PassedOn,
    /// The picture has a short film attached.
    ShortFilm,
    /// Stitched from several shots, or as long as if it were.
    Panorama,
    /// The part named as sky is blown out or black.
    SkyTellsNothing,
}

impl std::fmt::Display for PhotoWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Self::CutShort { rows, of } = self {
            return write!(
                f,
                "the file is cut short: the upper {rows} of its {of} rows are used"
            );
        }
        f.write_str(match self {
            Self::CutShort { .. } => "the file is cut short",
            Self::SpaceUnknown => {
                "it has no colour profile but says that it is not in sRGB; read as opRGB if it says so, else as sRGB"
            }
            Self::ProfileUnusable => {
                "its colour profile cannot be used; read as sRGB, so colours may be off"
            }
            Self::SkyTellsNothing => {
                "its sky is blown out or black and shows nothing of the air; draw a part of it near the horizon that is neither"
            }
            Self::Grey => "it is grey: the program reads its lightness and invents no colour",
            Self::FirstFrame => "it may hold several frames; the first was read",
            Self::Transparency => "its transparent pixels do not count",
            Self::PassedOn => {
                "it is small, coarsely saved and without a profile, like pictures that came through a chat: wide areas keep their colour (within 2 in six photos treated this way), but thin things such as joints lose part of theirs; ask for the original, sent as a file"
            }
            Self::ShortFilm => {
                "it has a short film attached, which is not used; saved as a plain picture it is smaller and loses nothing"
            }
            Self::Panorama => {
                "it is a panorama: the light may change along it, so a grey card shows the light of its own part only, and you cannot safely compare parts that are far apart"
            }
        })
    }
}

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
