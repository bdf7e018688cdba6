//! How the tones of a surface are chosen, if nobody says how many; and which tones its builder joins.

pub(super) mod accents;
pub(super) mod joined;
pub(super) mod loose;
pub(super) mod making;
pub(super) mod sorting;
pub(super) mod unasked;
pub(super) mod uncovered;
