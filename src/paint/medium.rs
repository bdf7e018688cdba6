//! What a paint is bound in, what that may be mixed with, and how long it dries.

use serde::{Deserialize, Serialize};
use std::fmt;

/// What binds the pigment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Medium {
    /// Water-borne acrylic.
    Acrylic,
    /// Solvent-borne enamel.
    Enamel,
    /// Artists' oil.
    Oil,
    /// Solvent lacquer.
    Lacquer,
    /// Ink.
    Ink,
    /// Dry pigment powder.
    Powder,
    /// Household emulsion, for large areas.
    Emulsion,
    /// Watercolour.
    Watercolour,
    /// Primer.
    Primer,
    /// Varnish.
    Varnish,
}

/// Paints that may be stirred together: common practice, no source; the label comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MixingFamily {
    /// Acrylics, household emulsion and water-based ink.
    WaterBorne,
    /// Enamels.
    Enamel,
    /// Artists' oils.
    Oil,
    /// Lacquers.
    Lacquer,
    /// Inks that are not known to be thinned with water.
    Ink,
    /// Watercolours.
    Watercolour,
    /// Paints whose medium the list does not give; they are kept among themselves.
    Unknown,
}

impl Medium {
    /// All media, in the order they are listed to users.
    pub const ALL: [Self; 10] = [
        Self::Acrylic,
        Self::Enamel,
        Self::Oil,
        Self::Lacquer,
        Self::Ink,
        Self::Powder,
        Self::Emulsion,
        Self::Watercolour,
        Self::Primer,
        Self::Varnish,
    ];

    /// The word a list uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Acrylic => "acrylic",
            Self::Enamel => "enamel",
            Self::Oil => "oil",
            Self::Lacquer => "lacquer",
            Self::Ink => "ink",
            Self::Powder => "powder",
            Self::Emulsion => "emulsion",
            Self::Watercolour => "watercolour",
            Self::Primer => "primer",
            Self::Varnish => "varnish",
        }
    }
}

/// The medium that a text means, in any of the words that lists use for it.
#[must_use]
pub fn medium_meant(text: &str) -> Option<Medium> {
    let word = super::words::meaning(text, super::words::MEDIA).word()?;
    Medium::ALL.into_iter().find(|medium| medium.word() == word)
}

impl MixingFamily {
    /// What the pot is called in running text.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::WaterBorne => "water-borne paint",
            Self::Enamel => "enamel",
            Self::Oil => "artists' oil",
            Self::Lacquer => "lacquer",
            Self::Ink => "ink",
            Self::Watercolour => "watercolour",
            Self::Unknown => "paint of unstated medium",
        }
    }

    /// True when its thinner is an organic solvent, so that solvent cautions apply.
    #[must_use]
    pub fn is_solvent_borne(self) -> bool {
        matches!(self, Self::Enamel | Self::Oil | Self::Lacquer)
    }

    /// The usual thinner. Common practice, no source; a list's own `thinner` overrides it.
    #[must_use]
    pub fn usual_thinner(self) -> &'static str {
        match self {
            Self::WaterBorne | Self::Watercolour => "water",
            Self::Enamel | Self::Oil => "white spirit",
            Self::Lacquer => "its own thinner",
            Self::Ink | Self::Unknown => "the thinner its label names",
        }
    }

    /// Time until the next coat may go on. Common practice, no source.
    #[must_use]
    pub fn drying(self) -> &'static str {
        match self {
            Self::WaterBorne | Self::Watercolour | Self::Ink => "an hour or two",
            Self::Enamel => "a day",
            Self::Oil => "several days",
            Self::Lacquer => "half an hour",
            Self::Unknown => "as long as its label says",
        }
    }
}

/// What to mind when one medium goes over another; `None` when both are one. Common practice, no source; labels first.
#[must_use]
pub fn over_advice(over: MixingFamily, under: MixingFamily) -> Option<&'static str> {
    use MixingFamily as M;
    if over == under && over != M::Unknown {
        return None;
    }
    Some(match (over, under) {
        (M::Unknown, _) | (_, M::Unknown) => {
            "the list does not give the medium of one of them: try it on scrap first and let it dry for a day"
        }
        (_, M::Watercolour) => "water softens dry watercolour again: seal it with varnish first",
        (M::Lacquer, _) => {
            "the thinner of lacquer lifts other paint: seal the coat beneath, lay the first coat thin, or use lacquer only at the bottom"
        }
        (M::WaterBorne | M::Watercolour, M::Enamel) => {
            "water-borne paint holds only where enamel is dry through, a few days, and free of grease: rub it down lightly"
        }
        (M::WaterBorne | M::Watercolour | M::Enamel, M::Oil) => {
            "oil dries from the skin inwards, for weeks: a coat laid over it too soon cracks"
        }
        (M::Oil, M::Enamel) => {
            "white spirit lifts enamel that is fresh: let it dry through, or varnish between the two"
        }
        (M::Enamel | M::Oil, M::WaterBorne) => {
            "you can do this once the water-borne paint is dry; try the thinner on a hidden spot"
        }
        (M::Ink, _) | (_, M::Ink) => {
            "inks differ: some run again when wetted, so try it on scrap and seal them if they do"
        }
        (M::Watercolour, _) => "watercolour needs a matt ground that absorbs a little",
        _ => "let the coat beneath dry through, and try it on a hidden spot",
    })
}

impl fmt::Display for Medium {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_medium_over_itself_needs_no_word() {
        use MixingFamily as M;
        let all = [
            M::WaterBorne,
            M::Enamel,
            M::Oil,
            M::Lacquer,
            M::Ink,
            M::Watercolour,
        ];
        for over in all {
            for under in all {
                assert_eq!(over_advice(over, under).is_none(), over == under);
            }
        }
        // What is not known may be anything.
        assert!(over_advice(M::Unknown, M::Unknown).is_some());
        assert!(over_advice(M::Lacquer, M::WaterBorne).is_some_and(|w| w.contains("lifts")));
    }
}
