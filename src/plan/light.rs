//! How planned tones and their mixes look under the layout's lamps.

use super::toned::TonedTone;
use crate::colour::Xyz;
use crate::lamps::{Lamp, Shift};
use crate::mix::{Recipe, Shelf};
use crate::paint::reconstruct;

/// A tone and its mix under the lamps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderLamp {
    /// The planned tone.
    pub tone: Shift,
    /// The chosen mix.
    pub mix: Option<Shift>,
    /// True when the mix's own spectrum is known from measured paints; the tone's never is.
    pub mix_measured: bool,
}

/// A tone and its chosen mix under the lamp.
pub(super) fn under(
    tone: &TonedTone,
    recipe: Option<&Recipe>,
    lamp: &Lamp,
    shelf: &Shelf,
) -> UnderLamp {
    let planned = reconstruct(Xyz::from(tone.moved.colour)).reflectance;
    UnderLamp {
        tone: lamp.shift(&planned),
        mix: recipe
            .and_then(|recipe| shelf.reflectance_of(recipe))
            .map(|reflectance| lamp.shift(&reflectance)),
        mix_measured: recipe.is_some_and(|recipe| shelf.all_measured(recipe)),
    }
}
