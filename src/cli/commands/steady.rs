//! `mix --steady`: recipes that hold under a lamp.

use super::mix_text::{drops_text, parts_text};
use crate::cli::args::MixArgs;
use crate::cli::request::MOST_TEXT;
use crate::cli::terminal::{Talk, lab_text, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::colour::{LabD65, Spectrum, seen_in_daylight};
use hillwash::files::read_file;
use hillwash::lamps::{Lamp, kelvin, lamp_meant};
use hillwash::mix::{Shelf, SteadyRecipe};
use hillwash::paint::{PaintList, parse_spectrum};
use hillwash::problem::{Explain, Place};
use hillwash::report::SteadyJson;
use hillwash::units::Millilitres;
use std::fmt::Write;
use std::path::Path;

/// What `--steady` cannot go without, or cannot read.
#[derive(Debug, thiserror::Error)]
enum SteadyError {
    /// The wanted colour is no measurement.
    #[error("found a colour alone, expected --spectrum with the measured reflectance wanted")]
    ColourAlone,
    /// The measurement cannot be read.
    #[error("{file}: {detail}")]
    BadSpectrum { file: String, detail: String },
    /// No such lamp.
    #[error("found \"{found}\", expected a CIE illuminant or a temperature from 1000 K to 25000 K")]
    UnknownLamp { found: String },
}

impl Explain for SteadyError {
    fn place(&self) -> Place {
        Place::default().at_field(match self {
            Self::ColourAlone => "--steady",
            Self::BadSpectrum { .. } => "--spectrum",
            Self::UnknownLamp { .. } => "--lamps",
        })
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::ColourAlone => Some(
                "a spectrum estimated from a colour cannot show which mix still matches under a lamp"
                    .to_owned(),
            ),
            Self::BadSpectrum { .. } => {
                Some("write one row a wavelength: nanometres, reflectance from 0 to 1".to_owned())
            }
            Self::UnknownLamp { found } => lamp_meant(found),
        }
    }
}

/// The measured reflectance wanted.
pub(crate) fn target(path: &Path) -> Result<Spectrum, Problems> {
    let bytes = read_file(
        path,
        &Place::default().at_field("--spectrum"),
        "a spectrum",
        MOST_TEXT,
    )
    .map_err(|e| boxed([e]))?;
    parse_spectrum(&String::from_utf8_lossy(&bytes)).map_err(|faults| {
        boxed(faults.into_iter().map(|fault| SteadyError::BadSpectrum {
            file: match fault.line {
                Some(line) => format!("{}:{line}", path.display()),
                None => path.display().to_string(),
            },
            detail: fault.detail,
        }))
    })
}

fn lamp(text: &str) -> Result<Lamp, Problems> {
    let by_temperature = || {
        let kelvin = kelvin(text)?;
        (1000.0..=25_000.0)
            .contains(&kelvin)
            .then(|| Lamp::of_temperature(kelvin))
    };
    Lamp::named(text.trim())
        .or_else(by_temperature)
        .ok_or_else(|| {
            boxed([SteadyError::UnknownLamp {
                found: text.to_owned(),
            }])
        })
}

/// Answers `mix --steady`.
pub(crate) fn run(
    args: &MixArgs,
    shelf: &Shelf,
    list: &PaintList,
    batch: Option<Millilitres>,
    talk: Talk,
) -> Result<(), Problems> {
    let lamp = lamp(&args.lamps)?;
    let Some(path) = &args.spectrum else {
        return Err(boxed([SteadyError::ColourAlone]));
    };
    let wanted = target(path)?;
    let recipes = shelf
        .steady_recipes(&wanted, &lamp, &args.search.search())
        .map_err(|e| boxed([e]))?;
    let colour = LabD65::from(seen_in_daylight(&wanted));
    let answer = SteadyJson {
        target: colour,
        lamp: &lamp,
        recipes: &recipes,
        batch,
        shelf,
        list: &list.file,
    };
    if args.json {
        say(&answer.value().to_string())
    } else {
        say(&steady_text(&answer, list, talk))
    }
}

/// The answer in words; `list` is the one its paints are on.
fn steady_text(answer: &SteadyJson<'_>, list: &PaintList, talk: Talk) -> String {
    let SteadyJson {
        target: wanted,
        recipes,
        lamp,
        batch,
        shelf,
        ..
    } = *answer;
    let mut text = format!(
        "{}  {}  wanted\n",
        swatch(wanted.to_srgb8(), 8),
        lab_text(wanted)
    );
    for SteadyRecipe { recipe, drift } in recipes {
        let _ = writeln!(
            text,
            "{}{}  {}  {}\n          ΔE00 {:.1} in daylight, at the bench expect about {:.0}; {:.1} farther off under {}",
            swatch(wanted.to_srgb8(), 4),
            swatch(recipe.colour.to_srgb8(), 4),
            lab_text(recipe.colour),
            parts_text(recipe, shelf, list, batch),
            recipe.difference.0,
            recipe.expected().0,
            drift.0,
            lamp.name,
        );
    }
    let mixes = recipes.iter().map(|steady| &steady.recipe);
    text.push_str(&drops_text(mixes, batch));
    if talk == Talk::Usual {
        text.push_str(
            "the part farther off is the special metamerism index of CIE 015, for an eye adapted to the lamp\n",
        );
    }
    text.truncate(text.trim_end().len());
    text
}
