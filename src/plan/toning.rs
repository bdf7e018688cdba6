//! From what photos show to the wanted colour of each tone.

use super::sighted::{PhotoSeen, Sighted, SightedSurface};
use super::toned::{Layout, SurfaceWanted, SurfaceWish, Toned, TonedSurface};
use super::{dirt, like, shadow, zones};
use crate::colour::DeltaE00;
use crate::paint::PaintList;
use crate::scene::{Scene, Surface};

impl Sighted {
    /// The tones of every surface, moved by the scene's rule. `self` is what the photos of this very scene show.
    ///
    /// # Errors
    /// Washes over a base that the scene or the paint list does not have.
    pub fn toned(self, scene: &Scene, paints: &PaintList) -> Result<Toned, Vec<dirt::DirtError>> {
        dirt::check_dirt(scene, paints)?;
        let Self { photos, surfaces } = self;
        let surfaces = scene.surfaces.iter().zip(surfaces);
        Ok(Toned {
            layout: Layout::of_scene(scene),
            surfaces: surfaces
                .map(|(surface, seen)| toned(scene, surface, seen, &photos))
                .collect(),
            photos,
        })
    }
}

/// The tones of one surface, moved by each rule.
fn toned(
    scene: &Scene,
    surface: &Surface,
    seen: SightedSurface,
    photos: &[PhotoSeen],
) -> TonedSurface {
    let target_uncertainty = if let Some(state) = &surface.like {
        like::uncertainty(state, &seen.tones)
    } else {
        let parts = seen.parts.iter();
        let off = parts.map(|part| photos[part.photo].light.uncertainty.0);
        DeltaE00(off.fold(0.0, f64::max))
    };
    let first = surface.parts.first();
    let not_found = zones::not_found(&seen);
    let mut zoned = zones::zoned(scene, surface, &seen, target_uncertainty);
    shadow::leave_to_lamps(&mut zoned, surface.shade);
    TonedSurface {
        wanted: SurfaceWanted {
            name: surface.name.clone(),
            treatment: surface.treatment,
            area: surface.area,
            coats: surface.coats,
            from: first.and_then(|part| scene.photos[part.photo].from),
            spread: seen.tones.mean_spread,
            variety: zoned.variety,
            parts: seen.parts,
            part_notes: seen.part_notes,
            not_found,
            haze: zoned.haze,
            washed_tone: dirt::tone_of_the_wash(surface, &zoned.tones),
            places_seen: seen.places,
            relief: seen.relief,
            wish: SurfaceWish::of_surface(surface),
        },
        tones: zoned.tones,
        zones: zoned.zones,
    }
}
