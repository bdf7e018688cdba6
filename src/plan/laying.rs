//! Scatter, washes, rock and dirt over what is mixed, and one order of work for all of it.

use super::cautions::{self, Caution};
use super::mixed::{Kit, Mixed, MixedSurface};
use super::pots::Pots;
use super::steps::{self, Step};
use super::{Backscene, Laid, SurfacePlan, ZonePlan, dirt, strewing, work};
use crate::colour::LabD65;
use crate::mix::Search;

impl Mixed {
    /// Everything that goes on besides the pots, and the order in which all of it is done.
    #[must_use]
    pub fn laid(self, kit: &Kit<'_>, search: &Search) -> Laid {
        let kinds = strewing::kinds(kit.scatter);
        search.begin("scatter", self.surfaces.len());
        let zones: Vec<Vec<ZonePlan>> = self
            .surfaces
            .iter()
            .map(|surface| {
                // Over its time: nobody will see what is laid.
                let kinds = if search.is_over() { &[] } else { &kinds[..] };
                let scale = self.layout.scale;
                let strewn = strewing::strewn(surface, kinds, &self.pots, scale, (kit, search));
                search.did_one();
                strewn
            })
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
                    let backscene = backscene(&surface, air, kit, search);
                    SurfacePlan {
                        wanted: surface.wanted,
                        tones: surface.tones,
                        zones,
                        unpainted: surface.unpainted,
                        clean_pot: surface.clean_pot,
                        picked: surface.picked,
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
    kit: &Kit<'_>,
    search: &Search,
) -> Option<Backscene> {
    let farthest = surface.zones.last()?.band.as_ref()?;
    Some(Backscene {
        join: farthest.planned,
        join_recipes: kit.recipes_near(farthest.planned, search),
        sky_line: air,
        sky_line_recipes: kit.recipes_near(air, search),
    })
}
