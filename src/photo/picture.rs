//! A decoded photograph.

use super::light::LightCorrection;
use super::profile::{Encoding, ProfileUsed};
use crate::colour::LinearSrgb;

/// Encoded red, green, blue, row by row from the upper left.
#[derive(Debug, Clone)]
pub enum Samples {
    /// 8 bits a channel.
    Rgb8(Vec<u8>),
    /// 16 bits a channel.
    Rgb16(Vec<u16>),
}

/// A photograph, upright, in the encoding of its file.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Encoded values, three a pixel.
    pub samples: Samples,
    /// One byte a pixel where the file has transparency: 255 counts, anything less does not.
    pub alpha: Option<Vec<u8>>,
    /// True when the file holds one channel only.
    pub grey: bool,
    /// What the encoded values mean.
    pub encoding: Encoding,
    /// Which profile that is.
    pub profile: ProfileUsed,
    /// What is done about the light it was taken in.
    pub correction: LightCorrection,
}

impl Picture {
    /// Wraps 8-bit sRGB values, three a pixel; gives `None` when their number does not fit.
    #[must_use]
    pub fn from_srgb8(width: usize, height: usize, rgb: Vec<u8>) -> Option<Self> {
        (width > 0 && height > 0 && rgb.len() == width.checked_mul(height)?.checked_mul(3)?)
            .then_some(Self {
                width,
                height,
                samples: Samples::Rgb8(rgb),
                alpha: None,
                grey: false,
                encoding: Encoding::Srgb,
                profile: ProfileUsed::Assumed,
                correction: LightCorrection::None,
            })
    }

    /// Linear light of encoded values 0..1, in the primaries of sRGB, not clipped, with the photo's light corrected.
    #[must_use]
    pub fn light_of(&self, encoded: &[[f64; 3]]) -> Vec<LinearSrgb> {
        let mut light = self.encoding.to_linear(encoded);
        for colour in &mut light {
            *colour = self.correction.apply(*colour);
        }
        light
    }

    /// Number of pixels.
    #[must_use]
    pub fn pixel_count(&self) -> usize {
        self.width * self.height
    }
}
