//! The palette for those who draw: an SVG picture (W3C SVG 1.1) and design tokens (Design Tokens Community Group,
//! Format Module and Color Module 2025.10).

use super::ReportError;
use super::words::capitalised;
use crate::colour::{LabD65, Srgb8, plain_word};
use crate::plan::Plan;
use crate::report::page::tight::with_tight_drawings;
use crate::share::ColourEntry;
use askama::Template;
use serde_json::{Map, Value, json};

/// Longest name that is drawn; the whole of it is in the picture's title.
const LONGEST_NAME: usize = 64;

/// One swatch of the picture.
#[derive(Debug)]
struct PaletteSwatch {
    x: u32,
    hex: String,
    name: String,
    mix: Option<String>,
}

/// One surface of the picture.
#[derive(Debug)]
struct PaletteRow {
    y: u32,
    name: String,
    whole_name: String,
    swatches: Vec<PaletteSwatch>,
}

#[derive(Template)]
#[template(path = "figures/palette.svg", config = "report-templates/askama.toml")]
struct Palette {
    title: String,
    width: u32,
    height: u32,
    rows: Vec<PaletteRow>,
}

const SWATCH: u32 = 120;
const ROW: u32 = 150;
const LEFT: u32 = 24;
const TOP: u32 = 64;

/// A text that XML can hold: characters it forbids become U+FFFD.
///
/// # Source
/// W3C Extensible Markup Language 1.0, fifth edition, production 2 (Char).
fn for_xml(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => ' ',
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            c => c,
        })
        .collect()
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST_NAME {
        return text.to_owned();
    }
    let short: String = text.chars().take(LONGEST_NAME - 1).collect();
    format!("{short}…")
}

/// The planned colours of every surface as one SVG picture, on neutral mid-grey.
///
/// # Errors
/// [`ReportError`] when the template fails.
pub fn palette_svg(plan: &Plan<'_>) -> Result<String, ReportError> {
    let mut most = 1;
    let rows: Vec<PaletteRow> = (0_u32..)
        .zip(&plan.surfaces)
        .map(|(row, surface)| {
            let swatches: Vec<PaletteSwatch> = (0_u32..)
                .zip(&surface.tones)
                .map(|(i, tone)| PaletteSwatch {
                    x: LEFT + i * SWATCH,
                    hex: tone.wanted.moved.colour.to_srgb8().to_string(),
                    name: capitalised(plain_word(tone.wanted.tone.colour)),
                    mix: tone
                        .recipes
                        .first()
                        .map(|r| r.colour.to_srgb8().to_string()),
                })
                .collect();
            most = most.max(u32::try_from(swatches.len()).unwrap_or(most));
            let whole_name = for_xml(&surface.wanted.name);
            PaletteRow {
                y: TOP + row * ROW,
                name: shortened(&whole_name),
                whole_name,
                swatches,
            }
        })
        .collect();
    let height = TOP + ROW * u32::try_from(rows.len()).unwrap_or(0) + LEFT;
    let palette = Palette {
        title: for_xml(&plan.layout.title),
        width: 2 * LEFT + SWATCH * most.max(5),
        height,
        rows,
    };
    Ok(with_tight_drawings(&palette.render()?))
}

/// A name that may stand as a token's or group's: the format keeps `{`, `}` and `.` for references, and `$` in front for
/// itself; a number in front keeps names apart.
///
/// # Source
/// Design Tokens Community Group, Format Module 2025.10, "Character restrictions".
fn token_name(number: usize, of: usize, name: &str) -> String {
    let width = of.to_string().len();
    let name: String = name
        .chars()
        .map(|c| if matches!(c, '{' | '}' | '.') { ' ' } else { c })
        .collect();
    format!("{number:0width$} {}", name.trim())
}

/// One colour token: sRGB components from 0 to 1, with Lab under D65 as an extension.
///
/// # Source
/// Design Tokens Community Group, Color Module 2025.10: `colorSpace`, `components`, `alpha`, `hex`.
fn colour_token(colour: LabD65, description: &str) -> Value {
    let Srgb8(bytes) = colour.to_srgb8();
    let components = bytes.map(|byte| (f64::from(byte) / 255.0 * 1e4).round() / 1e4);
    json!({
        "$type": "color",
        "$value": { "colorSpace": "srgb", "components": components, "alpha": 1, "hex": colour.to_srgb8() },
        "$description": description,
        "$extensions": { "hillwash": { "lab_d65": ColourEntry::from(colour).lab } },
    })
}

/// The palette as design tokens: a group a surface, in it a group a tone with `planned` and, where something mixes,
/// `predicted`.
///
/// # Errors
/// [`ReportError`] when the JSON cannot be written.
pub fn design_tokens(plan: &Plan<'_>) -> Result<String, ReportError> {
    let mut root = Map::new();
    root.insert(
        "$description".to_owned(),
        json!(format!(
            "hillwash.schedule/1: planned colours and predicted mixes of \"{}\"; screens shift colour, trust the dried patch",
            plan.layout.title
        )),
    );
    let of = plan.surfaces.len();
    for (s, surface) in plan.surfaces.iter().enumerate() {
        let mut group = Map::new();
        group.insert("$description".to_owned(), json!(surface.wanted.name));
        for (t, tone) in surface.tones.iter().enumerate() {
            let share = 100.0 * tone.wanted.tone.share.value();
            let planned = format!(
                "{}, {}, about {share:.0} % of the area",
                tone.wanted.tone.name,
                tone.wanted.tone.role.word()
            );
            let mut entry = Map::new();
            entry.insert(
                "planned".to_owned(),
                colour_token(tone.wanted.moved.colour, &planned),
            );
            if let Some(recipe) = tone.recipes.first() {
                let mix = crate::share::MixEntry::new(recipe, plan.shelf).words();
                entry.insert("predicted".to_owned(), colour_token(recipe.colour, &mix));
            }
            let name = token_name(t + 1, surface.tones.len(), tone.wanted.tone.name);
            group.insert(name, Value::Object(entry));
        }
        root.insert(
            token_name(s + 1, of, &surface.wanted.name),
            Value::Object(group),
        );
    }
    Ok(format!("{:#}\n", Value::Object(root)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_tokens_hold_nothing_the_format_keeps_for_itself() {
        assert_eq!(token_name(3, 12, "$a.{b}"), "03 $a  b");
        assert_eq!(for_xml("a\u{0}b\u{1b}\tc"), "a\u{fffd}b\u{fffd} c");
        assert!(shortened(&"x".repeat(300)).chars().count() == LONGEST_NAME);
    }

    #[test]
    fn a_token_has_components_from_0_to_1_and_the_same_hex() {
        let white = colour_token(Srgb8([255, 0, 51]).into(), "");
        assert_eq!(white["$value"]["components"], json!([1.0, 0.0, 0.2]));
        assert_eq!(white["$value"]["hex"], "#ff0033");
        assert_eq!(white["$value"]["colorSpace"], "srgb");
    }
}
