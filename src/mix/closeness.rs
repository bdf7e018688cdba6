//! How far a recipe is to be trusted.

use super::{Shelf, StrengthFrom};
use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::paint::{ColourSource, Opacity};

/// Closeness in words; figures come second.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Closeness {
    /// Below 1: the model is satisfied.
    OnPaperTheSame,
    /// Below 3.
    VeryClose,
    /// Below 6.
    Close,
    /// Below 10.
    Visible,
    /// Further.
    Far,
}

impl Closeness {
    /// The word for a difference. Limits are our choice: 1 is about the least difference seen side by side.
    #[must_use]
    pub fn of(difference: DeltaE00) -> Self {
        match difference.0 {
            d if d < 1.0 => Self::OnPaperTheSame,
            d if d < 3.0 => Self::VeryClose,
            d if d < 6.0 => Self::Close,
            d if d < 10.0 => Self::Visible,
            _ => Self::Far,
        }
    }

    /// The words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OnPaperTheSame => "alike on paper",
            Self::VeryClose => "very close on paper",
            Self::Close => "close",
            Self::Visible => "visibly different",
            Self::Far => "far off",
        }
    }
}

/// m: the mean CIEDE2000 of the paints from their mix, weighted by their share. The further apart the paints, the less
/// the prediction is worth: in measured mixes the real error had its median at 0.35 m.
#[must_use]
pub fn distance_of_paints(shelf: &Shelf, parts: &[(usize, f64)], mix: LabD65) -> f64 {
    let total: f64 = parts.iter().map(|(_, p)| p).sum();
    if total <= 0.0 {
        return 0.0;
    }
    parts
        .iter()
        .filter(|(_, p)| *p > 0.0)
        .filter_map(|(at, p)| {
            shelf
                .stocks
                .get(*at)
                .map(|s| p * delta_e00(s.prepared.lab, mix).0)
        })
        .sum::<f64>()
        / total
}

/// The figure to quote beside a mix: √(L² + (κ m)²), "two in three".
///
/// L is the list's own error (screen colour 4, measured Lab 1, measured spectrum 0.7: our choice). κ is 0.45; 0.30 when
/// every paint is opaque; 0.32 when every paint has a let-down (67th percentiles of error over m in measured
/// mixes). One paint alone has L only.
#[must_use]
pub fn uncertainty(shelf: &Shelf, parts: &[(usize, f64)], mix: LabD65) -> DeltaE00 {
    let used: Vec<_> = parts
        .iter()
        .filter(|(_, p)| *p > 0.0)
        .filter_map(|(at, _)| shelf.stocks.get(*at))
        .collect();
    let list_error = used
        .iter()
        .map(|stock| match stock.source {
            ColourSource::Hex => 4.0,
            ColourSource::Lab => 1.0,
            ColourSource::Spectrum => 0.7,
        })
        .fold(0.0, f64::max);
    if used.len() <= 1 {
        return DeltaE00(list_error);
    }
    let kappa = if used
        .iter()
        .all(|stock| stock.opacity == Some(Opacity::Opaque))
    {
        0.30
    } else if used
        .iter()
        .all(|stock| stock.strength == StrengthFrom::LetDown)
    {
        0.32
    } else {
        0.45
    };
    DeltaE00(f64::hypot(
        list_error,
        kappa * distance_of_paints(shelf, parts, mix),
    ))
}
