//! Lines of a list, cell by cell.

/// One line of a table that holds anything: its line (or row of the sheet), and its cells, trimmed.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) number: usize,
    pub(super) cells: Vec<String>,
}

/// Most rows of a list.
pub(super) const MOST_ROWS: usize = 10_000;

/// A cell without the blanks that do not break, without quotes of another kind round it, and without the apostrophe by
/// which spreadsheets mark text.
pub(super) fn tidied(cell: &str) -> String {
    let cell = cell.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    let quoted = [('\'', '\''), ('“', '”'), ('„', '“'), ('«', '»'), ('`', '`')]
        .iter()
        .find_map(|(open, close)| cell.strip_prefix(*open)?.strip_suffix(*close));
    quoted
        .or_else(|| cell.strip_prefix('\''))
        .unwrap_or(cell)
        .trim()
        .to_owned()
}
