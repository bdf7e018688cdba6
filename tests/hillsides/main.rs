//! Hillsides: blends of scatter against an oracle and against drawn hillsides, haze of real photos, facts of the trade.
#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "numbers drawn are small; a drawn hillside or an invented list that cannot be made is a fault of the test"
)]

#[path = "../bench/blends.rs"]
mod blends;
mod depth;
mod drawn;
mod haze;
mod lands;
mod oracle;
mod passes;
mod plans;
#[path = "../bench/drawn_rain.rs"]
#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the benchmark lays more kinds of grains"
)]
mod rain;
#[path = "../bench/shared.rs"]
#[expect(clippy::print_stdout, reason = "what is skipped is said")]
mod shared;
mod warrant;
