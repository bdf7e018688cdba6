//! Scale colour: what viewing distance does to a colour.
//!
//! In: a colour as photographed, the scale, the distance from eye to model and from camera to subject. Out: the colour
//! to paint, and how far it moved. There are three rules: `air`, `customary` and `none`. At scales larger than 1:148
//! all three change a colour by less than the mixing error of a list known by screen colours.
//!
//! Indoor light is 10 to 100 times dimmer than daylight, so that colours also look less colourful there and contrast
//! flatter: that is not modelled.

use crate::colour::{DeltaE00, LabD65, Srgb8, Xyz, delta_e00};
use crate::paint::{Opacity, Prepared, opaque_mix};
use crate::units::{Metres, Millimetres, ScaleRatio};
use serde::Serialize;

/// Which rule moves a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Default)]
#[serde(rename_all = "lowercase")]
pub enum ScaleRule {
    /// The air between eye and subject.
    #[default]
    Air,
    /// White paint, by the scale alone.
    Customary,
    /// Nothing.
    None,
}

impl ScaleRule {
    /// All rules, with their words.
    pub const ALL: [(&'static str, Self); 3] = [
        ("air", Self::Air),
        ("customary", Self::Customary),
        ("none", Self::None),
    ];

    /// The word a scene uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Air => "air",
            Self::Customary => "customary",
            Self::None => "none",
        }
    }
}

/// The rule and its numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleColour {
    /// Which rule.
    pub rule: ScaleRule,
    /// Visibility: the distance at which a black object is just lost (contrast 2 %).
    pub visibility: Metres,
    /// Colour of the air.
    pub air: LabD65,
}

impl Default for ScaleColour {
    /// Air at a visibility of 10 km: chosen to agree with what the trade does at about one metre. Colour of the air
    /// #c8d6e4, for a clear day. Both our choice.
    fn default() -> Self {
        Self {
            rule: ScaleRule::Air,
            visibility: Metres::new(10_000.0).unwrap_or_else(|_| unreachable!("in range")),
            air: LabD65::from(Srgb8([0xc8, 0xd6, 0xe4])),
        }
    }
}

/// From where a photo and a model are seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeenFrom {
    /// Scale of the model.
    pub scale: ScaleRatio,
    /// Eye to model.
    pub view: Millimetres,
    /// Camera to subject; `None` is unknown and counts as nothing to subtract.
    pub from: Option<Metres>,
}

/// What was done about the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirNote {
    /// Air was added, or nothing needed doing.
    Added,
    /// The photo holds more air than the model is seen through; the surplus was taken out.
    Removed,
    /// As `Removed`, but a channel came out below zero and was held there: the photo's air was overestimated.
    RemovedToFloor,
    /// So much surplus that taking it out would amplify noise; it was left in.
    LeftIn,
    /// The photo may hold more air than the model is seen through, but nobody knows how clear its day was: left in.
    Unknown,
}

/// A colour moved by a rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// The colour to paint.
    pub colour: LabD65,
    /// How far it moved.
    pub by: DeltaE00,
    /// What was done about the air, under rule `air`.
    pub note: AirNote,
}

impl Moved {
    /// Keeps the haze in the photographed colour: for photos of which nobody knows how clear their day was.
    /// Gives how far that would have moved it as well.
    #[must_use]
    pub fn with_haze_left(self, photographed: LabD65) -> (Self, DeltaE00) {
        if matches!(self.note, AirNote::Removed | AirNote::RemovedToFloor) {
            let left = Self {
                colour: photographed,
                by: DeltaE00(0.0),
                note: AirNote::Unknown,
            };
            (left, self.by)
        } else {
            (self, DeltaE00(0.0))
        }
    }
}

/// Contrast threshold of 2 %: ln 50.
const KOSCHMIEDER: f64 = 3.912;
/// Below this transmission the photo's air is not taken out. Our choice.
const LEAST_TRANSMISSION: f64 = 0.3;

/// Share of light that crosses `distance` of air.
///
/// # Source
/// Koschmieder 1924, *Theorie der horizontalen Sichtweite*; Middleton 1952, *Vision through the Atmosphere*: extinction
/// 3.912 / visibility for a threshold of 2 %. Visibility 0 gives 0.
#[must_use]
pub fn transmission(distance: Metres, visibility: Metres) -> f64 {
    if visibility.value() > 0.0 {
        (-KOSCHMIEDER * distance.value() / visibility.value()).exp()
    } else {
        0.0
    }
}

/// A colour seen through air that lets `transmission` of its light through and adds its own for the rest.
///
/// # Source
/// Koschmieder 1924: airlight.
#[must_use]
pub fn through_air(colour: Xyz, air: Xyz, transmission: f64) -> Xyz {
    colour.blend(transmission, air, 1.0 - transmission)
}

/// Share of white paint added each time the model is half as large.
const WHITE_A_HALVING: f64 = 0.06;
/// At 1 : this none is added yet.
const NO_WHITE_AT: f64 = 14.0;
/// The largest share.
const MOST_WHITE: f64 = 0.35;

/// Share of white paint that custom adds at a scale 1 : N: 0.06 log2(N/14), from 0 to 0.35.
///
/// # Source
/// Common practice, no source: the middle of the usual advice (1:43 7–12 %, 1:87 10–20 %, 1:160 15–25 %, 1:220
/// 20–30 %).
#[must_use]
pub fn customary_white(scale: ScaleRatio) -> f64 {
    (WHITE_A_HALVING * (scale.n() / NO_WHITE_AT).log2()).clamp(0.0, MOST_WHITE)
}

/// A colour with a share of white paint mixed in (white #f4f4f0, both opaque).
///
/// Never blend the same share in light: 16 % would shift a brick by ΔE00 20, the paint mix shifts it by 4.
#[must_use]
pub fn with_white_paint(colour: Xyz, white_share: f64) -> Xyz {
    let white = Xyz::from(Srgb8([0xf4, 0xf4, 0xf0]).to_linear());
    let tone = Prepared::from_colour(colour, Some(Opacity::Opaque), 1.0);
    let white = Prepared::from_colour(white, Some(Opacity::Opaque), 1.0);
    opaque_mix(&[(&tone, 1.0 - white_share), (&white, white_share)]).unwrap_or(colour)
}

/// Moves a colour by a rule.
///
/// Under `air` the distance that counts is view × scale − camera distance. Below zero the photo's own surplus of air is
/// taken out where the camera distance is stated and more than 0.3 of the light came through.
#[must_use]
pub fn moved(colour: LabD65, settings: &ScaleColour, seen: &SeenFrom) -> Moved {
    let (out, note) = match settings.rule {
        ScaleRule::None => (colour, AirNote::Added),
        ScaleRule::Customary => {
            let white = customary_white(seen.scale);
            (
                with_white_paint(colour.into(), white).into(),
                AirNote::Added,
            )
        }
        ScaleRule::Air => by_air(colour, settings, seen),
    };
    Moved {
        colour: out,
        by: delta_e00(colour, out),
        note,
    }
}

fn by_air(colour: LabD65, settings: &ScaleColour, seen: &SeenFrom) -> (LabD65, AirNote) {
    let distance = seen.scale.full_size(seen.view).value();
    through_more_air(
        colour,
        settings.air,
        thickness(distance, settings.visibility)
            - seen
                .from
                .map_or(0.0, |from| thickness(from.value(), settings.visibility)),
    )
}

/// Optical thickness of a length of air, metres: 3.912 times the length over the visibility.
///
/// # Source
/// Koschmieder 1924; Middleton 1952.
#[must_use]
pub fn thickness(metres: f64, visibility: Metres) -> f64 {
    if visibility.value() > 0.0 {
        KOSCHMIEDER * metres / visibility.value()
    } else if metres > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

/// A colour through this much more optical thickness of air than it was photographed through. Below zero the surplus is
/// taken out, where more than 0.3 of the light came through.
#[must_use]
pub fn through_more_air(colour: LabD65, air: LabD65, more: f64) -> (LabD65, AirNote) {
    let (xyz, air) = (Xyz::from(colour), Xyz::from(air));
    let t = (-more.abs()).exp();
    if more >= 0.0 {
        return (through_air(xyz, air, t).into(), AirNote::Added);
    }
    if t <= LEAST_TRANSMISSION {
        return (colour, AirNote::LeftIn);
    }
    let without = xyz.blend(1.0 / t, air, -(1.0 - t) / t);
    let floored = without.as_array().iter().any(|v| *v < 0.0);
    let note = if floored {
        AirNote::RemovedToFloor
    } else {
        AirNote::Removed
    };
    (without.clamped().into(), note)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_offers_every_rule_and_the_usual_one_by_saying_nothing() {
        let script = include_str!("../report-templates/desk/leaves.js");
        let line = (script.lines()).find(|line| line.starts_with("const RULES = "));
        let offered: Vec<&str> = line.unwrap().split("['").skip(1).collect();
        assert_eq!(offered.len(), ScaleRule::ALL.len());
        for (word, rule) in ScaleRule::ALL {
            let written = if rule == ScaleRule::default() {
                ""
            } else {
                word
            };
            let choice = format!("{written}', '");
            assert!(offered.iter().any(|one| one.starts_with(&choice)), "{word}");
        }
    }
}
