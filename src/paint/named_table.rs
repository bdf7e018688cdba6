//! Tables as comma-separated text. A row is put down by the names of its columns, so that no cell can stand in another's
//! place.

use super::formula::without_formula;

/// A table with named columns.
#[derive(Debug, Clone)]
pub struct NamedTable {
    columns: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

/// Why a table could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct TableNotWritten(String);

impl NamedTable {
    /// An empty table of such columns, in this order.
    #[must_use]
    pub fn with_columns(columns: impl IntoIterator<Item = &'static str>) -> Self {
        Self {
            columns: columns.into_iter().collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row, its cells in any order. A column without a cell stays empty; a cell without a column is left out.
    pub fn add(&mut self, row: impl IntoIterator<Item = (&'static str, String)>) {
        let mut cells = vec![String::new(); self.columns.len()];
        for (name, text) in row {
            if let Some(at) = self.columns.iter().position(|column| *column == name) {
                cells[at] = text;
            }
        }
        self.rows.push(cells);
    }

    /// As text: UTF-8, commas, a header; no cell that a spreadsheet would take for a formula.
    ///
    /// # Errors
    /// [`TableNotWritten`] when it cannot be written to memory.
    pub fn csv(&self) -> Result<Vec<u8>, TableNotWritten> {
        csv_of_rows(std::iter::once(&self.header()).chain(&self.rows))
    }

    /// Its cells as they were put down, the header first.
    #[must_use]
    pub fn cells(mut self) -> Vec<Vec<String>> {
        self.rows.insert(0, self.header());
        self.rows
    }

    fn header(&self) -> Vec<String> {
        self.columns.iter().map(|name| (*name).to_owned()).collect()
    }
}

/// Rows of cells as text, the header first.
pub(super) fn csv_of_rows<'r>(
    rows: impl IntoIterator<Item = &'r Vec<String>>,
) -> Result<Vec<u8>, TableNotWritten> {
    let failed = |error: csv::Error| TableNotWritten(error.to_string());
    let mut table = csv::Writer::from_writer(Vec::new());
    for row in rows {
        let cells = row.iter().map(|cell| without_formula(cell).into_owned());
        table.write_record(cells).map_err(failed)?;
    }
    let written = table.into_inner();
    written.map_err(|error| TableNotWritten(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_of(table: &NamedTable) -> String {
        String::from_utf8(table.csv().unwrap()).unwrap()
    }

    #[test]
    fn cells_stand_under_the_names_they_were_put_down_by() {
        let mut table = NamedTable::with_columns(["name", "hex", "note"]);
        table.add([
            ("note", "dry".to_owned()),
            ("name", "ochre, pale".to_owned()),
        ]);
        table.add([("price", "2.40".to_owned()), ("hex", "#101010".to_owned())]);
        assert_eq!(
            text_of(&table),
            "name,hex,note\n\"ochre, pale\",,dry\n,#101010,\n"
        );
    }

    #[test]
    fn no_cell_begins_as_a_formula() {
        let mut table = NamedTable::with_columns(["name", "lab_a"]);
        table.add([
            ("name", "=1+1|cmd".to_owned()),
            ("lab_a", "-12.50".to_owned()),
        ]);
        assert_eq!(text_of(&table), "name,lab_a\n'=1+1|cmd,-12.50\n");
    }
}
