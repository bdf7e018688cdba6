//! Problems and doubts, and how to report them.
//!
//! In: facts found by the other modules. Out: a [`Place`], the fact itself (the error's `Display`: what was found and
//! what was expected), and a hint that says how to mend it. This module does not know what the facts are; the
//! terminal text is composed in the command-line part alone.

use std::fmt;

/// Where a fault sits: any of a file, a line of it (from 1), and a field.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// File as the user named it.
    pub file: Option<String>,
    /// Line, counted from 1.
    pub line: Option<usize>,
    /// Field, key or column, as the user would write it.
    pub field: Option<String>,
}

impl Place {
    /// A whole file.
    #[must_use]
    pub fn file(file: impl Into<String>) -> Self {
        Self {
            file: Some(file.into()),
            ..Self::default()
        }
    }

    /// This place, narrowed to a line.
    #[must_use]
    pub fn at_line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }

    /// This place, narrowed to a field.
    #[must_use]
    pub fn at_field(mut self, field: impl Into<String>) -> Self {
        self.field = Some(field.into());
        self
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.file, self.line) {
            (Some(file), Some(line)) => write!(f, "{file}:{line}")?,
            (Some(file), None) => write!(f, "{file}")?,
            (None, Some(line)) => write!(f, "line {line}")?,
            (None, None) => {}
        }
        match (&self.field, self.file.is_some() || self.line.is_some()) {
            (Some(field), true) => write!(f, ", {field}"),
            (Some(field), false) => write!(f, "{field}"),
            (None, _) => Ok(()),
        }
    }
}

/// A fact that can say where it stands and how to mend it.
///
/// `Display` gives what was found and what was expected, in lower case without a full stop. One thread may find it and another report it.
pub trait Explain: std::error::Error + Send {
    /// Where the fault is.
    fn place(&self) -> Place {
        Place::default()
    }

    /// How to mend it, when there is something to say beyond what was expected.
    fn hint(&self) -> Option<String> {
        None
    }
}

/// All that is wrong, of whatever kind.
pub type Problems = Vec<Box<dyn Explain>>;

/// Problems of one kind among others.
pub fn boxed<E: Explain + 'static>(problems: impl IntoIterator<Item = E>) -> Problems {
    problems
        .into_iter()
        .map(|p| Box::new(p) as Box<dyn Explain>)
        .collect()
}

/// A value together with its doubts.
#[derive(Debug, Clone)]
pub struct Noted<T, W> {
    /// The usable value.
    pub value: T,
    /// What a user should know before trusting it.
    pub warnings: Vec<W>,
}

/// True for the signs that turn the direction of writing for what follows: they make a text read otherwise than it is.
///
/// # Source
/// Unicode Standard Annex 9, section 2: explicit embeddings, overrides and isolates.
///
/// ```
/// use hillwash::problem::turns_writing;
/// assert!(turns_writing('\u{202e}') && !turns_writing('a'));
/// ```
#[must_use]
pub fn turns_writing(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The first sign that turns the direction of writing, as it is or spelt as an escape of TOML and JSON: its line from
/// 1, and its text.
#[must_use]
pub fn turning_sign(text: &str) -> Option<(usize, String)> {
    let spelt = |at: usize| {
        let digits = text.get(at + 2..)?;
        let digits = match text.as_bytes().get(at + 1)? {
            b'u' => digits.get(..4)?,
            b'U' => digits.get(..8)?,
            _ => return None,
        };
        char::from_u32(u32::from_str_radix(digits, 16).ok()?)
    };
    let (at, found) = text.char_indices().find_map(|(at, c)| {
        let meant = if c == '\\' { spelt(at)? } else { c };
        turns_writing(meant).then_some((at, meant))
    })?;
    let line = text[..at].matches('\n').count() + 1;
    let name = format!(
        "the invisible character U+{:04X}, which reverses the direction of writing",
        u32::from(found)
    );
    Some((line, name))
}

/// The known word nearest to what was written, if one is near enough.
///
/// # Source
/// Edit distance of Damerau (1964), by the `strsim` crate; the limit (a third of the word, at least 2) is ours.
#[must_use]
pub fn nearest_word<'a>(
    written: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let written = written.to_lowercase();
    known
        .into_iter()
        .map(|word| {
            (
                strsim::damerau_levenshtein(&written, &word.to_lowercase()),
                word,
            )
        })
        .min()
        .filter(|(distance, word)| *distance <= (word.chars().count() / 3).max(2))
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_reads_from_file_to_field() {
        let place = Place::file("paints.csv").at_line(14).at_field("hex");
        assert_eq!(place.to_string(), "paints.csv:14, hex");
        assert_eq!(Place::default().at_field("view").to_string(), "view");
    }

    #[test]
    fn signs_that_turn_writing_are_found_as_they_are_and_spelt() {
        assert_eq!(turning_sign("name = \"wall\"\n# Höhe \\u00e9 \\"), None);
        for text in ["a\nb\u{202e}", "a\n\"\\u202E\"", "a\n\\U00002066"] {
            assert_eq!(
                turning_sign(text).map(|(line, _)| line),
                Some(2),
                "{text:?}"
            );
        }
    }

    #[test]
    fn the_nearest_word_is_offered_only_when_near() {
        assert_eq!(nearest_word("veiw", ["view", "scale"]), Some("view"));
        assert_eq!(
            nearest_word("treatmnet", ["treatment", "area"]),
            Some("treatment")
        );
        assert_eq!(nearest_word("zebra", ["view", "scale"]), None);
    }
}
