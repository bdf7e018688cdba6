//! A list written again: our own columns, plain numbers and words, the user's other columns after them.

use super::formula::without_formula;
use super::list::PaintList;
use super::table::{ListWriteError, failed};
use super::words::PAINT_COLUMNS;

impl PaintList {
    /// The list as clean CSV (UTF-8, commas, decimal points) of the same meaning. Columns that no paint fills are left
    /// out; columns that are not ours stand at the end as they were.
    ///
    /// # Errors
    /// [`ListWriteError`] when the table cannot be written to memory.
    pub fn tidied(&self) -> Result<Vec<u8>, ListWriteError> {
        let filled = |name: &str| {
            self.clean
                .iter()
                .any(|(row, _)| row.iter().any(|(column, _)| *column == name))
        };
        let columns: Vec<&'static str> = PAINT_COLUMNS
            .iter()
            .map(|c| c.name)
            .filter(|name| filled(name))
            .collect();
        let others: Vec<usize> = (0..self.unused.len())
            .filter(|at| {
                let any =
                    |(_, cells): &(_, Vec<String>)| cells.get(*at).is_some_and(|c| !c.is_empty());
                !self.unused[*at].is_empty() && self.clean.iter().any(any)
            })
            .collect();
        let mut table = csv::Writer::from_writer(Vec::new());
        let header = columns
            .iter()
            .copied()
            .chain(others.iter().map(|at| self.unused[*at].as_str()));
        let header = header.map(without_formula);
        table
            .write_record(header.map(std::borrow::Cow::into_owned))
            .map_err(failed)?;
        for (row, cells) in &self.clean {
            let own = columns.iter().map(|name| {
                row.iter()
                    .find(|(column, _)| column == name)
                    .map_or("", |(_, text)| text.as_str())
            });
            let rest = others
                .iter()
                .map(|at| cells.get(*at).map_or("", String::as_str));
            let cells = own.chain(rest).map(without_formula);
            table
                .write_record(cells.map(std::borrow::Cow::into_owned))
                .map_err(failed)?;
        }
        table.into_inner().map_err(failed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_written_again_with_the_same_meaning() {
        let text = "Meine Farben\r\n\r\nFarbe;Farbwert;Typ;Inhalt (ml);Vorrat;Preis;Regal\r\nZiegel;93503d;Acrylfarbe;20;½;2,40 €;B3\r\nWeiß;rgb(242 241 236);Wasserbasis;0,02 l;voll;2,40 €;\r\n";
        let read = |bytes: &[u8]| PaintList::parse("p.csv", bytes, &|_| Err(String::new()));
        let list = read(text.as_bytes()).unwrap();
        let clean = list.tidied().unwrap();
        assert_eq!(
            String::from_utf8(clean.clone()).unwrap(),
            "name,hex,medium,on_hand_ml,pot_ml,price,Regal\nZiegel,#93503d,acrylic,10,20,2.4,B3\nWeiß,#f2f1ec,acrylic,20,20,2.4,\n"
        );
        assert_eq!(read(&clean).unwrap().paints(), list.paints());
    }

    #[test]
    fn no_cell_begins_as_a_formula_and_none_changes_its_meaning() {
        let text =
            "name,lab_l,lab_a,lab_b,note,shelf\n=1+1|cmd,40,-12,+5,@home,=A1\n'quoted,50,0,-3,-,\n";
        let read = |bytes: &[u8]| PaintList::parse("p.csv", bytes, &|_| Err(String::new()));
        let list = read(text.as_bytes()).unwrap();
        let clean = list.tidied().unwrap();
        let written = String::from_utf8(clean.clone()).unwrap();
        for line in written.lines() {
            for cell in line.split(',') {
                let is_number = cell.parse::<f64>().is_ok();
                assert!(
                    is_number || !cell.starts_with(['=', '+', '-', '@']),
                    "{cell}"
                );
            }
        }
        assert_eq!(list.paints()[0].name, "=1+1|cmd");
        assert_eq!(read(&clean).unwrap().paints(), list.paints());
    }
}
