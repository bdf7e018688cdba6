//! How much of each pot.

use super::SurfacePlan;
use super::pots::Pot;
use crate::scene::Treatment;
use crate::units::{DROP, Millilitres};

/// Paint in one brushed coat: 100 ml a square metre. Common practice, no source.
pub const ML_PER_CM2_AND_COAT: f64 = 0.01;
/// What is mixed beyond need: brush, palette, second thoughts. Common practice, no source.
pub const RESERVE: f64 = 1.3;

/// What a pot must hold: never below one drop a part; `None` when an area is unknown.
pub(super) fn pot_volume(pot: &Pot, surfaces: &[SurfacePlan]) -> Option<Millilitres> {
    let mut needed = 0.0;
    for member in &pot.members {
        let surface = &surfaces[member.surface];
        // The ground below scatter is painted all over, once; a body lies under its own variations.
        let (zone, share, coats) = match member.tone {
            None => (&surface.zones[0], 1.0, f64::from(surface.coats)),
            Some(t) => {
                let tone = &surface.tones[t];
                let zone = &surface.zones[tone.zone];
                match surface.treatment {
                    Treatment::Scatter => (zone, 1.0, 1.0),
                    _ if t == zone.tones.start => (zone, 1.0, f64::from(surface.coats)),
                    _ => (zone, tone.tone.share.value() / zone.share, 1.0),
                }
            }
        };
        needed += zone.area?.value() * share * coats * ML_PER_CM2_AND_COAT * RESERVE;
    }
    let volume = Millilitres::new(needed.max(DROP)).ok()?;
    let recipe = pot.recipe.as_ref();
    let volume = recipe.map_or(volume, |recipe| recipe.at_least_a_drop(volume));
    Some(super::measurable(volume))
}
