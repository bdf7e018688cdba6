//! Pots: planned tones that lie close to each other, across surfaces, are mixed once.

use super::SurfacePlan;
use crate::colour::{LabD65, delta_e00, plain_name};
use crate::mix::Recipe;
use crate::scene::Treatment;
use crate::tones::Role;
use crate::units::{Millilitres, SquareCentimetres};

/// Tones within so much (CIEDE2000) of a pot's colour share it. Our choice: below what a mix can hold.
pub const POT_WITHIN: f64 = 2.0;

/// One mix to make.
#[derive(Debug, Clone)]
pub struct Pot {
    /// Number on the jar, from 1.
    pub number: usize,
    /// ISCC–NBS name of its colour.
    pub name: &'static str,
    /// The colour asked.
    pub colour: LabD65,
    /// Tones that share it, as places of surface and tone; the first gave it its colour.
    pub members: Vec<(usize, usize)>,
    /// What to mix; `None` when nothing on the list mixes.
    pub recipe: Option<Recipe>,
    /// How much; `None` when an area is unknown.
    pub volume: Option<Millilitres>,
}

/// True when a tone is brushed on. Of a strewn surface only the ground below is; what a wash stands for is not, nor a
/// shadow that the lamps will cast.
fn is_painted(surface: &SurfacePlan, tone: usize) -> bool {
    !surface.unpainted.contains(&tone)
        && !surface.tones[tone].left_to_lamps
        && match surface.treatment {
            Treatment::Coat | Treatment::Rock | Treatment::Wash => true,
            Treatment::Scatter => surface.tones[tone].tone.role == Role::Body,
        }
}

/// Sorts tones into pots, the largest area first, and tells each tone its pot. `bases` holds the colour of each body that
/// is painted clean.
pub(super) fn gather(surfaces: &mut [SurfacePlan], bases: &[Option<LabD65>]) -> Vec<Pot> {
    let mut wanted: Vec<(f64, usize, usize, LabD65, bool)> = Vec::new();
    for (s, surface) in surfaces.iter().enumerate() {
        let area = surface.area.map_or(1.0, SquareCentimetres::value);
        for (t, tone) in surface
            .tones
            .iter()
            .enumerate()
            .filter(|(t, _)| is_painted(surface, *t))
        {
            let weight = area * tone.tone.share.value();
            wanted.push((weight, s, t, tone.moved.colour, false));
        }
        if let Some(base) = bases.get(s).copied().flatten() {
            wanted.push((area, s, 0, base, true));
        }
    }
    wanted.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut pots: Vec<Pot> = Vec::new();
    for (_, s, t, colour, clean) in wanted {
        let nearest = pots
            .iter_mut()
            .map(|pot| (delta_e00(pot.colour, colour).0, pot))
            .filter(|(distance, _)| *distance <= POT_WITHIN)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let number = if let Some((_, pot)) = nearest {
            pot.members.push((s, t));
            pot.number
        } else {
            let number = pots.len() + 1;
            pots.push(Pot {
                number,
                name: plain_name(colour),
                colour,
                members: vec![(s, t)],
                recipe: None,
                volume: None,
            });
            number
        };
        if clean {
            surfaces[s].clean_pot = Some(number - 1);
        } else {
            surfaces[s].tones[t].pot = Some(number - 1);
        }
    }
    pots
}

/// Joins pots that came out as the same mix, and numbers them anew: the list cannot tell their colours apart.
pub(super) fn join_alike(pots: &mut Vec<Pot>, surfaces: &mut [SurfacePlan]) {
    let mut kept: Vec<Pot> = Vec::new();
    let mut now: Vec<usize> = Vec::with_capacity(pots.len());
    for pot in pots.drain(..) {
        let same = |other: &Pot| match (&other.recipe, &pot.recipe) {
            (Some(one), Some(two)) => one.parts == two.parts,
            _ => false,
        };
        if let Some(at) = kept.iter().position(same) {
            kept[at].members.extend(pot.members);
            now.push(at);
        } else {
            now.push(kept.len());
            kept.push(Pot {
                number: kept.len() + 1,
                ..pot
            });
        }
    }
    *pots = kept;
    for surface in surfaces {
        surface.clean_pot = surface.clean_pot.map(|pot| now[pot]);
        for tone in &mut surface.tones {
            tone.pot = tone.pot.map(|pot| now[pot]);
        }
    }
}
