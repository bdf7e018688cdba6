//! What to brush for a tone: its own pot, or that of the clean base under its wash.

use super::{Plan, Pot, SurfaceId, TonePlan};
use crate::colour::LabD65;

impl Plan<'_> {
    /// The pot that is brushed for a tone of a surface; `None` where it is not brushed.
    #[must_use]
    pub fn pot_brushed(&self, surface: SurfaceId, tone: &TonePlan) -> Option<&Pot> {
        let clean = self.surfaces[surface].clean_pot;
        tone.pot.or(clean).map(|pot| &self.pots[pot])
    }

    /// The colour wanted of a patch of it: the colour planned for this very surface, whatever else shares the pot.
    #[must_use]
    pub fn brushed_colour(&self, surface: SurfaceId, tone: &TonePlan) -> LabD65 {
        let base = || {
            let pot = self
                .pot_brushed(surface, tone)
                .filter(|_| tone.pot.is_none())?;
            let mut members = pot.members.iter();
            members
                .find(|m| m.surface == surface && m.tone.is_none())
                .map(|m| m.planned)
        };
        base().unwrap_or(tone.wanted.moved.colour)
    }

    /// The contents of that pot: places in the shelf's stocks, and parts; `None` if nothing on the list mixes.
    #[must_use]
    pub fn brushed_parts(
        &self,
        surface: SurfaceId,
        tone: &TonePlan,
    ) -> Option<Vec<(crate::mix::PaintId, f64)>> {
        let recipe = self
            .pot_brushed(surface, tone)
            .and_then(|pot| pot.recipe.as_ref())
            .or_else(|| tone.recipes.first())?;
        Some(
            recipe
                .parts
                .iter()
                .map(|(at, p)| (*at, f64::from(*p)))
                .collect(),
        )
    }
}
