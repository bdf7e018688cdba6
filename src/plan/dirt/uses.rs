//! How much of each paint dirt takes.

use super::super::SurfacePlan;
use super::super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use super::blend::WashBlend;
use super::places::PlacedBy;
use crate::mix::{Recipe, Shelf};
use crate::paint::PaintList;
use crate::units::DROP;

/// Paint on a nearly dry brush or a stippling brush against a brushed coat. Common practice, no source.
const NEARLY_DRY: f64 = 0.5;

/// Each paint of the list that a surface's dirt takes, and how much, millilitres; `None` if that is unknown.
pub(in super::super) fn uses(
    surface: &SurfacePlan,
    shelf: &Shelf,
    paints: &PaintList,
) -> Vec<(usize, Option<f64>)> {
    let mut uses = Vec::new();
    let of_wash = |wash: &WashBlend, uses: &mut Vec<(usize, Option<f64>)>| {
        for (i, (at, _)) in wash.recipe.parts.iter().enumerate() {
            let ml = wash
                .amounts
                .as_ref()
                .map(|amounts| amounts.paints[i].value());
            uses.push((shelf[*at].index, ml));
        }
    };
    let of_recipe = |recipe: &Recipe, share: f64, uses: &mut Vec<(usize, Option<f64>)>| {
        let total = f64::from(recipe.total_parts());
        let batch = surface.wanted.area.map(|area| {
            (area.value() * share * NEARLY_DRY * ML_PER_CM2_AND_COAT * RESERVE).max(DROP * total)
        });
        for (at, p) in &recipe.parts {
            let ml = batch.map(|batch| batch * f64::from(*p) / total);
            uses.push((shelf[*at].index, ml));
        }
    };
    for wash in surface.dirt.washes().flat_map(|wash| &wash.washes) {
        of_wash(wash, &mut uses);
    }
    for step in surface.dirt.rock.iter().flat_map(|rock| &rock.steps) {
        // Tones of the photo are in pots already.
        if let (None, Some(recipe)) = (step.tone, step.recipes.first()) {
            of_recipe(recipe, step.share, &mut uses);
        }
    }
    for place in &surface.dirt.places {
        match &place.by {
            PlacedBy::Film(wash) => of_wash(wash, &mut uses),
            PlacedBy::Paint { recipe, .. } => of_recipe(recipe, place.share, &mut uses),
            PlacedBy::Powder { blend } => uses.extend(
                blend
                    .parts
                    .iter()
                    .filter_map(|(name, _)| paints.named(name))
                    .map(|(index, _)| (index, None)),
            ),
            PlacedBy::Nothing => {}
        }
    }
    uses
}
