//! Cautions, where they belong. They repeat what labels say; the label, the safety data sheet and local rules come
//! first.

use super::ZonePlan;
use super::dirt::Dirt;
use super::dirt::PlacedBy;
use super::mixed::MixedSurface;
use crate::paint::{Grain, Medium, MixingFamily, PaintList};
use crate::scene::{Technique, Treatment};
use serde::Serialize;

/// Something that can hurt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Solvent-borne paint, thinner or varnish.
    Solvents,
    /// Solvent on foam or plastic.
    SolventOnFoam,
    /// A wash whose solvent can lift the coat beneath.
    SolventOverSame,
    /// A solvent wash over a water-borne coat that is not hard.
    SolventOverFresh,
    /// A solvent wash over a coat of unknown kind.
    SolventOverUnknown,
    /// Spraying.
    Spray,
    /// Dust of powders and scatter.
    Dust,
    /// An applicator for standing fibres.
    HighVoltage,
    /// Food, children, animals.
    KeepApart,
    /// What comes before all of this.
    LabelFirst,
}

impl Caution {
    /// The caution in plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Solvents => {
                "Enamels, oils, lacquers and their thinners give off harmful, flammable vapour: open a window, keep flames and sparks away, wear the gloves and the vapour mask their label asks for, and let soaked rags dry flat outdoors."
            }
            Self::SolventOnFoam => {
                "No solvent on bare foam or on plastic you have not tested: it melts. Seal with water-borne paint first and try a hidden spot."
            }
            Self::SolventOverSame => {
                "This wash is thinned with what also thins the coat beneath and can lift it: seal the coat with a water-borne varnish and let that dry overnight first, or let the coat harden for a week and try the wash on scrap."
            }
            Self::SolventOverFresh => {
                "A wash thinned with solvent goes only over a coat that is hard all through: give a water-borne coat a full day, better two."
            }
            Self::SolventOverUnknown => {
                "Nobody has said what lies beneath this wash, which is thinned with solvent: try it on a hidden spot, and seal with a water-borne varnish where the coat softens."
            }
            Self::Spray => {
                "Spray outdoors or in a booth that draws the mist away, and wear a mask made for paint mist; this holds for water-borne paint too."
            }
            Self::Dust => {
                "Dust of pigment powder, scatter, plaster and sanding: wear a dust mask, do not blow it about, wipe it up damp."
            }
            Self::HighVoltage => {
                "An applicator for static grass holds a high voltage: keep it away from water, wet glue on your hands, pacemakers and electronics, touch nothing with its grid while it is on, and let it discharge as its maker says."
            }
            Self::KeepApart => {
                "Keep food, drink, children and animals away from the bench; never use kitchen spoons or cups again once they held paint; wash your hands."
            }
            Self::LabelFirst => {
                "The label, the safety data sheet and local rules come before anything written here, for use and for throwing away."
            }
        }
    }
}

impl Caution {
    /// The gist of it, for where the work is done; the whole stands once.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::Solvents => {
                "Solvent vapour: open a window, no flames, gloves and mask; dry rags flat outdoors."
            }
            Self::SolventOnFoam => "No solvent on bare foam or untested plastic: it melts.",
            Self::SolventOverSame => {
                "This wash can lift the coat beneath: seal that with water-borne varnish first, or let it harden for a week."
            }
            Self::SolventOverFresh => {
                "Solvent washes go only over a coat that is hard all through."
            }
            Self::SolventOverUnknown => {
                "Nobody has said what lies beneath this solvent wash: try a hidden spot."
            }
            Self::Spray => "Spray outdoors or in a booth, masked against paint mist.",
            Self::Dust => "Dust: wear a mask, wipe it up damp, do not blow.",
            Self::HighVoltage => {
                "Static-grass applicator, high voltage: no water, wet hands, pacemakers or electronics near; let it discharge."
            }
            Self::KeepApart => "Keep food, drink, children and animals away.",
            Self::LabelFirst => "Label, safety data sheet and local rules come first.",
        }
    }
}

/// Each thinned film of a surface: its base, if known, and what it is mixed from.
fn washed_with(surface: &MixedSurface, dirt: &Dirt) -> Vec<(Option<MixingFamily>, MixingFamily)> {
    let body = surface
        .tones
        .first()
        .and_then(|tone| tone.recipes.first())
        .map(|recipe| recipe.family);
    let films = dirt.places.iter().filter_map(|place| match &place.by {
        PlacedBy::Film(wash) => Some((body, wash.recipe.family)),
        _ => None,
    });
    dirt.washes()
        .flat_map(|plan| {
            plan.washes
                .iter()
                .map(|wash| (plan.base_family, wash.recipe.family))
        })
        .chain(films)
        .collect()
}

/// The cautions of one surface.
pub(super) fn of_surface(
    surface: &MixedSurface,
    zones: &[ZonePlan],
    dirt: &Dirt,
    paints: &PaintList,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let painted = surface.wanted.treatment != Treatment::Scatter;
    let solvent_mix = surface
        .tones
        .iter()
        .flat_map(|tone| &tone.recipes)
        .map(|recipe| recipe.family)
        .chain(washed_with(surface, dirt).into_iter().map(|(_, wash)| wash))
        .any(MixingFamily::is_solvent_borne);
    // A primer, a varnish or a can whose thinner the list does not give may well be solvent-borne.
    let solvent_listed = |medium| {
        paints
            .paints()
            .iter()
            .any(|paint| paint.medium == Some(medium) && paint.thinner.as_deref() != Some("water"))
    };
    if solvent_mix
        || (painted && (solvent_listed(Medium::Varnish) || solvent_listed(Medium::Primer)))
    {
        cautions.extend([Caution::Solvents, Caution::SolventOnFoam]);
    }
    for (base, wash) in washed_with(surface, dirt) {
        if wash.is_solvent_borne() {
            cautions.push(match base {
                None | Some(MixingFamily::Unknown) => Caution::SolventOverUnknown,
                Some(base) if base.is_solvent_borne() => Caution::SolventOverSame,
                Some(_) => Caution::SolventOverFresh,
            });
        }
    }
    cautions.sort_unstable();
    cautions.dedup();
    if painted {
        cautions.push(Caution::Spray);
    }
    let powder = dirt
        .places
        .iter()
        .any(|place| place.technique == Technique::Powder);
    if surface.wanted.treatment != Treatment::Coat || powder {
        cautions.push(Caution::Dust);
    }
    let layers = || {
        zones
            .iter()
            .filter_map(|zone| zone.strewn.as_ref())
            .flat_map(|strewn| &strewn.layers)
    };
    if layers().any(|layer| layer.grain == Grain::Fibre) {
        cautions.push(Caution::HighVoltage);
    }
    cautions.extend([Caution::KeepApart, Caution::LabelFirst]);
    cautions
}
