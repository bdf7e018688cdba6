//! Any text as a measured spectrum, as a lamp's, and as a log of patches: read or refused, with the line that is at fault.
#![no_main]

use hillwash::colour::spectrum_points;
use hillwash::lamps::Lamp;
use hillwash::paint::parse_spectrum;
use hillwash::plan::parse_patch_log;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let lines = text.lines().count();
    match spectrum_points(text) {
        Ok(points) => {
            assert!(
                points.windows(2).all(|pair| pair[0].0 < pair[1].0),
                "sorted, each once"
            );
            assert!(points.iter().all(|(nm, value)| *nm > 0.0 && *value >= 0.0));
        }
        Err(faults) => {
            assert!(!faults.is_empty(), "refused without a reason");
            assert!(
                faults
                    .iter()
                    .all(|fault| fault.line.is_none_or(|line| (1..=lines).contains(&line)))
            );
        }
    }
    if let Ok(spectrum) = parse_spectrum(text) {
        assert!(spectrum.values().iter().all(|r| (0.0..=1.0).contains(r)));
    }
    if let Ok(lamp) = Lamp::from_spectrum("lamp.csv", text) {
        assert!(lamp.weights().iter().flatten().all(|w| w.is_finite()));
    }
    match parse_patch_log("log", text) {
        Ok(log) => {
            // What was read is written and read again.
            let again: String = log
                .entries
                .iter()
                .filter_map(|entry| entry.line().ok())
                .collect();
            assert_eq!(
                parse_patch_log("log", &again)
                    .map(|log| log.entries.len())
                    .ok(),
                Some(log.entries.len())
            );
        }
        Err(faults) => assert!(!faults.is_empty(), "refused without a reason"),
    }
});
