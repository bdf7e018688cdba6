//! The units of a body that differ, and the mixes to pick some of them out.

use super::ids::PotId;
use crate::colour::{DeltaE00, LabD65};
use crate::mix::Addition;
use crate::units::{DROP, Millilitres};

/// How the units of a body differ.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitsWanted {
    /// Mean difference of its units from their mean.
    pub spread: DeltaE00,
    /// Outer tenths of them.
    pub tenths: Vec<TenthWanted>,
}

/// An outer tenth of the units of a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TenthWanted {
    /// As photographed.
    pub photographed: LabD65,
    /// Moved by the scene's rule, as the body is.
    pub planned: LabD65,
}

/// A mix from the body's pot with which some units are picked out.
#[derive(Debug, Clone, PartialEq)]
pub struct PickedOut {
    /// Which of the tenths.
    pub tenth: usize,
    /// What the units are called.
    pub units: &'static str,
    /// The pot of the body.
    pub pot: PotId,
    /// What it dries to.
    pub body: LabD65,
    /// The wanted colour of the picked units, before any wash.
    pub wanted: LabD65,
    /// What is stirred into some of the pot.
    pub addition: Addition,
    /// The names of these paints, in their order, with their parts.
    pub added: Vec<(String, u32)>,
    /// Drops that one part is; `None` where the area is unknown.
    pub drops_a_part: Option<u32>,
}

impl PickedOut {
    /// What is taken out of the pot; `None` where the area is unknown.
    #[must_use]
    pub fn aside(&self) -> Option<Millilitres> {
        Millilitres::new(self.ml_of(self.addition.per_parts)?).ok()
    }

    /// Millilitres of this many parts; `None` where the area is unknown.
    #[must_use]
    pub fn ml_of(&self, parts: u32) -> Option<f64> {
        let drops = f64::from(self.drops_a_part?);
        Some(drops * f64::from(parts) * DROP)
    }
}
