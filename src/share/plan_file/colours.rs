//! Colours, parts and mixes of `plan.json`, and how its figures are rounded.

use crate::colour::LabD65;
use crate::mix::{Recipe, Shelf, stirred};
use schemars::JsonSchema;
use serde::de::{Deserializer, Error};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// A figure for files: three decimals are far finer than its accuracy.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e3).round() / 1e3;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Parts as people write them: 3 and not 3.0, but 1.5 if the user typed that.
#[must_use]
pub fn as_typed(parts: f64) -> Value {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "compared with what was typed"
    )]
    let whole = parts.clamp(0.0, 1e9) as u64;
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let same = (whole as f64 - parts).abs() < 1e-9;
    if same { json!(whole) } else { json!(parts) }
}

/// Rounded to six places, for weights that are added up.
#[must_use]
pub fn in_millionths(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A colour: CIELAB under D65 for the 2 degree observer, and the nearest sRGB.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ColourEntry {
    /// L*, a*, b*.
    pub lab: [f64; 3],
    /// sRGB as #rrggbb; where Lab and sRGB disagree, Lab counts.
    #[serde(default)]
    pub hex: String,
}

impl From<LabD65> for ColourEntry {
    fn from(colour: LabD65) -> Self {
        Self {
            lab: [colour.l, colour.a, colour.b].map(rounded),
            hex: colour.to_srgb8().to_string(),
        }
    }
}

impl ColourEntry {
    /// The colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }
}

/// A paint and its parts by volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PartsEntry {
    /// The paint, as its list names it.
    pub name: String,
    /// Parts by volume: a whole number.
    #[serde(deserialize_with = "whole_parts")]
    pub parts: u32,
}

/// Whole parts; plans of earlier versions wrote 3.0 for 3.
fn whole_parts<'de, D: Deserializer<'de>>(file: D) -> Result<u32, D::Error> {
    let found = f64::deserialize(file)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held in 0..=1e6, and compared with what was found"
    )]
    let whole = found.clamp(0.0, 1e6) as u32;
    if (f64::from(whole) - found).abs() < 1e-9 {
        Ok(whole)
    } else {
        Err(Error::custom(format!(
            "found {found} parts, expected a whole number from 0 to 1000000"
        )))
    }
}

/// A mix and what it should look like.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MixEntry {
    /// What is stirred.
    pub paints: Vec<PartsEntry>,
    /// The predicted colour: L*, a*, b*.
    pub lab: [f64; 3],
    /// That colour as sRGB.
    #[serde(default)]
    pub hex: String,
    /// Predicted difference from the wanted colour, CIEDE2000.
    pub de2000: f64,
    /// Two in three real mixes should fall within this difference of the prediction, CIEDE2000.
    pub uncertainty_de: f64,
    /// How near a real mix should come to the wanted colour, in two cases of three; absent in plans of earlier
    /// versions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected_de: Option<f64>,
}

impl MixEntry {
    /// A recipe with the names of its paints.
    #[must_use]
    pub fn new(recipe: &Recipe, shelf: &Shelf) -> Self {
        let ColourEntry { lab, hex } = recipe.colour.into();
        Self {
            paints: recipe
                .parts
                .iter()
                .map(|(at, parts)| PartsEntry {
                    name: shelf[*at].name.clone(),
                    parts: *parts,
                })
                .collect(),
            lab,
            hex,
            de2000: rounded(recipe.difference.0),
            uncertainty_de: rounded(recipe.uncertainty.0),
            expected_de: Some(rounded(recipe.expected().0)),
        }
    }

    /// The predicted colour.
    #[must_use]
    pub fn colour(&self) -> LabD65 {
        let [l, a, b] = self.lab;
        LabD65 { l, a, b }
    }

    /// "3 raw umber + 1 titanium white".
    #[must_use]
    pub fn words(&self) -> String {
        stirred((self.paints.iter()).map(|paint| (&paint.parts, &paint.name)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_written_as_whole_numbers_and_older_plans_still_read() {
        let entry = |parts: &str| {
            serde_json::from_str::<PartsEntry>(&format!("{{\"name\":\"umber\",\"parts\":{parts}}}"))
        };
        assert_eq!(entry("3").unwrap(), entry("3.0").unwrap());
        assert_eq!(
            serde_json::to_string(&entry("3.0").unwrap()).unwrap(),
            "{\"name\":\"umber\",\"parts\":3}"
        );
        for bad in ["2.5", "-1", "1e7", "\"3\""] {
            assert!(entry(bad).is_err(), "{bad}");
        }
        assert_eq!(as_typed(2.0).to_string(), "2");
        assert_eq!(as_typed(1.5).to_string(), "1.5");
    }
}

/// A colour and mixes for it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MixedColour {
    /// The colour.
    #[serde(flatten)]
    pub colour: ColourEntry,
    /// Mixes, the soundest first.
    pub recipes: Vec<MixEntry>,
}

/// A paint of a pot that was mixed: parts need not be whole.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MixedParts {
    /// Its name on the list.
    pub name: String,
    /// Its parts.
    pub parts: f64,
}

/// A colour by its numbers alone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabOnly {
    /// L*, a*, b*.
    #[schemars(with = "[f64; 3]")]
    pub lab: LabD65,
}
