//! Rock: from the tones of one photo an undercoat, one or two mid tints, a dark wash into the strata and a dry-brushed
//! light. About four colours are common practice, no source.
//!
//! In: the planned tones of a rock. Out: a [`RockScheme`] of colours in laying order; it mixes nothing.

use crate::colour::{LabD65, delta_e00};
use crate::wash::{default_recess, without_shade};
use serde::Serialize;

/// A tone of the rock, as planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RockTone {
    /// Its planned colour.
    pub colour: LabD65,
    /// Its share of the surface, 0..1.
    pub share: f64,
    /// A small part far from all others (moss, rust): no part of the scheme.
    pub accent: bool,
}

/// What a step of the scheme is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RockRole {
    /// All over, into every crack.
    Undercoat,
    /// A tint in patches.
    MidTint,
    /// Thin and dark, into the strata.
    DarkWash,
    /// On the edges, with a nearly dry brush.
    Light,
}

impl RockRole {
    /// The words users see.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Undercoat => "undercoat",
            Self::MidTint => "mid tint",
            Self::DarkWash => "dark wash",
            Self::Light => "dry-brushed light",
        }
    }
}

/// One colour of the scheme.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RockColour {
    /// What it is for.
    pub role: RockRole,
    /// Its planned colour; of the dark wash, the colour wanted in the strata.
    pub planned: LabD65,
    /// The tone it is from, as a place in the tones handed in; `None` where the photo shows none and a usual one stands.
    pub tone: Option<usize>,
    /// Its share of the surface, 0..1.
    pub share: f64,
}

/// Colours in laying order, the lightest last; three to five of them, as a rule four.
#[derive(Debug, Clone, PartialEq)]
pub struct RockScheme {
    /// The colours.
    pub colours: Vec<RockColour>,
}

/// Tones nearer than this are one tint. Our choice.
const DISTINCT: f64 = 5.0;
/// By how much, L*, a tone must be darker or lighter than the undercoat to be its dark or its light. Our choice.
const APART: f64 = 6.0;
/// How much lighter than all else, L*, the dry-brushed light is where the photo shows none. Our choice.
const USUAL_LIGHT: f64 = 12.0;
/// What such a light keeps of the chroma of the undercoat. Our choice.
const KEPT_CHROMA: f64 = 0.7;
/// Shares if the photo shows none. Common practice, no source.
const USUAL_SHARE: f64 = 0.15;
const MOST_TINTS: usize = 2;

/// A colour made as light as that, and paler by what a highlight keeps of its chroma.
fn paler(colour: LabD65, lightness: f64) -> LabD65 {
    LabD65::new(lightness, KEPT_CHROMA * colour.a, KEPT_CHROMA * colour.b)
}

/// The colour in the middle of two.
fn half_way(one: LabD65, other: LabD65) -> LabD65 {
    LabD65::new(
        f64::midpoint(one.l, other.l),
        f64::midpoint(one.a, other.a),
        f64::midpoint(one.b, other.b),
    )
}

impl RockScheme {
    /// A scheme from tones, the largest share first. `None` without tones.
    #[must_use]
    pub fn of_tones(tones: &[RockTone]) -> Option<Self> {
        let plain: Vec<usize> = (0..tones.len()).filter(|at| !tones[*at].accent).collect();
        let under = *plain
            .first()
            .or(if tones.is_empty() { None } else { Some(&0) })?;
        let undercoat = tones[under].colour;
        let by_lightness = |a: &usize, b: &usize| tones[*a].colour.l.total_cmp(&tones[*b].colour.l);
        let others = || plain.iter().copied().filter(|at| *at != under);
        let dark = others()
            .min_by(by_lightness)
            .filter(|at| tones[*at].colour.l < undercoat.l - APART);
        let light = others()
            .max_by(by_lightness)
            .filter(|at| tones[*at].colour.l > undercoat.l + APART);
        let tints: Vec<usize> = others()
            .filter(|at| Some(*at) != dark && Some(*at) != light)
            .filter(|at| delta_e00(tones[*at].colour, undercoat).0 >= DISTINCT)
            .take(MOST_TINTS)
            .collect();
        let of_tone = |role: RockRole, at: usize| RockColour {
            role,
            planned: tones[at].colour,
            tone: Some(at),
            share: tones[at].share,
        };
        let usual = |role: RockRole, planned: LabD65| RockColour {
            role,
            planned,
            tone: None,
            share: USUAL_SHARE,
        };
        let lightest_tint = tints
            .iter()
            .map(|at| tones[*at].colour.l)
            .fold(undercoat.l, f64::max);
        let highlight = light.map_or_else(
            || {
                let lightness = (lightest_tint + USUAL_LIGHT).min(96.0);
                usual(RockRole::Light, paler(undercoat, lightness))
            },
            |at| of_tone(RockRole::Light, at),
        );
        let mut colours = vec![RockColour {
            share: 1.0,
            ..of_tone(RockRole::Undercoat, under)
        }];
        if tints.is_empty() {
            let half = half_way(undercoat, highlight.planned);
            colours.push(usual(RockRole::MidTint, half));
        }
        colours.extend(tints.into_iter().map(|at| of_tone(RockRole::MidTint, at)));
        // A dark tone that is nothing but the undercoat in shadow tells no dirt; the strata still want their wash.
        let dirt = dark.and_then(|at| {
            let (planned, taken) = without_shade(undercoat, tones[at].colour);
            (!taken.is_all()).then_some(RockColour {
                planned,
                ..of_tone(RockRole::DarkWash, at)
            })
        });
        colours.push(dirt.unwrap_or_else(|| usual(RockRole::DarkWash, default_recess(undercoat))));
        colours.push(highlight);
        Some(Self { colours })
    }

    /// The colour of one role; the first of it.
    #[must_use]
    pub fn colour(&self, role: RockRole) -> Option<&RockColour> {
        self.colours.iter().find(|colour| colour.role == role)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(l: f64, a: f64, b: f64, share: f64) -> RockTone {
        RockTone {
            colour: LabD65::new(l, a, b),
            share,
            accent: false,
        }
    }

    fn check(scheme: &RockScheme) {
        let colours = &scheme.colours;
        assert!((4..=5).contains(&colours.len()), "{colours:?}");
        assert_eq!(colours[0].role, RockRole::Undercoat);
        let last = colours.last().unwrap();
        assert_eq!(last.role, RockRole::Light);
        for other in &colours[..colours.len() - 1] {
            assert!(other.planned.l < last.planned.l, "{colours:?}");
        }
    }

    #[test]
    fn a_varied_rock_takes_its_colours_from_the_photo() {
        let tones = [
            tone(50.0, 2.0, 8.0, 0.4),
            tone(56.0, 4.0, 16.0, 0.2),
            tone(30.0, 1.0, 5.0, 0.2),
            tone(72.0, 1.0, 9.0, 0.15),
            RockTone {
                accent: true,
                ..tone(45.0, -15.0, 25.0, 0.05)
            },
        ];
        let scheme = RockScheme::of_tones(&tones).unwrap();
        check(&scheme);
        let from: Vec<_> = scheme.colours.iter().map(|c| c.tone).collect();
        assert_eq!(from, [Some(0), Some(1), Some(2), Some(3)]);
    }

    #[test]
    fn an_even_rock_gets_usual_tints_and_still_ends_with_the_lightest() {
        check(&RockScheme::of_tones(&[tone(40.0, 3.0, 9.0, 1.0)]).unwrap());
        check(
            &RockScheme::of_tones(&[tone(92.0, 0.0, 2.0, 0.7), tone(50.0, 0.0, 2.0, 0.3)]).unwrap(),
        );
        assert_eq!(RockScheme::of_tones(&[]), None);
    }
}
