//! The land of a zone of a hillside, and the kinds of scatter it can be made of.

use super::ScatterKind;
use crate::paint::ScatterMaterial;
use serde::Serialize;

/// What a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Land {
    /// Meadow, pasture, dune and verge.
    Grass,
    /// Heather, moor, low shrubs.
    Heath,
    /// Trees seen as a mass, and the floor below them.
    Wood,
    /// Loose stone.
    Scree,
    /// Bare soil, paths, yards.
    Earth,
    /// Whatever has the colour.
    Any,
}

impl Land {
    /// All of them with the words a scene uses.
    pub const ALL: [(&'static str, Self); 6] = [
        ("grass", Self::Grass),
        ("heath", Self::Heath),
        ("wood", Self::Wood),
        ("scree", Self::Scree),
        ("earth", Self::Earth),
        ("any", Self::Any),
    ];

    /// The word a scene uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, own)| *own == self)
            .map_or("any", |(word, _)| word)
    }

    /// Guessed from names: the first with a whole word that fits. `None` where none does.
    #[must_use]
    pub fn guessed<'a>(names: impl IntoIterator<Item = &'a str>) -> Option<Self> {
        const WORDS: [(&[&str], Land); 5] = [
            (
                &[
                    "larch", "spruce", "pine", "fir", "beech", "oak", "birch", "tree", "wood",
                    "woods", "wooded", "woodland", "forest", "trees", "larches", "spruces",
                    "pines", "firs", "beeches", "oaks", "copse", "grove",
                ],
                Land::Wood,
            ),
            (
                &[
                    "heath", "heather", "moor", "moorland", "gorse", "bracken", "scrub",
                ],
                Land::Heath,
            ),
            (
                &[
                    "scree", "talus", "crag", "crags", "rock", "rocks", "cliff", "boulders",
                    "quarry",
                ],
                Land::Scree,
            ),
            (
                &[
                    "grass", "grassy", "pasture", "meadow", "meadows", "lawn", "verge", "turf",
                    "dune", "dunes", "downs", "steppe",
                ],
                Land::Grass,
            ),
            (
                &[
                    "earth", "soil", "path", "track", "yard", "field", "ploughed", "sand", "mud",
                ],
                Land::Earth,
            ),
        ];
        names.into_iter().find_map(|name| {
            let name = name.to_lowercase();
            let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).collect();
            WORDS
                .iter()
                .find(|(known, _)| known.iter().any(|word| words.contains(word)))
                .map(|(_, land)| *land)
        })
    }

    /// Whether a zone of this land is made of a material. Common practice, no source.
    #[must_use]
    pub fn made_of(self, material: ScatterMaterial) -> bool {
        use ScatterMaterial as M;
        match self {
            Self::Any => true,
            Self::Grass => matches!(
                material,
                M::Turf | M::Fibre | M::Foliage | M::Earth | M::Flock
            ),
            Self::Heath => matches!(
                material,
                M::Turf | M::Foliage | M::Fibre | M::Flock | M::Earth
            ),
            Self::Wood => !matches!(material, M::Ballast),
            Self::Scree => matches!(material, M::Ballast | M::Earth | M::Turf | M::Flock),
            Self::Earth => matches!(material, M::Earth | M::Ballast | M::Leaf | M::Flock),
        }
    }

    /// The kinds of a list that this zone may be made of; a kind of unknown material may be anything. `allowed` lets more
    /// in.
    #[must_use]
    pub fn kinds(self, kinds: &[ScatterKind], allowed: &[ScatterMaterial]) -> Vec<usize> {
        (0..kinds.len())
            .filter(|at| {
                kinds[*at]
                    .material
                    .is_none_or(|material| self.made_of(material) || allowed.contains(&material))
            })
            .collect()
    }
}
