//! What can be wrong with a scene.

use crate::colour::ColourTextError;
use crate::problem::{Explain, Place};
use crate::region::RegionError;
use crate::units::UnitError;

/// A fault of a scene file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SceneError {
    /// Not UTF-8.
    #[error("found bytes that are not UTF-8 text, expected a TOML file")]
    NotUtf8 {
        /// Where.
        place: Place,
    },
    /// Not TOML.
    #[error("found text that is not TOML ({detail})")]
    NotToml {
        /// Where.
        place: Place,
        /// The reader's words.
        detail: String,
        /// The line it stumbled over.
        line: String,
    },
    /// A key no scene has.
    #[error("found the key \"{found}\", expected one of {known}")]
    UnknownKey {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The keys there are.
        known: String,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A key that must be there is not.
    #[error("found no {key}, expected one such as {example}")]
    MissingKey {
        /// Where.
        place: Place,
        /// The key.
        key: String,
        /// How it is written.
        example: &'static str,
    },
    /// A text where a number belongs, and the like.
    #[error("found {found}, expected {expected}")]
    WrongKind {
        /// Where.
        place: Place,
        /// "a string".
        found: String,
        /// What belongs there.
        expected: &'static str,
    },
    /// A length, area or scale.
    #[error("{cause}")]
    BadMeasure {
        /// Where.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: UnitError,
    },
    /// A colour.
    #[error("{cause}")]
    BadColour {
        /// Where.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: ColourTextError,
    },
    /// A region.
    #[error("{cause}")]
    BadRegion {
        /// Where.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: RegionError,
    },
    /// One word of a few.
    #[error("found \"{found}\", expected one of {known}")]
    UnknownWord {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The words.
        known: String,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A lamp that is not known.
    #[error(
        "found \"{found}\", expected a CIE illuminant such as \"LED-B3\", a colour temperature such as \"4000 K\", \"daylight\", or a spectrum file"
    )]
    UnknownLamp {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
    /// A photo or surface named that the scene does not have.
    #[error("found \"{found}\", expected the name of one of this scene's {what}: {known}")]
    UnknownName {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// "photos" or "surfaces".
        what: &'static str,
        /// Those there are.
        known: String,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// Two surfaces, or two bands of one surface, of one name.
    #[error(
        "found the name \"{found}\" again{}, expected each {what} once",
        first.map_or_else(String::new, |line| format!(", first on line {line}"))
    )]
    NameTwice {
        /// Where.
        place: Place,
        /// The name.
        found: String,
        /// "surface" or "band".
        what: &'static str,
        /// The line it stood on first.
        first: Option<usize>,
    },
    /// A number outside what makes sense.
    #[error("found {found}, expected {expected}")]
    OutOfRange {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The range.
        expected: &'static str,
    },
    /// Two keys that say the same thing.
    #[error("found both {one} and {other}, expected one of them")]
    Both {
        /// Where.
        place: Place,
        /// The one.
        one: &'static str,
        /// The other.
        other: &'static str,
    },
    /// Two bands whose distances run against their order.
    #[error(
        "found {key} = \"{found}\", nearer than the {before} of \"{nearer}\"{}, which is listed before it, expected bands from the front edge to the backscene",
        first.map_or_else(String::new, |line| format!(" on line {line}"))
    )]
    BandsCross {
        /// Where the later band gives it.
        place: Place,
        /// from or `model_depth`.
        key: &'static str,
        /// As written there.
        found: String,
        /// The name of the band before it.
        nearer: String,
        /// What that one has.
        before: String,
        /// The line that stands on.
        first: Option<usize>,
    },
    /// A path that leaves the scene's folder.
    #[error("found the path \"{found}\", expected one inside the scene's folder")]
    OutsideFolder {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
    /// Nothing to plan.
    #[error("found no [[surface]], expected at least one")]
    NoSurface {
        /// Where.
        place: Place,
    },
}

impl Explain for SceneError {
    fn place(&self) -> Place {
        match self {
            Self::NotUtf8 { place }
            | Self::NotToml { place, .. }
            | Self::UnknownKey { place, .. }
            | Self::MissingKey { place, .. }
            | Self::WrongKind { place, .. }
            | Self::BadMeasure { place, .. }
            | Self::BadColour { place, .. }
            | Self::BadRegion { place, .. }
            | Self::UnknownWord { place, .. }
            | Self::UnknownLamp { place, .. }
            | Self::UnknownName { place, .. }
            | Self::NameTwice { place, .. }
            | Self::OutOfRange { place, .. }
            | Self::Both { place, .. }
            | Self::BandsCross { place, .. }
            | Self::OutsideFolder { place, .. }
            | Self::NoSurface { place } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        let offer =
            |nearest: &Option<String>| nearest.as_ref().map(|n| format!("did you mean \"{n}\"?"));
        match self {
            Self::NotUtf8 { .. } => {
                Some("give the scene file, a text such as scene.toml; if it is one, save it again as UTF-8".to_owned())
            }
            Self::NotToml { line, .. } if line.contains(['“', '”', '„', '«', '»', '‘', '’']) => Some(
                "these are curly quotes, as word processors set them: write \" before and after the text".to_owned(),
            ),
            Self::NotToml { line, .. } if line.contains('\\') => Some(
                "write / in paths, or put the text between single quotes: \\ has a meaning of its own here".to_owned(),
            ),
            Self::NotToml { detail, .. } if detail.contains("duplicate") => {
                Some("the same key stands twice in one part: delete one of the two lines".to_owned())
            }
            Self::NotToml { line, .. } if line.contains('\u{a0}') => Some(
                "this line has a non-breaking space, which word processors and web pages use: write it again with a plain space".to_owned(),
            ),
            Self::NotToml { line, .. } if line.trim_start().starts_with("//") => {
                Some("a comment begins with #".to_owned())
            }
            Self::NotToml { line, .. } if line.trim_end().ends_with([',', ';']) && !line.contains(['[', '{']) => {
                Some("nothing may stand after the value: remove the character at the end of the line".to_owned())
            }
            Self::NotToml { line, .. } if number_meant(line).is_some() => {
                number_meant(line).map(|mended| format!("write a number: {mended}"))
            }
            Self::NotToml { line, .. } if text_without_quotes(line).is_some() => {
                text_without_quotes(line).map(|mended| format!("put a text into quotes: {mended}"))
            }
            Self::NotToml { .. } => Some(
                "a line reads key = \"text\" or key = 4; `hillwash new` writes a scene to begin from".to_owned(),
            ),
            Self::UnknownKey { found, nearest, .. } => super::keys::home_of(found)
                .map(|home| format!("{found} stands {home}"))
                .or_else(|| offer(nearest)),
            Self::UnknownWord { nearest, .. } | Self::UnknownName { nearest, .. } => offer(nearest),
            Self::UnknownLamp { found, .. } => crate::lamps::lamp_meant(found),
            Self::BadMeasure { cause, .. } => cause.hint(),
            Self::BadColour { cause, .. } => cause.hint(),
            Self::BadRegion { cause, .. } => cause.hint(),
            Self::NameTwice { what, .. } => Some(format!("give each {what} its own name")),
            Self::OutsideFolder { .. } => {
                Some("copy the file beside the scene, or run again with --allow-outside".to_owned())
            }
            Self::NoSurface { .. } => Some(
                "add [[surface]] with name = \"Wall\" and photo = \"…\" below the photos"
                    .to_owned(),
            ),
            Self::Both { .. } => Some("delete one of the two".to_owned()),
            Self::BandsCross { .. } => {
                Some("mend one of the two, or change the order of the bands".to_owned())
            }
            Self::WrongKind { found, .. } => {
                let text = found.strip_prefix("the text \"")?.strip_suffix('"')?;
                let number = with_point(text)?;
                Some(format!("write it without quotes: {number}"))
            }
            Self::MissingKey { .. } | Self::OutOfRange { .. } => None,
        }
    }
}

/// A number that may be written with a decimal comma, with a point.
fn with_point(text: &str) -> Option<String> {
    let number = text.trim().replacen(',', ".", 1);
    number
        .parse::<f64>()
        .is_ok_and(f64::is_finite)
        .then_some(number)
}

/// A line whose value is a number in words or with a decimal comma, as TOML has it: `coats = two`, `pool = 4,5`.
fn number_meant(line: &str) -> Option<String> {
    const WORDS: [&str; 10] = [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    ];
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim().to_lowercase();
    let in_words = WORDS.iter().position(|known| *known == value);
    let number = in_words.map(|at| (at + 1).to_string());
    Some(format!(
        "{} = {}",
        key.trim(),
        number.or_else(|| with_point(&value))?
    ))
}

/// A line whose value is a text without quotes, with them: `scale = 1:87`.
fn text_without_quotes(line: &str) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let value = value.trim();
    let plain = !value.is_empty()
        && !value.starts_with(['"', '\'', '[', '{'])
        && !matches!(value, "true" | "false")
        && value.parse::<f64>().is_err()
        && !value.contains(['"', '\'', '#']);
    plain.then(|| format!("{} = \"{value}\"", key.trim()))
}
