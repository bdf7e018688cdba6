//! Measured materials in a scene: what a surface is made of, known things in a photo, what a surface is like.

use super::checked::{LightWish, PhotoSource, Surface};
use super::error::SceneError;
use super::key::{Key, MayBeText};
use super::keys::{A_MATERIAL, BetweenKeys, KnownKeys, PhotoKeys, SurfaceKeys};
use super::table::SceneTable;
use crate::materials::{MATERIALS, Material, State};
use crate::photo::KnownMaterial;
use crate::problem::nearest_word;

/// The material that a key names.
pub(super) fn read_material<K: MayBeText + Copy>(
    table: &SceneTable<'_, '_>,
    key: Key<K>,
) -> Option<&'static Material> {
    let written = table.text_of(key.name, A_MATERIAL)?;
    let material = Material::named(&written);
    if material.is_none() {
        let known = || MATERIALS.iter().map(|material| material.name);
        table.fault(SceneError::UnknownWord {
            place: table.place_of(key.name),
            nearest: nearest_word(&written, known())
                .or_else(|| Material::meant_by(&written).first().map(|m| m.name))
                .map(str::to_owned),
            known: known().collect::<Vec<_>>().join("; "),
            found: written,
        });
    }
    material
}

/// One `[[photos.NAME.known]]`.
pub(super) fn read_known(table: &SceneTable<'_, '_>) -> Option<KnownMaterial> {
    table.need(KnownKeys::MATERIAL);
    table.need(KnownKeys::REGION);
    let material = read_material(table, KnownKeys::MATERIAL);
    let region = table.region();
    table.done();
    Some(KnownMaterial {
        region: region?,
        material: material?,
    })
}

/// `like = "…"`, or `like = { from = "…", to = "…", at = 0.5 }`.
pub(super) fn read_like(table: &SceneTable<'_, '_>) -> Option<State> {
    if table.is_text(SurfaceKeys::LIKE) {
        return read_material(table, SurfaceKeys::LIKE).map(State::of_material);
    }
    let like = table.table(SurfaceKeys::LIKE)?;
    like.need(BetweenKeys::FROM);
    like.need(BetweenKeys::TO);
    let from = read_material(&like, BetweenKeys::FROM);
    let to = read_material(&like, BetweenKeys::TO);
    let at = like.number(BetweenKeys::AT);
    let stopped = like.has(BetweenKeys::AT.name) && at.is_none();
    like.done();
    Some(State {
        from: from?,
        to: to?,
        at: if stopped {
            return None;
        } else {
            at.unwrap_or(0.5)
        },
    })
}

/// Gives each photo the materials of the surfaces that are seen in it, unless its light is to stay as it is or to be
/// estimated.
pub(super) fn known_by_surfaces(photos: &mut [PhotoSource], surfaces: &[Surface]) {
    for surface in surfaces {
        let Some(material) = surface.material else {
            continue;
        };
        for part in &surface.parts {
            let Some(photo) = photos.get_mut(part.photo) else {
                continue;
            };
            if photo.heeds_surfaces() {
                photo.materials.push(KnownMaterial {
                    region: part.region.clone(),
                    material,
                });
            }
        }
    }
}

/// The fault of photos that want their light from materials but name none.
pub(super) fn without_materials(photos: &[PhotoSource]) -> impl Iterator<Item = SceneError> {
    const KNOWN: &str = PhotoKeys::KNOWN.name;
    photos
        .iter()
        .filter(|photo| photo.light == Some(LightWish::Materials) && photo.materials.is_empty())
        .map(|photo| SceneError::MissingKey {
            place: photo.place.clone().at_field(format!("photos.{}.{KNOWN}", photo.key)),
            key: KNOWN.to_owned(),
            example: "material = \"clay roof tile, red\" on a surface of this photo, or a table [[photos.NAME.known]]",
        })
}
