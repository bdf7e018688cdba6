//! Plain colour names.
//!
//! Kelly and Judd 1976, *Color: Universal Language and Dictionary of Names*, NBS SP 440.

use crate::misses::Misses;
use crate::table::rows;
use hillwash::colour::{LabD65, Srgb8, plain_name};

const DISPLAY_COLOURS: &str = include_str!("data/iscc_nbs_display_colours.csv");

#[test]
fn every_display_colour_gets_its_own_name_back() {
    let mut misses = Misses::of("ISCC–NBS names");
    for row in rows(DISPLAY_COLOURS) {
        let hex = Srgb8::try_from(row.text("hex").to_owned()).unwrap();
        misses.equal(
            &format!("{} {hex}", row.text("number")),
            "name",
            &plain_name(LabD65::from(hex)),
            &row.text("name").to_lowercase().as_str(),
        );
    }
    misses.none_among(267);
}
