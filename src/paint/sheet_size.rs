//! The memory that an .ods sheet will take, from its own counts of repeated cells, before it is unpacked.

use quick_xml::events::{BytesStart, Event};
use quick_xml::name::QName;
use std::io::{BufRead, BufReader, Cursor, Read};

/// Bytes that its reader keeps of a cell, besides its text: the value, its formula, and both again when rows are
/// unfolded.
const CELL: u64 = 112;

/// Sums up one sheet.
#[derive(Default)]
struct Extent {
    /// Bytes of the rows as they stand in the file, this many times the same within a row unfolded.
    held: u64,
    /// Rows unfolded, and those down to the last that holds something.
    rows: u64,
    filled_rows: u64,
    /// The place of the last filled cell of any row.
    widest: u64,
    /// Bytes of text in unfolded rows.
    text: u64,
    row: RowSize,
}

/// Sums up one row.
#[derive(Default)]
struct RowSize {
    times: u64,
    cells: u64,
    filled: u64,
    text: u64,
    /// How often the cell at hand stands there.
    cell_times: u64,
}

fn times(tag: &BytesStart<'_>, attribute: &str) -> u64 {
    tag.attributes()
        .filter_map(Result::ok)
        .find(|a| a.key == QName(attribute))
        .and_then(|a| a.value.trim().parse().ok())
        .unwrap_or(1)
}

impl Extent {
    fn begin_row(&mut self, tag: &BytesStart<'_>) {
        self.row = RowSize {
            times: times(tag, "table:number-rows-repeated"),
            ..RowSize::default()
        };
    }

    fn cell(&mut self, tag: &BytesStart<'_>) {
        let row = &mut self.row;
        row.cell_times = times(tag, "table:number-columns-repeated");
        row.cells = row.cells.saturating_add(row.cell_times);
        if tag
            .attributes()
            .filter_map(Result::ok)
            .any(|a| a.key.0.starts_with("office:"))
        {
            row.filled = row.cells;
        }
    }

    fn text(&mut self, bytes: usize) {
        let row = &mut self.row;
        row.text = row
            .text
            .saturating_add(row.cell_times.saturating_mul(bytes as u64));
        row.filled = row.cells;
    }

    fn end_row(&mut self) {
        let row = std::mem::take(&mut self.row);
        self.rows = self.rows.saturating_add(row.times);
        self.held = self.held.saturating_add(row.filled.saturating_mul(CELL));
        if row.filled > 0 {
            self.filled_rows = self.rows;
            self.widest = self.widest.max(row.filled);
            self.text = self
                .text
                .saturating_add(row.text.saturating_mul(row.times.max(1)));
        }
    }

    fn bytes(&self) -> u64 {
        let unfolded = self.filled_rows.saturating_mul(self.widest);
        self.held
            .saturating_add(unfolded.saturating_mul(CELL))
            .saturating_add(self.text)
    }
}

/// The bytes that the sheets of an .ods workbook will take, at least as many as its reader uses; stops at `most`,
/// which is also the most that is unpacked of it.
///
/// # Errors
/// What is wrong with the archive or its text.
///
/// # Source
/// OASIS Open Document 1.2, part 1, sections 9.1.3, 9.1.4, 19.675 and 19.679: rows and cells, and how often each stands.
pub(super) fn bytes_of_ods(bytes: &[u8], most: u64) -> Result<u64, String> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let content = archive.by_name("content.xml").map_err(|e| e.to_string())?;
    bytes_of_sheets(BufReader::new(content.take(most)), most)
}

fn bytes_of_sheets(content: impl BufRead, most: u64) -> Result<u64, String> {
    let mut reader = quick_xml::Reader::from_reader(content);
    let (mut all, mut extent, mut buffer) = (0_u64, Extent::default(), Vec::new());
    let is_cell =
        |name: QName<'_>| matches!(name.0, "table:table-cell" | "table:covered-table-cell");
    loop {
        buffer.clear();
        match reader
            .read_event_into(&mut buffer)
            .map_err(|e| e.to_string())?
        {
            Event::Start(tag) if tag.name().0 == "table:table-row" => extent.begin_row(&tag),
            Event::Start(tag) | Event::Empty(tag) if is_cell(tag.name()) => extent.cell(&tag),
            Event::Text(text) if extent.row.cell_times > 0 => extent.text(text.len()),
            Event::End(tag) if is_cell(tag.name()) => extent.row.cell_times = 0,
            Event::End(tag) if tag.name().0 == "table:table-row" => extent.end_row(),
            Event::End(tag) if tag.name().0 == "table:table" => {
                all = all.saturating_add(std::mem::take(&mut extent).bytes());
            }
            Event::Eof => return Ok(all.saturating_add(extent.bytes())),
            _ => {}
        }
        if all.saturating_add(extent.bytes()) > most {
            return Ok(most.saturating_add(1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOST: u64 = 256 << 20;

    fn sheet(rows: &str) -> u64 {
        let content = format!("<office:body><table:table>{rows}</table:table></office:body>");
        bytes_of_sheets(content.as_bytes(), MOST).unwrap()
    }

    #[test]
    fn what_is_empty_at_the_end_costs_nothing_and_what_stands_often_is_counted() {
        let filled = r#"<table:table-cell office:value-type="string"><text:p>red</text:p></table:table-cell>"#;
        let row = format!("<table:table-row>{filled}</table:table-row>");
        let rest = r#"<table:table-cell table:number-columns-repeated="16383"/></table:table-row><table:table-row table:number-rows-repeated="1048000"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>"#;
        let plain = sheet(&row);
        assert!(plain < 1000, "{plain}");
        let as_saved = format!("<table:table-row>{filled}{rest}");
        assert_eq!(sheet(&as_saved), plain);
        let wide = filled.replace(
            "<table:table-cell",
            r#"<table:table-cell table:number-columns-repeated="16384""#,
        );
        let many = r#"<table:table-row table:number-rows-repeated="1000">"#;
        assert!(sheet(&format!("{many}{wide}</table:table-row>")) > MOST);
        assert!(sheet(&format!("<table:table-row>{wide}</table:table-row>").repeat(300)) > MOST);
        let gap = r#"<table:table-row table:number-rows-repeated="1000000"><table:table-cell/></table:table-row>"#;
        assert!(
            sheet(&format!(
                "{row}{gap}<table:table-row>{filled}{filled}{filled}</table:table-row>"
            )) > MOST
        );
    }
}
