//! Where dirt gathers: ledges, gutters, the foot of a wall, chimney heads, ironwork, the wet side.

use super::super::mixed::{Kit, TonePlan};
use super::super::name_words::{says, words_of};
use super::super::toned::SurfaceWanted;
use super::blend::{ThinnedMix, WashBlend};
use super::washes::WashPlan;
use super::{DirtNote, WashShelf};
use crate::colour::{DeltaE00, LabD65, Srgb8, delta_e00};
use crate::mix::{Recipe, Search};
use crate::paint::{Medium, PaintList, Prepared, opaque_mix};
use crate::scene::Technique;
use crate::units::SquareCentimetres;
use crate::wash::{WashSearch, default_recess, worth_stirring};
use rayon::prelude::*;

/// What is planned for one place.
#[derive(Debug, Clone)]
pub struct PlacePlan {
    /// Its name.
    pub name: String,
    /// How the dirt is laid.
    pub technique: Technique,
    /// Its share of the surface.
    pub share: f64,
    /// The colour it should have.
    pub wanted: LabD65,
    /// The colour it will have.
    pub colour: Option<LabD65>,
    /// How far that is off.
    pub off: Option<DeltaE00>,
    /// Two in three real mixes should fall within this much.
    pub uncertainty: Option<DeltaE00>,
    /// What it is laid with.
    pub by: PlacedBy,
    /// What is doubtful.
    pub notes: Vec<DirtNote>,
}

/// What a place is treated with.
#[derive(Debug, Clone)]
pub enum PlacedBy {
    /// A film of thinned paint.
    Film(Box<WashBlend>),
    /// Opaque paint: dry-brushed or stippled.
    Paint {
        /// As found.
        recipe: Recipe,
        /// By name.
        blend: ThinnedMix,
    },
    /// Dry pigment.
    Powder {
        /// By name.
        blend: ThinnedMix,
    },
    /// Nothing on the list will do.
    Nothing,
}

impl PlacePlan {
    /// What is stirred, by name.
    #[must_use]
    pub fn blend(&self) -> Option<&ThinnedMix> {
        match &self.by {
            PlacedBy::Film(wash) => Some(&wash.blend),
            PlacedBy::Paint { blend, .. } | PlacedBy::Powder { blend } => Some(blend),
            PlacedBy::Nothing => None,
        }
    }
}

/// A usual place: words in its name, how dirt is laid there, its share, its colour where dirt has one of its own.
struct UsualPlace {
    words: &'static [&'static str],
    technique: Technique,
    share: f64,
    colour: Option<Srgb8>,
}

/// Places that dirt is known to gather in. Common practice, no source; colours are typical ones, our choice.
const USUAL: [UsualPlace; 10] = [
    UsualPlace {
        words: &[
            "rust", "rusty", "iron", "ironwork", "bracket", "hinge", "bolt",
        ],
        technique: Technique::Streak,
        share: 0.02,
        colour: Some(Srgb8([0x7a, 0x45, 0x26])),
    },
    UsualPlace {
        words: &["moss", "mossy", "lichen", "algae", "wet side", "north side"],
        technique: Technique::Stipple,
        share: 0.05,
        colour: Some(Srgb8([0x5c, 0x61, 0x40])),
    },
    UsualPlace {
        words: &["soot", "sooty", "chimney", "track", "flue", "smoke"],
        technique: Technique::Powder,
        share: 0.06,
        colour: Some(Srgb8([0x2f, 0x2b, 0x29])),
    },
    UsualPlace {
        words: &["water", "stain", "damp", "rain", "seep", "seepage"],
        technique: Technique::Streak,
        share: 0.05,
        colour: Some(Srgb8([0x5b, 0x57, 0x4e])),
    },
    UsualPlace {
        words: &["gutter", "downpipe", "sill", "windowsill", "streak"],
        technique: Technique::Streak,
        share: 0.04,
        colour: None,
    },
    UsualPlace {
        words: &["splash", "foot", "plinth", "base"],
        technique: Technique::Stipple,
        share: 0.08,
        colour: Some(Srgb8([0x7d, 0x6b, 0x55])),
    },
    UsualPlace {
        words: &["valley"],
        technique: Technique::Wash,
        share: 0.05,
        colour: None,
    },
    UsualPlace {
        words: &["ledge", "coping", "cornice"],
        technique: Technique::Streak,
        share: 0.05,
        colour: None,
    },
    UsualPlace {
        words: &["joint", "mortar", "recess", "groove"],
        technique: Technique::PinWash,
        share: 0.12,
        colour: None,
    },
    UsualPlace {
        words: &["edge", "arris", "corner", "worn"],
        technique: Technique::DryBrush,
        share: 0.03,
        colour: None,
    },
];

/// A place whose name suggests nothing.
const ANY_PLACE: UsualPlace = UsualPlace {
    words: &[],
    technique: Technique::Stipple,
    share: 0.05,
    colour: None,
};

/// By how much, L*, worn edges are lighter if nothing shows it. Our choice.
const WORN_LIGHTER: f64 = 12.0;
/// A place this far from its colour is reported. Our choice.
const FAR: f64 = 6.0;

/// The usual place that a name means, and the word that decided. Words count whole, in the singular or the plural: an
/// edge is not in "hedge", nor iron in "environment".
fn usual(name: &str) -> (&'static UsualPlace, Option<&'static str>) {
    let said = words_of(name);
    USUAL
        .iter()
        .find_map(|usual| {
            let told = usual.words.iter().find(|word| says(&said, word))?;
            Some((usual, Some(*told)))
        })
        .unwrap_or((&ANY_PLACE, None))
}

/// What dirt in places is laid on: the flats as the wash leaves them, or the body.
pub(super) fn ground_of_places(tones: &[TonePlan], wash: Option<&WashPlan>) -> Option<LabD65> {
    let body = tones.first()?.wanted.moved.colour;
    Some(wash.map_or(body, |wash| wash.flat))
}

/// The places of a surface, laid on `base`; `seen` holds the moved colour of each that has a region.
pub(super) fn places(
    seen: &[Option<LabD65>],
    base: LabD65,
    wanted: &SurfaceWanted,
    kit: &Kit<'_>,
    search: &Search,
) -> Vec<PlacePlan> {
    let (wishes, area) = (&wanted.wish.places, wanted.area);
    search.expect(wishes.len());
    wishes
        .par_iter()
        .enumerate()
        // What is told to stop is thrown away whole.
        .filter(|_| !search.is_over())
        .map(|(at, wish)| {
            let (usual, by) = usual(&wish.name);
            let mut notes = Vec::new();
            let technique = wish.technique.unwrap_or_else(|| {
                notes.push(DirtNote::PlaceTechnique {
                    place: wish.name.clone(),
                    technique: usual.technique,
                    by: by.map(str::to_owned),
                });
                usual.technique
            });
            let told = wish.colour.or(seen.get(at).copied().flatten());
            let colour = told.unwrap_or_else(|| {
                notes.push(DirtNote::PlaceColour {
                    place: wish.name.clone(),
                });
                match (usual.colour, technique) {
                    (Some(colour), _) => colour.into(),
                    (None, Technique::DryBrush) => LabD65 {
                        l: (base.l + WORN_LIGHTER).min(95.0),
                        ..base
                    },
                    (None, _) => default_recess(base),
                }
            });
            let share = wish.share.unwrap_or_else(|| {
                notes.push(DirtNote::PlaceShare {
                    place: wish.name.clone(),
                    share: usual.share,
                });
                usual.share
            });
            let place = KnownOfPlace {
                name: &wish.name,
                technique,
                share,
                wanted: colour,
                base,
                area,
            };
            let planned = place.planned(notes, kit, search);
            search.did_one();
            planned
        })
        .collect()
}

/// What is known of a place before its paint is looked for.
struct KnownOfPlace<'a> {
    name: &'a str,
    technique: Technique,
    share: f64,
    wanted: LabD65,
    base: LabD65,
    area: Option<SquareCentimetres>,
}

impl KnownOfPlace<'_> {
    fn planned(&self, mut notes: Vec<DirtNote>, kit: &Kit<'_>, search: &Search) -> PlacePlan {
        let (by, colour, uncertainty) = match self.technique {
            Technique::Wash | Technique::PinWash | Technique::Filter | Technique::Streak => {
                self.film(kit, &mut notes, search)
            }
            Technique::DryBrush | Technique::Stipple => {
                let found = kit.recipes_near(self.wanted, search).into_iter().next();
                found.map_or((PlacedBy::Nothing, None, None), |recipe| {
                    let (colour, sure) = (recipe.colour, recipe.uncertainty);
                    let blend = ThinnedMix::of_recipe(&recipe, kit.shelf, kit.paints);
                    (PlacedBy::Paint { recipe, blend }, Some(colour), Some(sure))
                })
            }
            Technique::Powder => powder(self.wanted, kit.paints).map_or_else(
                || {
                    notes.push(DirtNote::NoPowder {
                        place: self.name.to_owned(),
                    });
                    (PlacedBy::Nothing, None, None)
                },
                |(blend, colour)| (PlacedBy::Powder { blend }, Some(colour), None),
            ),
        };
        let off = colour.map(|colour| delta_e00(colour, self.wanted));
        if let Some(off) = off.filter(|off| off.0 > FAR) {
            notes.push(DirtNote::PlaceFar {
                place: self.name.to_owned(),
                off,
            });
        }
        PlacePlan {
            name: self.name.to_owned(),
            technique: self.technique,
            share: self.share,
            wanted: self.wanted,
            colour,
            off,
            uncertainty,
            by,
            notes,
        }
    }

    fn film(
        &self,
        kit: &Kit<'_>,
        notes: &mut Vec<DirtNote>,
        watched: &Search,
    ) -> (PlacedBy, Option<LabD65>, Option<DeltaE00>) {
        let wash_shelf = WashShelf::new(kit.shelf);
        let search = WashSearch {
            pool: 1.0,
            films: kit.films,
            meter: watched.meter,
            ..WashSearch::default()
        };
        let solved = kit.film(self.base, self.wanted, &wash_shelf.paints, &search);
        let recipe = match solved {
            Ok((recipe, _)) => recipe,
            Err(why) => {
                notes.push(DirtNote::no_wash(why, Some(self.name.to_owned())));
                return (PlacedBy::Nothing, None, None);
            }
        };
        let on = self.area.map(|area| (area, self.share));
        let wash = WashBlend::new(self.technique, &recipe, on, &wash_shelf, kit);
        let (colour, sure) = (recipe.flat, wash.uncertainty);
        (PlacedBy::Film(Box::new(wash)), Some(colour), Some(sure))
    }
}

/// From a longer list of powders, this many are tried in pairs. Our choice: 4,950 pairs, where a thousand powders would
/// make half a million.
const POWDERS_STIRRED: usize = 100;

/// One or two powders of the list, in at most 3 parts each, nearest to a colour. `None` when the list has none.
fn powder(wanted: LabD65, paints: &PaintList) -> Option<(ThinnedMix, LabD65)> {
    let powders: Vec<(&str, Prepared)> = paints
        .paints()
        .iter()
        .filter(|paint| paint.medium == Some(Medium::Powder) && paint.effect.is_none())
        .map(|paint| (paint.name.as_str(), Prepared::from_paint(paint)))
        .collect();
    let colours: Vec<LabD65> = powders.iter().map(|(_, powder)| powder.lab).collect();
    let mut nearest: Vec<usize> = (0..powders.len()).collect();
    let off = |at: usize| delta_e00(colours[at], wanted).0;
    nearest.sort_by(|a, b| off(*a).total_cmp(&off(*b)));
    let stirred = worth_stirring(&colours, &nearest, POWDERS_STIRRED);
    let mut mixes: Vec<Vec<(usize, u32)>> = (0..powders.len()).map(|a| vec![(a, 1)]).collect();
    for (nth, a) in stirred.iter().enumerate() {
        for b in &stirred[nth + 1..] {
            for [pa, pb] in [[1, 1], [2, 1], [1, 2], [3, 1], [1, 3]] {
                mixes.push(vec![(*a, pa), (*b, pb)]);
            }
        }
    }
    mixes
        .into_iter()
        .filter_map(|parts| {
            let mixed: Vec<(&Prepared, f64)> = parts
                .iter()
                .map(|(at, p)| (&powders[*at].1, f64::from(*p)))
                .collect();
            let colour = LabD65::from(opaque_mix(&mixed).ok()?);
            Some((delta_e00(colour, wanted).0, colour, parts))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, colour, parts)| {
            let blend = ThinnedMix {
                parts: parts
                    .iter()
                    .map(|(at, p)| (powders[*at].0.to_owned(), *p))
                    .collect(),
                family: None,
                thinned: None,
            };
            (blend, colour)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_places_tell_how_dirt_is_laid() {
        for (name, technique) in [
            ("rust below the brackets", Technique::Streak),
            (
                "moss along the ridge and in the valleys",
                Technique::Stipple,
            ),
            ("soot below the chimney", Technique::Powder),
            ("under the gutter", Technique::Streak),
            ("water stains below the tank", Technique::Streak),
            ("splash zone at the foot", Technique::Stipple),
            ("Mortar joints", Technique::PinWash),
            ("here and there", Technique::Stipple),
            ("ledges, and copings", Technique::Streak),
            ("North-side of the tower", Technique::Stipple),
        ] {
            assert_eq!(usual(name).0.technique, technique, "{name}");
        }
    }

    #[test]
    fn a_word_within_a_word_tells_nothing() {
        for name in [
            "under the hedge",
            "the environment",
            "football stand",
            "a trackside hut",
            "baseball ground",
            "crusty bread",
            "wet outside",
        ] {
            assert_eq!(usual(name).1, None, "{name}");
        }
        assert_eq!(usual("edge of the hedge").1, Some("edge"));
    }
}
