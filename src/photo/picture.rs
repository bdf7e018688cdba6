//! A decoded photograph.

use super::correct::{Supposed, correction, supposed, without_colour};
use super::light::{KnownLight, LightCorrection, LightReport};
use super::light_error::LightError;
use super::monochrome::{Monochrome, monochrome};
use super::profile::{Encoding, ProfileUsed};
use crate::colour::LinearSrgb;
use crate::materials::Material;
use crate::region::Region;

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

    /// Corrects the light by everything known of it. A picture without colour keeps its lightness and nothing else.
    ///
    /// # Errors
    /// [`LightError`] when the neutral or the chart cannot be used.
    pub fn correct(&mut self, known: &KnownLight) -> Result<LightReport, LightError> {
        if monochrome(self) != Monochrome::No {
            let (correction, report) = without_colour(self, known)?;
            self.correction = correction;
            return Ok(report);
        }
        let (correction, report) = correction(self, known)?;
        self.correction = correction;
        Ok(report)
    }

    /// Which of several materials a part may be, and what the gains of the picture would be then, beside what is known
    /// already; `None` if it can hardly be any, if the part cannot be read, or if there is no colour.
    #[must_use]
    pub fn supposed(
        &self,
        known: &KnownLight,
        region: &Region,
        may_be: &[&'static Material],
    ) -> Option<Supposed> {
        (!may_be.is_empty() && monochrome(self) == Monochrome::No)
            .then(|| supposed(self, known, region, may_be))
            .flatten()
    }

    /// Number of pixels.
    #[must_use]
    pub fn pixel_count(&self) -> usize {
        self.width * self.height
    }
}
