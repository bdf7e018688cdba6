//! Any bytes as a schedule from elsewhere: read and solved again, or refused, and every fault can be told.
#![no_main]

use hillwash::mix::Shelf;
use hillwash::paint::PaintList;
use hillwash::plan::{Kit, Wishes};
use hillwash::problem::Explain;
use hillwash::share::{looks_received, read_plan, received};
use hillwash::work::Timings;
use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

const PAINTS: &[u8] =
    b"name,hex,opacity\nwhite,#f2f1ec,opaque\nblack,#262524,opaque\number,#6b5a41,\n";
static LIST: LazyLock<PaintList> = LazyLock::new(|| {
    PaintList::parse("paints.csv", PAINTS, &|_| Err(String::new())).expect("a list")
});
static SHELF: LazyLock<Shelf> = LazyLock::new(|| Shelf::new(&LIST));
/// More than these take long without reaching other code.
const MOST_SURFACES: usize = 4;

fuzz_target!(|bytes: &[u8]| {
    let _ = looks_received(bytes);
    match read_plan("schedule.html", bytes) {
        Ok(theirs) if theirs.surfaces.len() <= MOST_SURFACES => {
            if let Ok(rebuilt) = received(&theirs) {
                let kit = Kit::new(&LIST, &SHELF);
                let ours = rebuilt.planned(&kit, &Wishes::default(), &Timings::default());
                assert_eq!(ours.surfaces.len(), theirs.surfaces.len());
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
});
