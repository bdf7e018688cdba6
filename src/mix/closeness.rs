//! Closeness in words.

use super::{PaintId, Shelf};
use crate::colour::{DeltaE00, LabD65, delta_e00};

/// Closeness in words; figures come second. The limits are those the guide gives for differences: below 1 hardly seen side
/// by side, 2 to 3 seen when looked for, above 5 plain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Closeness {
    /// Below 1: hardly seen side by side.
    Alike,
    /// Below 3: seen when looked for.
    Close,
    /// Up to 5: seen.
    Near,
    /// Above 5: plain.
    Plain,
    /// From 10 on: another colour.
    Far,
}

impl Closeness {
    /// The word for a difference.
    #[must_use]
    pub fn of_difference(difference: DeltaE00) -> Self {
        match difference.0 {
            d if d < 1.0 => Self::Alike,
            d if d < 3.0 => Self::Close,
            d if d <= 5.0 => Self::Near,
            d if d < 10.0 => Self::Plain,
            _ => Self::Far,
        }
    }

    /// The words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Alike => "alike on paper",
            Self::Close => "close on paper",
            Self::Near => "seen side by side",
            Self::Plain => "plainly different",
            Self::Far => "far off",
        }
    }
}

/// m: the mean CIEDE2000 of the paints from their mix, weighted by their share. The further apart the paints, the less
/// the prediction is worth: in measured mixes the real error had its median at 0.35 m.
#[must_use]
pub fn distance_of_paints(shelf: &Shelf, parts: &[(PaintId, f64)], mix: LabD65) -> f64 {
    let total: f64 = parts.iter().map(|(_, p)| p).sum();
    if total <= 0.0 {
        return 0.0;
    }
    parts
        .iter()
        .filter(|(_, p)| *p > 0.0)
        .filter_map(|(at, p)| shelf.get(*at).map(|s| p * delta_e00(s.prepared.lab, mix).0))
        .sum::<f64>()
        / total
}
