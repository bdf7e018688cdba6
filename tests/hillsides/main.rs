//! Hillsides: blends of scatter against an oracle and against drawn hillsides, haze of real photos, facts of the trade.
#![expect(
    clippy::unwrap_used,
    reason = "a drawn hillside or an invented list that cannot be made is a fault of the test"
)]

#[path = "../bench/blends.rs"]
mod blends;
mod depth;
mod drawn;
mod oracle;
mod plans;
