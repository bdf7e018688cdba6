//! Amounts too small for a pot of their own: mixed on the palette from two pots or bottles that are open anyway.

use super::pots::{POT_WITHIN, Pot};
use super::{Member, Plan, PotId};
use crate::colour::{LabD65, delta_e00};
use crate::mix::{PaintId, Recipe};
use crate::units::{DROP, Millilitres};

/// A pot of no more drops than this is a smear on the palette. Our choice.
const FEW_DROPS: f64 = 12.0;
/// Parts of the one to parts of the other: what an eye can divide on a palette. Our choice.
const RATIOS: [[u32; 2]; 7] = [[1, 1], [2, 1], [1, 2], [3, 1], [1, 3], [4, 1], [1, 4]];
/// It may miss by this much more than a pot of its own would (CIEDE2000). Our choice: hardly seen side by side.
const HARDLY_WORSE: f64 = 1.0;

/// Two pots or bottles touched together on the palette.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnPalette {
    /// Which, each with its parts.
    pub of: [(PotId, u32); 2],
    /// The colour they give.
    pub colour: LabD65,
}

impl Plan<'_> {
    /// How a mix of a few drops comes about without a pot of its own; `None` where it needs one.
    #[must_use]
    pub fn on_palette(&self, pot: &Pot) -> Option<OnPalette> {
        let own = pot.recipe.as_ref().filter(|_| is_smear(pot))?;
        let open: Vec<(PotId, &Recipe)> = self
            .pots
            .iter()
            .filter(|other| other.is_straight() || !is_smear(other))
            .filter_map(|other| Some((other.id, other.recipe.as_ref()?)))
            .filter(|(_, recipe)| recipe.family == own.family)
            .collect();
        let worst = |colour: LabD65| {
            let off = |member: &Member| delta_e00(member.planned, colour).0;
            pot.members.iter().map(off).fold(0.0, f64::max)
        };
        let may_miss = POT_WITHIN.max(worst(own.colour) + HARDLY_WORSE);
        let mut best: Option<(f64, OnPalette)> = None;
        for (i, (one, first)) in open.iter().enumerate() {
            for (other, second) in &open[i + 1..] {
                for [a, b] in RATIOS {
                    let Some(colour) = self.together(&[(first, a), (second, b)]) else {
                        continue;
                    };
                    let off = worst(colour);
                    if off <= may_miss && best.as_ref().is_none_or(|(least, _)| off < *least) {
                        let of = [(*one, a), (*other, b)];
                        best = Some((off, OnPalette { of, colour }));
                    }
                }
            }
        }
        best.map(|(_, found)| found)
    }

    /// The colour of parts of recipes stirred together.
    fn together(&self, recipes: &[(&Recipe, u32)]) -> Option<LabD65> {
        let parts: Vec<(PaintId, f64)> = recipes
            .iter()
            .flat_map(|(recipe, share)| {
                let whole = f64::from(recipe.total_parts());
                let share = f64::from(*share);
                let parts = recipe.parts.iter();
                parts.map(move |(at, parts)| (*at, share * f64::from(*parts) / whole))
            })
            .collect();
        self.shelf.tried(&parts).ok().map(|tried| tried.colour)
    }
}

/// A mix of a few drops.
fn is_smear(pot: &Pot) -> bool {
    let volume = pot.volume.map(Millilitres::value);
    !pot.is_straight()
        && pot.recipe.is_some()
        && volume.is_some_and(|ml| ml <= FEW_DROPS * DROP + 1e-9)
}
