//! The colour of kinds that lie side by side.

use crate::colour::{BANDS, Spectrum, Xyz, seen_in_daylight};
use crate::paint::{Grain, reconstruct};

/// How far a blend's prediction may be off, besides the error of the list's own colours, in quadrature (CIEDE2000).
/// Our choice.
pub const SIDE_BY_SIDE_ERROR: f64 = 2.0;

/// An amount of a kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindShare {
    /// Its colour.
    pub colour: Xyz,
    /// Parts of the area that show it.
    pub area: f64,
}

/// How a blend is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidBlend {
    /// The painted ground below.
    pub ground: Xyz,
    /// Share of the area that shows the ground.
    pub ground_share: f64,
    /// Recollision probability: the shadow of grains on each other that their swatches do not show, 0..1.
    pub self_shadow: f64,
}

/// What a blend looks like.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendColours {
    /// Share of the area that each kind covers; with the ground they sum to 1.
    pub shares: Vec<f64>,
    /// Share of the ground that shows.
    pub ground: f64,
    /// The mean colour.
    pub xyz: Xyz,
}

/// Share of ground that shows by default: 0.10 below coarse and medium kinds, 0.05 below fine ones and fibres. Common
/// practice, no source.
#[must_use]
pub fn ground_that_shows(grain: Grain) -> f64 {
    match grain {
        Grain::Coarse | Grain::Medium => 0.10,
        Grain::Fine | Grain::Fibre => 0.05,
    }
}

/// The colour of a reflectance whose grains shade each other.
///
/// # Source
/// Smolander and Stenberg 2005, *Simple parameterizations of the radiation budget of uniform broadleaved and coniferous
/// canopies*: R (1 − p) / (1 − p R).
fn shaded(reflectance: f64, p: f64) -> f64 {
    reflectance * (1.0 - p) / (1.0 - p * reflectance)
}

/// The mean colour of kinds side by side: their light adds up by area (partitive mixing).
///
/// Holds where a grain is seen below about one minute of arc: 0.17 mm from 0.6 m. Coarser grains are seen as texture,
/// with the same mean.
#[must_use]
pub fn mixed(parts: &[KindShare], laid: &LaidBlend) -> BlendColours {
    let areas: Vec<f64> = parts.iter().map(|p| p.area).collect();
    let total: f64 = areas.iter().sum();
    let ground = if total > 0.0 { laid.ground_share } else { 1.0 };
    let shares: Vec<f64> = areas
        .iter()
        .map(|a| {
            if total > 0.0 {
                (1.0 - ground) * a / total
            } else {
                0.0
            }
        })
        .collect();
    let base = laid.ground.blend(ground, Xyz::default(), 0.0);
    let xyz = if laid.self_shadow > 0.0 && total > 0.0 {
        let mut sum = [0.0; BANDS];
        for (part, area) in parts.iter().zip(&areas) {
            let reflectance = reconstruct(part.colour).reflectance;
            for (s, r) in sum.iter_mut().zip(reflectance.values()) {
                *s += area / total * r;
            }
        }
        let kinds = Spectrum::new(sum.map(|r| shaded(r, laid.self_shadow)));
        base.blend(1.0, seen_in_daylight(&kinds), 1.0 - ground)
    } else {
        parts.iter().zip(&shares).fold(base, |sum, (part, share)| {
            sum.blend(1.0, part.colour, *share)
        })
    };
    BlendColours {
        shares,
        ground,
        xyz,
    }
}
