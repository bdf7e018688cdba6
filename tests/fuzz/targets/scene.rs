//! Any bytes as a scene file: read or refused, and every fault can be told.
#![no_main]

use hillwash::problem::Explain;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Err(faults) = hillwash::scene::parse_scene("scene.toml", bytes, bytes.len() % 2 == 0) {
        assert!(!faults.is_empty(), "refused without a reason");
        for fault in &faults {
            assert!(!fault.to_string().is_empty());
            let _ = (fault.place(), fault.hint());
        }
    }
});
