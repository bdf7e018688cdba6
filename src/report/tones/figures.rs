//! A tone's swatches as inline SVG.

use crate::colour::{LabD65, confused};
use crate::plan::TonePlan;
use askama::Template;

/// A colour that the page can also show under the lamps.
#[derive(Debug, Clone)]
pub(in crate::report) struct UnderLamps {
    pub(in crate::report) hex: String,
    pub(in crate::report) lamps: Option<String>,
}

/// Photographed above, planned and predicted touching below.
#[derive(Debug, Template)]
#[template(path = "figures/tone.svg", config = "report-templates/askama.toml")]
pub(in crate::report) struct ToneFigure {
    pub(in crate::report) label: String,
    pub(in crate::report) photographed: String,
    pub(in crate::report) planned: UnderLamps,
    pub(in crate::report) planned_width: u32,
    pub(in crate::report) mix: Option<UnderLamps>,
    pub(in crate::report) tag: Option<&'static str>,
}

/// Lines across a strip up to 1000 wide, one way a tone.
const TAGS: [&str; 6] = [
    "M0 8L8 0M8 8L16 0M16 8L24 0M24 8L32 0M32 8L40 0",
    "M2 0V8M8 0V8M14 0V8M20 0V8M26 0V8M32 0V8M38 0V8",
    "M0 3H1000",
    "M0 0L8 8M8 0L16 8M16 0L24 8M24 0L32 8M32 0L40 8",
    "M2 3H5M10 3H13M18 3H21M26 3H29M34 3H37",
    "M0 8L8 0M0 0L8 8M14 8L22 0M14 0L22 8M28 8L36 0M28 0L36 8",
];

/// Tones of a surface that a red-green deficient reader confuses: pairs of places.
pub(in crate::report) fn confused_pairs(tones: &[TonePlan]) -> Vec<(usize, usize)> {
    let colour = |at: usize| tones[at].wanted.moved.colour;
    (0..tones.len())
        .flat_map(|one| (one + 1..tones.len()).map(move |other| (one, other)))
        .filter(|(one, other)| confused(colour(*one), colour(*other)))
        .collect()
}

/// The pattern of a tone; only tones that are confused with another carry one.
pub(in crate::report) fn tag(pairs: &[(usize, usize)], tone: usize) -> Option<&'static str> {
    pairs
        .iter()
        .any(|(one, other)| *one == tone || *other == tone)
        .then(|| TAGS[tone % TAGS.len()])
}

/// What a reader who confuses tones should know; `None` where none do.
pub(in crate::report) fn confusion_text(pairs: &[(usize, usize)]) -> Option<String> {
    if pairs.is_empty() {
        return None;
    }
    let words: Vec<String> = pairs
        .iter()
        .map(|(one, other)| format!("{} and {}", one + 1, other + 1))
        .collect();
    Some(format!(
        "To a red-green deficient eye these tones look alike: {}. Their numbers, names and the patterns at their edge tell them apart (simulated by Machado, Oliveira and Fernandes 2009).",
        words.join(", ")
    ))
}

fn hex(colour: LabD65) -> String {
    colour.to_srgb8().to_string()
}

impl ToneFigure {
    pub(in crate::report) fn new(
        label: String,
        tone: &TonePlan,
        tag: Option<&'static str>,
    ) -> Self {
        let under = tone.under_lamp.as_ref();
        // Only what is brushed on has a mix to show.
        let brushed = tone.recipes.first().filter(|_| tone.pot.is_some());
        let mix = brushed.map(|recipe| UnderLamps {
            hex: hex(recipe.colour),
            lamps: under
                .and_then(|under| under.mix.as_ref())
                .map(|mix| hex(mix.lamp)),
        });
        Self {
            label,
            photographed: hex(tone.wanted.tone.colour),
            planned: UnderLamps {
                hex: hex(tone.wanted.moved.colour),
                lamps: under.map(|under| hex(under.tone.lamp)),
            },
            planned_width: if mix.is_some() { 70 } else { 140 },
            mix,
            tag,
        }
    }
}
