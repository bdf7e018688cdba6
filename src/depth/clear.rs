//! A colour without the haze of its photo, as far as we know that haze.

use super::haze::{Guess, PhotoAir, channels};
use crate::colour::{LabD65, LinearSrgb};
use crate::scale_colour::AirNote;
use crate::units::Metres;

/// A colour without its photo's haze.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cleared {
    /// The colour: between the one photographed and the one without any of the air that is likely.
    pub colour: LabD65,
    /// Its colour with one standard deviation of the remaining uncertainty taken out too.
    pub doubtful: LabD65,
    /// What was done.
    pub note: AirNote,
}

impl Cleared {
    /// Nothing taken out.
    #[must_use]
    pub fn untouched(colour: LabD65) -> Self {
        Self {
            colour,
            doubtful: colour,
            note: AirNote::Added,
        }
    }
}

/// How far colours of a landscape lie apart, the light that reaches the camera and the colour of the air are unknown,
/// in linear light where white is 1; a distance judged by eye is off by a share. Our choice, no source.
const COLOURS_APART: f64 = 0.15;
const LIGHT_OFF: f64 = 0.02;
const AIR_OFF: f64 = 0.08;
const DISTANCE_OFF: f64 = 0.25;
/// How far a colour stands from the air before it, in linear light: what an error of the thickness is multiplied by.
const FROM_AIR: f64 = 0.5;
/// The least that grown things, earth and stone have of their weakest primary, as a share of their strongest: below the
/// 1st percentile of 2 000 modelled green canopies (0.07) and of measured soil, litter, bark and straw (0.12 and more).
///
/// # Source
/// Spectra of the Python package earthlib 1.1.0 (MIT): canopies by PROSAIL, soils of the ICRAF–ISRIC library.
const LEAST_OF_STRONGEST: f64 = 0.07;
/// Less air taken out than this in linear light is none.
const NONE: f64 = 0.002;
/// More air than this before a band hides most of it.
const HIDES: f64 = 0.7;

/// The share of its full amount, (1 − t) / t, to which taking air out is worth its error: t² / (t² + noise).
///
/// # Source
/// Wiener 1949, *Extrapolation, Interpolation, and Smoothing of Stationary Time Series*: the linear estimate of least
/// mean square error; here of one value seen through transmission t. Its middle without evidence is the colour as
/// photographed. Noise: light, air's colour, distance, in quadrature over the spread of colours.
fn worth(t: f64) -> (f64, f64) {
    let light = LIGHT_OFF / COLOURS_APART;
    let air = (1.0 - t) * AIR_OFF / COLOURS_APART;
    let distance = if t > 0.0 {
        -t * t.ln() * DISTANCE_OFF * FROM_AIR / COLOURS_APART
    } else {
        0.0
    };
    let noise = light * light + air * air + distance * distance;
    let left = COLOURS_APART * (noise / (t * t + noise)).sqrt();
    (t * (1.0 - t) / (t * t + noise), left * (1.0 - t))
}

/// How much of a step away from the air a colour can take and still be one of a landscape, 0 to 1.
fn room(colour: [f64; 3], step: [f64; 3]) -> f64 {
    let least = |c: [f64; 3]| c.iter().copied().fold(f64::INFINITY, f64::min);
    let most = |c: [f64; 3]| c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let share = LEAST_OF_STRONGEST.min(least(colour) / most(colour).max(1e-9));
    let brightest = most(colour).max(1.0);
    let fits = |part: f64| {
        let moved = moved(colour, step, part);
        least(moved) >= share * most(moved) && most(moved) <= brightest
    };
    if fits(1.0) {
        return 1.0;
    }
    // What fits lies in one piece about the colour itself: each condition is linear along the step.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

fn moved(colour: [f64; 3], step: [f64; 3], part: f64) -> [f64; 3] {
    std::array::from_fn(|k| colour[k] + part * step[k])
}

fn lab([r, g, b]: [f64; 3]) -> LabD65 {
    LinearSrgb { r, g, b }.into()
}

/// A colour seen from so far, without the haze of its photo: the mean over all that the air may have been, each taken
/// out as far as that is worth its error and as a colour of a landscape allows. Where nothing is known of the air, it is
/// the colour as photographed; where hardly any light came through, it goes back to that.
#[must_use]
pub fn without_haze(colour: LabD65, from: Metres, photo: &PhotoAir) -> Cleared {
    let seen = channels(colour);
    let (mut mean, mut square, mut unknown, mut air) = ([0.0; 3], [0.0; 3], 0.0, 0.0);
    for Guess {
        extinction,
        air: of_air,
        weight,
    } in &photo.guesses
    {
        let t = (-extinction * from.value()).exp();
        let (gain, left) = worth(t);
        let step: [f64; 3] = std::array::from_fn(|k| gain * (seen[k] - of_air[k]));
        let clear = moved(seen, step, room(seen, step));
        for k in 0..3 {
            mean[k] += weight * clear[k];
            square[k] += weight * clear[k] * clear[k];
        }
        unknown += weight * left * left;
        air += weight * (1.0 - t);
    }
    if photo.guesses.is_empty() {
        return Cleared::untouched(colour);
    }
    let taken = (0..3)
        .map(|k| (mean[k] - seen[k]).abs())
        .fold(0.0, f64::max);
    let apart = (0..3)
        .map(|k| (square[k] - mean[k] * mean[k]).max(0.0))
        .fold(unknown, f64::max)
        .sqrt();
    // Without air that may still be in it, the colour is darker.
    let strongest = mean.iter().copied().fold(1e-6, f64::max);
    let darker = (1.0 - apart / strongest).max(0.3);
    Cleared {
        colour: if taken < NONE { colour } else { lab(mean) },
        doubtful: lab(mean.map(|v| v * darker)),
        note: if air > HIDES {
            AirNote::LeftIn
        } else if taken < NONE {
            AirNote::Added
        } else {
            AirNote::Removed
        },
    }
}
