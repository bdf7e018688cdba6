//! Colours as they are typed.

use super::request::listed;
use super::{Problems, boxed};
use hillwash::colour::{ColourTextError, LabD65, parse_colour};
use hillwash::paint::PaintList;
use hillwash::problem::{Explain, Place, nearest_word};

/// A colour argument that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error("{cause}")]
struct BadColour {
    argument: &'static str,
    cause: ColourTextError,
}

impl Explain for BadColour {
    fn place(&self) -> Place {
        Place::default().at_field(self.argument)
    }

    fn hint(&self) -> Option<String> {
        self.cause.hint()
    }
}

/// A colour in the syntax of CSS Color Level 4.
pub(crate) fn colour(argument: &'static str, text: &str) -> Result<LabD65, Problems> {
    parse_colour(text).map_err(|cause| boxed([BadColour { argument, cause }]))
}

/// A listed paint by its name, or a colour.
pub(crate) fn colour_or_paint(
    argument: &'static str,
    text: &str,
    list: &PaintList,
) -> Result<LabD65, Problems> {
    match list.named(text) {
        Some((_, paint)) => Ok(paint.colour),
        None if text.trim_start().starts_with('#') || text.contains('(') => colour(argument, text),
        None => match parse_colour(text) {
            Ok(colour) => Ok(colour),
            // Words that are nearly a paint's name are taken for one, all else for a colour.
            Err(_)
                if nearest_word(text.trim(), list.paints().iter().map(|p| p.name.as_str()))
                    .is_none() =>
            {
                colour(argument, text)
            }
            Err(_) => Ok(list.paints()[listed(list, argument, text)?].colour),
        },
    }
}
