//! Scatter, washes, rock and dirt over the painted bodies, and one order of work for everything.

use super::cautions::{self, Caution};
use super::mixed::{Kit, Mixed, MixedSurface};
use super::pots::Pots;
use super::steps::{self, Step};
use super::strewing::StrewnFrom;
use super::{Backscene, Laid, SurfacePlan, ZonePlan, advice, dirt, strewing, work};
use crate::colour::LabD65;
use crate::mix::Search;
use crate::scatter::ScatterKind;
use rayon::prelude::*;

impl Mixed {
    /// Everything that goes on besides the pots, and the order in which all of it is done.
    #[must_use]
    pub fn laid(self, kit: &Kit<'_>, search: &Search) -> Laid {
        let kinds = strewing::kinds(kit.scatter);
        search.begin("scatter, washes, rocks, places", 2 * self.surfaces.len());
        // None of these looks at another: side by side no core waits for the last of any.
        let ((zones, dirt), (backscenes, helpful)) = rayon::join(
            || {
                rayon::join(
                    || self.strewn(&kinds, kit, search),
                    || dirt::lay(&self, kit, search),
                )
            },
            || {
                rayon::join(
                    || self.backscenes(kit, search),
                    || advice::helpful_colour(&self.surfaces, kit, search),
                )
            },
        );
        let with = steps::With {
            pots: &self.pots,
            paints: kit.paints,
            kinds: &kinds,
        };
        let (of_steps, of_cautions) = self.work_on_surfaces(&zones, &dirt, &with);
        let work = work::order(&of_steps, &of_cautions);
        let pots = Pots::numbered(self.pots, &work::first_used(&work));
        let surfaces = self.surfaces.into_iter().zip(zones.into_iter().zip(dirt));
        let surfaces = surfaces.zip(of_steps.into_iter().zip(of_cautions));
        let surfaces = surfaces.zip(backscenes);
        Laid {
            layout: self.layout,
            photos: self.photos,
            surfaces: surfaces
                .map(
                    |(((surface, (zones, dirt)), (steps, cautions)), backscene)| SurfacePlan {
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
                    },
                )
                .collect(),
            pots,
            work,
            kinds,
            fewer: self.fewer,
            helpful,
        }
    }

    /// Steps and cautions of every surface.
    fn work_on_surfaces(
        &self,
        zones: &[Vec<ZonePlan>],
        dirt: &[dirt::Dirt],
        with: &steps::With<'_>,
    ) -> (Vec<Vec<Step>>, Vec<Vec<Caution>>) {
        let surfaces = self.surfaces.iter().zip(zones.iter().zip(dirt));
        let each = surfaces.map(|(surface, (zones, dirt))| {
            let steps = steps::of_surface(surface, zones, dirt, with);
            let cautions = cautions::of_surface(surface, zones, dirt, with.paints);
            (steps, cautions)
        });
        each.unzip()
    }

    /// The zones of every surface, with their scatter.
    fn strewn(&self, kinds: &[ScatterKind], kit: &Kit<'_>, search: &Search) -> Vec<Vec<ZonePlan>> {
        let scale = self.layout.scale;
        let surfaces = self.surfaces.par_iter();
        surfaces
            .map(|surface| {
                // Over its time: nobody will see what is laid.
                let kinds = if search.is_over() { &[] } else { kinds };
                let from = StrewnFrom {
                    kinds,
                    pots: &self.pots,
                    scale,
                    kit,
                    search,
                };
                let strewn = strewing::strewn(surface, from);
                search.did_one();
                strewn
            })
            .collect()
    }

    /// Where each surface meets a painted backscene.
    fn backscenes(&self, kit: &Kit<'_>, search: &Search) -> Vec<Option<Backscene>> {
        let air = self.layout.scale_colour.air;
        let surfaces = self.surfaces.par_iter();
        surfaces
            .map(|surface| backscene(surface, air, kit, search))
            .collect()
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
    let (join_recipes, sky_line_recipes) = rayon::join(
        || kit.recipes_near(farthest.planned, search),
        || kit.recipes_near(air, search),
    );
    Some(Backscene {
        join: farthest.planned,
        join_recipes,
        sky_line: air,
        sky_line_recipes,
    })
}
