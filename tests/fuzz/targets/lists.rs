//! Any bytes as a paint list with its spectra, and as a scatter list; what is read also mixes.
#![no_main]

use hillwash::colour::parse_colour;
use hillwash::mix::{Search, Shelf};
use hillwash::paint::{PaintList, ScatterList};
use hillwash::problem::Explain;
use libfuzzer_sys::fuzz_target;

/// More paints than these take long without reaching other code.
const MOST_MIXED: usize = 8;

// A zero byte parts the list from the text of the spectrum file it may name.
fuzz_target!(|bytes: &[u8]| {
    let (list, named) = bytes
        .iter()
        .position(|byte| *byte == 0)
        .map_or((bytes, &[][..]), |at| (&bytes[..at], &bytes[at + 1..]));
    let spectrum = String::from_utf8_lossy(named);
    match PaintList::parse("paints.csv", list, &|_| Ok(spectrum.to_string())) {
        Ok(paints) if (1..=MOST_MIXED).contains(&paints.paints().len()) => {
            let target = parse_colour("#8a6a50").expect("a colour");
            for recipe in Shelf::new(&paints).recipes_near(target, &Search::default()) {
                assert!(recipe.difference.0.is_finite() && recipe.uncertainty.0.is_finite());
            }
        }
        Ok(_) => {}
        Err(faults) => {
            assert!(!faults.is_empty(), "refused without a reason");
            for fault in &faults {
                let _ = (fault.to_string(), fault.place(), fault.hint());
            }
        }
    }
    let _ = ScatterList::parse("scatter.csv", list);
});
