//! A list written again: our own columns, plain numbers and words, the user's other columns after them.

use super::cells::Clean;
use super::list::PaintList;
use super::named_table::csv_of_rows;
use super::scatter_list::ScatterList;
use super::table::{ListWriteError, failed};
use super::words::{Column, PAINT_COLUMNS, SCATTER_COLUMNS};

impl PaintList {
    /// The list as clean CSV (UTF-8, commas, decimal points) of the same meaning. Columns that no paint fills are left
    /// out; columns that are not ours stand at the end as they were.
    ///
    /// # Errors
    /// [`ListWriteError`] when the table cannot be written to memory.
    pub fn tidied(&self) -> Result<Vec<u8>, ListWriteError> {
        csv_of_rows(&self.tidied_cells()).map_err(failed)
    }

    /// The same as cells, the header first; each row is as long as it.
    #[must_use]
    pub fn tidied_cells(&self) -> Vec<Vec<String>> {
        plainest(PAINT_COLUMNS, &self.clean, &self.unused)
    }
}

impl ScatterList {
    /// As [`PaintList::tidied`].
    ///
    /// # Errors
    /// [`ListWriteError`] when the table cannot be written to memory.
    pub fn tidied(&self) -> Result<Vec<u8>, ListWriteError> {
        csv_of_rows(&self.tidied_cells()).map_err(failed)
    }

    /// As [`PaintList::tidied_cells`].
    #[must_use]
    pub fn tidied_cells(&self) -> Vec<Vec<String>> {
        plainest(SCATTER_COLUMNS, &self.clean, &self.unused)
    }
}

fn plainest(columns: &[Column], clean: &Clean, unused: &[String]) -> Vec<Vec<String>> {
    let filled = |name: &str| {
        clean
            .iter()
            .any(|(row, _)| row.iter().any(|(column, _)| *column == name))
    };
    let columns: Vec<&'static str> = columns
        .iter()
        .map(|c| c.name)
        .filter(|name| filled(name))
        .collect();
    let others: Vec<usize> = (0..unused.len())
        .filter(|at| {
            let any = |(_, cells): &(_, Vec<String>)| cells.get(*at).is_some_and(|c| !c.is_empty());
            !unused[*at].is_empty() && clean.iter().any(any)
        })
        .collect();
    let own = columns.iter().map(|name| (*name).to_owned());
    let header = own.chain(others.iter().map(|at| unused[*at].clone()));
    let mut rows = vec![header.collect::<Vec<_>>()];
    for (row, cells) in clean {
        let own = columns.iter().map(|name| {
            row.iter()
                .find(|(column, _)| column == name)
                .map_or_else(String::new, |(_, text)| text.clone())
        });
        let rest = others
            .iter()
            .map(|at| cells.get(*at).cloned().unwrap_or_default());
        rows.push(own.chain(rest).collect());
    }
    rows
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
    fn a_list_of_scatter_is_written_again_too() {
        let text = "Streumaterial;Farbe;Körnung;Vorrat;Fach\nLaub, dunkel;#3c4a22;fein;40 g;2\nGras;rgb(120 130 70);Fasern;1 kg;\n";
        let list = ScatterList::parse("s.csv", text.as_bytes()).unwrap();
        let clean = list.tidied().unwrap();
        assert_eq!(
            String::from_utf8(clean.clone()).unwrap(),
            "name,hex,grain,on_hand_g,Fach\n\"Laub, dunkel\",#3c4a22,fine,40,2\nGras,#788246,fibre,1000,\n"
        );
        let again = ScatterList::parse("s.csv", &clean).unwrap();
        assert_eq!(again.items(), list.items());
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
