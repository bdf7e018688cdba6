//! Tones in `plan.json`, and how the units of a body differ.

use super::colours::{ColourEntry, MixEntry, PartsEntry, rounded};
use super::written::ForReaders;
use crate::colour::{DeltaE00, LabD65};
use crate::tones::{JoinedTone, Likeness, ShadeOf, Tone};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The tone that another is the shade of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShadeEntry {
    /// Its place in the list, from 0.
    pub tone: usize,
    /// Whether both are surely one material.
    pub sure: bool,
    /// Share of the light that reaches the shade.
    pub light: f64,
    /// Share of skylight in it.
    pub sky: f64,
    /// How far the shade is from that explanation, CIEDE2000.
    pub off_de: f64,
}

impl From<ShadeOf> for ShadeEntry {
    fn from(shade: ShadeOf) -> Self {
        Self {
            tone: shade.lit,
            sure: shade.likeness == Likeness::OneMaterial,
            light: rounded(shade.line.light()),
            sky: rounded(shade.line.sky()),
            off_de: rounded(shade.line.off().0),
        }
    }
}

/// A tone before it was joined with others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JoinedEntry {
    /// As photographed: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Its share of the surface.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub share: f64,
}

impl JoinedEntry {
    /// The photographed colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

impl From<JoinedTone> for JoinedEntry {
    fn from(joined: JoinedTone) -> Self {
        let ColourEntry { lab, hex } = joined.colour.into();
        Self {
            lab,
            hex,
            share: rounded(joined.share.value()),
        }
    }
}

/// One tone of a surface or photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToneEntry {
    /// As photographed: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Its share of the surface; all tones together make 1.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub share: f64,
    /// How varied it is: mean CIEDE2000 of its pixels from its colour.
    #[serde(default)]
    pub spread_de: f64,
    /// Nine in ten of its pixels lie within this difference of its colour, CIEDE2000.
    #[serde(default)]
    pub spread_90_de: f64,
    /// How to keep the mix: even, or loose.
    #[serde(default)]
    pub keep: String,
    /// The tone that it is the shade of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shade_of: Option<ShadeEntry>,
    /// ISCC–NBS name of the colour.
    #[serde(default)]
    pub name: String,
    /// Its part: body, light, shade, dirt in the recesses, variation or accent.
    pub role: String,
    /// How far the photo itself may be off, CIEDE2000.
    pub target_uncertainty_de: f64,
    /// The colour to paint, changed by the scene's rule of scale colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<ColourEntry>,
    /// How far the rule changed it, CIEDE2000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moved_de: Option<f64>,
    /// True if it is shadow, which the lamps make by themselves: it is not painted.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub left_to_lamps: bool,
    /// True when most of it lies in thin things, such as joints.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub thin: bool,
    /// The tones it was made of, if several were joined.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub made_of: Vec<JoinedEntry>,
    /// Number of its pot; absent if the tone is not brushed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot: Option<usize>,
    /// Mixes for the planned colour, the soundest first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recipes: Option<Vec<MixEntry>>,
    /// Whatever else is known of it.
    #[serde(flatten)]
    #[schemars(with = "ToneMore")]
    pub more: ForReaders<ToneMore>,
}

impl ToneEntry {
    /// A tone as photographed, not planned yet.
    #[must_use]
    pub fn seen(tone: &Tone, share: f64, target_uncertainty: DeltaE00) -> Self {
        let ColourEntry { lab, hex } = tone.colour.into();
        Self {
            lab,
            hex,
            share,
            spread_de: rounded(tone.spread.0),
            name: tone.name.to_owned(),
            role: tone.role.word().to_owned(),
            target_uncertainty_de: rounded(target_uncertainty.0),
            spread_90_de: rounded(tone.spread_90.0),
            keep: tone.keep().to_owned(),
            shade_of: tone.shade_of.map(ShadeEntry::from),
            thin: tone.thin,
            made_of: tone.joined.iter().copied().map(JoinedEntry::from).collect(),
            planned: None,
            moved_de: None,
            left_to_lamps: false,
            pot: None,
            recipes: None,
            more: ToneMore::default().into(),
        }
    }

    /// The photographed colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// How the units of a body differ.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VarietyEntry {
    /// Mean CIEDE2000 of its units from their mean.
    pub spread_de: f64,
    /// What may be picked out of them, the farthest from the body first; at most three.
    pub picks: Vec<PickEntry>,
}

/// Some of the units of a body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PickEntry {
    /// Their share of the body.
    pub share: f64,
    /// Their mean colour as photographed.
    pub photographed: ColourEntry,
    /// That colour, changed by the rule of scale colour as the body is.
    pub planned: ColourEntry,
    /// How they differ from the body, in words.
    #[serde(default)]
    pub words: String,
    /// The mix for them; absent if nothing on the list brings the body's pot nearer by a third of the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix: Option<PickMixEntry>,
}

/// A mix from some of the body's pot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PickMixEntry {
    /// The pot of the body.
    pub pot: usize,
    /// Parts of it …
    pub parts_of_pot: u32,
    /// … with these.
    pub paints: Vec<PartsEntry>,
    /// Drops in one part; absent if the area is unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drops_a_part: Option<u32>,
    /// The colour wanted for the picked units, before any wash.
    pub wanted: ColourEntry,
    /// What the mix should dry to.
    pub comes_to: ColourEntry,
    /// Its difference from that, CIEDE2000.
    pub difference_de: f64,
}

/// More about a tone.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct ToneMore {
    /// Its colour when dry, if the photo was taken in rain.
    pub dried: Option<ColourEntry>,
    /// The tone and its first mix under the scene's lamps; absent in daylight.
    pub under_lamps: Option<UnderLampsEntry>,
}

/// A tone and its mix under the lamps.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnderLampsEntry {
    /// The planned colour under the lamps.
    pub tone: ColourEntry,
    /// How far the lamps shift it, CIEDE2000, in whole steps.
    pub shift_de: f64,
    /// The first mix under the lamps.
    pub mix: Option<ColourEntry>,
    /// How far the lamps shift it.
    pub mix_shift_de: Option<f64>,
    /// True when the mix's spectrum is known from measured paints.
    pub mix_measured: bool,
}
