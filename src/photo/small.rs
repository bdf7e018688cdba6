//! Small copies for the schedule: re-encoded, so that nothing of the file's metadata travels.

use super::light::LightCorrection;
use super::photo_error::PhotoError;
use super::picture::{Picture, Samples};
use super::profile::Encoding;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::imageops::thumbnail;
use image::{Rgb, RgbImage};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::ops::Range;
use std::sync::OnceLock;

/// The part of a picture to show, as fractions: left, top, right, bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crop(pub [f64; 4]);

impl Crop {
    /// The whole picture.
    pub const WHOLE: Self = Self([0.0, 0.0, 1.0, 1.0]);
}

/// A small JPEG in sRGB.
#[derive(Debug, Clone, PartialEq)]
pub struct SmallJpeg {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// The file.
    pub bytes: Vec<u8>,
}

const QUALITY: u8 = 80;

/// A small copy of part of a picture in sRGB. It is encoded when first needed, and kept that way: what was encoded
/// for one plan is not for the next.
#[derive(Debug, Clone)]
pub struct Thumbnail {
    sides: (u32, u32),
    /// Its pixels, where it is not encoded yet.
    pixels: Option<RgbImage>,
    jpeg: OnceLock<Option<SmallJpeg>>,
}

/// Two copies are equal if they look equal.
impl PartialEq for Thumbnail {
    fn eq(&self, other: &Self) -> bool {
        self.sides == other.sides && self.encoded() == other.encoded()
    }
}

impl Serialize for Thumbnail {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let jpeg = self
            .encoded()
            .map(|jpeg| BASE64_STANDARD.encode(&jpeg.bytes));
        (self.sides, jpeg).serialize(to)
    }
}

impl<'de> Deserialize<'de> for Thumbnail {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let (sides, jpeg) = <((u32, u32), Option<String>)>::deserialize(from)?;
        let bytes = jpeg.map(|jpeg| BASE64_STANDARD.decode(jpeg)).transpose();
        let (width, height) = sides;
        let jpeg = bytes.map_err(D::Error::custom)?.map(|bytes| SmallJpeg {
            width,
            height,
            bytes,
        });
        Ok(Self {
            sides,
            pixels: None,
            jpeg: OnceLock::from(jpeg),
        })
    }
}

/// A small picture as its sides and its pixels in base64.
pub(super) mod kept_pixels {
    use base64::Engine;
    use base64::prelude::BASE64_STANDARD;
    use image::RgbImage;
    use serde::de::{Deserialize, Deserializer, Error};
    use serde::ser::{Serialize, Serializer};

    pub(in crate::photo) fn serialize<S: Serializer>(
        image: &RgbImage,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        (image.dimensions(), BASE64_STANDARD.encode(image.as_raw())).serialize(to)
    }

    pub(in crate::photo) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<RgbImage, D::Error> {
        let ((width, height), pixels) = <((u32, u32), String)>::deserialize(from)?;
        let pixels = BASE64_STANDARD.decode(pixels).map_err(Error::custom)?;
        RgbImage::from_raw(width, height, pixels)
            .ok_or_else(|| Error::custom("its pixels do not fit its size"))
    }
}

impl Thumbnail {
    /// Cuts and shrinks (box filter) to at most `long_side` pixels. Gives `None` for an empty crop.
    #[must_use]
    pub fn of_crop(picture: &Picture, crop: Crop, long_side: u32) -> Option<Self> {
        shrunk(picture, crop, long_side).map(|pixels| Self {
            sides: pixels.dimensions(),
            pixels: Some(pixels),
            jpeg: OnceLock::new(),
        })
    }

    /// Pixels across.
    #[must_use]
    pub fn width(&self) -> u32 {
        self.sides.0
    }

    /// Pixels down.
    #[must_use]
    pub fn height(&self) -> u32 {
        self.sides.1
    }

    /// As a JPEG; `None` where it cannot be encoded.
    #[must_use]
    pub fn jpeg(&self) -> Option<SmallJpeg> {
        self.encoded().cloned()
    }

    fn encoded(&self) -> Option<&SmallJpeg> {
        let encode = || encoded_small(self.pixels.as_ref()?, QUALITY).ok();
        self.jpeg.get_or_init(encode).as_ref()
    }
}

/// Cuts, shrinks and encodes at once.
#[must_use]
pub fn small_jpeg(picture: &Picture, crop: Crop, long_side: u32) -> Option<SmallJpeg> {
    Thumbnail::of_crop(picture, crop, long_side)?.jpeg()
}

/// As a JPEG.
pub(super) fn encoded_small(image: &RgbImage, quality: u8) -> Result<SmallJpeg, PhotoError> {
    let (width, height) = image.dimensions();
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode_image(image)
        .map_err(|e| PhotoError::Damaged {
            detail: e.to_string(),
        })?;
    Ok(SmallJpeg {
        width,
        height,
        bytes,
    })
}

/// The whole picture at another size, its light corrected: sRGB, three bytes a pixel.
#[must_use]
pub fn small_rgb(picture: &Picture, width: usize, height: usize) -> Option<Vec<u8>> {
    let (width, height) = (u32::try_from(width).ok()?, u32::try_from(height).ok()?);
    let small = shrunk(picture, Crop::WHOLE, width.max(height))?;
    Some(thumbnail(&small, width, height).into_raw())
}

/// A picture in sRGB, three bytes a pixel, as PNG.
///
/// # Errors
/// [`PhotoError::Damaged`] when the bytes do not fit the size, or cannot be encoded.
pub fn png(width: usize, height: usize, rgb: Vec<u8>) -> Result<Vec<u8>, PhotoError> {
    let failed = |detail: String| PhotoError::Damaged { detail };
    let sides = u32::try_from(width).ok().zip(u32::try_from(height).ok());
    let image = sides
        .and_then(|(width, height)| RgbImage::from_raw(width, height, rgb))
        .ok_or_else(|| failed("its pixels do not fit its size".to_owned()))?;
    encoded_png(&image)
}

/// Packed hard, without prediction: maps of a few flat colours come out smallest so.
fn encoded_png(image: &RgbImage) -> Result<Vec<u8>, PhotoError> {
    let mut bytes = Vec::new();
    let encoder =
        PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, FilterType::NoFilter);
    image
        .write_with_encoder(encoder)
        .map_err(|e| PhotoError::Damaged {
            detail: e.to_string(),
        })?;
    Ok(bytes)
}

/// Number of pixels to turn into light and back at once: a whole picture would take fifty times its bytes.
const AT_ONCE: usize = 1 << 14;

/// Cut, shrunk (each pixel counts in one of the smaller picture), its light corrected, in sRGB.
pub(super) fn shrunk(picture: &Picture, crop: Crop, long_side: u32) -> Option<RgbImage> {
    let [left, top, right, bottom] = crop.0;
    let columns = pixels_within(left, right, picture.width)?;
    let rows = pixels_within(top, bottom, picture.height)?;
    let sides = [columns.len(), rows.len()];
    let most = (long_side as usize).max(1);
    let longest = sides[0].max(sides[1]);
    let [width, height] = sides.map(|side| {
        let scaled = (2 * side * most.min(longest) + longest) / (2 * longest);
        scaled.max(1)
    });
    let across = edges(columns, width);
    let down = edges(rows, height);
    let row = picture.width;
    let rgb = match &picture.samples {
        Samples::Rgb8(all) => means(all, row, &across, &down, u64::from),
        Samples::Rgb16(all) => means(all, row, &across, &down, |code| u64::from(code >> 8)),
    };
    let mut small =
        RgbImage::from_raw(u32::try_from(width).ok()?, u32::try_from(height).ok()?, rgb)?;
    if !matches!(
        (&picture.encoding, &picture.correction),
        (Encoding::Srgb, LightCorrection::None)
    ) {
        for part in small.chunks_mut(3 * AT_ONCE) {
            let encoded: Vec<[f64; 3]> = part
                .chunks_exact(3)
                .map(|p| [p[0], p[1], p[2]].map(|v| f64::from(v) / 255.0))
                .collect();
            for (pixel, linear) in part.chunks_exact_mut(3).zip(picture.light_of(&encoded)) {
                pixel.copy_from_slice(&linear.encode().0);
            }
        }
    }
    Some(small)
}

/// Long side of each half of a comparison.
const COMPARED_SIDE: u32 = 1200;

/// The photo as read beside the photo as corrected, as a PNG in sRGB.
///
/// # Errors
/// [`PhotoError::Damaged`] when the picture cannot be encoded.
pub fn before_after(picture: &Picture) -> Result<Vec<u8>, PhotoError> {
    let as_read = Picture {
        correction: LightCorrection::None,
        ..picture.clone()
    };
    let failed = |detail: String| PhotoError::Damaged { detail };
    let halves: Option<Vec<RgbImage>> = [&as_read, picture]
        .into_iter()
        .map(|p| shrunk(p, Crop::WHOLE, COMPARED_SIDE))
        .collect();
    let halves = halves.ok_or_else(|| failed("it has no pixels".to_owned()))?;
    let gap = 8;
    let (width, height) = halves[0].dimensions();
    let mut both = RgbImage::from_pixel(2 * width + gap, height, Rgb([0x77; 3]));
    image::imageops::replace(&mut both, &halves[0], 0, 0);
    image::imageops::replace(&mut both, &halves[1], i64::from(width + gap), 0);
    encoded_png(&both)
}

/// Where this many parts of some pixels begin, and the end of the last.
fn edges(pixels: Range<usize>, parts: usize) -> Vec<usize> {
    let edge = |part: usize| pixels.start + (part * pixels.len()).div_ceil(parts);
    (0..=parts).map(edge).collect()
}

/// The mean of each block between edges, three codes a pixel; `row` is how many pixels a row has.
fn means<S: Copy>(
    all: &[S],
    row: usize,
    across: &[usize],
    down: &[usize],
    code: impl Fn(S) -> u64,
) -> Vec<u8> {
    let mut out = Vec::with_capacity(3 * across.len() * down.len());
    let mut sums = vec![[0_u64; 3]; across.len() - 1];
    for rows in down.windows(2) {
        sums.fill([0; 3]);
        for line in all.chunks_exact(3 * row).take(rows[1]).skip(rows[0]) {
            for (sum, columns) in sums.iter_mut().zip(across.windows(2)) {
                for pixel in line[3 * columns[0]..3 * columns[1]].as_chunks::<3>().0 {
                    sum[0] += code(pixel[0]);
                    sum[1] += code(pixel[1]);
                    sum[2] += code(pixel[2]);
                }
            }
        }
        for (sum, columns) in sums.iter().zip(across.windows(2)) {
            let count = ((columns[1] - columns[0]) * (rows[1] - rows[0])).max(1) as u64;
            let mean = |sum: u64| u8::try_from((sum + count / 2) / count).unwrap_or(u8::MAX);
            out.extend(sum.map(mean));
        }
    }
    out
}

/// The pixels of a span of fractions, at least one.
pub(crate) fn pixels_within(from: f64, to: f64, count: usize) -> Option<Range<usize>> {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "fractions of a pixel count, clamped to it"
    )]
    let at = |fraction: f64| (fraction.clamp(0.0, 1.0) * count as f64).round() as usize;
    let (a, b) = (at(from).min(count.checked_sub(1)?), at(to).min(count));
    Some(a..b.max(a + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thumbnail(code: u8) -> Thumbnail {
        let pixels = RgbImage::from_fn(40, 30, |x, y| {
            let shade = u8::try_from(5 * x).unwrap();
            Rgb([shade, code, u8::try_from(7 * y).unwrap()])
        });
        Thumbnail {
            sides: pixels.dimensions(),
            pixels: Some(pixels),
            jpeg: OnceLock::new(),
        }
    }

    #[test]
    fn a_small_picture_that_was_kept_is_shown_as_one_that_was_not() {
        let plain = thumbnail(90);
        let encoded = encoded_small(plain.pixels.as_ref().unwrap(), QUALITY).unwrap();
        let kept = serde_json::to_string(&plain).unwrap();
        let back: Thumbnail = serde_json::from_str(&kept).unwrap();
        assert_eq!((back.width(), back.height()), (40, 30));
        assert_eq!(back.jpeg(), Some(encoded));
        assert_eq!(back, plain);
        assert_ne!(back, thumbnail(200));
        assert_eq!(serde_json::to_string(&back).unwrap(), kept);
        let decoded = image::load_from_memory(&back.jpeg().unwrap().bytes).unwrap();
        assert_eq!((decoded.width(), decoded.height()), (40, 30));
    }
}
