//! Lines of a list, cell by cell.

/// One line of a table that holds anything: its line (or row of the sheet), and its cells, trimmed.
#[derive(Debug, Clone)]
pub(super) struct TableLine {
    pub(super) number: usize,
    pub(super) cells: Vec<String>,
}

/// Most characters of a cell, and of a name. Our choice: a longer text is not a list.
pub(super) const LONGEST_CELL: usize = 4000;
pub(super) const LONGEST_NAME: usize = 1000;

/// Most rows of a list.
pub(super) const MOST_ROWS: usize = 10_000;

/// A cell without the blanks that do not break, without quotes of another kind round it, and without the apostrophe by
/// which spreadsheets mark text.
pub(super) fn tidied(cell: &str) -> String {
    // What cannot be seen, and what would move a terminal's cursor, is no part of a name; a line break is a blank.
    let unseen = |c: char| {
        let marks = ['\u{200b}', '\u{feff}', '\u{2060}', '\u{ad}'];
        let tags = '\u{e0000}'..='\u{e007f}';
        c.is_control() || marks.contains(&c) || tags.contains(&c)
    };
    let cell: String = cell
        .chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' | '\u{85}' | '\u{2028}' | '\u{2029}' => ' ',
            other => other,
        })
        .filter(|c| !unseen(*c))
        .collect();
    // The points of a copied list, and the arrow behind a link.
    let cell = cell.trim();
    let cell = cell
        .strip_prefix(['•', '◦', '▪', '‣', '▸', '►', '➤', '·'])
        .filter(|rest| rest.starts_with(' '))
        .unwrap_or(cell);
    let cell = [" ->", " →", " ›", " »"]
        .iter()
        .find_map(|arrow| cell.strip_suffix(arrow))
        .unwrap_or(cell)
        .trim();
    // ="0123" is how a spreadsheet is made to keep a text.
    let cell = cell
        .strip_prefix("=\"")
        .and_then(|rest| rest.strip_suffix('"'))
        .unwrap_or(cell);
    let quoted = [('\'', '\''), ('“', '”'), ('„', '“'), ('«', '»'), ('`', '`')]
        .iter()
        .find_map(|(open, close)| cell.strip_prefix(*open)?.strip_suffix(*close));
    quoted
        .or_else(|| {
            let marked = cell.strip_prefix('\'');
            marked.filter(|rest| {
                rest.starts_with(|c: char| c.is_ascii_digit() || "#=+-@".contains(c))
            })
        })
        .unwrap_or(cell)
        .trim()
        .to_owned()
}
