//! A tone and its part, the tones of a region, and how many are wanted.

use super::choose::joined::{JoinedTone, NotFound};
use super::choose::making::ChoiceStep;
use super::describe::shade::ShadeOf;
use crate::colour::{DeltaE00, LabD65};
use crate::problem::Explain;
use crate::units::Share;
use serde::{Deserialize, Serialize};

/// What part a tone plays in its surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// The lit colour of the material that covers most of the surface.
    Body,
    /// Lighter than the body.
    Light,
    /// Darker than the body.
    Shade,
    /// Dark, dull and not the body's own shadow: what gathers where rain does not reach.
    Recess,
    /// As light as the body, another colour.
    Variation,
    /// A small part, far from all others.
    Accent,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 6] = [
        Self::Body,
        Self::Light,
        Self::Shade,
        Self::Recess,
        Self::Variation,
        Self::Accent,
    ];

    /// The word users see.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Light => "light",
            Self::Shade => "shade",
            Self::Recess => "dirt in the recesses",
            Self::Variation => "variation",
            Self::Accent => "accent",
        }
    }
}

/// One tone of a surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tone {
    /// Its mean colour (the mean is taken in Oklab); of an accent the mean of its core, clear of blurred edges.
    pub colour: LabD65,
    /// Its share of the pixels that count.
    pub share: Share,
    /// Mean CIEDE2000 of its pixels from its colour: how varied it is.
    pub spread: DeltaE00,
    /// Nine in ten of its pixels lie within this much of its colour.
    pub spread_90: DeltaE00,
    /// ISCC–NBS name; it follows from the colour and is not kept with it.
    #[serde(skip)]
    pub name: &'static str,
    /// The part it plays.
    pub role: Role,
    /// The lit tone whose shade it is, or may be.
    pub shade_of: Option<ShadeOf>,
    /// True when most of it lies in thin things, such as joints.
    pub thin: bool,
    /// The tones it was joined from, largest first; empty for one that is as it was found.
    #[serde(default)]
    pub joined: Vec<JoinedTone>,
    /// Places of the groups that name it, among the joined colours.
    #[serde(default)]
    pub named_by: Vec<usize>,
}

/// Nine in ten pixels within this much: a mix may be kept even. Our choice.
const EVEN: f64 = 6.0;

impl Tone {
    /// True when nine in ten of its pixels lie near its colour.
    #[must_use]
    pub fn is_even(&self) -> bool {
        self.spread_90.0 <= EVEN
    }

    /// How the mix wants to be kept, by how varied the tone is.
    #[must_use]
    pub fn keep(&self) -> &'static str {
        if self.is_even() {
            "keep it even"
        } else {
            "keep the mix loose"
        }
    }
}

/// The tones of a region: the body first, the others by share; shares sum to 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tones {
    /// At least one.
    pub tones: Vec<Tone>,
    /// Mean CIEDE2000 of all pixels from their tones.
    pub mean_spread: DeltaE00,
    /// Joined colours that are not all there.
    #[serde(default)]
    pub not_found: Vec<NotFound>,
}

impl Tones {
    /// These tones as those of leaves and grass, where a dark and dull tone is shade and no dirt.
    #[must_use]
    pub fn of_foliage(mut self) -> Self {
        for tone in &mut self.tones {
            if tone.role == Role::Recess {
                tone.role = Role::Shade;
            }
        }
        self
    }
}

/// Tones, and which of them each bin belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Sorted {
    /// The tones.
    pub tones: Tones,
    /// For each bin its tone, as a place in the list of tones.
    pub of_bin: Vec<usize>,
    /// How their number was chosen; empty when it was given.
    pub steps: Vec<ChoiceStep>,
    /// True if they were found from near, where mixed places do not count; false of clouds and of a given number.
    pub from_near: bool,
}

/// How many tones are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Count {
    /// As many as the colours themselves and a painter's patience suggest.
    #[default]
    Chosen,
    /// Exactly this many (1 to 24), fewer only if the region has fewer colours.
    Exactly(usize),
}

/// The largest number of tones that a user may ask for.
pub const MOST_TONES: usize = 24;

/// Why there are no tones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TonesError {
    /// No pixel lies inside, or all are transparent.
    #[error("found no pixel inside the region that counts, expected at least one")]
    NoPixels,
}

impl Explain for TonesError {
    fn hint(&self) -> Option<String> {
        Some("make the region larger, or leave less out of it".to_owned())
    }
}
