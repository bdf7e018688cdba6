//! Colours as people write them: CSS Color Module Level 4.

use super::lab::LabD65;
use super::munsell::from_munsell;
use super::srgb::{LinearSrgb, Srgb8};
use crate::problem::Explain;
use color::{AlphaColor, DynamicColor, Lab as CssLab, LinearSrgb as CssLinear, ParseError};

/// Why a colour could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ColourTextError {
    /// A character that is no hex digit.
    #[error("found \"{found}\", expected # and 3, 4, 6 or 8 hex digits")]
    NotHex {
        /// The text as written.
        found: String,
        /// The first character that does not fit.
        character: char,
    },
    /// The wrong number of hex digits.
    #[error("found \"{found}\", expected # and 3, 4, 6 or 8 hex digits")]
    HexLength {
        /// The text as written.
        found: String,
        /// How many digits it has.
        digits: usize,
    },
    /// A colour that lets what lies behind it through.
    #[error("found \"{found}\", expected an opaque colour")]
    SeeThrough {
        /// The text as written.
        found: String,
    },
    /// Neither hex nor a colour function.
    #[error(
        "found \"{found}\", expected a colour such as #7a5b48, 122 91 72, lab(48 12 20), oklch(0.5 0.06 50) or Munsell 10R 4/6"
    )]
    NotAColour {
        /// The text as written.
        found: String,
    },
    /// Three numbers, one of which is not a channel.
    #[error("found \"{found}\", expected red, green and blue from 0 to 255")]
    NotChannels {
        /// The text as written.
        found: String,
    },
    /// A Munsell notation outside the system.
    #[error(
        "found \"{found}\", expected a Munsell notation such as 10R 4/6 or N 5: hue 0 to 10 with its letters, value 0 to 10, chroma 0 to 38"
    )]
    NotMunsell {
        /// The text as written.
        found: String,
    },
    /// A value that no surface or light can have.
    #[error("found \"{found}\", expected a lightness L* from 0 to 100")]
    OutOfRange {
        /// The text as written.
        found: String,
    },
}

impl Explain for ColourTextError {
    fn hint(&self) -> Option<String> {
        Some(match self {
            Self::NotHex { character, .. } => {
                format!("\"{character}\" is not a hex digit (0-9, a-f)")
            }
            Self::HexLength { digits, .. } => {
                format!("it has {digits} digits; most colours have 6, as in #7a5b48")
            }
            Self::SeeThrough { .. } => {
                "leave the alpha part out: paint opacity has a column of its own".to_owned()
            }
            Self::NotAColour { found } if is_a_number(found) => {
                "a spreadsheet may have made a number of the hex: write # before it".to_owned()
            }
            Self::NotAColour { found } if is_lab(found) => {
                "CIELAB under D65 goes into the columns lab_l, lab_a and lab_b; lab(48 12 20) is read as under D50".to_owned()
            }
            Self::NotAColour { .. } => return None,
            Self::NotChannels { .. } => "255 is all of a channel".to_owned(),
            Self::NotMunsell { .. } => {
                "write hue, value and chroma: 2.5YR 5/4 is a brown".to_owned()
            }
            Self::OutOfRange { .. } => "0 is black, 100 is white".to_owned(),
        })
    }
}

/// Reads `#rgb`, `#rrggbb` and the forms with alpha (which must be opaque). Without the # six digits are taken too.
///
/// # Errors
/// The variants of [`ColourTextError`] that name hex or alpha.
pub(super) fn parse_hex(text: &str) -> Result<Srgb8, ColourTextError> {
    let found = text.trim();
    let digits = found.strip_prefix('#').unwrap_or(found);
    if let Some(character) = digits.chars().find(|c| !c.is_ascii_hexdigit()) {
        return Err(ColourTextError::NotHex {
            found: found.to_owned(),
            character,
        });
    }
    let nibbles: Vec<u8> = digits
        .bytes()
        .map(|digit| match digit {
            b'0'..=b'9' => digit - b'0',
            _ => digit.to_ascii_lowercase() - b'a' + 10,
        })
        .collect();
    let (rgb, alpha) = match nibbles[..] {
        [r, g, b] => ([r * 17, g * 17, b * 17], 255),
        [r, g, b, a] => ([r * 17, g * 17, b * 17], a * 17),
        [a, b, c, d, e, f] => ([a * 16 + b, c * 16 + d, e * 16 + f], 255),
        [a, b, c, d, e, f, g, h] => ([a * 16 + b, c * 16 + d, e * 16 + f], g * 16 + h),
        _ => {
            return Err(ColourTextError::HexLength {
                found: found.to_owned(),
                digits: nibbles.len(),
            });
        }
    };
    if alpha == 255 {
        Ok(Srgb8(rgb))
    } else {
        Err(ColourTextError::SeeThrough {
            found: found.to_owned(),
        })
    }
}

/// True for what a spreadsheet makes of hex digits without letters: "91748", "7.1E+48".
fn is_a_number(text: &str) -> bool {
    text.replace(',', ".").parse::<f64>().is_ok()
}

/// True for three numbers that may be L*, a* and b*: "Lab 48 12 20", "48, 12.5, 20.3".
fn is_lab(text: &str) -> bool {
    let lower = text.to_lowercase();
    let numbers = lower
        .trim_start_matches("lab")
        .replace([',', ';', '/', ':'], " ");
    let words: Vec<&str> = numbers.split_whitespace().collect();
    words.len() == 3 && words.iter().all(|word| word.parse::<f64>().is_ok())
}

/// Red, green and blue as three numbers from 0 to 255: "122 91 72", "122,91,72", "rgb(122, 91, 72)", "R122 G91 B72";
/// `None` where the text is something else.
fn three_channels(found: &str) -> Option<Result<Srgb8, ColourTextError>> {
    let fits = |c: char| {
        c.is_ascii_digit()
            || " ,;/|:=()-\t".contains(c)
            || matches!(c.to_ascii_lowercase(), 'r' | 'g' | 'b' | 's')
    };
    let letters: String = found.chars().filter(char::is_ascii_alphabetic).collect();
    let letters = letters.to_lowercase();
    // "10R/4/6" is none of red, green and blue.
    if !found.chars().all(fits) || !matches!(letters.as_str(), "" | "rgb" | "srgb") {
        return None;
    }
    let runs: Vec<&str> = found
        .split(|c: char| !c.is_ascii_digit())
        .filter(|run| !run.is_empty())
        .collect();
    let [r, g, b] = runs[..] else { return None };
    let channel = |run: &str| run.parse::<u8>().ok();
    Some(match (channel(r), channel(g), channel(b)) {
        (Some(r), Some(g), Some(b)) => Ok(Srgb8([r, g, b])),
        _ => Err(ColourTextError::NotChannels {
            found: found.to_owned(),
        }),
    })
}

/// Hue, saturation and value as `hwb()` has them: its whiteness is (1 - saturation) of the value, its blackness what the value
/// lacks of 1.
///
/// # Source
/// A. R. Smith, *HWB: A more intuitive hue-based color model* (1996); saturation and value as in his *Color gamut transform
/// pairs* (1978).
fn from_hsv(rest: &str) -> Option<String> {
    let numbers: Vec<f64> = rest
        .trim_end_matches(')')
        .split([',', ' ', '/'])
        .filter(|part| !part.is_empty())
        .map(|part| part.trim_end_matches(['%', '°']).parse().ok())
        .collect::<Option<_>>()?;
    let [hue, saturation, value] = numbers[..] else {
        return None;
    };
    let percent = |v: &f64| (0.0..=100.0).contains(v);
    if ![saturation, value].iter().all(percent) {
        return None;
    }
    let whiteness = (1.0 - saturation / 100.0) * value;
    Some(format!("hwb({hue} {whiteness}% {}%)", 100.0 - value))
}

/// A text as the standard writes it: names in one word, "lab(48, 12, 20)" and "hsl(23°, …)" without commas and degrees.
/// The standard knows "grey" in all its names; the crate that reads it only where this is done.
fn as_css(found: &str) -> String {
    let lower = found.to_lowercase();
    let Some((function, rest)) = lower.split_once('(') else {
        let joined: String = lower.split([' ', '-', '_']).collect();
        return joined.replace("grey", "gray");
    };
    let function = function.trim();
    if matches!(function, "hsv" | "hsb")
        && let Some(hwb) = from_hsv(rest)
    {
        return hwb;
    }
    if matches!(function, "lab" | "lch" | "oklab" | "oklch") {
        return format!("{function}({}", rest.replace(',', " "));
    }
    format!("{function}({}", rest.replace('°', ""))
}

/// Reads a colour as people write it: hex with or without #, three numbers from 0 to 255, a Munsell notation, or
/// anything of CSS Color Level 4.
///
/// `lab()` and `lch()` are under D50 in that standard and are adapted to D65 (Bradford), as it says; hex, `rgb()`,
/// `oklab()`, `oklch()`, `color(display-p3 …)` and the named colours are under D65 already. Hex is exact; the others
/// go through single precision (ΔE00 below 0.001).
///
/// # Errors
/// [`ColourTextError`], with what was found and what would do.
pub fn parse_colour(text: &str) -> Result<LabD65, ColourTextError> {
    let quotes = ['"', '\'', '“', '”', '‘', '’', ';', ','];
    let text = text.replace('＃', "#").replace("# ", "#");
    let found = text.trim().trim_matches(quotes).trim();
    // "[138, 107, 74]", as programs write three channels.
    let found = [('[', ']'), ('(', ')')]
        .into_iter()
        .find_map(|(open, close)| found.strip_prefix(open)?.strip_suffix(close))
        .map_or(found, str::trim);
    let digits = found
        .strip_prefix("0x")
        .or_else(|| found.strip_prefix("0X"))
        .unwrap_or(found);
    let bare_hex =
        matches!(digits.len(), 3 | 6 | 8) && digits.bytes().all(|b| b.is_ascii_hexdigit());
    if found.starts_with('#') || bare_hex {
        return parse_hex(digits).map(LabD65::from);
    }
    if let Some(chip) = from_munsell(found) {
        return chip.map_err(|_| ColourTextError::NotMunsell {
            found: found.to_owned(),
        });
    }
    if let Some(channels) = three_channels(found) {
        return channels.map(LabD65::from);
    }
    let written = as_css(found);
    let parsed: DynamicColor =
        color::parse_color(&written).map_err(|_: ParseError| ColourTextError::NotAColour {
            found: found.to_owned(),
        })?;
    let [r, g, b, alpha] = parsed
        .to_alpha_color::<CssLinear>()
        .components
        .map(f64::from);
    if alpha < 1.0 {
        return Err(ColourTextError::SeeThrough {
            found: found.to_owned(),
        });
    }
    let lab = LabD65::from(LinearSrgb { r, g, b });
    if [lab.l, lab.a, lab.b].iter().all(|v| v.is_finite()) && (-0.01..=100.01).contains(&lab.l) {
        Ok(lab)
    } else {
        Err(ColourTextError::OutOfRange {
            found: found.to_owned(),
        })
    }
}

/// CIELAB under D50, as print and some instruments have it, adapted to D65 (Bradford), as CSS Color Level 4 does for `lab()`.
/// Through single precision (ΔE00 below 0.001).
#[must_use]
pub fn lab_under_d50(l: f64, a: f64, b: f64) -> LabD65 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the conversion is in single precision"
    )]
    let lab = AlphaColor::<CssLab>::new([l as f32, a as f32, b as f32, 1.0]);
    let [r, g, b, _] = lab.convert::<CssLinear>().components.map(f64::from);
    LabD65::from(LinearSrgb { r, g, b })
}

impl TryFrom<String> for Srgb8 {
    type Error = ColourTextError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        parse_hex(&text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_read_as_people_write_them() {
        let wanted = parse_colour("#7a5b48").unwrap();
        for text in [
            "7A5B48",
            "0x7a5b48",
            "122 91 72",
            "122,91,72",
            "122;91;72",
            "122/91/72",
            "rgb(122, 91, 72)",
            "RGB 122 91 72",
            "R122 G91 B72",
            "\"#7a5b48\"",
            " #7A5B48; ",
        ] {
            assert_eq!(parse_colour(text), Ok(wanted), "{text}");
        }
        assert_eq!(parse_colour("a53"), parse_colour("#aa5533"));
        assert!(matches!(
            parse_colour("300 1 1"),
            Err(ColourTextError::NotChannels { .. })
        ));
        let mangled = parse_colour("91748").unwrap_err();
        assert!(
            mangled
                .hint()
                .is_some_and(|hint| hint.contains("spreadsheet"))
        );
        assert!(matches!(
            parse_colour("10R 12/6"),
            Err(ColourTextError::NotMunsell { .. })
        ));
        assert!(parse_colour("12 to 15").is_err());
        assert!(parse_colour("10R/4/6").is_err());
    }

    #[test]
    fn hex_is_read_in_all_its_lengths() {
        let brown = LabD65::from(Srgb8([0x77, 0x55, 0x44]));
        for text in [
            "#754",
            "#775544",
            "#754f",
            "#775544ff",
            "775544",
            " #775544 ",
        ] {
            assert_eq!(parse_colour(text).unwrap(), brown, "{text}");
        }
    }

    #[test]
    fn a_wrong_digit_is_named() {
        assert_eq!(
            parse_colour("#7a5g48"),
            Err(ColourTextError::NotHex {
                found: "#7a5g48".to_owned(),
                character: 'g'
            })
        );
        assert!(matches!(
            parse_colour("#12"),
            Err(ColourTextError::HexLength { digits: 2, .. })
        ));
        assert!(matches!(
            parse_colour("#12345680"),
            Err(ColourTextError::SeeThrough { .. })
        ));
        assert!(matches!(
            parse_colour("brownish"),
            Err(ColourTextError::NotAColour { .. })
        ));
        assert!(parse_colour("").is_err());
    }

    #[test]
    fn hsv_is_read_as_pixel_editors_write_it() {
        // Worked by the formulas of Smith (1978): hue 20, a third of the way from red to yellow; value 50 %, saturation 50 %.
        for text in ["hsv(20, 50%, 50%)", "HSB(20° 50 50)", "hsv(20,50,50)"] {
            let srgb = parse_colour(text).unwrap().to_srgb8();
            assert_eq!(srgb, Srgb8([0x80, 0x55, 0x40]), "{text}");
        }
        assert!(parse_colour("hsv(20, 50%)").is_err());
    }

    #[test]
    fn lab_under_d50_is_adapted_to_d65() {
        // Red of sRGB: CIELAB under D50 54.29, 80.80, 69.89 (CSS Color 4 gives lab(54.29% 80.81 69.89) for it), under D65
        // 53.24, 80.09, 67.20 (IEC 61966-2-1 by CIE 15). Both from memory.
        let red = lab_under_d50(54.29, 80.80, 69.89);
        let under_d65 = LabD65::new(53.24, 80.09, 67.20);
        assert!(crate::colour::delta_e00(red, under_d65).0 < 0.05, "{red:?}");
        assert!(lab_under_d50(50.0, 0.0, 0.0).chroma() < 0.02);
    }

    #[test]
    fn css_lab_is_adapted_from_d50() {
        // CSS Color 4, section 9.3: lab() is D50, and its neutral axis stays neutral under D65.
        let grey = parse_colour("lab(50 0 0)").unwrap();
        assert!(
            (grey.l - 50.0).abs() < 1e-2 && grey.chroma() < 2e-2,
            "{grey:?}"
        );
        assert!(parse_colour("oklch(0.5 0.06 50)").is_ok());
    }
}
