//! Words of `mix` that `mix --steady` has too.

use crate::cli::terminal::plain;
use hillwash::mix::{Recipe, Shelf, stirred};
use hillwash::paint::PaintList;
use hillwash::units::{DROP, Millilitres};

/// "3 raw umber (2.3 ml, 46 drops)": each part of a recipe in the order to stir them.
pub(crate) fn parts_text(
    recipe: &Recipe,
    shelf: &Shelf,
    list: &PaintList,
    batch: Option<Millilitres>,
) -> String {
    let total = f64::from(recipe.total_parts());
    let order = shelf.stirring_order(recipe);
    stirred(order.iter().map(|(at, parts)| {
        let stock = &shelf[*at];
        let amount = batch.map_or_else(String::new, |batch| {
            let batch = recipe.at_least_a_drop(batch);
            let ml = batch.value() * f64::from(*parts) / total;
            let grams = list.paints()[stock.index]
                .density_g_per_ml
                .map_or_else(String::new, |density| format!(", {:.1} g", ml * density));
            let drops = (ml / DROP).round().max(1.0);
            let s = if drops > 1.0 { "s" } else { "" };
            format!(" ({ml:.2} ml, {drops} drop{s}{grams})")
        });
        (parts, format!("{}{amount}", plain(&stock.name)))
    }))
}

/// The warning for a batch that is too small to measure out.
pub(crate) fn drops_text<'a>(
    mut recipes: impl Iterator<Item = &'a Recipe>,
    batch: Option<Millilitres>,
) -> String {
    batch
        .filter(|batch| recipes.any(|recipe| recipe.at_least_a_drop(*batch) > *batch))
        .map_or_else(String::new, |batch| {
            format!(
                "{batch} is less than one drop a part ({DROP} ml, common practice): such mixes are given with one drop a part\n"
            )
        })
}
