//! The units of a body that differ, bricks or boards: which to pick out, in mixes made from the body's own pot.

use super::ids::PotId;
use super::measurable;
use super::mixed::{Kit, MixedPot, MixedPots};
use super::name_words::{says, words_of};
use super::picked::{PickedOut, TenthWanted};
use super::quantities::{ML_PER_CM2_AND_COAT, RESERVE};
use super::toned::{SurfaceWanted, TonedTone};
use crate::colour::{LabD65, delta_e00};
use crate::mix::PaintId;
use crate::units::{DROP, Millilitres};

/// The share of the units that each mix is for.
pub(super) const TENTH: f64 = crate::tones::TENTH;
/// A mix may miss the wanted colour by at most this part of the way from the body to it. Our choice.
const MOST_MISSED: f64 = 2.0 / 3.0;

/// What units are called, by the first known word in the name of their surface; common practice, no source.
const UNITS: [(&[&str], &str); 12] = [
    (&["brick", "brickwork"], "bricks"),
    (&["stone", "stonework", "rubble", "ashlar"], "stones"),
    (&["slate"], "slates"),
    (&["shingle"], "shingles"),
    (&["tile", "roof"], "tiles"),
    (
        &["board", "boarding", "cladding", "timber", "fence"],
        "boards",
    ),
    (&["plank", "planking"], "planks"),
    (&["sleeper"], "sleepers"),
    (&["sett"], "setts"),
    (&["cobble"], "cobbles"),
    (&["block", "blockwork"], "blocks"),
    (&["wall"], "stones or bricks"),
];

/// What the units of a surface are called.
fn units_word(name: &str) -> &'static str {
    let said = words_of(name);
    let is_said = |words: &[&str]| words.iter().any(|word| says(&said, word));
    let found = UNITS.iter().find(|(words, _)| is_said(words));
    found.map_or("pieces", |(_, units)| units)
}

/// The mixes for the units of a body, from its pot; those alone that bring it nearer by a third of the way.
pub(super) fn picked_out(
    wanted: &SurfaceWanted,
    body: &TonedTone,
    pot: Option<(PotId, &MixedPot, bool)>,
    kit: &Kit<'_>,
) -> Vec<PickedOut> {
    let Some((units, (id, pot, is_base))) = wanted.variety.as_ref().zip(pot) else {
        return Vec::new();
    };
    let Some(recipe) = pot.recipe.as_ref() else {
        return Vec::new();
    };
    let parts: Vec<(PaintId, f64)> = recipe
        .parts
        .iter()
        .map(|(at, parts)| (*at, f64::from(*parts)))
        .collect();
    let needed = wanted
        .area
        .map(|area| area.value() * TENTH * ML_PER_CM2_AND_COAT * RESERVE);
    let mix = |(tenth, own): (usize, &TenthWanted)| {
        // What is washed over lies as far from its clean base as it does from the body.
        let to = if is_base {
            let (from, to) = (body.moved.colour, own.planned);
            let [l, a, b] = [to.l - from.l, to.a - from.a, to.b - from.b];
            LabD65::new(
                recipe.colour.l + l,
                recipe.colour.a + a,
                recipe.colour.b + b,
            )
        } else {
            own.planned
        };
        let addition = kit.shelf.small_addition(&parts, recipe.colour, to).ok()??;
        let far = delta_e00(recipe.colour, to).0;
        let added: Vec<(String, u32)> = addition
            .paints
            .iter()
            .map(|(at, parts)| (kit.shelf[*at].name.clone(), *parts))
            .collect();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few drops"
        )]
        let drops_a_part = needed.map(|ml| {
            let drops = ml / DROP / f64::from(addition.per_parts);
            drops.ceil().clamp(1.0, 10_000.0) as u32
        });
        (addition.difference.0 <= MOST_MISSED * far).then(|| PickedOut {
            tenth,
            units: units_word(&wanted.name),
            pot: id,
            body: recipe.colour,
            wanted: to,
            added,
            drops_a_part,
            addition,
        })
    };
    units.tenths.iter().enumerate().filter_map(mix).collect()
}

impl MixedPots {
    /// Pots with as much more in each as is taken out of it.
    pub(super) fn with_taken(mut self, picked: &[PickedOut]) -> Self {
        for (pot, own) in self.0.iter_mut().enumerate() {
            let taken = picked.iter().filter(|picked| picked.pot == PotId(pot));
            let taken: f64 = taken
                .filter_map(PickedOut::aside)
                .map(Millilitres::value)
                .sum();
            if taken > 0.0
                && let Some(before) = own.volume
                && let Ok(volume) = Millilitres::new(before.value() + taken)
            {
                own.volume = Some(measurable(volume));
            }
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_called_by_whole_words_of_the_name() {
        for (name, units) in [
            ("Brick gable", "bricks"),
            ("Rubble-stone wall", "stones"),
            ("Yard wall", "stones or bricks"),
            ("Setts of the yard", "setts"),
            ("Slated roof", "tiles"),
            ("Brewhouse", "pieces"),
            ("Settlement hall", "pieces"),
        ] {
            assert_eq!(units_word(name), units, "{name}");
        }
    }
}
