//! A published table: rows by column name, lines that begin with # left out.
#![expect(
    clippy::panic,
    reason = "a table that cannot be read must stop the test and say where"
)]

/// One row of a table.
#[derive(Debug)]
pub(crate) struct Row {
    cells: Vec<(String, String)>,
}

/// Reads a table whose first line without # names the columns.
pub(crate) fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let header = match reader.headers() {
        Ok(header) => header.clone(),
        Err(error) => panic!("no header: {error}"),
    };
    reader
        .records()
        .map(|record| match record {
            Ok(record) => Row {
                cells: header
                    .iter()
                    .zip(record.iter())
                    .map(|(column, cell)| (column.to_owned(), cell.to_owned()))
                    .collect(),
            },
            Err(error) => panic!("{error}"),
        })
        .collect()
}

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        match self.cells.iter().find(|(name, _)| name == column) {
            Some((_, cell)) => cell,
            None => panic!("no column {column}"),
        }
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        match self.text(column).parse() {
            Ok(number) => number,
            Err(error) => panic!("{column}: {:?}: {error}", self.text(column)),
        }
    }

    pub(crate) fn numbers<const N: usize>(&self, columns: [&str; N]) -> [f64; N] {
        columns.map(|column| self.number(column))
    }

    /// An 8-bit code.
    pub(crate) fn code(&self, column: &str) -> u8 {
        match self.text(column).parse() {
            Ok(code) => code,
            Err(error) => panic!("{column}: {:?}: {error}", self.text(column)),
        }
    }
}
