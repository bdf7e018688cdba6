//! Lists of the same paints from several builders, joined: readings pooled by their errors, contradictions named.

use super::folded::fold;
use super::list::{
    ColourSource, LET_DOWN_COLUMNS, LetDown, LetDownColour, OVER_CARDS_COLUMNS, OverCards, Paint,
    PaintList,
};
use super::named_table::NamedTable;
use super::table::{ListWriteError, failed};
use crate::colour::{DeltaE00, LabD65, delta_e00, seen_in_daylight};
use std::fmt;
use std::path::Path;

/// A club's list.
#[derive(Debug, Clone, PartialEq)]
pub struct JoinedList {
    /// The list as CSV.
    pub text: Vec<u8>,
    /// How many paints it has.
    pub paints: usize,
    /// How many of them more than one list knows.
    pub shared: usize,
    /// What does not agree.
    pub contradictions: Vec<Contradiction>,
    /// Columns that the lists have and the joined one has not: what is on a shelf, prices, notes, columns of one's own.
    pub at_home: Vec<String>,
}

/// Readings of one paint that cannot all be right.
#[derive(Debug, Clone, PartialEq)]
pub enum Contradiction {
    /// A colour far from the others; it was left out.
    Reading {
        /// The reading.
        of: ReadingOf,
        /// The paint.
        paint: String,
        /// What was left out.
        out: LeftOut,
    },
    /// A word that another list has differently.
    Word {
        /// The paint.
        paint: String,
        /// The list.
        list: String,
        /// "medium", "opacity" …
        column: &'static str,
        /// What it says there.
        found: String,
        /// What was kept.
        kept: String,
        /// Where only one list says it: that list.
        kept_of: Option<String>,
    },
}

/// What was read of a paint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingOf {
    /// Its colour.
    Colour,
    /// A mix with white.
    LetDown,
    /// A coat over a card.
    Coat,
}

/// A reading that was left out.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The list.
    pub list: String,
    /// How far it lies from what was kept.
    pub off: DeltaE00,
    /// The list whose reading was kept, although nothing shows that it is the better one: as many agree with either,
    /// and both were read in the same way.
    pub as_good: Option<String>,
}

/// What a reading may be off by, CIEDE2000. Our choice: a photographed swatch, a measurement, a spectrum.
fn error_of(source: ColourSource) -> f64 {
    match source {
        ColourSource::Hex => 5.0,
        ColourSource::Lab => 1.0,
        ColourSource::Spectrum => 0.5,
    }
}

/// Beyond this many of their joint errors two readings contradict each other. Our choice.
const CONTRADICTS: f64 = 2.0;

/// Columns that are a paint's own, whoever has it; what is on a shelf and what it cost are not joined.
const SHARED: [&str; 9] = [
    "strength",
    "medium",
    "opacity",
    "finish",
    "thinner",
    "effect",
    "mixable",
    "density_g_per_ml",
    "pot_ml",
];

/// A reading: its colour, what that may be off by, and the list it is from.
type OneReading<'a> = (LabD65, f64, &'a str);

/// One paint of one list.
struct PaintOfList<'a> {
    list: &'a str,
    paint: &'a Paint,
    row: &'a [(&'static str, String)],
}

/// Joins lists; of a paint in several of them the readings are pooled, weighted by the inverse square of their errors.
///
/// # Errors
/// [`ListWriteError`] when the table cannot be written to memory.
pub fn join(lists: &[PaintList]) -> Result<JoinedList, ListWriteError> {
    let names = names_of(lists);
    let mut groups: Vec<(String, Vec<PaintOfList<'_>>)> = Vec::new();
    for (list, name) in lists.iter().zip(&names) {
        for (paint, (row, _)) in list.paints().iter().zip(&list.clean) {
            let key = fold(&paint.name);
            let entry = PaintOfList {
                list: name,
                paint,
                row,
            };
            match groups.iter_mut().find(|(known, _)| *known == key) {
                Some((_, entries)) => entries.push(entry),
                None => groups.push((key, vec![entry])),
            }
        }
    }
    let mut contradictions = Vec::new();
    let columns = ["name", "hex", "lab_l", "lab_a", "lab_b"]
        .into_iter()
        .chain(SHARED)
        .chain(
            LET_DOWN_COLUMNS
                .into_iter()
                .flat_map(|(hex, parts)| [hex, parts]),
        )
        .chain(OVER_CARDS_COLUMNS)
        .chain(["measured_by"]);
    let mut table = NamedTable::with_columns(columns);
    let shared = groups.iter().filter(|(_, e)| e.len() > 1).count();
    for (_, entries) in &mut groups {
        without_readings_held(entries);
        table.add(joined_row(entries, &mut contradictions));
    }
    Ok(JoinedList {
        text: table.csv().map_err(failed)?,
        paints: groups.len(),
        shared,
        contradictions,
        at_home: at_home(lists),
    })
}

/// What the lists hold that is not taken over.
fn at_home(lists: &[PaintList]) -> Vec<String> {
    const KEPT_AT_HOME: [&str; 4] = ["on_hand_ml", "price", "currency", "note"];
    let rows = || lists.iter().flat_map(|list| &list.clean);
    let ours = KEPT_AT_HOME
        .into_iter()
        .filter(|column| rows().any(|(row, _)| row.iter().any(|(c, _)| c == column)))
        .map(str::to_owned);
    let mut all: Vec<String> = ours.collect();
    for column in lists.iter().flat_map(|list| &list.unused) {
        if !column.is_empty() && !all.contains(column) {
            all.push(column.clone());
        }
    }
    all
}

/// What each list is called: its file's name, with its folder where two are of one name.
fn names_of(lists: &[PaintList]) -> Vec<String> {
    let short: Vec<String> = lists.iter().map(|list| stem(&list.file)).collect();
    let twice = |name: &String| short.iter().filter(|other| *other == name).count() > 1;
    lists
        .iter()
        .zip(&short)
        .map(|(list, name)| {
            let folder = Path::new(&list.file).parent().and_then(Path::file_name);
            match folder {
                Some(folder) if twice(name) => format!("{}/{name}", folder.to_string_lossy()),
                _ => name.clone(),
            }
        })
        .collect()
}

/// A reading that a club's list holds already, by its list and its colour, does not count once more.
fn without_readings_held(entries: &mut Vec<PaintOfList<'_>>) {
    let held: Vec<String> = entries
        .iter()
        .flat_map(|e| e.row.iter().filter(|(column, _)| *column == "measured_by"))
        .flat_map(|(_, who)| who.split(';').map(|one| one.trim().to_owned()))
        .collect();
    let own = |e: &PaintOfList<'_>| format!("{} {}", e.list, e.paint.colour.to_srgb8());
    let is_club = |e: &PaintOfList<'_>| e.row.iter().any(|(column, _)| *column == "measured_by");
    if entries.iter().any(is_club) {
        entries.retain(|e| is_club(e) || !held.contains(&own(e)));
    }
}

fn stem(file: &str) -> String {
    Path::new(file).file_stem().map_or_else(
        || file.to_owned(),
        |stem| stem.to_string_lossy().into_owned(),
    )
}

/// A cell, by the name of its column.
type NamedCell = (&'static str, String);

fn joined_row(
    entries: &[PaintOfList<'_>],
    contradictions: &mut Vec<Contradiction>,
) -> Vec<NamedCell> {
    let name = &entries[0].paint.name;
    let readings: Vec<OneReading<'_>> = entries
        .iter()
        .map(|e| (e.paint.colour, error_of(e.paint.source), e.list))
        .collect();
    let colour = pooled(&readings, (ReadingOf::Colour, name), contradictions);
    let screen = entries.iter().all(|e| e.paint.source == ColourSource::Hex);
    let mut row = vec![("name", name.clone())];
    if screen {
        row.push(("hex", colour.to_srgb8().to_string()));
    } else {
        let lab = [
            ("lab_l", colour.l),
            ("lab_a", colour.a),
            ("lab_b", colour.b),
        ];
        row.extend(lab.map(|(column, v)| (column, format!("{v:.2}"))));
    }
    row.extend(joined_words(entries, contradictions));
    row.extend(joined_let_downs(entries, contradictions));
    row.extend(joined_coats(entries, contradictions));
    row.push(("measured_by", measured_by(entries)));
    row
}

/// The words and numbers that are a paint's own, as most of the lists have them.
fn joined_words(
    entries: &[PaintOfList<'_>],
    contradictions: &mut Vec<Contradiction>,
) -> Vec<NamedCell> {
    let name = &entries[0].paint.name;
    let mut row = Vec::new();
    for column in SHARED {
        let stated: Vec<(&str, &String)> = entries
            .iter()
            .filter_map(|entry| {
                let cell = entry.row.iter().find(|(c, _)| *c == column);
                cell.map(|(_, text)| (entry.list, text))
            })
            .collect();
        // What most of them say; of as many, what is said first.
        let says = |text: &String| stated.iter().filter(|(_, other)| *other == text).count();
        let kept = stated
            .iter()
            .rev()
            .max_by_key(|(_, text)| says(text))
            .map(|(_, text)| (*text).clone())
            .unwrap_or_default();
        let alone = stated.iter().filter(|(_, text)| **text == kept);
        let kept_of = match alone.collect::<Vec<_>>().as_slice() {
            [(list, _)] => Some((*list).to_owned()),
            _ => None,
        };
        for (list, found) in &stated {
            if **found != kept {
                contradictions.push(Contradiction::Word {
                    paint: name.clone(),
                    list: (*list).to_owned(),
                    column,
                    found: (*found).clone(),
                    kept: kept.clone(),
                    kept_of: kept_of.clone(),
                });
            }
        }
        row.push((column, kept));
    }
    row
}

/// Each list with the colour it has, or whoever it names already.
fn measured_by(entries: &[PaintOfList<'_>]) -> String {
    let who: Vec<String> = entries
        .iter()
        .map(|e| {
            // A club's list, joined once more, says who measured what already.
            let by = e.row.iter().find(|(column, _)| *column == "measured_by");
            by.map_or_else(
                || format!("{} {}", e.list, e.paint.colour.to_srgb8()),
                |(_, by)| by.clone(),
            )
        })
        .collect();
    who.join("; ")
}

/// Let-downs, colour and parts each: those of the same parts are pooled, and the three nearest to 3 parts are kept.
fn joined_let_downs(
    entries: &[PaintOfList<'_>],
    contradictions: &mut Vec<Contradiction>,
) -> Vec<NamedCell> {
    let let_downs: Vec<(&str, &LetDown)> = entries
        .iter()
        .flat_map(|e| std::iter::repeat(e.list).zip(&e.paint.let_downs))
        .collect();
    let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let mut parts: Vec<f64> = let_downs.iter().map(|(_, l)| l.parts_white).collect();
    parts.sort_by(|a, b| (a - 3.0).abs().total_cmp(&(b - 3.0).abs()));
    parts.dedup_by(|a, b| same(*a, *b));
    let mut cells = Vec::new();
    for (parts, (hex_column, parts_column)) in parts.into_iter().zip(LET_DOWN_COLUMNS) {
        let readings: Vec<OneReading<'_>> = let_downs
            .iter()
            .filter(|(_, l)| same(l.parts_white, parts))
            .map(|(list, l)| match &l.seen {
                LetDownColour::Colour(colour) => (*colour, error_of(ColourSource::Hex), *list),
                LetDownColour::Spectrum(spectrum) => (
                    LabD65::from(seen_in_daylight(spectrum)),
                    error_of(ColourSource::Spectrum),
                    *list,
                ),
            })
            .collect();
        let of = (ReadingOf::LetDown, entries[0].paint.name.as_str());
        let colour = pooled(&readings, of, contradictions);
        cells.push((hex_column, colour.to_srgb8().to_string()));
        cells.push((parts_column, parts.to_string()));
    }
    cells
}

/// Coats over a black and over a white card, pooled.
fn joined_coats(
    entries: &[PaintOfList<'_>],
    contradictions: &mut Vec<Contradiction>,
) -> Vec<NamedCell> {
    let over: Vec<(&str, OverCards)> = entries
        .iter()
        .filter_map(|e| Some((e.list, e.paint.over_cards?)))
        .collect();
    if over.is_empty() {
        return Vec::new();
    }
    let cards = [|o: &OverCards| o.black, |o: &OverCards| o.white];
    let coats = cards.map(|card| {
        let readings: Vec<OneReading<'_>> = over
            .iter()
            .map(|(list, coats)| (card(coats), error_of(ColourSource::Hex), *list))
            .collect();
        let of = (ReadingOf::Coat, entries[0].paint.name.as_str());
        pooled(&readings, of, contradictions).to_srgb8().to_string()
    });
    OVER_CARDS_COLUMNS.into_iter().zip(coats).collect()
}

/// The weighted mean of the readings that agree with the best-known one; it records those that do not.
///
/// The best-known is the reading of least error that most others agree with.
fn pooled(
    readings: &[OneReading<'_>],
    (of, paint): (ReadingOf, &str),
    contradictions: &mut Vec<Contradiction>,
) -> LabD65 {
    let agree = |a: &OneReading<'_>, b: &OneReading<'_>| {
        delta_e00(a.0, b.0).0 <= CONTRADICTS * a.1.hypot(b.1)
    };
    let friends = |a: &OneReading<'_>| readings.iter().filter(|b| agree(a, b)).count();
    let rank = |a: &OneReading<'_>, b: &OneReading<'_>| {
        a.1.total_cmp(&b.1).then(friends(b).cmp(&friends(a)))
    };
    let Some(best) = readings.iter().min_by(|a, b| rank(a, b)) else {
        return LabD65::new(0.0, 0.0, 0.0);
    };
    let (mut sum, mut weight) = ([0.0; 3], 0.0);
    for reading in readings {
        if agree(best, reading) {
            let w = 1.0 / (reading.1 * reading.1);
            weight += w;
            for (total, v) in sum.iter_mut().zip([reading.0.l, reading.0.a, reading.0.b]) {
                *total += w * v;
            }
        } else {
            contradictions.push(Contradiction::Reading {
                of,
                paint: paint.to_owned(),
                out: LeftOut {
                    list: reading.2.to_owned(),
                    off: delta_e00(best.0, reading.0),
                    as_good: rank(best, reading).is_eq().then(|| best.2.to_owned()),
                },
            });
        }
    }
    let [l, a, b] = sum.map(|v| v / weight);
    LabD65::new(l, a, b)
}

impl fmt::Display for Contradiction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Reading { of, paint, out } => {
                let (what, ask) = match of {
                    ReadingOf::Colour => ("colour", "another paint of that name, or a slip?"),
                    ReadingOf::LetDown => ("let-down", "were the parts the same?"),
                    ReadingOf::Coat => ("coat over card", "was it as thick?"),
                };
                let (list, off) = (&out.list, out.off.0);
                match &out.as_good {
                    Some(kept) => write!(
                        f,
                        "{paint}: the {what} in {list} is ΔE00 {off:.0} off that in {kept}, and nothing here shows which is right; that of {kept} was kept: read it once more ({ask})"
                    ),
                    None => write!(
                        f,
                        "{paint}: the {what} in {list} is ΔE00 {off:.0} off the others and was left out: {ask}"
                    ),
                }
            }
            Self::Word {
                paint,
                list,
                column,
                found,
                kept,
                kept_of,
            } => match kept_of {
                Some(other) => write!(
                    f,
                    "{paint}: {list} says {column} {found}, {other} says {kept}; {kept} was kept: look at the pot"
                ),
                None => write!(
                    f,
                    "{paint}: {list} says {column} {found}, others say {kept}, which was kept"
                ),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(file: &str, text: &str) -> PaintList {
        PaintList::parse(file, text.as_bytes(), &|_| Err(String::new())).unwrap()
    }

    fn sentences(joined: &JoinedList) -> Vec<String> {
        let all = joined.contradictions.iter();
        all.map(ToString::to_string).collect()
    }

    #[test]
    fn readings_are_pooled_by_their_errors_and_contradictions_named() {
        let joined = join(&[
            list(
                "ann.csv",
                "name,hex,medium,on_hand_ml,let_down_hex,let_down_parts_white\nBrick,#93503d,acrylic,10,#d0a79a,3\nOchre,#bc9145,acrylic,,,\n",
            ),
            list(
                "club/ben.csv",
                "name,hex,medium,let_down_hex,let_down_parts_white\nBRICK,#97543f,enamel,#d2a99c,3\nWhite,#f2f1ec,acrylic,,\n",
            ),
            list("cy.csv", "name,hex\nbrick,#3d5093\n"),
        ])
        .unwrap();
        assert_eq!((joined.paints, joined.shared), (3, 1));
        let told = sentences(&joined);
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].contains("the colour in cy is ΔE00"), "{told:?}");
        assert!(told[1].contains("ben says medium enamel"), "{told:?}");
        let text = String::from_utf8(joined.text.clone()).unwrap();
        assert!(
            text.contains("ann #93503d; ben #97543f; cy #3d5093"),
            "{text}"
        );
        assert!(
            !text.contains("on_hand"),
            "what is on a shelf stays at home"
        );
        assert_eq!(joined.at_home, ["on_hand_ml"], "and is told");
        let again = list("out.csv", &text);
        let brick = &again.paints()[0];
        assert!(
            delta_e00(
                brick.colour,
                LabD65::from(crate::colour::Srgb8([0x95, 0x52, 0x3e]))
            )
            .0 < 0.5
        );
        assert!(!brick.let_downs.is_empty());
    }

    #[test]
    fn of_two_that_contradict_neither_is_called_wrong() {
        let joined = join(&[
            list("ann.csv", "name,hex,medium\nBrick,#93503d,acrylic\n"),
            list("ben.csv", "name,hex,medium\nBrick,#3d5093,enamel\n"),
        ])
        .unwrap();
        let told = sentences(&joined);
        assert!(
            told[0].contains("nothing here shows which is right"),
            "{told:?}"
        );
        assert!(told[1].contains("ann says acrylic"), "{told:?}");
        // Two against one, whichever comes first.
        let joined = join(&[
            list("ann.csv", "name,hex,medium\nBrick,#3d5093,enamel\n"),
            list("ben.csv", "name,hex,medium\nBrick,#93503d,acrylic\n"),
            list("cy.csv", "name,hex,medium\nBrick,#94513e,acrylic\n"),
        ])
        .unwrap();
        let told = sentences(&joined);
        assert!(
            told[0].contains("in ann") && told[0].contains("off the others"),
            "{told:?}"
        );
        assert!(
            told[1].contains("ann says medium enamel, others say acrylic"),
            "{told:?}"
        );
    }

    #[test]
    fn a_member_who_is_in_the_clubs_list_does_not_count_twice() {
        let ann = || list("ann.csv", "name,hex\nBrick,#93503d\n");
        let ben = list("ben.csv", "name,hex\nBrick,#9a5743\n");
        let club = join(&[ann(), ben]).unwrap();
        let club = list("club.csv", &String::from_utf8(club.text).unwrap());
        let again = join(&[club.clone(), ann()]).unwrap();
        let again = list("again.csv", &String::from_utf8(again.text).unwrap());
        assert_eq!(again.paints()[0].colour, club.paints()[0].colour);
        // Another reading of hers counts.
        let new = list("ann.csv", "name,hex\nBrick,#8d4a37\n");
        let again = join(&[club.clone(), new]).unwrap();
        let again = list("again.csv", &String::from_utf8(again.text).unwrap());
        assert!(again.paints()[0].colour.l < club.paints()[0].colour.l);
    }

    #[test]
    fn a_measurement_outweighs_a_photograph() {
        let joined = join(&[
            list("a.csv", "name,hex\nBrick,#93503d\n"),
            list("b.csv", "name,lab_l,lab_a,lab_b\nBrick,44,27,22\n"),
        ])
        .unwrap();
        let again = list("out.csv", &String::from_utf8(joined.text).unwrap());
        let off = delta_e00(again.paints()[0].colour, LabD65::new(44.0, 27.0, 22.0)).0;
        assert!(off < 0.3, "{off}");
    }
}
