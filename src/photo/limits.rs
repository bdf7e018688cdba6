//! What to refuse before making any pixel, and what decoding takes.

use super::photo_error::PhotoError;
use image::ColorType;
use std::ops::Range;

/// What is refused before any pixel is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Largest file, bytes.
    pub file_bytes: u64,
    /// Longest side, pixels.
    pub side: u32,
    /// Most pixels.
    pub pixels: u64,
    /// Most bytes a photo may take in all while it is decoded: copies of its file, its pixels, what they are turned into.
    pub decoded_bytes: u64,
    /// What to do with a JPEG that is cut short.
    pub damage: Damage,
}

/// What to do with a JPEG that is cut short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Damage {
    /// Refuse it.
    #[default]
    Refuse,
    /// Use the rows that can be read.
    ReadableRows,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            file_bytes: 200 << 20,
            side: 20_000,
            pixels: 100_000_000,
            decoded_bytes: 900 << 20,
            damage: Damage::Refuse,
        }
    }
}

impl Limits {
    /// Limits for photos of at most this many megapixels (1 to 2000); memory and sides go with it.
    #[must_use]
    pub fn of_megapixels(megapixels: u32) -> Self {
        let usual = Self::default();
        let pixels = u64::from(megapixels.clamp(1, 2000)) * 1_000_000;
        let larger = pixels.max(usual.pixels) / usual.pixels;
        Self {
            file_bytes: usual.file_bytes * larger,
            side: if pixels > usual.pixels {
                65_535
            } else {
                usual.side
            },
            pixels,
            decoded_bytes: usual.decoded_bytes * larger,
            damage: usual.damage,
        }
    }

    /// Compares a header with the limits, before pixels are made; `need` is what decoding takes in all, in bytes.
    pub(super) fn check_size(&self, width: u32, height: u32, need: u64) -> Result<(), PhotoError> {
        if width == 0 || height == 0 {
            return Err(PhotoError::Damaged {
                detail: "it has no width or no height".to_owned(),
            });
        }
        let pixels = u64::from(width) * u64::from(height);
        if width > self.side || height > self.side || pixels > self.pixels {
            return Err(PhotoError::TooManyPixels {
                width,
                height,
                side: self.side,
                pixels: self.pixels,
            });
        }
        if need > self.decoded_bytes {
            return Err(PhotoError::TooMuchMemory {
                need,
                limit: self.decoded_bytes,
            });
        }
        Ok(())
    }
}

/// What a decoder makes of a picture, before it makes it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape {
    /// Pixels.
    pub(super) pixels: u64,
    /// As the decoder gives them.
    pub(super) colour: ColorType,
    /// Whether it must be turned by a quarter, which takes a second copy.
    pub(super) turned: bool,
    /// Whether it is a file of which the decoder keeps a copy, and what it keeps of each pixel meanwhile, bytes.
    pub(super) kept: (bool, u64),
    /// What it holds of one part at a time, bytes.
    pub(super) part: u64,
}

impl Shape {
    /// Most bytes that are held at once for a file of this many bytes, the file itself included.
    pub(super) fn need(&self, file: u64) -> u64 {
        let given = u64::from(self.colour.bytes_per_pixel());
        let deep = self.colour.bytes_per_pixel() / self.colour.channel_count() > 1;
        let wanted = if deep { 6 } else { 3 };
        let mask = u64::from(self.colour.has_alpha());
        let decoding = given + self.kept.1;
        let turning = if self.turned { 2 * given } else { given };
        let turning_into = if given == wanted {
            given
        } else {
            given + wanted + mask
        };
        let copies = if self.kept.0 { 2 } else { 1 };
        let each = decoding.max(turning).max(turning_into);
        self.pixels
            .saturating_mul(each)
            .saturating_add(file.saturating_mul(copies))
            .saturating_add(self.part)
    }
}

/// Splits photos into runs that can be worked on in parallel: together each takes at most `most` bytes, except for
/// one that takes more by itself.
///
/// ```
/// assert_eq!(hillwash::photo::waves(&[3, 3, 5, 9, 1], 8), [0..2, 2..3, 3..4, 4..5]);
/// ```
#[must_use]
pub fn waves(needs: &[u64], most: u64) -> Vec<Range<usize>> {
    let mut waves: Vec<Range<usize>> = Vec::new();
    let mut sum = 0_u64;
    for (at, need) in needs.iter().enumerate() {
        sum = sum.saturating_add(*need);
        match waves.last_mut() {
            Some(wave) if sum <= most => wave.end = at + 1,
            _ => {
                waves.push(at..at + 1);
                sum = *need;
            }
        }
    }
    waves
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_megapixels_in_sixteen_bits_fit_and_turned_they_do_not() {
        let limits = Limits::default();
        let mut shape = Shape {
            pixels: 100_000_000,
            colour: ColorType::Rgb16,
            turned: false,
            kept: (false, 0),
            part: 0,
        };
        assert!(shape.need(200 << 20) < limits.decoded_bytes);
        shape.turned = true;
        assert!(shape.need(0) > limits.decoded_bytes);
        let refused = limits.check_size(10_000, 10_000, shape.need(0));
        assert!(matches!(refused, Err(PhotoError::TooMuchMemory { .. })));
    }
}
