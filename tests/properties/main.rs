//! What must hold for any input: no panic on any text or bytes, and the laws that mixes, regions and tones obey.
//!
//! The number of cases is fixed, so that the whole takes seconds. A failing case is printed, shrunk; put it as a plain
//! test next to the code it is about.

mod mixing;
mod photos;
mod recipes;
mod regions;
mod texts;
mod tones;

use proptest::test_runner::Config;

/// So many cases; nothing is written to disk.
fn cases(count: u32) -> Config {
    Config {
        cases: count,
        failure_persistence: None,
        ..Config::default()
    }
}
