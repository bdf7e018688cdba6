//! What a kind of scatter is.

use serde::Serialize;

/// What a kind of scatter is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum ScatterMaterial {
    /// Clumps and foam: bushes, weeds, crowns.
    Foliage,
    /// Ground foam: short growth.
    Turf,
    /// Standing fibres: blades of grass.
    Fibre,
    /// Soil, sand, dust.
    Earth,
    /// Broken stone, chippings.
    Ballast,
    /// Leaf litter.
    Leaf,
    /// Needles.
    Needle,
    /// Short coloured fibre or powder that represents nothing by itself.
    Flock,
}

impl ScatterMaterial {
    /// All of them with the words a list uses.
    pub const ALL: [(&'static str, Self); 8] = [
        ("foliage", Self::Foliage),
        ("turf", Self::Turf),
        ("fibre", Self::Fibre),
        ("earth", Self::Earth),
        ("ballast", Self::Ballast),
        ("leaf", Self::Leaf),
        ("needle", Self::Needle),
        ("flock", Self::Flock),
    ];

    /// The word a list uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, own)| *own == self)
            .map_or("flock", |(word, _)| word)
    }

    /// Guessed from a name by its whole words, the first that fits. `None` if no word fits.
    #[must_use]
    pub fn guessed(name: &str) -> Option<Self> {
        const WORDS: [(&[&str], ScatterMaterial); 8] = [
            (&["needle", "needles"], ScatterMaterial::Needle),
            (&["leaf", "leaves", "litter"], ScatterMaterial::Leaf),
            (
                &[
                    "ballast",
                    "chippings",
                    "gravel",
                    "scree",
                    "stones",
                    "rubble",
                    "talus",
                    "grit",
                ],
                ScatterMaterial::Ballast,
            ),
            (
                &[
                    "earth", "soil", "sand", "dust", "mud", "clay", "loam", "peat",
                ],
                ScatterMaterial::Earth,
            ),
            (
                &["fibre", "fibres", "fiber", "static", "blades"],
                ScatterMaterial::Fibre,
            ),
            (
                &[
                    "foliage",
                    "bush",
                    "bushes",
                    "shrub",
                    "clump",
                    "clumps",
                    "undergrowth",
                    "hedge",
                ],
                ScatterMaterial::Foliage,
            ),
            (
                &[
                    "turf", "grass", "moss", "heath", "heather", "meadow", "weeds",
                ],
                ScatterMaterial::Turf,
            ),
            (&["flock"], ScatterMaterial::Flock),
        ];
        let name = name.to_lowercase();
        let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).collect();
        WORDS
            .iter()
            .find(|(known, _)| known.iter().any(|word| words.contains(word)))
            .map(|(_, material)| *material)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_by_whole_words() {
        for (name, material) in [
            ("needles, larch gold", Some(ScatterMaterial::Needle)),
            ("leaf litter, brown", Some(ScatterMaterial::Leaf)),
            ("foliage, olive", Some(ScatterMaterial::Foliage)),
            ("dust, pale stone", Some(ScatterMaterial::Earth)),
            ("Turf, fresh green", Some(ScatterMaterial::Turf)),
            ("distance, blue grey", None),
            ("leafless", None),
        ] {
            assert_eq!(ScatterMaterial::guessed(name), material, "{name}");
        }
    }
}
