//! Any bytes as a scene file: read or refused, and every fault can be told.
#![no_main]

use hillwash::problem::Explain;
use hillwash::scene::{MayName, parse_scene};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let may_name = match bytes.len() % 2 {
        0 => MayName::AnyFolder,
        _ => MayName::ItsFolder,
    };
    if let Err(faults) = parse_scene("scene.toml", bytes, may_name) {
        assert!(!faults.is_empty(), "refused without a reason");
        for fault in &faults {
            assert!(!fault.to_string().is_empty());
            let _ = (fault.place(), fault.hint());
        }
    }
});
