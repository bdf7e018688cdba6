//! Bytes to a grid of cells: text as spreadsheets and web pages export it, whatever its encoding and divider.

use super::line::{MOST_ROWS, TableLine, tidied};
use super::list_error::ListError;
use super::list_note::ListNote;
use super::sheet::{is_workbook, lines_of_workbook};
use super::words::Column;
use crate::problem::{Place, turning_sign};
use std::borrow::Cow;

/// Most columns, and most faults that are gathered of one table. Our choice.
const MOST_COLUMNS: usize = 200;
pub(super) const MOST_FAULTS: usize = 200;

/// Stands for a stroke within a cell while a table divided by strokes is read; a sign that nobody has.
const STROKE: &str = "\u{f8ff0}";

/// Characters of Windows-1252 from 0x80 to 0x9f; a blank where none is defined.
///
/// # Source
/// WHATWG *Encoding* standard, index windows-1252.
const WINDOWS_1252: [char; 32] = [
    '€', ' ', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', ' ', 'Ž', ' ', ' ', '‘', '’',
    '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', ' ', 'ž', 'Ÿ',
];

/// The text of a list: UTF-8; UTF-16 where it begins with its mark; else what spreadsheets on Windows write.
///
/// # Errors
/// [`ListError::NotText`] for bytes that no text holds.
pub(super) fn text_of(
    file: &str,
    bytes: &[u8],
    notes: &mut Vec<ListNote>,
) -> Result<String, Box<ListError>> {
    let here = Place::file(file);
    let wide = |bytes: &[u8], join: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|c| join([c[0], c[1]])).collect();
        String::from_utf16(&units).map_err(|_| {
            Box::new(ListError::NotText {
                place: here.clone(),
                found: "broken UTF-16 text".to_owned(),
            })
        })
    };
    if let Some(rest) = bytes.strip_prefix(b"\xff\xfe") {
        return wide(rest, u16::from_le_bytes);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xfe\xff") {
        return wide(rest, u16::from_be_bytes);
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if let Some(found) = other_kind(bytes) {
        return Err(Box::new(ListError::NotText {
            place: here,
            found: found.to_owned(),
        }));
    }
    let error = match std::str::from_utf8(bytes) {
        Ok(text) if !text.contains('\0') => return Ok(text.to_owned()),
        Ok(text) => text.find('\0').unwrap_or(0),
        Err(error) => error.valid_up_to(),
    };
    let line = |at: usize| memchr::memchr_iter(b'\n', &bytes[..at]).count() + 1;
    // A byte that no text in a one-byte code holds.
    let odd = |b: &u8| (*b < 32 && !matches!(b, b'\t' | b'\n' | b'\r')) || *b == 0x7f;
    if let Some(at) = bytes.iter().position(odd) {
        return Err(Box::new(ListError::NotText {
            place: here.at_line(line(at)),
            found: "bytes that are not text".to_owned(),
        }));
    }
    notes.push(ListNote::Encoding { line: line(error) });
    Ok(bytes
        .iter()
        .map(|b| match b {
            0x80..=0x9f => WINDOWS_1252[usize::from(*b - 0x80)],
            other => char::from(*other),
        })
        .collect())
}

/// What a file is that is no table, by how it begins.
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    let start = bytes.trim_ascii_start();
    let lower = start[..start.len().min(60)].to_ascii_lowercase();
    let begins = |with: &[&str]| with.iter().any(|w| lower.starts_with(w.as_bytes()));
    if begins(&["%pdf"]) {
        Some("a PDF")
    } else if begins(&["{\\rtf"]) {
        Some("a word processor's text (RTF)")
    } else if begins(&["<!doctype", "<html", "<table", "<?xml"]) {
        Some("a web page or XML")
    } else if begins(&["{\n", "{\r", "{ ", "{\"", "[{", "[\n", "[\r", "[\""]) {
        Some("JSON")
    } else {
        None
    }
}

/// What is found while a list is read: how it was understood, and what is wrong with it.
#[derive(Debug, Default)]
pub(super) struct ListFindings {
    pub(super) notes: Vec<ListNote>,
    pub(super) faults: Vec<ListError>,
}

/// The lines of a list, be it text or a workbook.
pub(super) fn lines_of_list(
    file: &str,
    bytes: &[u8],
    columns: &'static [Column],
    found: &mut ListFindings,
) -> Vec<TableLine> {
    let ListFindings { notes, faults } = found;
    let lines = if is_workbook(bytes) {
        lines_of_workbook(file, bytes, columns, notes)
    } else {
        text_of(file, bytes, notes).map(|text| lines_of(file, &text, faults))
    };
    lines.unwrap_or_else(|fault| {
        faults.push(*fault);
        Vec::new()
    })
}

fn reader_of(text: &str, divided_by: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .delimiter(divided_by)
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
}

/// What keeps a text from being divided into rows; `rest` is the text after `skipped` lines.
fn undividable(
    here: &Place,
    text: &str,
    (rest, skipped, divided_by): (&str, usize, u8),
) -> Option<ListError> {
    if let Some((line, found)) = turning_sign(text) {
        return Some(ListError::OutOfRange {
            place: here.clone().at_line(line),
            found,
            expected: "text without it: write the row again by hand",
        });
    }
    let line = unclosed_quote(rest, divided_by)?;
    Some(ListError::Unreadable {
        place: here.clone().at_line(line + skipped),
        detail: "a quote is opened here and not closed in this row".to_owned(),
    })
}

/// The lines of a text that hold anything, divided into cells.
pub(super) fn lines_of(file: &str, text: &str, faults: &mut Vec<ListError>) -> Vec<TableLine> {
    let here = Place::file(file);
    let (rest, skipped, divided_by) = match stated_divider(text) {
        Some((rest, divider)) => (rest, 1, divider),
        None => (text, 0, divider(text)),
    };
    if let Some(fault) = undividable(&here, text, (rest, skipped, divided_by)) {
        faults.push(fault);
        return Vec::new();
    }
    let text = rest;
    // A stroke with a backslash before it is part of a cell, as Markdown writes it.
    let own_stroke = divided_by == b'|' && text.contains("\\|");
    let without = own_stroke.then(|| text.replace("\\|", STROKE));
    let text = without.as_deref().unwrap_or(text);
    let closed_up = quotes_closed_up(text, divided_by);
    let text = closed_up.as_ref();
    let mut lines = Vec::new();
    for record in reader_of(text, divided_by).records() {
        let at = |position| line_of_record(text, position).saturating_add(skipped);
        if faults.len() >= MOST_FAULTS {
            break;
        }
        match record {
            Ok(record) => {
                let number = at(record.position());
                if record.len() > MOST_COLUMNS {
                    faults.push(ListError::TooManyColumns {
                        place: here.clone().at_line(number),
                        found: record.len(),
                        limit: MOST_COLUMNS,
                    });
                    break;
                }
                let mut cells: Vec<String> = record.iter().map(tidied).collect();
                if own_stroke {
                    for cell in &mut cells {
                        *cell = cell.replace(STROKE, "|");
                    }
                }
                if is_a_rule(&cells) {
                    continue;
                }
                if lines.len() > MOST_ROWS {
                    faults.push(ListError::TooManyRows {
                        place: here.at_line(number),
                        limit: MOST_ROWS,
                    });
                    break;
                }
                lines.push(TableLine { number, cells });
            }
            Err(error) => faults.push(ListError::Unreadable {
                place: here.clone().at_line(at(error.position())),
                detail: error.to_string(),
            }),
        }
    }
    prose(&lines).unwrap_or(lines)
}

/// The line a record stands in. A record is placed where the one before it ended: empty lines between the two are not yet
/// counted.
fn line_of_record(text: &str, position: Option<&csv::Position>) -> usize {
    let whole = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
    let line = position.map_or(1, |p| whole(p.line()));
    let rest = position.and_then(|p| text.as_bytes().get(whole(p.byte())..));
    let empty = rest
        .unwrap_or_default()
        .iter()
        .take_while(|b| matches!(b, b'\n' | b'\r'))
        .filter(|b| **b == b'\n')
        .count();
    line.saturating_add(empty)
}

/// Whether a row is but a line drawn under the header, as Markdown has it.
fn is_a_rule(cells: &[String]) -> bool {
    let mut cells = cells.iter();
    cells.all(|cell| cell.chars().all(|c| matches!(c, '-' | ':' | '=' | ' ')))
}

/// A text without the blanks between a divider and the quote that opens the next cell: `"Loam", "#8a6b4a"`.
fn quotes_closed_up(text: &str, divider: u8) -> Cow<'_, str> {
    let divider = char::from(divider);
    if !text.contains(&format!("{divider} \"")) {
        return Cow::Borrowed(text);
    }
    let (mut kept, mut quoted) = (String::with_capacity(text.len()), false);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        kept.push(c);
        quoted ^= c == '"';
        if c == divider && !quoted {
            let blanks = chars.clone().take_while(|c| *c == ' ').count();
            if chars.clone().nth(blanks) == Some('"') {
                for _ in 0..blanks {
                    chars.next();
                }
            }
        }
    }
    Cow::Owned(kept)
}

/// The line of a quoted cell that never ends, or that swallows a row: it goes on over a line that holds a divider and then a
/// colour with its sign.
fn unclosed_quote(text: &str, divider: u8) -> Option<usize> {
    let (mut line, mut at_start, mut opened) = (1, true, None);
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let byte = bytes[at];
        match (opened, byte) {
            (Some(_), b'"') if bytes.get(at + 1) == Some(&b'"') => at += 1,
            (Some(_), b'"') => opened = None,
            (Some(from), _) if byte == divider && line > from => {
                let rest = bytes[at + 1..].trim_ascii_start();
                if rest.first() == Some(&b'#')
                    && rest
                        .iter()
                        .skip(1)
                        .take(6)
                        .filter(|b| b.is_ascii_hexdigit())
                        .count()
                        == 6
                {
                    return Some(from);
                }
            }
            (None, b'"') if at_start => opened = Some(line),
            _ => {}
        }
        line += usize::from(byte == b'\n');
        at_start = opened.is_none() && (byte == divider || byte == b'\n');
        at += 1;
    }
    opened
}

/// Notes such as "Loam: #8a6b4a": lines without a divider that hold a name and a colour, as two cells each; what
/// stands on both sides of the colour makes three.
fn prose(lines: &[TableLine]) -> Option<Vec<TableLine>> {
    let divided = |text: &str| -> Option<Vec<String>> {
        let word = text.split_whitespace().find_map(|word| {
            let bare = word.trim_matches(|c: char| !c.is_ascii_hexdigit());
            let sign = word.contains('#') || bare.bytes().any(|b| b.is_ascii_digit());
            (sign && bare.len() == 6 && bare.bytes().all(|b| b.is_ascii_hexdigit())).then_some(bare)
        })?;
        let (before, after) = text.split_once(word)?;
        let marks = |c: char| c.is_whitespace() || "#:=–—-^~*•(),;".contains(c);
        let [before, after] = [before, after].map(|part| part.trim_matches(marks).to_owned());
        let colour = format!("#{word}");
        match (before.is_empty(), after.is_empty()) {
            (true, true) => None,
            (true, false) => Some(vec![after, colour]),
            (false, true) => Some(vec![before, colour]),
            (false, false) => Some(vec![before, colour, after]),
        }
    };
    let alone = lines.iter().all(|line| line.cells.len() == 1);
    let found: Vec<TableLine> = lines
        .iter()
        .filter_map(|line| {
            Some(TableLine {
                number: line.number,
                cells: divided(&line.cells[0])?,
            })
        })
        .collect();
    (alone && !found.is_empty() && found.len() + 1 >= lines.len()).then_some(found)
}

/// A first line `sep=;`, by which some spreadsheets state the divider.
fn stated_divider(text: &str) -> Option<(&str, u8)> {
    let (first, rest) = text.split_once('\n')?;
    let divider = first.trim_end_matches('\r').trim_matches('"');
    let divider = divider.strip_prefix("sep=")?;
    match divider.as_bytes() {
        [one] if one.is_ascii_punctuation() || *one == b'\t' => Some((rest, *one)),
        _ => None,
    }
}

/// The divider: `;`, tab, `,` or `|`, whichever stands equally often in most of the first lines, outside quotes: what
/// divides a table does so in its header and in each row. Of two the one that is hardly ever a decimal mark.
pub(super) fn divider(text: &str) -> u8 {
    const DIVIDERS: [u8; 4] = *b";\t,|";
    const LINES: usize = 30;
    let mut counts: Vec<[usize; 4]> = Vec::new();
    let mut line = [0_usize; 4];
    let (mut quoted, mut filled) = (false, false);
    for byte in text.bytes().chain([b'\n']) {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' if !quoted => {
                if filled {
                    counts.push(line);
                }
                (line, filled) = ([0; 4], false);
                if counts.len() >= LINES {
                    break;
                }
            }
            _ if quoted => {}
            _ => {
                filled |= !byte.is_ascii_whitespace();
                if let Some(at) = DIVIDERS.iter().position(|d| *d == byte) {
                    line[at] += 1;
                }
            }
        }
    }
    let lines_with = |at: usize| counts.iter().filter(|line| line[at] > 0).count();
    // How many lines have the number that most of them have, and that number.
    let usual = |at: usize| {
        let mut all: Vec<usize> = counts.iter().map(|line| line[at]).collect();
        all.retain(|count| *count > 0);
        all.sort_unstable();
        let runs = all.chunk_by(|a, b| a == b);
        runs.map(|run| (run.len(), run[0])).max().unwrap_or((0, 0))
    };
    let most = (0..4)
        .filter(|at| lines_with(*at) > 0)
        .max_by_key(|at| {
            let steady = 2 * lines_with(*at) > counts.len();
            let (alike, count) = usual(*at);
            (
                steady,
                alike,
                DIVIDERS[*at] != b',',
                count,
                std::cmp::Reverse(*at),
            )
        })
        .unwrap_or(2);
    DIVIDERS[most]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_divider_is_the_one_that_most_lines_have() {
        assert_eq!(divider("name;price\nbrick;2,40\nochre;2,40\n"), b';');
        assert_eq!(
            divider("Farben, Stand März\n\nname;hex\na;#111\nb;#222\n"),
            b';'
        );
        assert_eq!(divider("name\thex\nbrick, red\t#93503d\n"), b'\t');
        assert_eq!(divider("name,hex,note\na,#111,\"one; two; three\"\n"), b',');
        assert_eq!(divider("| name | hex |\n|---|---|\n| a | #111 |\n"), b'|');
        assert_eq!(divider("name\n"), b',');
        assert_eq!(
            divider("name,hex,note\na,#111,good; thick\nb,#222,old; dry\n"),
            b','
        );
        assert_eq!(divider("name;price\na;2,40\nb;3,10\nc;4,00\n"), b';');
    }

    #[test]
    fn blanks_before_a_quote_are_closed_up() {
        let text = "\"Loam\",  \"#8a6b4a\", \"a, \"\"b\"\", c\",x, y\n";
        assert_eq!(
            quotes_closed_up(text, b','),
            "\"Loam\",\"#8a6b4a\",\"a, \"\"b\"\", c\",x, y\n"
        );
    }

    #[test]
    fn text_is_read_in_the_codes_that_spreadsheets_write() {
        let mut notes = Vec::new();
        let read =
            |bytes: &[u8], notes: &mut Vec<ListNote>| text_of("p.csv", bytes, notes).unwrap();
        assert_eq!(
            read(b"\xff\xfen\0a\0m\0e\0\xe9\0", &mut notes),
            "name\u{e9}"
        );
        assert!(notes.is_empty());
        assert_eq!(read(b"Gr\xfcn;\x80\n", &mut notes), "Grün;€\n");
        assert!(matches!(notes[..], [ListNote::Encoding { line: 1 }]));
        assert!(text_of("p.csv", b"na\0me", &mut notes).is_err());
    }
}
