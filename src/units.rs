//! Lengths, areas, volumes, parts and scales, as types.
//!
//! In: text with units ("0.9 m", "310 cm2", "1:87", "H0") or numbers through named constructors. Out: values that are
//! finite and in range, so that no later code has to check again. On the model lengths are [`Millimetres`]; in the
//! full-size world they are [`Metres`]; the only bridge between the two is [`ScaleRatio`].

use crate::problem::Explain;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// What is wrong with a number or a measure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// No number could be read.
    #[error("found \"{found}\", expected {expected}")]
    NotANumber {
        /// The text as written.
        found: String,
        /// What was wanted, with an example.
        expected: &'static str,
    },
    /// A number without a unit, or with one that does not fit.
    #[error("found \"{found}\", expected a number and one of the units {units}")]
    UnknownUnit {
        /// The text as written.
        found: String,
        /// Units that fit here.
        units: &'static str,
    },
    /// A number outside what makes sense.
    #[error("found {found}, expected {expected}")]
    OutOfRange {
        /// The value as written.
        found: String,
        /// The range that is accepted.
        expected: &'static str,
    },
    /// A scale that is not known.
    #[error(
        "found \"{found}\", expected a scale such as \"1:87\", or a letter (Z, N, TT, H0, 00, EM, P4, S, 0, 1, G), or \"4 mm\""
    )]
    UnknownScale {
        /// The text as written.
        found: String,
        /// The nearest name, or the ratio that may be meant.
        nearest: Option<String>,
    },
    /// A scale letter that means more than one ratio.
    #[error("found \"{letter}\", which stands for several ratios: {ratios}")]
    SeveralRatios {
        /// The letter as written.
        letter: String,
        /// The ratios it means.
        ratios: String,
    },
}

impl Explain for UnitError {
    fn hint(&self) -> Option<String> {
        match self {
            Self::UnknownUnit { found, units } => {
                let first = units.split(", ").next().unwrap_or(units);
                let sides = found.split(['x', 'X', '×', '*']).map(str::trim);
                let all: Vec<&str> = sides.collect();
                let sides: Vec<&str> =
                    (all.iter().copied().filter(|side| number(side).is_ok())).collect();
                Some(match (&sides[..], number(found)) {
                    _ if *units == AREAS && all.len() > 2 => {
                        "three measures do not make an area: write width x height, such as \"10 x 4 cm\"; for several pieces, their area together, such as \"80 cm2\"".to_owned()
                    }
                    ([wide, high], _) if *units == AREAS => {
                        format!("say in what: \"{wide} x {high} cm\"")
                    }
                    (_, Ok(_)) if *units == LENGTHS => {
                        let n = found.trim();
                        format!("say in what: \"{n} m\", \"{n} cm\" or \"{n} mm\"")
                    }
                    (_, Ok(_)) => format!(
                        "write the unit after the number, as in \"{} {first}\"",
                        found.trim()
                    ),
                    _ => format!("write one number and its unit, as in \"12 {first}\""),
                })
            }
            Self::UnknownScale { nearest, .. } => {
                nearest.as_ref().map(|n| format!("did you mean \"{n}\"?"))
            }
            Self::NotANumber { .. } | Self::OutOfRange { .. } => None,
            Self::SeveralRatios { letter, ratios } => {
                let first = ratios.split(", ").next().unwrap_or("1:87");
                Some(format!("name the ratio too, as in \"{letter} {first}\""))
            }
        }
    }
}

/// Reads a number that may carry a decimal comma.
///
/// # Errors
/// [`UnitError::NotANumber`] when the text is no finite number.
pub fn number(text: &str) -> Result<f64, UnitError> {
    let trimmed = text.trim();
    if let Some((whole, thousand)) = trimmed.split_once(',')
        && thousand.len() == 3
        && thousand.bytes().all(|b| b.is_ascii_digit())
        && !matches!(whole, "0" | "-0" | "")
    {
        return Err(UnitError::NotANumber {
            found: text.to_owned(),
            expected: "1200 or 1.2: a comma before three digits could mean either",
        });
    }
    let dotted = if trimmed.contains('.') {
        trimmed.to_owned()
    } else {
        trimmed.replacen(',', ".", 1)
    };
    dotted
        .parse::<f64>()
        .ok()
        .filter(|value| value.is_finite())
        .ok_or_else(|| UnitError::NotANumber {
            found: text.to_owned(),
            expected: "a number such as 0.9",
        })
}

/// "1.200": a lone point before three digits, as thousands are written in many countries.
fn may_be_thousands(text: &str) -> bool {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.'));
    let digits = &text[..end.unwrap_or(text.len())];
    let parts: Vec<&str> = digits.split('.').collect();
    matches!(parts[..], [whole, thousand] if thousand.len() == 3 && !matches!(whole, "" | "0"))
}

/// Splits "0.9 m" into its number and its unit (lower case, without inner blanks).
fn split_measure(text: &str) -> Option<(f64, String)> {
    let trimmed = text.trim();
    let end = trimmed
        .char_indices()
        .find(|(at, c)| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | ',' | '-' | '+')
                || (matches!(c, 'e' | 'E')
                    && trimmed[at + 1..].starts_with(|d: char| d.is_ascii_digit())))
        })
        .map_or(trimmed.len(), |(at, _)| at);
    let value = number(&trimmed[..end]).ok()?;
    let unit = trimmed[end..]
        .replace(char::is_whitespace, "")
        .to_lowercase();
    Some((value, unit))
}

macro_rules! measure {
    ($(#[$doc:meta])* $name:ident, $low:expr, $high:expr, $range:literal, $suffix:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Takes a finite number in range.
            ///
            /// # Errors
            /// [`UnitError::OutOfRange`] otherwise.
            pub fn new(value: f64) -> Result<Self, UnitError> {
                if value.is_finite() && ($low..=$high).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err(UnitError::OutOfRange { found: format!("{value} {}", $suffix), expected: $range })
                }
            }

            /// The bare number in this unit.
            #[must_use]
            pub fn value(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let text = format!("{} {}", trimmed(self.0), $suffix);
                f.write_str(text.trim_end())
            }
        }
    };
}

measure!(
    /// A length in the full-size world.
    Metres, 0.0, 1e6, "a length from 0 to 1000 km", "m"
);
measure!(
    /// A length on the model.
    Millimetres, 0.0, 1e6, "a length from 0 to 1000 m", "mm"
);
measure!(
    /// An area on the model.
    SquareCentimetres, 0.01, 1e7, "an area above 0, up to 1000 m2", "cm2"
);
measure!(
    /// A volume of paint.
    Millilitres, 0.0, 1e7, "a volume from 0 to 10 000 l", "ml"
);
measure!(
    /// A mass of scatter.
    Grams, 0.0, 1e8, "a mass from 0 to 100 t", "g"
);
measure!(
    /// A share of a whole, 0 to 1.
    Share, 0.0, 1.0, "a share from 0 to 1", ""
);

impl<'de> Deserialize<'de> for Share {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::new(f64::deserialize(from)?).map_err(serde::de::Error::custom)
    }
}

/// A number with at most three decimals and no trailing zeros.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

const LENGTHS: &str = "m, cm, mm, km, ft, in, yd, mi";
const AREAS: &str = "cm2, dm2, m2, mm2, in2, ft2";

/// Metres in one unit of length. Inch, foot, yard and mile are the international ones (1959): exact.
fn metres_in(unit: &str) -> Option<f64> {
    Some(match unit {
        "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
        "cm" => 0.01,
        "mm" => 0.001,
        "km" => 1000.0,
        "ft" | "foot" | "feet" | "'" => 0.3048,
        "in" | "inch" | "inches" | "\"" => 0.0254,
        "yd" | "yard" | "yards" => 0.9144,
        "mi" | "mile" | "miles" => 1609.344,
        _ => return None,
    })
}

/// "26 ft 3 in", "5' 6\"", "1m20".
fn feet_and_inches(text: &str) -> Option<f64> {
    let lower = text.trim().to_lowercase();
    let (great, rest) = ["feet", "foot", "ft", "'", "m"]
        .iter()
        .find_map(|unit| Some((lower.split_once(*unit)?, *unit)))
        .map(|((great, rest), unit)| ((great, unit), rest.trim()))?;
    let (great, unit) = (number(great.0).ok()?, great.1);
    if unit == "m" {
        let whole = rest.len() == 2 && rest.bytes().all(|b| b.is_ascii_digit());
        return whole.then(|| rest.parse::<f64>().ok().map(|cm| great + cm / 100.0))?;
    }
    let small = ["inches", "inch", "in", "\"", "''"]
        .iter()
        .find_map(|unit| rest.strip_suffix(*unit))?;
    Some(0.3048 * great + 0.0254 * number(small).ok()?)
}

impl FromStr for Metres {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        if let Some(metres) = feet_and_inches(text) {
            return Self::new(metres);
        }
        let (value, unit) = split_measure(text).ok_or_else(|| UnitError::NotANumber {
            found: text.to_owned(),
            expected: "a length such as \"0.9 m\" or \"3 ft\"",
        })?;
        let factor = metres_in(&unit).ok_or_else(|| UnitError::UnknownUnit {
            found: text.to_owned(),
            units: LENGTHS,
        })?;
        Self::new(value * factor).map_err(|_| UnitError::OutOfRange {
            found: text.to_owned(),
            expected: "a length from 0 to 1000 km",
        })
    }
}

impl Metres {
    /// This length on the model's own ruler.
    ///
    /// # Errors
    /// [`UnitError::OutOfRange`] beyond 1000 m.
    pub fn on_the_model(self) -> Result<Millimetres, UnitError> {
        Millimetres::new(self.0 * 1000.0)
    }
}

impl FromStr for Millimetres {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        text.parse::<Metres>()?.on_the_model()
    }
}

impl FromStr for SquareCentimetres {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        if let Some(area) = two_sides(text) {
            return area;
        }
        let (value, unit) = split_measure(text).ok_or_else(|| UnitError::NotANumber {
            found: text.to_owned(),
            expected: "an area such as \"310 cm2\" or \"10 x 4 cm\"",
        })?;
        let unit = unit.replace('²', "2").replace("^2", "2");
        if matches!(unit.as_str(), "cm2" | "mm2") && may_be_thousands(text) {
            return Err(UnitError::NotANumber {
                found: text.to_owned(),
                expected: "1200 cm2 or 1.2 cm2: a point before three digits could mean either",
            });
        }
        let base = unit
            .strip_prefix("sq")
            .or_else(|| unit.strip_suffix('2'))
            .map(str::to_owned);
        let side = base.and_then(|length| match length.trim_start_matches('.') {
            "dm" => Some(0.1),
            other => metres_in(other),
        });
        let Some(side) = side else {
            return Err(UnitError::UnknownUnit {
                found: text.to_owned(),
                units: AREAS,
            });
        };
        Self::new(value * side * side * 1e4).map_err(|_| UnitError::OutOfRange {
            found: text.to_owned(),
            expected: "an area above 0, up to 1000 m2",
        })
    }
}

/// "10 x 4 cm", "10 cm × 4 cm", "10 by 4 in": two lengths; the first may borrow the unit of the second.
fn two_sides(text: &str) -> Option<Result<SquareCentimetres, UnitError>> {
    let lower = text.to_lowercase();
    let (one, other) = ["×", " by ", "x", "*"]
        .iter()
        .find_map(|sign| lower.split_once(sign))?;
    let (width, width_unit) = split_measure(one)?;
    let (height, height_unit) = split_measure(other)?;
    let second = metres_in(&height_unit)?;
    let first = if width_unit.is_empty() {
        second
    } else {
        metres_in(&width_unit)?
    };
    Some(
        SquareCentimetres::new(width * first * height * second * 1e4).map_err(|_| {
            UnitError::OutOfRange {
                found: text.to_owned(),
                expected: "an area above 0, up to 1000 m2",
            }
        }),
    )
}

/// One drop, millilitres: the least that can be counted. Common practice, no source.
pub const DROP: f64 = 0.05;

impl FromStr for Millilitres {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let (value, unit) = split_measure(text).ok_or_else(|| UnitError::NotANumber {
            found: text.to_owned(),
            expected: "a volume such as \"12 ml\" or \"40 drops\"",
        })?;
        let factor = match unit.as_str() {
            "ml" => 1.0,
            "cl" => 10.0,
            "l" => 1000.0,
            "drop" | "drops" => DROP,
            _ => {
                return Err(UnitError::UnknownUnit {
                    found: text.to_owned(),
                    units: "ml, cl, l, drops",
                });
            }
        };
        Self::new(value * factor)
    }
}

/// The ratio 1 : N between a model and the full-size world.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct ScaleRatio(f64);

/// Scale names and the ratios they mean; O is read as zero.
///
/// # Source
/// Beside each: NEM 010 (MOROP) and NMRA S-1, both from memory, or "common practice, no source". Where the two standards
/// give one ratio to the rounding that they are spoken of with (87 and 87.1), one is kept.
pub const SCALE_LETTERS: &[(&str, &[f64])] = &[
    ("T", &[450.0]),                        // common practice, no source
    ("Z", &[220.0]),                        // NEM 010, NMRA S-1
    ("N", &[160.0, 148.0]), // NEM 010, NMRA S-1; 1:148 British, common practice, no source
    ("TT3", &[101.6]),      // 3 mm to the foot, British, common practice, no source
    ("TT", &[120.0]),       // NEM 010, NMRA S-1
    ("H0", &[87.0]),        // NEM 010, NMRA S-1 (1:87.1)
    ("00", &[76.0]),        // British (1:76.2), common practice, no source
    ("EM", &[76.2]),        // 4 mm to the foot, British, common practice, no source
    ("P4", &[76.2]),        // as EM
    ("S4", &[76.2]),        // as EM
    ("S7", &[43.5]),        // 7 mm to the foot, British, common practice, no source
    ("S", &[64.0]),         // NEM 010, NMRA S-1
    ("0", &[45.0, 48.0, 43.5]), // NEM 010; NMRA S-1; 1:43.5 British, common practice, no source
    ("1", &[32.0]),         // NMRA S-1
    ("I", &[32.0]),         // NEM 010
    ("II", &[22.5]),        // NEM 010
    ("III", &[16.0]),       // NEM 010
    ("V", &[11.0]),         // NEM 010
    ("G", &[22.5, 24.0, 20.3, 29.0, 32.0]), // common practice, no source
];

/// Narrow gauge is the scale's name and the gauge: in NEM 010 a letter (m, e, i, p, f), else millimetres or inches.
/// Common practice, no source, except for the letters.
const GAUGES: [&str; 22] = [
    "M", "E", "I", "P", "F", "9", "6.5", "12", "12.2", "14", "15", "16.5", "18", "18.2", "N3",
    "N2", "N30", "N18", "N42", "N15", "N9", "N20",
];

/// Narrow gauges that belong to one ratio though their scale's letter has several. Common practice, no source.
const NARROW: [(&str, f64); 6] = [
    ("0-16.5", 43.5),
    ("016.5", 43.5),
    ("0-14", 43.5),
    ("014", 43.5),
    ("0N30", 48.0),
    ("0N3", 48.0),
];

/// Millimetres in a foot: "4 mm scale" is 4 mm to the foot.
const FOOT: f64 = 304.8;

/// Millimetres to the foot that are known as scales, so that "to the foot" need not be said: a bare "54 mm" or "9 mm" may as
/// well be the height of a figure or a gauge. Common practice, no source.
const MILLIMETRES_TO_THE_FOOT: [f64; 12] = [
    1.5, 2.0, 2.5, 3.0, 3.5, 3.75, 4.0, 5.5, 7.0, 8.0, 10.0, 14.0,
];

impl ScaleRatio {
    /// Takes the N of 1 : N.
    ///
    /// # Errors
    /// [`UnitError::OutOfRange`] below 1 or above 2000.
    pub fn one_to(n: f64) -> Result<Self, UnitError> {
        if n.is_finite() && (1.0..=2000.0).contains(&n) {
            Ok(Self(n))
        } else {
            Err(UnitError::OutOfRange {
                found: format!("1:{n}"),
                expected: "a scale from 1:1 to 1:2000",
            })
        }
    }

    /// The N of 1 : N.
    #[must_use]
    pub fn n(self) -> f64 {
        self.0
    }

    /// The full-size distance that looks as far away as `on_the_model` does over the layout.
    #[must_use]
    pub fn full_size(self, on_the_model: Millimetres) -> Metres {
        Metres(on_the_model.0 / 1000.0 * self.0)
    }

    /// The ratios that a scale's name means, narrow gauges too; O is read as zero.
    #[must_use]
    pub fn of_letter(letter: &str) -> Option<&'static [f64]> {
        let wanted: String = letter
            .to_uppercase()
            .replace('O', "0")
            .replace(',', ".")
            .chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'))
            .collect();
        let named = |name: &str| {
            SCALE_LETTERS
                .iter()
                .find(|(known, _)| *known == name)
                .map(|(_, ratios)| *ratios)
        };
        named(&wanted).or_else(|| {
            GAUGES.iter().find_map(|gauge| {
                // "148" is no gauge of scale 1.
                let scale = wanted.strip_suffix(gauge).filter(|s| *s != "1")?;
                named(scale)
            })
        })
    }

    /// "4 mm", "4mm/ft", "3.5 mm to the foot".
    fn from_millimetres(text: &str) -> Option<f64> {
        let lower = text.to_lowercase();
        let (number, rest) = lower.split_once("mm")?;
        let rest = rest.trim().trim_start_matches(['/', '=']).trim();
        let rest = rest
            .trim_start_matches("to")
            .trim_start_matches("per")
            .trim();
        let foot = matches!(
            rest,
            "" | "ft" | "foot" | "the foot" | "1 ft" | "1ft" | "1 foot" | "a foot" | "'"
        );
        let mm = self::number(number).ok().filter(|mm| *mm > 0.0)?;
        let known = MILLIMETRES_TO_THE_FOOT
            .iter()
            .any(|k| (k - mm).abs() < 1e-9);
        (foot && (known || !rest.is_empty())).then_some(FOOT / mm)
    }

    /// The text without words that only say that it is a scale.
    fn bare(text: &str) -> String {
        const EMPTY: [&str; 12] = [
            "scale",
            "gauge",
            "finescale",
            "fine",
            "standard",
            "massstab",
            "maßstab",
            "spur",
            "echelle",
            "échelle",
            "escala",
            "scala",
        ];
        text.split_whitespace()
            .filter(|word| !EMPTY.contains(&word.to_lowercase().as_str()))
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// The name or ratio that may be meant.
    fn nearest(text: &str) -> Option<String> {
        let lower = text.to_lowercase();
        let in_inches = lower.contains("inch") || text.contains('"');
        // A height or a gauge in millimetres, or a bare one such as 16.5, is no ratio.
        if lower.contains("mm") {
            return None;
        }
        if let Ok(n) = number(text) {
            let known = SCALE_LETTERS
                .iter()
                .any(|(_, all)| all.iter().any(|r| (r - n).abs() < 0.11));
            let is_likely = (10.0..=1000.0).contains(&n) && n.fract() == 0.0;
            return (known || is_likely).then(|| format!("1:{}", trimmed(n)));
        }
        // "87:1", "1-87", "l:87": the ratio that is meant; "3/16" and "7/8" are inches to the foot.
        let digits: Vec<f64> = text
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .filter_map(|n| n.parse().ok())
            .collect();
        let letters = text.chars().filter(|c| c.is_alphabetic()).count();
        let ratio = match digits[..] {
            [inches, of] if in_inches && text.contains('/') && inches > 0.0 && of > inches => {
                Some(12.0 * of / inches)
            }
            [one, n] | [n, one] if (one - 1.0).abs() < 1e-9 && n >= 5.0 => Some(n),
            [inches, of] if text.contains('/') && inches > 0.0 && of > inches && of <= 64.0 => {
                Some(12.0 * of / inches)
            }
            [n] if n >= 5.0 && letters <= 1 => Some(n),
            _ => None,
        };
        if let Some(n) = ratio {
            return Some(format!("1:{}", trimmed((n * 10.0).round() / 10.0)));
        }
        let wanted = text.to_uppercase().replace('O', "0");
        SCALE_LETTERS
            .iter()
            .map(|(name, _)| (strsim::damerau_levenshtein(name, &wanted), *name))
            .min()
            .filter(|(distance, name)| *distance <= 1 && *distance < name.len())
            .map(|(_, name)| name.to_owned())
    }

    fn from_ratio(text: &str) -> Option<Result<Self, UnitError>> {
        let text = text.trim_end_matches("th");
        let (one, n) = text
            .split_once([':', '/', '∶', '：'])
            .or_else(|| text.split_once(" to "))
            .or_else(|| text.split_once(" in "))?;
        let one = number(one).ok()?;
        let n = number(n).ok()?;
        // "87:1" is turned round, "7/8" is inches to the foot: asked about.
        if (one > n && n > 0.0) || (text.contains('/') && (one - 1.0).abs() > 1e-9) {
            return None;
        }
        Some(if one > 0.0 {
            Self::one_to(n / one).map_err(|_| UnitError::OutOfRange {
                found: format!("\"{text}\""),
                expected: "a scale from 1:1 to 1:2000",
            })
        } else {
            Err(UnitError::OutOfRange {
                found: format!("\"{text}\""),
                expected: "a scale from 1:1 to 1:2000",
            })
        })
    }
}

/// A letter with more beside it.
impl ScaleRatio {
    /// "N 1:148", "TT:120", "N (1:148)".
    fn from_letter_and_ratio(wanted: &str) -> Option<Result<Self, UnitError>> {
        let (letter, ratio) = wanted.split_once([' ', ':', '('])?;
        Self::of_letter(letter)?;
        let ratio = ratio.trim().trim_matches(['(', ')']);
        let gauge = ratio.replace(',', ".").to_uppercase();
        let is_gauge = !wanted.contains(':') && GAUGES.contains(&gauge.as_str());
        let of_one = number(ratio)
            .ok()
            .filter(|n| *n >= 5.0 && !is_gauge)
            .map(Self::one_to);
        Self::from_ratio(ratio).or(of_one)
    }

    /// "1:87 H0", "O (7 mm)".
    fn from_two_words(wanted: &str) -> Option<Result<Self, UnitError>> {
        let (first, second) = wanted.split_once([' ', '-'])?;
        let second = second.trim().trim_matches(['(', ')']);
        if Self::of_letter(second).is_some()
            && let Some(ratio) = Self::from_ratio(first)
        {
            return Some(ratio);
        }
        Self::of_letter(first)?;
        Self::from_millimetres(second)
            .map(Self::one_to)
            .or_else(|| Self::from_ratio(second))
    }
}

impl fmt::Display for ScaleRatio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "1:{}", trimmed(self.0))
    }
}

impl FromStr for ScaleRatio {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let bare = Self::bare(text);
        let wanted = bare.as_str();
        if let Some(ratio) = Self::from_ratio(wanted) {
            return ratio;
        }
        if let Some(n) = Self::from_millimetres(wanted) {
            return Self::one_to(n).map_err(|_| UnitError::OutOfRange {
                found: format!("\"{text}\""),
                expected: "a scale from 1:1 to 1:2000",
            });
        }
        if let Some(ratio) =
            Self::from_letter_and_ratio(wanted).or_else(|| Self::from_two_words(wanted))
        {
            return ratio;
        }
        let narrow = (wanted.to_uppercase().replace('O', "0"))
            .replace(',', ".")
            .replace([' ', '-'], "");
        if let Some((_, n)) = NARROW
            .iter()
            .find(|(name, _)| name.replace('-', "") == narrow)
        {
            return Self::one_to(*n);
        }
        match Self::of_letter(wanted) {
            Some([only]) => Self::one_to(*only),
            Some(several) => Err(UnitError::SeveralRatios {
                letter: wanted.to_owned(),
                ratios: several
                    .iter()
                    .map(|n| format!("1:{}", trimmed(*n)))
                    .collect::<Vec<_>>()
                    .join(", "),
            }),
            None => Err(UnitError::UnknownScale {
                found: text.to_owned(),
                // British track of 18.2 and 18.83 mm at 4 mm to the foot.
                nearest: if text.trim().to_lowercase().starts_with("fine") {
                    Some("EM\" or \"P4".to_owned())
                } else {
                    Self::nearest(wanted)
                },
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9 * b.abs().max(1.0)
    }

    #[test]
    fn finescale_has_an_answer() {
        for text in ["finescale", "fine scale", "Finescale"] {
            let refused = text.parse::<ScaleRatio>().unwrap_err();
            assert!(
                refused
                    .hint()
                    .is_some_and(|hint| hint.contains("\"EM\" or \"P4\"")),
                "{text}"
            );
        }
    }

    #[test]
    fn lengths_and_areas_are_read_with_their_units() {
        assert!(near("0.9 m".parse::<Metres>().unwrap().value(), 0.9));
        assert!(near("0,9m".parse::<Metres>().unwrap().value(), 0.9));
        assert!(
            "1,200 m".parse::<Metres>().is_err(),
            "a comma that could mean either"
        );
        assert!(near("0,125 m".parse::<Metres>().unwrap().value(), 0.125));
        assert!(near("3 ft".parse::<Metres>().unwrap().value(), 0.9144));
        assert!(near(
            "310 cm2".parse::<SquareCentimetres>().unwrap().value(),
            310.0
        ));
        assert!(near(
            "20 dm²".parse::<SquareCentimetres>().unwrap().value(),
            2000.0
        ));
        assert!(near(
            "2 sq ft".parse::<SquareCentimetres>().unwrap().value(),
            1858.0608
        ));
    }

    #[test]
    fn a_measure_without_its_unit_is_refused() {
        assert!(matches!(
            "0.9".parse::<Metres>(),
            Err(UnitError::UnknownUnit { .. })
        ));
        assert!(matches!(
            "-1 m".parse::<Metres>(),
            Err(UnitError::OutOfRange { .. })
        ));
        assert!(matches!(
            "wide".parse::<Metres>(),
            Err(UnitError::NotANumber { .. })
        ));
        assert!(matches!(
            "5 m".parse::<SquareCentimetres>(),
            Err(UnitError::UnknownUnit { .. })
        ));
    }

    #[test]
    fn a_letter_with_several_ratios_asks_for_one() {
        assert!(matches!(
            "N".parse::<ScaleRatio>(),
            Err(UnitError::SeveralRatios { .. })
        ));
        assert!(near("N 1:148".parse::<ScaleRatio>().unwrap().n(), 148.0));
        assert!(near("HO".parse::<ScaleRatio>().unwrap().n(), 87.0));
        assert!("1:0".parse::<ScaleRatio>().is_err());
        assert!("0:0".parse::<ScaleRatio>().is_err());
        assert!("eighty".parse::<ScaleRatio>().is_err());
    }

    #[test]
    #[expect(
        clippy::too_many_lines,
        reason = "one table of spellings and their scales"
    )]
    fn scales_are_read_as_people_write_them() {
        for (text, n) in [
            ("4mm", 76.2),
            ("4 mm/ft", 76.2),
            ("4mm scale", 76.2),
            ("3,5 mm", 304.8 / 3.5),
            ("7 mm to the foot", 304.8 / 7.0),
            ("009", 76.0),
            ("OO9", 76.0),
            ("O-16.5", 43.5),
            ("H0e", 87.0),
            ("HOm", 87.0),
            ("H0n3", 87.0),
            ("1 to 76", 76.0),
            ("1:76.2", 76.2),
            ("1/76", 76.0),
            ("TT", 120.0),
            ("TT:120", 120.0),
            ("S", 64.0),
            ("Z", 220.0),
            ("EM", 76.2),
            ("P4", 76.2),
            ("OO gauge", 76.0),
            ("H0 scale", 87.0),
            ("On30", 48.0),
            ("N 1:148", 148.0),
            ("1:76 finescale", 76.0),
            ("Spur H0", 87.0),
            ("TTm", 120.0),
            ("OO 9", 76.0),
            ("HO 9", 87.0),
            ("TT 9", 120.0),
            ("H0 12", 87.0),
            ("O 16,5", 43.5),
            ("0-16,5", 43.5),
            ("O 14", 43.5),
            ("N 148", 148.0),
            ("TT 120", 120.0),
        ] {
            let found = text.parse::<ScaleRatio>();
            assert!(
                found.as_ref().is_ok_and(|s| near(s.n(), n)),
                "{text}: {found:?}"
            );
        }
        for text in ["Nm", "G", "Gn15", "O", "0e"] {
            assert!(
                matches!(
                    text.parse::<ScaleRatio>(),
                    Err(UnitError::SeveralRatios { .. })
                ),
                "{text}"
            );
        }
        for (text, nearest) in [
            ("87", "1:87"),
            ("148", "1:148"),
            ("HH0", "H0"),
            ("finescale", ""),
            ("1/8 inch", "1:96"),
        ] {
            let refused = text.parse::<ScaleRatio>().unwrap_err();
            let hint = refused.hint().unwrap_or_default();
            assert!(hint.contains(nearest), "{text}: {refused}: {hint}");
        }
        for text in ["28mm", "16.5 mm", "18.83", "SM32", "scale 7"] {
            let refused = text.parse::<ScaleRatio>().unwrap_err();
            assert_eq!(refused.hint(), None, "{text}");
        }
        assert!("1.200 cm2".parse::<SquareCentimetres>().is_err());
        assert!("N 9".parse::<ScaleRatio>().is_err(), "N has two ratios");
    }

    #[test]
    fn two_sides_are_an_area() {
        for text in [
            "10 x 4 cm",
            "10cm x 4cm",
            "10 × 4 cm",
            "100mm by 40mm",
            "0.1 m * 4 cm",
        ] {
            let area: SquareCentimetres = text.parse().unwrap();
            assert!(near(area.value(), 40.0), "{text}: {area}");
        }
    }

    #[test]
    fn the_scale_is_the_bridge_to_the_full_size_world() {
        let eye = "0.9 m".parse::<Millimetres>().unwrap();
        let scale = "1:87".parse::<ScaleRatio>().unwrap();
        assert!(near(scale.full_size(eye).value(), 78.3));
    }
}
