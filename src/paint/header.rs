//! Which column of a list means what: by its header word, by a guess that its cells confirm, or by its cells alone.

use super::folded::{fold, holds_phrase};
use super::line::TableLine;
use super::measure::Measure;
use super::values::{self, Decimals, HeaderUnit};
use super::words::{Column, Holds, YES_NO, is_negated, meaning, without_negation, words_of};
use crate::colour::parse_colour;
use crate::problem::nearest_word;

/// One column of the file: its header as written, and what the reader took it for.
#[derive(Debug, Clone)]
pub(super) struct Heading {
    pub(super) written: String,
    pub(super) taken: Option<&'static Column>,
    /// The unit that its header states.
    pub(super) unit: Option<HeaderUnit>,
    /// The word of ours that its cells answer with yes or no: a column "metallic".
    pub(super) flag: Option<&'static str>,
    /// The column that its header may mean, and a cell that does not bear it out.
    pub(super) doubted: Option<(&'static str, String)>,
}

/// What is found at the head of a table.
#[derive(Debug)]
pub(super) struct Head {
    /// Where the header row stands among the lines; none when there is no such row.
    pub(super) at: Option<usize>,
    pub(super) headings: Vec<Heading>,
    /// True where the line above the header was needed to say what a column holds.
    pub(super) in_two_lines: bool,
}

/// Lines among which the header is looked for.
const FIRST_LINES: usize = 20;

/// "Preis (€/100 ml)", "Price £/l": behind the stroke stands a volume.
fn is_price_by_volume(written: &str) -> bool {
    let (before, after) = written.rsplit_once('/').unwrap_or((written, ""));
    let unit = after.trim_start_matches(|c: char| c.is_ascii_digit() || c == ' ');
    let unit = unit.trim_end_matches([')', ']', ' ']);
    let is_money = before.contains(['€', '£', '$', '¥'])
        || fold(before)
            .split(' ')
            .any(|w| values::currency(w).is_some());
    is_money && values::factor(Measure::Volume, unit).is_some()
}

/// Finds the header row and the meaning of each column.
pub(super) fn head_of(lines: &[TableLine], columns: &'static [Column]) -> Head {
    let first = &lines[..lines.len().min(FIRST_LINES)];
    let known = |line: &TableLine| {
        // Such a line is no header, and most lines are such: their cells need not be compared with all words.
        if line.cells.iter().any(|c| looks_like_a_colour(c)) {
            return 0;
        }
        let exact = line
            .cells
            .iter()
            .filter(|c| exactly(c, columns).is_some())
            .count();
        let guessed = line
            .cells
            .iter()
            .filter(|c| !c.is_empty() && !guesses(c, columns).is_empty())
            .count();
        2 * exact + guessed
    };
    let best = (0..first.len())
        .max_by_key(|at| (known(&first[*at]).min(6), std::cmp::Reverse(*at)))
        .filter(|at| known(&first[*at]) > 0);
    if best.is_none()
        && let Some(headings) = without_header(lines, columns)
    {
        return head_without_words(headings, lines, columns);
    }
    let at = best.unwrap_or(0);
    let Some(header) = lines.get(at) else {
        return Head {
            at: None,
            headings: Vec::new(),
            in_two_lines: false,
        };
    };
    let above = at.checked_sub(1).map(|above| &lines[above]);
    let words = above.map(|above| under(above, header, columns));
    Head {
        at: Some(at),
        headings: headings(
            words.as_ref().unwrap_or(&header.cells),
            &lines[at + 1..],
            columns,
        ),
        in_two_lines: words.is_some_and(|words| words != header.cells),
    }
}

/// The head of a list none of whose lines has a word of ours. In a language that is not known the first line has no colour,
/// and all others have one.
fn head_without_words(
    found: Vec<Heading>,
    lines: &[TableLine],
    columns: &'static [Column],
) -> Head {
    let colour = |h: &Heading| h.taken.is_some_and(|c| c.name == "hex");
    let at = found.iter().position(colour).unwrap_or(0);
    let has_one = |line: &TableLine| line.cells.get(at).is_some_and(|c| looks_like_a_colour(c));
    let is_a_head = |line: &TableLine| {
        let cell = line.cells.get(at);
        cell.is_some_and(|c| !c.is_empty() && parse_colour(c).is_err())
    };
    match lines {
        [first, rest @ ..] if !rest.is_empty() && is_a_head(first) && rest.iter().all(has_one) => {
            Head {
                at: Some(0),
                headings: headings(&first.cells, rest, columns),
                in_two_lines: false,
            }
        }
        _ => Head {
            at: None,
            headings: found,
            in_two_lines: false,
        },
    }
}

/// The words of a header in two lines: "Pot" above "ml" is "Pot (ml)". A word that is clear by itself stays as it is.
fn under(above: &TableLine, header: &TableLine, columns: &'static [Column]) -> Vec<String> {
    let joined = |(own, above): (&String, &String)| {
        let both = if own.is_empty() {
            above.clone()
        } else {
            format!("{above} ({own})")
        };
        let is_clear = |words: &str| exactly(words, columns).is_some();
        let wanted = !above.is_empty() && !is_clear(own) && is_clear(&both);
        if wanted { both } else { own.clone() }
    };
    let nothing = String::new();
    let above = above.cells.iter().chain(std::iter::repeat(&nothing));
    header.cells.iter().zip(above).map(joined).collect()
}

/// The cells below a header.
fn below(lines: &[TableLine], column: usize) -> impl Iterator<Item = &str> {
    lines
        .iter()
        .filter_map(move |line| line.cells.get(column))
        .map(String::as_str)
        .filter(|cell| {
            let unit = cell.starts_with('(') && cell.ends_with(')');
            !unit && !values::says_nothing(cell)
        })
}

/// A colour beyond doubt: not a word, which may be a name.
fn looks_like_a_colour(cell: &str) -> bool {
    let hex = cell.strip_prefix('#').is_some_and(|digits| {
        matches!(digits.len(), 3 | 6) && digits.bytes().all(|b| b.is_ascii_hexdigit())
    });
    let bare = cell.len() == 6
        && cell.bytes().all(|b| b.is_ascii_hexdigit())
        && cell.bytes().any(|b| b.is_ascii_alphabetic())
        && cell.bytes().any(|b| b.is_ascii_digit());
    hex || bare || (cell.contains('(') && parse_colour(cell).is_ok())
}

/// A name has a letter, and is no colour, no sum of money and no other number with its unit.
fn is_a_name(cell: &str) -> bool {
    cell.chars().any(char::is_alphabetic)
        && !looks_like_a_colour(cell)
        && [Measure::Price, Measure::Stock].iter().all(|measure| {
            !cell.contains(|c: char| c.is_ascii_digit())
                || values::value(cell, *measure, None, Decimals::Unknown).is_err()
        })
}

/// True when most of the cells are colours beyond doubt.
fn clearly_colours(lines: &[TableLine], at: usize) -> bool {
    most(lines, at, &|cell| {
        cell.starts_with('#') || cell.contains('(')
    })
}

/// True when more than half of the cells are such: one slip does not hide a column.
fn most(lines: &[TableLine], at: usize, fits: &dyn Fn(&str) -> bool) -> bool {
    let all = below(lines, at).count();
    2 * below(lines, at).filter(|cell| fits(cell)).count() > all
}

/// True for a cell such as the column holds.
fn fits(column: &Column, cell: &str) -> bool {
    match column.holds {
        Holds::Name => is_a_name(cell),
        Holds::Colour => {
            // 770123 and 101 may be hex, and may be anything.
            let bare = cell.bytes().all(|b| b.is_ascii_digit())
                || cell.len() == 3 && cell.bytes().all(|b| b.is_ascii_hexdigit());
            cell.contains(|c: char| c.is_ascii_digit()) && !bare && parse_colour(cell).is_ok()
                || looks_like_a_colour(cell)
        }
        Holds::Number(measure) => values::value(cell, measure, None, Decimals::Unknown).is_ok(),
        Holds::Word(words) => meaning(cell, words).word().is_some(),
        Holds::Text | Holds::File => true,
    }
}

/// True when most of the cells are such as the column holds.
fn borne_out(column: &Column, lines: &[TableLine], at: usize) -> bool {
    most(lines, at, &|cell| fits(column, cell))
}

/// A header in the forms in which the reader looks for its words: whole, and without what its brackets hold.
fn forms(written: &str) -> Vec<String> {
    let whole = fold(written);
    let open = written.find(['(', '[']);
    let outside = open.map(|at| fold(&written[..at]));
    let inside = open.map(|at| fold(&written[at + 1..]));
    std::iter::once(whole)
        .chain(inside)
        .chain(outside)
        .filter(|form| !form.is_empty())
        .collect()
}

/// The unit that a header states: in brackets, behind a stroke, or as its last word.
fn unit_in(written: &str, measure: Measure) -> Option<(HeaderUnit, String)> {
    let bracket = written
        .split_once(['(', '['])
        .map(|(before, rest)| (rest.trim_end_matches([')', ']']), before));
    let stroke = written
        .rsplit_once(" / ")
        .map(|(before, unit)| (unit, before));
    let comma = written
        .rsplit_once(',')
        .map(|(before, unit)| (unit, before));
    let last = written
        .trim()
        .rsplit_once([' ', '_'])
        .map(|(before, unit)| (unit, before));
    // "% left", "pots in stock".
    let first = written.trim().split_once(' ');
    [bracket, stroke, comma, last, first]
        .into_iter()
        .flatten()
        .find_map(|(unit, before)| {
            let unit = self::unit(unit, measure)?;
            Some((unit, fold(before).trim_end_matches(" in").to_owned()))
        })
}

/// A unit of a measure: "ml", "%", "£".
pub(super) fn unit(text: &str, measure: Measure) -> Option<HeaderUnit> {
    let unit = text.trim().trim_start_matches("in ").trim();
    let share = values::share_of_a_pot(unit).filter(|_| measure == Measure::Stock);
    let money = values::currency(unit).filter(|_| measure == Measure::Price);
    let factor = match money {
        Some((_, part)) => Some(part),
        None => share.or_else(|| values::factor(measure, unit)),
    };
    let of_the_pot = share.is_some();
    factor.map(|factor| HeaderUnit {
        factor,
        of_the_pot,
        currency: money.map(|(currency, _)| currency),
    })
}

/// The column that a header names beyond doubt.
fn exactly(
    written: &str,
    columns: &'static [Column],
) -> Option<(&'static Column, Option<HeaderUnit>)> {
    let forms = forms(written);
    let named = |form: &str| {
        columns
            .iter()
            .find(|c| fold(c.name) == form || words_of(c.words).any(|w| w == form))
    };
    // "b*" is no "B" for blue.
    let starred = match written.trim() {
        "L*" | "l*" => Some("lab_l"),
        "A*" | "a*" => Some("lab_a"),
        "B*" | "b*" => Some("lab_b"),
        _ => None,
    };
    if let Some(own) = columns.iter().find(|c| Some(c.name) == starred) {
        return Some((own, None));
    }
    // "on_hand_ml" is a word of ours: its unit is the column's own.
    if let Some(own) = columns
        .iter()
        .find(|c| Some(&fold(c.name)) == forms.first() && !written.contains('%'))
    {
        let in_money = Some(Measure::Price).filter(|_| own.name == "price");
        let unit = in_money.and_then(|measure| unit_in(written, measure));
        return Some((own, unit.map(|(unit, _)| unit)));
    }
    for column in columns {
        if let Holds::Number(measure) = column.holds
            && let Some((factor, rest)) = unit_in(written, measure)
            && (fold(column.name) == rest
                || words_of(column.words).any(|w| w.trim_start_matches('?') == rest)
                || fold(column.name)
                    .rsplit_once(' ')
                    .is_some_and(|(name, _)| name == rest))
        {
            return Some((column, Some(factor)));
        }
    }
    forms.iter().find_map(|form| named(form)).map(|c| {
        let unit = match c.holds {
            Holds::Number(measure) => unit_in(written, measure).map(|(factor, _)| factor),
            _ => None,
        };
        (c, unit)
    })
}

/// Columns that a header may mean: by a word marked as a guess, a slip of the pen, or words within it.
fn guesses(written: &str, columns: &'static [Column]) -> Vec<&'static Column> {
    let forms = forms(written);
    let mut found: Vec<&'static Column> = Vec::new();
    let turned = forms.iter().any(|form| is_negated(form));
    let mut add = |column: &'static Column| {
        // "not mixable" is no column of what mixes.
        let yes_or_no = matches!(column.holds, Holds::Word(words) if words == YES_NO);
        if (turned && yes_or_no) || tells_another(column, &forms) {
            return;
        }
        if !found.iter().any(|c| std::ptr::eq(*c, column)) {
            found.push(column);
        }
    };
    // What is strictest is tried first: a colour before a word, a word before a name.
    let strict = |c: &Column| match c.holds {
        Holds::Colour => 0,
        Holds::Word(_) => 1,
        Holds::Number(_) => 2,
        Holds::File | Holds::Text => 3,
        Holds::Name => 4,
    };
    let mut by_strictness: Vec<&'static Column> = columns.iter().collect();
    by_strictness.sort_by_key(|c| strict(c));
    for column in &by_strictness {
        let marked = words_of(column.words)
            .filter_map(|w| w.strip_prefix('?'))
            .any(|w| forms.iter().any(|form| form == w));
        if marked {
            add(column);
        }
    }
    for column in &by_strictness {
        let words = || std::iter::once(fold(column.name)).chain(plain_words(column));
        let slip =
            words().any(|w| w.chars().count() >= 4 && forms.iter().any(|form| is_slip(form, &w)));
        let within = !matches!(column.holds, Holds::Name | Holds::Text | Holds::File)
            && words().any(|w| w.chars().count() > 3 && forms.iter().any(|f| holds_phrase(f, &w)));
        if (slip && !forms.iter().any(|form| is_a_word_of(columns, form))) || within {
            add(column);
        }
    }
    found
}

/// True for a header that names one of the columns.
fn is_a_word_of(columns: &'static [Column], form: &str) -> bool {
    columns
        .iter()
        .any(|c| words_of(c.words).any(|w| w.trim_start_matches('?') == form))
}

/// True if the words around a column's own make it another thing: a number for the thing, an amount still to buy, the
/// price of a litre.
fn tells_another(column: &Column, forms: &[String]) -> bool {
    const NAMES_IT: &str =
        "no, nr, num, number, code, id, ref, sku, ean, artnr, nummer, numero, numer, kod";
    const TO_COME: &str = "needed, required, wanted, to buy, buy, order, to order, missing, benotigt, gebraucht, fehlt, kaufen, bestellen, \
        acheter, a acheter, commander, necessaire, comprar, necesario, comprare, necessario, kopen, nodig, kupic, kopa, behov, min, minimum, max, maximum, mindest";
    const OTHER: &str = "smell, odour, odor, geruch, shipping, postage, versand, porto, group, band, class, category, gruppe, klasse, pack, set, date, checked, updated, datum";
    let Holds::Number(measure) = column.holds else {
        return false;
    };
    let any = |words| words_of(words).any(|w| forms.iter().any(|form| holds_phrase(form, w)));
    let goes_by = |form: &String| words_of(column.words).any(|w| w.trim_start_matches('?') == form);
    let exact = forms.iter().any(goes_by);
    match measure {
        Measure::Stock | Measure::Mass | Measure::Volume => {
            !exact && (any(NAMES_IT) || any(TO_COME)) && !counts(forms)
        }
        Measure::Ratio => any(OTHER),
        Measure::Price => any(OTHER) || forms.iter().any(|form| is_another_price(form)),
        _ => false,
    }
}

/// "number of pots".
fn counts(forms: &[String]) -> bool {
    forms
        .iter()
        .any(|form| values::share_of_a_pot(form).is_some())
}

/// A price that is not what a pot costs: by the millilitre, an old one.
fn is_another_price(folded: &str) -> bool {
    let words: Vec<&str> = folded.split(' ').collect();
    // "price for 3", "price l" of "price £/l", "prix au litre".
    let several = words
        .windows(2)
        .any(|w| w[0] == "for" && w[1].bytes().all(|b| b.is_ascii_digit()));
    let by_volume = words
        .last()
        .is_some_and(|last| *last != "ml" && values::factor(Measure::Volume, last).is_some());
    if several || by_volume {
        return true;
    }
    [
        "per ml",
        "per l",
        "per litre",
        "per 10",
        "per 100",
        "pro ml",
        "pro l",
        "par ml",
        "old",
        "was",
        "alt",
        "alter",
        "previous",
        "ancien",
    ]
    .iter()
    .any(|other| holds_phrase(folded, other))
}

fn plain_words(column: &'static Column) -> impl Iterator<Item = String> {
    words_of(column.words)
        .filter(|w| !w.starts_with('?'))
        .map(str::to_owned)
}

/// True when the one word is the other with one or two slips: the nearest word's own measure, halved for short words.
fn is_slip(written: &str, known: &str) -> bool {
    let limit = known.chars().count().div_ceil(5).min(2);
    written.chars().count().abs_diff(known.chars().count()) <= limit
        && strsim::damerau_levenshtein(written, known) <= limit
}

/// The own column that a header's spelling is nearest to, for a hint.
pub(super) fn nearest_column(written: &str, columns: &'static [Column]) -> Option<String> {
    nearest_word(&fold(written), columns.iter().map(|c| c.name)).map(str::to_owned)
}

/// The meaning of each header cell.
fn headings(header: &[String], lines: &[TableLine], columns: &'static [Column]) -> Vec<Heading> {
    let mut all: Vec<Heading> = header
        .iter()
        .enumerate()
        .map(|(at, written)| {
            let exact = (!written.is_empty() && !is_price_by_volume(written))
                .then(|| exactly(written, columns))
                .flatten();
            // Cells below no heading are somebody's too.
            let nameless = written.is_empty() && below(lines, at).next().is_some();
            Heading {
                written: if nameless {
                    format!("column {}", at + 1)
                } else {
                    written.clone()
                },
                taken: exact.map(|(column, _)| column),
                unit: exact.and_then(|(_, unit)| unit),
                flag: None,
                doubted: None,
            }
        })
        .collect();
    plainer_wins(&mut all, lines, columns);
    guess_the_rest(&mut all, lines, columns);
    no_words_in_numbers(&mut all, lines);
    ticked(&mut all, lines, columns);
    one_of_three(&mut all, ["red", "green", "blue"], columns);
    no_lone_lab(&mut all);
    by_cells(&mut all, lines, columns);
    all
}

/// Of two headers for one column the plainer wins: our own word, then the first.
fn plainer_wins(all: &mut [Heading], lines: &[TableLine], columns: &'static [Column]) {
    for column in columns {
        let mut same: Vec<usize> = (0..all.len())
            .filter(|at| all[*at].taken.is_some_and(|c| std::ptr::eq(c, column)))
            .collect();
        same.sort_by_key(|at| {
            let empty = below(lines, *at).next().is_none();
            (empty, fold(&all[*at].written) != fold(column.name), *at)
        });
        for other in same.iter().skip(1) {
            if fold(&all[*other].written) != fold(&all[same[0]].written) {
                all[*other].taken = None;
            }
        }
    }
}

/// A column called "name" that holds colours, and the like, is left; guesses fill what is not taken yet.
fn guess_the_rest(all: &mut [Heading], lines: &[TableLine], columns: &'static [Column]) {
    for at in 0..all.len() {
        if all[at].taken.is_some() || all[at].written.is_empty() {
            continue;
        }
        // A column of colours beyond doubt, farther on, goes before codes that may be colours.
        let clearer = |c: &Column| {
            matches!(c.holds, Holds::Colour)
                && !clearly_colours(lines, at)
                && (at + 1..all.len()).any(|other| {
                    all[other].taken.is_none()
                        && clearly_colours(lines, other)
                        && guesses(&all[other].written, columns)
                            .iter()
                            .any(|g| g.name == c.name)
                })
        };
        let guess = guesses(&all[at].written, columns)
            .into_iter()
            .find(|c| !has_filled(all, lines, c.name) && borne_out(c, lines, at) && !clearer(c));
        all[at].taken = guess;
        if guess.is_none() {
            all[at].doubted = guesses(&all[at].written, columns)
                .into_iter()
                .filter(|c| !matches!(c.holds, Holds::Name | Holds::Text | Holds::File))
                .find(|c| !has(all, c.name))
                .and_then(|c| {
                    let cell = below(lines, at).find(|cell| !fits(c, cell))?;
                    Some((c.name, cell.to_owned()))
                });
        }
        if let Some(Holds::Number(measure)) = guess.map(|c| c.holds) {
            all[at].unit = unit_in(&all[at].written, measure).map(|(factor, _)| factor);
        }
    }
}

/// True if the reader took a column that holds anything for this one of ours.
fn has_filled(all: &[Heading], lines: &[TableLine], name: &str) -> bool {
    (0..)
        .zip(all)
        .any(|(at, h)| h.taken.is_some_and(|c| c.name == name) && below(lines, at).next().is_some())
}

/// True if the reader took a column for this one of ours.
fn has(all: &[Heading], name: &str) -> bool {
    all.iter().any(|h| h.taken.is_some_and(|c| c.name == name))
}

/// Without a column of colours or of names, the reader goes by the cells.
fn by_cells(all: &mut [Heading], lines: &[TableLine], columns: &'static [Column]) {
    by_colours(all, lines, columns);
    let column = |name: &str| columns.iter().find(|c| c.name == name);
    // A word for colours above cells that are none: their faults are told.
    if !is_coloured(all)
        && let Some(doubted) = all
            .iter_mut()
            .find(|h| h.doubted.as_ref().is_some_and(|(own, _)| *own == "hex"))
    {
        doubted.taken = column("hex");
    }
    if !has(all, "name") {
        let found = (0..all.len()).find(|at| {
            let mut seen = std::collections::BTreeSet::new();
            all[*at].taken.is_none()
                && below(lines, *at).next().is_some()
                && below(lines, *at).all(|cell| is_a_name(cell) && seen.insert(fold(cell)))
        });
        if let Some(at) = found {
            all[at].taken = column("name");
        }
    }
}

/// True when colours are known from some column.
fn is_coloured(all: &[Heading]) -> bool {
    ["hex", "lab_l", "spectrum", "red"]
        .iter()
        .any(|name| has(all, name))
}

/// Without a column of colours the reader goes by the cells.
fn by_colours(all: &mut [Heading], lines: &[TableLine], columns: &'static [Column]) {
    let column = |name: &str| columns.iter().find(|c| c.name == name);
    if !is_coloured(all) {
        let named = has(all, "name");
        let found = (0..all.len()).find(|at| {
            // Beside names, below a word for colours, words such as "sienna" are colours.
            let headed = || {
                guesses(&all[*at].written, columns)
                    .iter()
                    .any(|c| c.name == "hex")
            };
            let is_a_word = |cell: &str| cell.chars().all(|c| c.is_alphabetic() || c == ' ');
            let of_three = forms(&all[*at].written)
                .iter()
                .any(|form| form.split(' ').any(|w| matches!(w, "rgb" | "rvb" | "srgb")));
            let word = |cell: &str| {
                named
                    && all[*at].taken.is_none()
                    && (of_three || is_a_word(cell) && headed())
                    && parse_colour(cell).is_ok()
            };
            all[*at].taken.is_none_or(|c| c.name == "name")
                && most(lines, *at, &|cell| looks_like_a_colour(cell) || word(cell))
        });
        if let Some(at) = found {
            all[at].taken = column("hex");
        }
    }
}

/// Columns of words whose cells are all numbers: what scale they are on is not known.
fn no_words_in_numbers(all: &mut [Heading], lines: &[TableLine]) {
    for (at, heading) in all.iter_mut().enumerate() {
        let Some(column) = heading.taken.filter(|c| matches!(c.holds, Holds::Word(_))) else {
            continue;
        };
        let is_a_number = |cell: &str| {
            cell.starts_with(|c: char| c.is_ascii_digit() || "*★●○".contains(c))
                && !cell.chars().any(char::is_alphabetic)
                && !fits(column, cell)
        };
        // 0 and 1 are yes and no beside a 5.
        if most(lines, at, &is_a_number)
            && !below(lines, at).any(|c| c.chars().any(char::is_alphabetic))
        {
            heading.doubted = below(lines, at)
                .find(|cell| is_a_number(cell))
                .map(|cell| (column.name, cell.to_owned()));
            heading.taken = None;
        }
    }
}

/// Columns headed by one of our words, with yes and no below: "metallic", "opaque".
fn ticked(all: &mut [Heading], lines: &[TableLine], columns: &'static [Column]) {
    for at in 0..all.len() {
        if all[at].taken.is_some() {
            continue;
        }
        let yes_or_no = below(lines, at).next().is_some()
            && below(lines, at).all(|cell| meaning(cell, YES_NO).word().is_some());
        let flagged = columns.iter().find_map(|column| match column.holds {
            Holds::Word(words) if ["effect", "opacity", "finish"].contains(&column.name) => {
                // "Low", "Good", "Full" and the like head many things.
                let written = fold(&all[at].written);
                let is_own = |word: &str| fold(word) == written;
                let telling = |word: &&str| is_own(word) || written.chars().count() > 5;
                let known = |word: &&str| {
                    let others = words.iter().find(|(own, _)| own == word);
                    is_own(word)
                        || others.is_some_and(|(_, all)| words_of(all).any(|w| w == written))
                };
                meaning(&all[at].written, words)
                    .word()
                    .filter(|word| telling(word) && known(word))
                    .map(|word| (column, word))
            }
            _ => None,
        });
        // "not mixable": yes is no.
        let flagged = flagged
            .filter(|(_, word)| *word != "none")
            .or_else(|| not_mixable(&all[at].written, columns));
        if let (true, Some((column, word))) = (yes_or_no, flagged)
            && !(0..).zip(&*all).any(|(at, h)| {
                h.flag.is_none()
                    && h.taken.is_some_and(|c| c.name == column.name)
                    && below(lines, at).next().is_some()
            })
        {
            all[at].taken = Some(column);
            all[at].flag = Some(word);
        }
    }
}

/// The column of what mixes, headed by its opposite.
fn not_mixable(
    written: &str,
    columns: &'static [Column],
) -> Option<(&'static Column, &'static str)> {
    let column = columns.iter().find(|c| c.name == "mixable")?;
    let folded = fold(written);
    let bare = folded.strip_prefix("un").map(str::to_owned);
    let rest = bare.or_else(|| without_negation(&folded))?;
    let named = rest == "mixable" || words_of(column.words).any(|w| w == rest);
    named.then_some((column, "no"))
}

/// Red, green and blue count only together; a lone "b" beside L* and a* is b*.
fn one_of_three(all: &mut [Heading], names: [&str; 3], columns: &'static [Column]) {
    let at = |all: &[Heading], name: &str| {
        all.iter()
            .position(|h| h.taken.is_some_and(|c| c.name == name))
    };
    let found = names.map(|name| at(all, name));
    let lab = at(all, "lab_l").is_some() && at(all, "lab_a").is_some();
    if let (Some(blue), true, None) = (found[2], lab, at(all, "lab_b")) {
        all[blue].taken = columns.iter().find(|c| c.name == "lab_b");
    } else if found[0].is_some() && found[1].is_some() && found[2].is_none() && !lab {
        // "r, g, b": the b was taken for b*.
        if let Some(b) = at(all, "lab_b") {
            all[b].taken = columns.iter().find(|c| c.name == "blue");
            return;
        }
    }
    if let (Some(b), None, None) = (at(all, "lab_b"), at(all, "lab_l"), at(all, "lab_a"))
        && fold(&all[b].written) == "b"
    {
        all[b].taken = None;
    }
    let found = names.map(|name| at(all, name));
    if found.contains(&None) {
        for at in found.into_iter().flatten() {
            all[at].taken = None;
        }
    }
}

/// L*, a* and b* count together. Where a colour stands beside them, a part of them is something else: a shelf "A", hue,
/// saturation and lightness, or the chroma and hue of the same colour.
fn no_lone_lab(all: &mut [Heading]) {
    let at = |name: &str| {
        all.iter()
            .position(|h| h.taken.is_some_and(|c| c.name == name))
    };
    let found = ["lab_l", "lab_a", "lab_b"].map(at);
    let other = ["hex", "spectrum", "red"]
        .iter()
        .any(|name| at(name).is_some());
    if other && found.contains(&None) {
        for lone in found.into_iter().flatten() {
            all[lone].taken = None;
        }
    }
}

/// The headings of a table without a header: the column that is colours, the first of words, and those whose cells all
/// are words of ours or sums of money.
fn without_header(lines: &[TableLine], columns: &'static [Column]) -> Option<Vec<Heading>> {
    let width = lines.iter().map(|line| line.cells.len()).max()?;
    let all = |at: usize, fits: &dyn Fn(&str) -> bool| {
        below(lines, at).next().is_some() && below(lines, at).all(fits)
    };
    let colour = (0..width).find(|at| most(lines, *at, &looks_like_a_colour))?;
    // A name stands once; a range stands before many.
    let each_once = |at: usize| {
        let mut seen = std::collections::BTreeSet::new();
        below(lines, at).all(|cell| seen.insert(fold(cell)))
    };
    let worded: Vec<usize> = (0..width)
        .filter(|at| *at != colour && all(*at, &|cell| cell.chars().any(char::is_alphabetic)))
        .collect();
    let name = *worded
        .iter()
        .find(|at| each_once(**at))
        .or(worded.first())?;
    let of_cells = |at: usize| {
        columns.iter().find(|column| {
            let telling = |cell: &str| match column.holds {
                // "half" and "good" may say how much is left of it.
                Holds::Word(words) => {
                    let own = words.iter().any(|(own, _)| fold(own) == fold(cell));
                    column.name != "mixable"
                        && fits(column, cell)
                        && (own || fold(cell).chars().count() > 4)
                        && values::value(cell, Measure::Stock, None, Decimals::Unknown).is_err()
                }
                Holds::Number(Measure::Price) => {
                    fits(column, cell) && cell.contains(|c| "€£$".contains(c))
                }
                _ => false,
            };
            all(at, &telling)
        })
    };
    let mut headings: Vec<Heading> = Vec::new();
    for at in 0..width {
        let taken = match at {
            _ if at == colour => columns.iter().find(|c| c.name == "hex"),
            _ if at == name => columns.iter().find(|c| c.name == "name"),
            _ => of_cells(at).filter(|column| {
                let again = |h: &Heading| h.taken.is_some_and(|c| std::ptr::eq(c, *column));
                !headings.iter().any(again)
            }),
        };
        headings.push(Heading {
            written: format!("column {}", at + 1),
            taken,
            unit: None,
            flag: None,
            doubted: None,
        });
    }
    Some(headings)
}
