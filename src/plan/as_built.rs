//! What was built: the log of dried patches beside a scene, one line for each patch.

use crate::colour::LabD65;
use crate::paint::MixingFamily;
use crate::problem::{Explain, Place, turns_writing};
use crate::wash::{FilmReading, LaidFilms};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The mark every line begins with.
pub const PATCH_LOG: &str = "hillwash.patch-log/1";

/// One dried patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AsBuilt {
    /// [`PATCH_LOG`].
    pub format: String,
    /// When it was photographed or entered.
    pub date: String,
    /// The surface it was for.
    pub surface: String,
    /// The name of its tone.
    pub tone: String,
    /// What was in the pot.
    pub paints: Vec<MixedPaint>,
    /// The colour planned.
    pub planned: LabD65,
    /// The colour it dried to.
    pub seen: LabD65,
    /// Their difference.
    pub de2000: f64,
    /// How far the colour seen may be off.
    pub uncertainty_de: f64,
    /// The verdict in words.
    pub verdict: String,
    /// The photo's file name.
    pub photo: String,
    /// What it was compared with in the photo, if that was a printed swatch or a known colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<String>,
    /// By what its photo is known again, however its file is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub content: Option<String>,
    /// What corrected the light of the photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<String>,
    /// The advised addition to the pot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub add: Option<Added>,
    /// True when the patch cannot be of that pot: nothing is learnt from it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub doubtful: bool,
}

/// The mark that the line of a wash's film begins with.
pub const FILM_LOG: &str = "hillwash.film/1";

/// The film of one wash, from its dried patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilmRead {
    /// [`FILM_LOG`].
    pub format: String,
    /// When its patch was photographed.
    pub date: String,
    /// The surface whose wash it was.
    pub surface: String,
    /// What the wash was of: such paints share their thinner.
    pub family: MixingFamily,
    /// What was in the pot.
    pub paints: Vec<MixedPaint>,
    /// Parts of thinner to one of paint.
    pub thin: u32,
    /// Passes.
    pub passes: u32,
    /// The colour it was laid on.
    pub base: LabD65,
    /// The colour it dried to.
    pub seen: LabD65,
    /// Wet film against a brushed coat.
    pub film: f64,
    /// The thinnest that would look the same in the photo.
    pub thinnest: f64,
    /// The thickest.
    pub thickest: f64,
    /// The photo's file name.
    pub photo: String,
    /// By what its photo is known again, however its file is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub content: Option<String>,
    /// What corrected the light of the photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<String>,
}

/// Films that a log can hold, against a brushed coat.
const FILMS: std::ops::RangeInclusive<f64> = 0.01..=10.0;

impl FilmRead {
    fn is_sensible(&self) -> bool {
        is_a_day(&self.date)
            && is_a_colour(self.base)
            && is_a_colour(self.seen)
            && [self.film, self.thinnest, self.thickest]
                .iter()
                .all(|film| FILMS.contains(film))
            && self.thinnest <= self.thickest
            && self
                .paints
                .iter()
                .all(|paint| (0.0..=1e6).contains(&paint.parts))
    }

    /// The entry as one line of the log, its line break included.
    ///
    /// # Errors
    /// The serialiser's error; an entry has no infinite or missing numbers.
    pub fn line(&self) -> Result<String, serde_json::Error> {
        Ok(format!("{}\n", serde_json::to_string(self)?))
    }
}

/// The films in a log; a photo that was read twice counts once, as it was read last.
#[must_use]
pub fn laid_films(read: &[FilmRead]) -> LaidFilms {
    let again = |at: usize| {
        let later = &read[at + 1..];
        read[at].content.is_some() && later.iter().any(|other| other.content == read[at].content)
    };
    let readings: Vec<FilmReading> = (0..read.len())
        .filter(|at| !again(*at))
        .map(|at| FilmReading {
            family: read[at].family,
            film: read[at].film,
            thinnest: read[at].thinnest,
            thickest: read[at].thickest,
        })
        .collect();
    LaidFilms::told_by(&readings)
}

fn is_a_colour(lab: LabD65) -> bool {
    (0.0..=100.0).contains(&lab.l) && lab.a.abs() <= 200.0 && lab.b.abs() <= 200.0
}

/// The advised addition to a pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Added {
    /// To this many parts in the pot …
    pub per_parts: u32,
    /// … this much of these paints.
    pub paints: Vec<MixedPaint>,
}

/// Parts of a paint in a pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MixedPaint {
    /// Its name on the list.
    pub name: String,
    /// Its parts.
    pub parts: f64,
}

/// At most this many faults of one log are reported.
const MOST_FAULTS: usize = 50;

/// A line of the log that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error(
    "found a line that is not an entry of a patch log ({detail}), expected one JSON object a line"
)]
pub struct PatchLogError {
    place: Place,
    detail: String,
}

impl Explain for PatchLogError {
    fn place(&self) -> Place {
        self.place.clone()
    }

    fn hint(&self) -> Option<String> {
        Some("mend or take out that line, or move the file aside to begin a new log".to_owned())
    }
}

/// A log as read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PatchLog {
    /// Its patches, the oldest first.
    pub entries: Vec<AsBuilt>,
    /// The films of its washes, the oldest first.
    pub films: Vec<FilmRead>,
    /// The number of its last line, where that was cut short: a full disk or a pulled plug leaves it so. It counts for
    /// nothing.
    pub cut_short: Option<usize>,
}

/// Reads a log; `file` is its name for messages.
///
/// # Errors
/// [`PatchLogError`] for each line that is not an entry, except for a last one that was never finished.
pub fn parse_patch_log(file: &str, text: &str) -> Result<PatchLog, Vec<PatchLogError>> {
    let mut log = PatchLog::default();
    let mut faults = Vec::new();
    for (at, line) in text.split_inclusive('\n').enumerate() {
        let ended = line.ends_with('\n');
        let line = line.trim();
        if line.is_empty() {
            continue;
        }
        let mut fault = |detail: String| {
            if faults.len() < MOST_FAULTS {
                faults.push(PatchLogError {
                    place: Place::file(file).at_line(at + 1),
                    detail,
                });
            }
        };
        if let Ok(Value::Object(entry)) = serde_json::from_str(line)
            && let Some(sign) = entry.values().find_map(hidden_sign)
        {
            fault(format!(
                "it holds the character U+{:04X}, which is invisible or reverses the direction of writing",
                u32::from(sign)
            ));
            continue;
        }
        if is_film(line) {
            match serde_json::from_str::<FilmRead>(line) {
                Ok(film) if film.is_sensible() => log.films.push(film),
                Ok(film) if !is_a_day(&film.date) => {
                    fault("its date is not a day such as 2026-11-25".to_owned());
                }
                Ok(_) => fault("a number is out of range".to_owned()),
                Err(cause) => fault(cause.to_string()),
            }
            continue;
        }
        match serde_json::from_str::<AsBuilt>(line) {
            Ok(entry) if entry.format != PATCH_LOG => {
                let found: String = entry.format.chars().take(60).collect();
                fault(format!("its format is \"{found}\""));
            }
            Ok(entry) if entry.is_sensible() => log.entries.push(entry),
            Ok(entry) if !is_a_day(&entry.date) => {
                fault("its date is not a day such as 2026-11-25".to_owned());
            }
            Ok(_) => fault("a number is out of range".to_owned()),
            Err(_) if !ended => log.cut_short = Some(at + 1),
            Err(cause) => fault(cause.to_string()),
        }
    }
    if faults.is_empty() {
        Ok(log)
    } else {
        Err(faults)
    }
}

/// A log without its last entry, and that entry's line; a last line that was cut short, as [`PatchLog::cut_short`] has it,
/// is no entry, and goes as well.
#[must_use]
pub fn without_last_patch(text: &str, cut_short: Option<usize>) -> (String, &str) {
    let text = text.trim_end();
    let whole = if cut_short.is_some() {
        text.rsplit_once('\n').map_or("", |(kept, _)| kept)
    } else {
        text
    };
    let whole = whole.trim_end();
    let (kept, last) = whole.rsplit_once('\n').unwrap_or(("", whole));
    let kept = kept.trim_end();
    let end = if kept.is_empty() { "" } else { "\n" };
    (format!("{kept}{end}"), last)
}

/// Whether a line tells of a film and not of a patch.
fn is_film(line: &str) -> bool {
    #[derive(Deserialize)]
    struct Mark {
        format: String,
    }
    serde_json::from_str::<Mark>(line).is_ok_and(|mark| mark.format == FILM_LOG)
}

/// A sign within any text of a value that is not seen, or that turns writing round.
fn hidden_sign(value: &Value) -> Option<char> {
    match value {
        Value::String(text) => (text.chars()).find(|c| c.is_control() || turns_writing(*c)),
        Value::Array(all) => all.iter().find_map(hidden_sign),
        Value::Object(all) => all.values().find_map(hidden_sign),
        Value::Null | Value::Bool(_) | Value::Number(_) => None,
    }
}

/// A day as 2026-11-25.
fn is_a_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let digits =
        |part: &&str, count| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
    matches!(&parts[..], [year, month, day] if digits(year, 4) && digits(month, 2) && digits(day, 2))
}

impl AsBuilt {
    /// Numbers and a date that a patch can have.
    fn is_sensible(&self) -> bool {
        is_a_day(&self.date)
            && is_a_colour(self.planned)
            && is_a_colour(self.seen)
            && self.de2000.is_finite()
            && (0.0..=200.0).contains(&self.uncertainty_de)
            && self
                .paints
                .iter()
                .chain(self.add.iter().flat_map(|add| &add.paints))
                .all(|paint| (0.0..=1e6).contains(&paint.parts))
    }

    /// What is in the pot after the advised addition; `None` where nothing was.
    #[must_use]
    pub fn after_adding(&self) -> Option<Vec<MixedPaint>> {
        let add = self.add.as_ref()?;
        let total: f64 = self.paints.iter().map(|paint| paint.parts).sum();
        let per = f64::from(add.per_parts);
        let mut pot: Vec<MixedPaint> = (self.paints.iter())
            .map(|paint| MixedPaint {
                name: paint.name.clone(),
                parts: paint.parts / total * per,
            })
            .collect();
        for added in &add.paints {
            match pot.iter_mut().find(|paint| paint.name == added.name) {
                Some(paint) => paint.parts += added.parts,
                None => pot.push(added.clone()),
            }
        }
        Some(pot)
    }

    /// The entry as one line of the log, its line break included.
    ///
    /// # Errors
    /// The serialiser's error; an entry has no infinite or missing numbers.
    pub fn line(&self) -> Result<String, serde_json::Error> {
        Ok(format!("{}\n", serde_json::to_string(self)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> AsBuilt {
        AsBuilt {
            format: PATCH_LOG.to_owned(),
            date: "2026-11-25".to_owned(),
            surface: "Kiln \"wall\"".to_owned(),
            tone: "brown".to_owned(),
            paints: vec![MixedPaint {
                name: "umber, raw".to_owned(),
                parts: 3.0,
            }],
            planned: LabD65::new(40.0, 10.0, 12.0),
            seen: LabD65::new(44.0, 9.0, 12.0),
            de2000: 4.1,
            uncertainty_de: 5.0,
            verdict: "add".to_owned(),
            photo: "patch.jpg".to_owned(),
            beside: None,
            content: None,
            light: None,
            add: None,
            doubtful: false,
        }
    }

    #[test]
    fn what_is_written_is_read_again() {
        let text = entry().line().unwrap() + "\n" + &entry().line().unwrap();
        let log = parse_patch_log("log", &text).unwrap();
        assert_eq!(log.entries, vec![entry(), entry()]);
        assert_eq!(log.cut_short, None);
    }

    #[test]
    fn a_last_line_is_whole_or_cut_short_wherever_it_was_cut() {
        let line = entry().line().unwrap();
        for cut in 1..line.len() - 1 {
            let log = parse_patch_log("log", &format!("{line}{}", &line[..cut])).unwrap();
            assert_eq!(log.entries, vec![entry()], "{cut}");
            let whole = cut == line.len() - 1;
            assert_eq!(log.cut_short, (!whole).then_some(2), "{cut}");
        }
        let unended = parse_patch_log("log", line.trim_end()).unwrap();
        assert_eq!((unended.entries.len(), unended.cut_short), (1, None));
    }

    #[test]
    fn a_line_that_is_none_is_named() {
        let text = entry().line().unwrap()
            + "nonsense\n"
            + &entry().line().unwrap().replace("44.0", "4e9")
            + "cut";
        let faults = parse_patch_log("log", &text).unwrap_err();
        assert_eq!(faults.len(), 2);
        assert_eq!(faults[0].place().to_string(), "log:2");
    }

    #[test]
    fn what_is_not_seen_and_days_that_are_none_are_faults() {
        let line = entry().line().unwrap();
        assert_eq!(parse_patch_log("log", &line).unwrap().entries.len(), 1);
        for (from, to) in [
            ("2026-11-25", "25 November"),
            ("\"brown\"", "\"br\\u202eown\""),
            ("\"brown\"", "\"br\\u001bown\""),
            ("umber, raw", "umber\\u2066"),
        ] {
            let bad = line.replace(from, to);
            assert_ne!(bad, line, "{from}");
            let faults = parse_patch_log("log", &format!("{line}{bad}")).unwrap_err();
            assert_eq!(faults[0].place(), Place::file("log").at_line(2), "{to}");
        }
    }
}
