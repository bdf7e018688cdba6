//! Cautions, where they belong. They repeat what labels say; the label, the safety data sheet and local rules go first.

use super::SurfacePlan;
use crate::paint::{Grain, Medium, PaintList};
use crate::scene::Treatment;
use serde::Serialize;

/// Something that can hurt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Solvent-borne paint, thinner or varnish.
    Solvents,
    /// Solvent on foam or plastic.
    SolventOnFoam,
    /// Spraying.
    Spray,
    /// Dust of powders and scatter.
    Dust,
    /// An applicator for standing fibres.
    HighVoltage,
    /// Food, children, animals.
    KeepApart,
    /// What goes before all of this.
    LabelFirst,
}

impl Caution {
    /// The caution in plain words.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Solvents => {
                "Enamels, oils, lacquers and their thinners give off harmful, flammable vapour: open a window, keep flames and sparks away, wear the gloves and the vapour mask their label asks for, and let soaked rags dry flat outdoors."
            }
            Self::SolventOnFoam => {
                "No solvent on bare foam or on plastic you have not tested: it melts. Seal with water-borne paint first and try a hidden spot."
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

/// The cautions of one surface.
pub(super) fn of(surface: &SurfacePlan, paints: &PaintList) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let painted = surface.treatment != Treatment::Scatter;
    let solvent_mix = surface
        .tones
        .iter()
        .flat_map(|tone| &tone.recipes)
        .any(|recipe| recipe.family.is_solvent_borne());
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
    if painted {
        cautions.push(Caution::Spray);
    }
    if surface.treatment != Treatment::Coat {
        cautions.push(Caution::Dust);
    }
    let layers = || {
        surface
            .zones
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
