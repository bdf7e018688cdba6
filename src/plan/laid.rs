//! The fourth stage: scatter, washes, rock and dirt over what is mixed, and one order of work for all of it.

use super::DirtNote;
use super::cautions::{self, Caution};
use super::dirt::{self, PlacePlan, RockPlan, WashPlan};
use super::ids::{PotId, ToneId};
use super::mixed::{Kit, Mixed, MixedSurface, TonePlan};
use super::pots::{FewerPots, Pots};
use super::sighted::PhotoSeen;
use super::steps::{self, Step};
use super::strewing::{self, Strewn};
use super::toned::{Layout, SurfaceWanted};
use super::work::{self, Sitting};
use super::zones::TonedZone;
use crate::colour::LabD65;
use crate::mix::{Recipe, Search, Shelf};
use crate::scatter::{Blend, Kind};

/// A layout whose work is known from the first step to the last.
#[derive(Debug)]
pub struct Laid {
    /// What holds for the whole layout.
    pub layout: Layout,
    /// Photos as read.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfacePlan>,
    /// What to mix, in the order in which work needs it; bottles used as they are last.
    pub pots: Pots,
    /// One order of work across all surfaces.
    pub work: Vec<Sitting>,
    /// The kinds of the scatter list, made ready.
    pub kinds: Vec<Kind>,
    /// What having fewer pots costs, where that was wanted.
    pub fewer: Option<FewerPots>,
}

/// What is planned for one surface.
#[derive(Debug)]
pub struct SurfacePlan {
    /// What is wanted of it as a whole.
    pub wanted: SurfaceWanted,
    /// Its tones, largest share first.
    pub tones: Vec<TonePlan>,
    /// Its bands, or itself as one zone; at least one.
    pub zones: Vec<ZonePlan>,
    /// Tones that no pot is mixed for: the wash stands for them, or the rock scheme does without.
    pub unpainted: Vec<ToneId>,
    /// The pot of a body that is painted clean, in the base of its wash: the wash brings it to the photographed tones.
    pub clean_pot: Option<PotId>,
    /// Where its farthest band meets a painted backscene.
    pub backscene: Option<Backscene>,
    /// Its washes, rock scheme and places.
    pub dirt: Dirt,
    /// Order of work.
    pub steps: Vec<Step>,
    /// Cautions for this surface.
    pub cautions: Vec<Caution>,
}

/// Washes, rock and places of a surface.
#[derive(Debug)]
pub struct Dirt {
    /// The wash over it.
    pub wash: Option<WashPlan>,
    /// Its rock scheme.
    pub rock: Option<RockPlan>,
    /// Where dirt gathers on it.
    pub places: Vec<PlacePlan>,
    /// What is doubtful about all that.
    pub notes: Vec<DirtNote>,
}

impl Dirt {
    /// The wash over the surface, and the dark wash of its rock.
    pub fn washes(&self) -> impl Iterator<Item = &WashPlan> {
        let of_rock = self.rock.iter().filter_map(|rock| rock.wash.as_ref());
        self.wash.iter().chain(of_rock)
    }
}

/// One zone and what is strewn there.
#[derive(Debug)]
pub struct ZonePlan {
    /// What is wanted of it.
    pub wanted: TonedZone,
    /// What is strewn there; `None` on a painted surface.
    pub strewn: Option<Strewn>,
}

impl ZonePlan {
    /// What is strewn there and its blend, where one was found.
    #[must_use]
    pub fn blended(&self) -> Option<(&Strewn, &Blend)> {
        let strewn = self.strewn.as_ref()?;
        Some((strewn, strewn.blend.as_ref()?))
    }
}

/// Where the farthest band meets a painted backscene.
#[derive(Debug)]
pub struct Backscene {
    /// The colour to bring up to the join: the farthest band's own planned mean.
    pub join: LabD65,
    /// Mixes for it.
    pub join_recipes: Vec<Recipe>,
    /// The colour of the sky-line, into which everything far fades: that of the air.
    pub sky_line: LabD65,
    /// Mixes for it.
    pub sky_line_recipes: Vec<Recipe>,
}

impl Mixed {
    /// Everything that goes on besides the pots, and the order in which all of it is done.
    #[must_use]
    pub fn laid(self, kit: &Kit<'_>, search: &Search) -> Laid {
        let kinds = strewing::kinds(kit.scatter);
        let zones: Vec<Vec<ZonePlan>> = self
            .surfaces
            .iter()
            .map(|surface| strewing::strewn(surface, &kinds, &self.pots, self.layout.scale))
            .collect();
        let dirt = dirt::lay(&self, kit, search);
        let air = self.layout.scale_colour.air;
        let of_steps: Vec<Vec<Step>> = self
            .surfaces
            .iter()
            .zip(zones.iter().zip(&dirt))
            .map(|(surface, (zones, dirt))| {
                let with = steps::With {
                    pots: &self.pots,
                    paints: kit.paints,
                    kinds: &kinds,
                };
                steps::of_surface(surface, zones, dirt, &with)
            })
            .collect();
        let of_cautions: Vec<Vec<Caution>> = self
            .surfaces
            .iter()
            .zip(zones.iter().zip(&dirt))
            .map(|(surface, (zones, dirt))| cautions::of_surface(surface, zones, dirt, kit.paints))
            .collect();
        let work = work::order(&of_steps, &of_cautions);
        let pots = Pots::numbered(self.pots, &work::first_used(&work));
        let surfaces = self.surfaces.into_iter().zip(zones.into_iter().zip(dirt));
        let surfaces = surfaces.zip(of_steps.into_iter().zip(of_cautions));
        Laid {
            layout: self.layout,
            photos: self.photos,
            surfaces: surfaces
                .map(|((surface, (zones, dirt)), (steps, cautions))| {
                    let backscene = backscene(&surface, air, kit.shelf, search);
                    SurfacePlan {
                        wanted: surface.wanted,
                        tones: surface.tones,
                        zones,
                        unpainted: surface.unpainted,
                        clean_pot: surface.clean_pot,
                        backscene,
                        dirt,
                        steps,
                        cautions,
                    }
                })
                .collect(),
            pots,
            work,
            kinds,
            fewer: self.fewer,
        }
    }
}

/// Where the farthest of several bands meets a painted backscene.
fn backscene(
    surface: &MixedSurface,
    air: LabD65,
    shelf: &Shelf,
    search: &Search,
) -> Option<Backscene> {
    let farthest = surface.zones.last()?.band.as_ref()?;
    Some(Backscene {
        join: farthest.planned,
        join_recipes: shelf.recipes_near(farthest.planned, search),
        sky_line: air,
        sky_line_recipes: shelf.recipes_near(air, search),
    })
}
