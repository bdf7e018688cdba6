//! What a plan must get right for whoever paints by it. Each test is named after what they would see go wrong; each was
//! seen to fail when the line of code it is for was spoilt by hand.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod bands;
mod bench;
mod cautions;
mod doubts;
mod light;
mod order;
mod pots;
mod quantities;
mod received;
mod schema;
mod variety;
