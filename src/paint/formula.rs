//! Cells that a spreadsheet must not take for formulas.

use std::borrow::Cow;

/// Signs that begin a formula; some spreadsheets take full-width or small ones for the usual.
const SIGNS: [char; 16] = [
    '=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '﹦', '﹢', '﹣', '﹫', '−',
];

/// A cell with a mark before it where it would begin a formula; a number is none.
#[must_use]
pub fn without_formula(cell: &str) -> Cow<'_, str> {
    if cell.starts_with(SIGNS) && cell.parse::<f64>().is_err() {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

/// The cell that such a mark was put before.
pub(super) fn as_meant(cell: &str) -> &str {
    let meant = cell.strip_prefix('\'');
    meant
        .filter(|meant| meant.starts_with(SIGNS))
        .unwrap_or(cell)
}
