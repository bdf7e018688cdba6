//! A cell that holds a number: the number, its unit, its currency, whatever the country.
//!
//! "20 ml", "2,40 €", "EUR 2.40", "1’200.50", "½", "ca. 15 ml", "50 %": the digits are read by one rule, what stands
//! before and after them is a unit or a currency, and anything else is a fault.

use super::folded::fold;
use super::measure::Measure;
use super::words::words_of;
use crate::units::{DROP, UnitError, number};

/// Which mark divides whole from parts, when the list shows it beyond doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Decimals {
    /// Not shown.
    #[default]
    Unknown,
    /// "2.40"
    Point,
    /// "2,40"
    Comma,
}

/// A cell read as a number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Amount {
    /// In the measure's own unit.
    pub(super) value: f64,
    /// True when it counts pots or shares of them, not millilitres.
    pub(super) of_the_pot: bool,
    /// Its currency, if it has one.
    pub(super) currency: Option<&'static str>,
    /// True when an ounce was read; there are two, four hundredths apart.
    pub(super) ounces: bool,
}

/// The unit that a header states for its column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HeaderUnit {
    /// How many of the column's own unit it is.
    pub(super) factor: f64,
    /// True when it is a share of the pot, or a pot.
    pub(super) of_the_pot: bool,
    /// The currency of a column of prices.
    pub(super) currency: Option<&'static str>,
}

impl Amount {
    fn plain(value: f64) -> Self {
        Self {
            value,
            of_the_pot: false,
            currency: None,
            ounces: false,
        }
    }
}

/// A cell that says nothing: a dash, a question mark, "unknown".
pub(super) fn says_nothing(text: &str) -> bool {
    let folded = fold(text);
    // Ticks and stars say something.
    let says = |c| "✓✔☑☐*★●○■□◼◻◪◩◧◨◐◑".contains(c);
    let marks = folded.is_empty() && !text.chars().any(says);
    marks
        || matches!(
            folded.as_str(),
            "n a"
                | "na"
                | "nil"
                | "unknown"
                | "not known"
                | "tbc"
                | "tbd"
                | "unbekannt"
                | "k a"
                | "keine angabe"
                | "inconnu"
                | "desconocido"
                | "sconosciuto"
                | "onbekend"
                | "null"
        )
}

/// The mark that the cells show beyond doubt: a comma or point before one, two or more than three last digits, or
/// the last of two different marks.
pub(super) fn decimals_of<'a>(cells: impl Iterator<Item = &'a str>) -> Decimals {
    let mut found = Decimals::Unknown;
    for cell in cells {
        let digits: String = cell
            .chars()
            .skip_while(|c| !c.is_ascii_digit())
            .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
            .collect();
        let digits = digits.trim_end_matches(['.', ',']);
        let marks = digits.matches(['.', ',']).count();
        let Some(at) = digits.rfind(['.', ',']) else {
            continue;
        };
        let both = digits.contains('.') && digits.contains(',');
        if (marks == 1 && (digits.len() - at != 4 || digits.starts_with('0') && at == 1)) || both {
            let mark = if digits[at..].starts_with(',') {
                Decimals::Comma
            } else {
                Decimals::Point
            };
            if found != Decimals::Unknown && found != mark {
                return Decimals::Unknown;
            }
            found = mark;
        }
    }
    found
}

/// True where thousands can be meant: of a density or an a* "1,234" has three decimals, whatever the rest of the list shows.
fn may_be_thousands(measure: Measure) -> bool {
    matches!(
        measure,
        Measure::Volume | Measure::Stock | Measure::Mass | Measure::Price
    )
}

/// False where a mark that only groups has other than three digits behind it: "2..40", "1.7.5", "2 40".
fn grouped_in_threes(digits: &str) -> bool {
    let digits = digits.trim_end_matches(['.', ',']);
    let is_blank = |c: char| matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’');
    let marks = digits.matches(['.', ',']).count();
    let one_kind = !(digits.contains('.') && digits.contains(','));
    // All marks but the last decimal one; where one mark stands several times, all of them.
    let decimal = digits
        .rfind(['.', ','])
        .filter(|_| !(one_kind && marks > 1));
    let whole = decimal.map_or(digits, |at| &digits[..at]);
    let mut groups = whole.split(|c: char| is_blank(c) || matches!(c, '.' | ','));
    let first = groups.next().unwrap_or_default();
    let mut rest = groups.peekable();
    rest.peek().is_none() || !first.is_empty() && rest.all(|group| group.len() == 3)
}

/// Reads digits with whatever marks a country puts between them.
fn digits_value(digits: &str, decimals: Decimals, measure: Measure) -> Result<f64, UnitError> {
    // "2,-" and "2.–" are whole sums of money; blanks and apostrophes only group.
    let kept: String = digits
        .chars()
        .filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’'))
        .collect();
    let kept = kept.trim_end_matches(['.', ',']);
    if !grouped_in_threes(digits) {
        return Err(UnitError::NotANumber {
            found: digits.to_owned(),
            expected: "a number such as 17.5",
        });
    }
    let last = kept.rfind(['.', ',']);
    let both = kept.contains('.') && kept.contains(',');
    let marks = kept.matches(['.', ',']).count();
    let Some(last) = last else {
        return number(kept);
    };
    let (whole, parts) = (&kept[..last], &kept[last + 1..]);
    let grouped = |text: &str| text.replace(['.', ','], "");
    if both {
        return number(&format!("{}.{parts}", grouped(whole)));
    }
    if marks > 1 {
        return number(&grouped(kept));
    }
    let comma = kept[last..].starts_with(',');
    if marks == 1 && !may_be_thousands(measure) {
        return number(&format!("{whole}.{parts}"));
    }
    match (decimals, parts.len() == 3 && whole != "0") {
        (Decimals::Point, true) if comma => number(&grouped(kept)),
        (Decimals::Comma, true) if !comma => number(&grouped(kept)),
        (Decimals::Comma, true) => number(&format!("{whole}.{parts}")),
        (Decimals::Unknown, true) if !comma => Err(UnitError::NotANumber {
            found: kept.to_owned(),
            expected: "1200 or 1.2: a point before three digits could mean either",
        }),
        _ => number(kept),
    }
}

/// What people divide a pot or an ounce into.
const PARTS_OF_ONE: [f64; 6] = [2.0, 3.0, 4.0, 5.0, 8.0, 10.0];

/// A share of one thing: "½", "3/4".
fn is_a_share(text: &str, value: f64) -> bool {
    value > 0.0 && value < 1.0 && text.contains(['/', '½', '¼', '¾', '⅓', '⅔'])
}

/// A fraction that is one sign.
fn fraction(sign: char) -> Option<f64> {
    match sign {
        '½' => Some(0.5),
        '¼' => Some(0.25),
        '¾' => Some(0.75),
        '⅓' => Some(1.0 / 3.0),
        '⅔' => Some(2.0 / 3.0),
        _ => None,
    }
}

/// Where the digits at the beginning of a text end, with their points, commas and signs between groups.
fn digits_end(text: &str) -> usize {
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let next = text[at + c.len_utf8()..].chars().next();
        let digit_next = next.is_some_and(|n| n.is_ascii_digit());
        let group =
            matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’') && digit_next;
        if c.is_ascii_digit() || matches!(c, '.' | ',') || group {
            end = at + c.len_utf8();
        } else {
            break;
        }
    }
    end
}

/// What follows the "e" of a number as programs write it: "e-3".
fn power_of_ten(text: &str) -> String {
    let power = text.strip_prefix(['e', 'E']).map(|power| {
        power
            .chars()
            .take_while(|c| c.is_ascii_digit() || matches!(c, '-' | '+'))
            .collect()
    });
    power.unwrap_or_default()
}

/// Splits a cell into what stands before its number, the number, and what follows.
fn split(
    text: &str,
    decimals: Decimals,
    measure: Measure,
) -> Option<(String, Result<f64, UnitError>, String)> {
    let text = text.trim();
    let start = text.find(|c: char| c.is_ascii_digit() || fraction(c).is_some())?;
    // A sign or a point that belongs to the number.
    let start = text[..start]
        .char_indices()
        .next_back()
        .filter(|(at, c)| {
            matches!(c, '-' | '−' | '–' | '—' | '+' | '.' | ',')
                && !text[..*at].ends_with(|c: char| c.is_alphanumeric())
        })
        .map_or(start, |(at, _)| at);
    let (before, rest) = text.split_at(start);
    // "- 9.1" too; behind the number a dash is none of a price's pence: "2,-".
    let signs = ['-', '−', '–', '—'];
    let negative = rest.starts_with(signs) || before.trim().ends_with(signs);
    let before = before.trim().trim_end_matches(signs);
    let rest = rest.trim_start_matches(signs).trim_start_matches('+');
    let (digits, mut after) = rest.split_at(digits_end(rest));
    let power = power_of_ten(after);
    let mut value = if power.bytes().any(|b| b.is_ascii_digit()) {
        after = &after[1 + power.len()..];
        number(&format!("{digits}e{power}"))
    } else if digits.is_empty() {
        Ok(0.0)
    } else {
        digits_value(digits, decimals, measure)
    };
    if let Some(c) = after.chars().next()
        && let Some(part) = fraction(c)
    {
        value = value.map(|v| v + part);
        after = &after[c.len_utf8()..];
    }
    if let Some(below) = after.strip_prefix('/')
        && let len = below.bytes().take_while(u8::is_ascii_digit).count()
        && len > 0
        && let Ok(below_value) = below[..len].parse::<f64>()
        && below_value > 0.0
    {
        // "15/20 ml" is what is left of a pot, not three quarters of a millilitre.
        value = if PARTS_OF_ONE.contains(&below_value) {
            value.map(|v| v / below_value)
        } else {
            Err(UnitError::NotANumber {
                found: text.to_owned(),
                expected: "one number",
            })
        };
        after = &below[len..];
    }
    let value = value.map(|v| if negative { -v } else { v });
    let value = match after.strip_prefix(signs) {
        // "9.1-" may be minus, as accounts have it.
        Some("") if !digits.ends_with(['.', ',']) => Err(UnitError::NotANumber {
            found: text.to_owned(),
            expected: "a number such as -9.1, its sign before it",
        }),
        _ => value,
    };
    let after = after.trim_start_matches(['-', '–', '—']);
    Some((before.trim().to_owned(), value, after.trim().to_owned()))
}

/// Words that say a number is rough.
fn is_rough(word: &str) -> bool {
    matches!(
        word,
        "" | "ca" | "circa" | "about" | "approx" | "env" | "environ" | "etwa" | "ungefahr" | "cca"
    )
}

/// A word for what holds a paint: "bottle 17 ml".
fn is_a_pot(word: &str) -> bool {
    matches!(
        word,
        "bottle"
            | "pot"
            | "jar"
            | "tube"
            | "tin"
            | "flasche"
            | "glas"
            | "dose"
            | "flacon"
            | "flesje"
            | "potje"
            | "bote"
            | "frasco"
            | "barattolo"
            | "flacone"
            | "butelka"
            | "lahvicka"
    )
}

/// A currency as the sign, the letters of ISO 4217 or the usual short word; a hundredth of it gives 0.01.
pub(super) fn currency(text: &str) -> Option<(&'static str, f64)> {
    let folded = fold(text);
    let known = match text.trim() {
        "€" => "EUR",
        "£" => "GBP",
        "$" | "US$" | "USD" => "USD",
        "¥" | "円" => "JPY",
        "元" => "CNY",
        "₩" | "원" => "KRW",
        "₽" => "RUB",
        "₺" => "TRY",
        "₴" => "UAH",
        "zł" => "PLN",
        "Kč" | "kč" => "CZK",
        "R$" => "BRL",
        "₹" | "Rs" | "Rs." => "INR",
        "A$" | "AU$" => "AUD",
        "C$" | "CA$" => "CAD",
        _ => "",
    };
    if !known.is_empty() {
        return Some((known, 1.0));
    }
    Some(match folded.as_str() {
        "eur" | "euro" | "euros" => ("EUR", 1.0),
        "gbp" | "pound" | "pounds" | "stg" => ("GBP", 1.0),
        "usd" | "dollar" | "dollars" => ("USD", 1.0),
        "chf" | "fr" | "sfr" | "franken" => ("CHF", 1.0),
        "kr" | "krone" | "kroner" | "kronor" => ("kr", 1.0),
        "sek" => ("SEK", 1.0),
        "nok" => ("NOK", 1.0),
        "dkk" => ("DKK", 1.0),
        "pln" | "zl" | "zloty" => ("PLN", 1.0),
        "czk" | "kc" => ("CZK", 1.0),
        "huf" | "ft" => ("HUF", 1.0),
        "jpy" | "yen" => ("JPY", 1.0),
        "brl" | "reais" | "real" => ("BRL", 1.0),
        "inr" | "rs" | "rupees" => ("INR", 1.0),
        "aud" => ("AUD", 1.0),
        "nzd" => ("NZD", 1.0),
        "cny" | "rmb" | "yuan" => ("CNY", 1.0),
        "krw" | "won" => ("KRW", 1.0),
        "rub" | "руб" => ("RUB", 1.0),
        "try" | "tl" | "lira" => ("TRY", 1.0),
        "zar" | "rand" => ("ZAR", 1.0),
        "sgd" => ("SGD", 1.0),
        "hkd" => ("HKD", 1.0),
        "ron" | "lei" => ("RON", 1.0),
        "bgn" => ("BGN", 1.0),
        "mxn" => ("MXN", 1.0),
        "cad" => ("CAD", 1.0),
        "p" | "pence" => ("GBP", 0.01),
        "ct" | "cent" | "cents" => ("EUR", 0.01),
        _ => return None,
    })
}

/// Millilitres in one unit.
fn millilitres(unit: &str) -> Option<f64> {
    Some(match unit {
        "ml" | "mls" | "cc" | "cm3" | "ccm" | "millilitre" | "millilitres" | "milliliter"
        | "milliliters" | "mililitr" => 1.0,
        "cl" => 10.0,
        "dl" => 100.0,
        "l" | "lt" | "ltr" | "litre" | "litres" | "liter" | "liters" | "litro" | "litros"
        | "litri" => 1000.0,
        // The fluid ounce of the United States; the imperial one is 28.41 ml.
        "fl oz" | "floz" | "oz" | "ounce" | "ounces" | "fluid ounce" | "fluid ounces" => 29.5735,
        "drop" | "drops" | "tropfen" | "gouttes" | "gotas" | "gocce" | "druppels" => DROP,
        _ => return None,
    })
}

fn grams(unit: &str) -> Option<f64> {
    Some(match unit {
        "g" | "gr" | "gram" | "grams" | "gramm" | "gramme" | "grammes" | "gramos" | "grammi" => 1.0,
        "mg" => 0.001,
        "kg" | "kilo" | "kilos" => 1000.0,
        "oz" | "ounce" | "ounces" => 28.3495,
        "lb" | "lbs" | "pound" | "pounds" => 453.592,
        _ => return None,
    })
}

/// The factor of a unit for a measure: how many of the measure's own unit one of it is.
pub(super) fn factor(measure: Measure, unit: &str) -> Option<f64> {
    let folded = fold(&unit.replace('³', "3").replace('²', "2"));
    let percent = unit.trim() == "%" || matches!(folded.as_str(), "percent" | "prozent" | "pct");
    match measure {
        Measure::Plain | Measure::Price => None,
        Measure::Channel => percent.then_some(2.55),
        Measure::Ratio => match folded.as_str() {
            _ if percent => Some(0.01),
            "x" | "times" | "mal" => Some(1.0),
            _ => None,
        },
        Measure::Parts => match folded.as_str() {
            "1" | "to 1" | "zu 1" | "parts" | "part" | "parts white" | "teile" | "partes"
            | "parti" | "delen" | "x" => Some(1.0),
            _ => None,
        },
        Measure::Volume | Measure::Stock => millilitres(&folded),
        Measure::Mass => grams(&folded),
        Measure::Length => match folded.as_str() {
            "mm" | "millimetre" | "millimetres" | "millimeter" => Some(1.0),
            "cm" => Some(10.0),
            "in" | "inch" | "inches" => Some(25.4),
            _ => (unit.trim() == "\"").then_some(25.4),
        },
        Measure::Density => match folded.as_str() {
            "g ml" | "g cm3" | "g cc" | "kg l" | "kg dm3" | "g per ml" | "kg per l" | "gml"
            | "sg" => Some(1.0),
            "kg m3" | "g l" => Some(0.001),
            _ => None,
        },
        Measure::Cover => match folded.as_str() {
            "g dm2" | "g per dm2" => Some(1.0),
            "g m2" | "g per m2" | "gsm" => Some(0.01),
            "kg m2" | "kg per m2" => Some(10.0),
            "g cm2" => Some(100.0),
            _ => None,
        },
    }
}

/// The units of a measure, as messages name them.
pub(super) fn units_of(measure: Measure) -> &'static str {
    match measure {
        Measure::Plain => "none: a number alone",
        Measure::Channel => "none (0 to 255), or %",
        Measure::Ratio => "%",
        Measure::Parts => "parts (3, 1:3 or 3 parts)",
        Measure::Volume => "ml, cl, l, fl oz",
        Measure::Stock => "ml, cl, l, fl oz, % of the pot, pots",
        Measure::Mass => "g, kg, oz, lb",
        Measure::Length => "mm, cm, in",
        Measure::Density => "g/ml, kg/l",
        Measure::Cover => "g/dm2, g/m2",
        Measure::Price => "a currency such as £, EUR or 2,40 €",
    }
}

/// How much of a pot one of this unit is: "%", "pots", "bottles".
pub(super) fn share_of_a_pot(unit: &str) -> Option<f64> {
    const POTS: &str = "pot, pots, bottle, bottles, tube, tubes, tin, tins, jar, jars, flasche, flaschen, dose, dosen, flacon, \
        flacons, bote, botes, barattolo, barattoli, potje, potjes, x, stuck, stk, st, pc, pcs, piece, pieces, units, no of pots, number of pots";
    let folded = fold(unit);
    if unit.trim() == "%" || matches!(folded.as_str(), "percent" | "prozent" | "pct") {
        return Some(0.01);
    }
    words_of(POTS).any(|word| word == folded).then_some(1.0)
}

/// "half", "full": a share of the pot in words.
fn share_in_words(folded: &str) -> Option<f64> {
    Some(match folded {
        "full" | "new" | "unopened" | "voll" | "neu" | "plein" | "pleine" | "lleno" | "pieno"
        | "vol" | "fuld" | "pelna" | "pelny" | "just opened" | "full pot" => 1.0,
        "three quarters" | "dreiviertel" | "trois quarts" | "tres cuartos" => 0.75,
        "two thirds" | "zwei drittel" => 2.0 / 3.0,
        "one third" | "a third" | "third" | "ein drittel" | "un tiers" => 1.0 / 3.0,
        "half" | "half full" | "half empty" | "halb" | "halbvoll" | "halb voll" | "halv"
        | "medio" | "polowa" | "pol" | "about half" | "la mitad" | "moitie" | "mitad" | "meta"
        | "half vol" | "halvt" | "a half" => 0.5,
        "quarter" | "a quarter" | "quarter full" | "viertel" | "un quart" | "un cuarto"
        | "kwart" => 0.25,
        "nearly empty" | "almost empty" | "fast leer" | "presque vide" | "casi vacio" => 0.1,
        "nearly full" | "almost full" | "fast voll" => 0.9,
        "empty" | "pusta" | "pusty" | "leer" | "vide" | "vacio" | "vuoto" | "leeg" | "tom"
        | "out" | "used up" | "none" | "keine" => 0.0,
        _ => return None,
    })
}

/// A text without the words that stand at its end; folded where one was taken off.
fn without_words(text: &str, words: &'static str) -> String {
    let folded = fold(text);
    words_of(words)
        .find_map(|word| folded.strip_suffix(word))
        .map_or_else(|| text.to_owned(), |kept| kept.trim().to_owned())
}

/// What a price is expected to be.
pub(super) const ONE_POT: &str = "the price of one pot";

/// True where a bracket counts several pots: "(3 pots)", "(x3)".
fn counts_pots(bracket: &str) -> bool {
    let bracket = bracket.trim_end_matches(')').trim();
    let count = bracket.trim_start_matches(['x', '×']);
    let digits = count.len() - count.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    digits > 0
        && &count[..digits] != "1"
        && (share_of_a_pot(&count[digits..]).is_some() || count.len() == digits && count != bracket)
}

/// The two halves of a ratio: "1:3", "1 to 3", "3 + 1".
fn two_parts(text: &str) -> Option<(&str, &str)> {
    let halves = [":", "+", " to ", " zu ", " à "]
        .iter()
        .find_map(|between| text.split_once(between))?;
    let (paint, white) = (halves.0.trim(), halves.1.trim());
    let is_a_number = |text: &str| number(text).is_ok();
    (is_a_number(paint) && is_a_number(white)).then_some((paint, white))
}

/// "20 ml (0.68 fl oz)": brackets repeat the value, or say what was expected instead.
fn outside_brackets(
    text: &str,
    measure: Measure,
    header_unit: Option<HeaderUnit>,
) -> Result<&str, &'static str> {
    Ok(match text.split_once('(') {
        // "2 (17 ml)" are two of 17 ml, or one.
        Some((first, rest))
            if measure == Measure::Stock
                && header_unit.is_none()
                && number(first).is_ok()
                && rest.contains(|c: char| c.is_ascii_digit()) =>
        {
            return Err("one number");
        }
        // "£7 (3 pots)" is no price of one.
        Some((_, rest)) if measure == Measure::Price && counts_pots(rest) => return Err(ONE_POT),
        Some((first, _)) if first.contains(|c: char| c.is_ascii_digit()) => first.trim_end(),
        _ => text,
    })
}

/// The currency's sign of a sum, by what stands before and after it: "2,40 €/Stück", "£2.40 each", "2.40 inc VAT".
/// Words for what the sum buys do not change the sum, unless it is not a pot: then there is none.
fn price_sign(before: &str, after: &str) -> Option<String> {
    let (after, what_for) = after.split_once('/').unwrap_or((after, ""));
    let folded = fold(after);
    let last = folded.rsplit(' ').next().unwrap_or_default();
    if millilitres(&fold(what_for))
        .or_else(|| millilitres(last))
        .is_some()
    {
        return None;
    }
    let after = without_words(
        after,
        "each, per pot, per bottle, a pot, inc vat, incl vat, inkl mwst, ttc, iva incl, stuck, pro stuck, piece, a piece",
    );
    let alone = after.is_empty() || (currency(before).is_some() && after == "-");
    Some(if alone {
        before.to_owned()
    } else {
        after.split(' ').next().unwrap_or_default().to_owned()
    })
}

/// A number of pots, or of shares of one: "2", "½ full", "2 thirds".
fn in_pots(number: f64, after: &str) -> Option<Amount> {
    let of_the_pot = |value| Amount {
        of_the_pot: true,
        ..Amount::plain(value)
    };
    let after = after.trim_end_matches(['.', ' ']);
    let after = after.strip_suffix("full").map_or(after, str::trim_end);
    if after.is_empty() {
        return Some(of_the_pot(number));
    }
    share_of_a_pot(after).map(|share| of_the_pot(number * share))
}

/// What the signs beside a price say.
enum Priced {
    /// The sum in a currency of its own.
    In(Amount),
    /// It has no sign: the column says what it is in.
    InHeaderUnit,
    /// The sign is none that is known.
    Unknown,
}

/// A price by the signs before and after it; what is no price of one pot is none.
fn in_currency(number: f64, before: &str, after: &str) -> Result<Priced, &'static str> {
    let sign = price_sign(before, after).ok_or(ONE_POT)?;
    if sign.is_empty() {
        return Ok(Priced::InHeaderUnit);
    }
    Ok(match currency(sign.trim_end_matches('.')) {
        Some((currency, part)) => Priced::In(Amount {
            currency: Some(currency),
            ..Amount::plain(number * part)
        }),
        None => Priced::Unknown,
    })
}

/// An amount in the unit that stands behind its number.
fn in_unit(number: f64, after: &str, measure: Measure) -> Option<Amount> {
    if let Some(factor) = factor(measure, after.trim_end_matches('.')) {
        return Some(Amount {
            ounces: measure != Measure::Mass
                && ["oz", "ounce"].iter().any(|o| fold(after).contains(o)),
            ..Amount::plain(number * factor)
        });
    }
    if measure == Measure::Stock {
        return in_pots(number, after);
    }
    None
}

/// Reads a cell; `header_unit` is the unit that its column states.
///
/// # Errors
/// [`UnitError`]: no number, two numbers, or a unit that does not fit.
pub(super) fn value(
    text: &str,
    measure: Measure,
    header_unit: Option<HeaderUnit>,
    decimals: Decimals,
) -> Result<Amount, UnitError> {
    let not_a_number = |expected| UnitError::NotANumber {
        found: text.to_owned(),
        expected,
    };
    let in_header_unit = |value: f64| Amount {
        of_the_pot: header_unit.is_some_and(|unit| unit.of_the_pot),
        currency: header_unit.and_then(|unit| unit.currency),
        ..Amount::plain(value * header_unit.map_or(1.0, |unit| unit.factor))
    };
    let folded = fold(text);
    if measure == Measure::Stock
        && let Some(share) = share_in_words(&folded)
    {
        return Ok(Amount {
            of_the_pot: share > 0.0,
            ..Amount::plain(share)
        });
    }
    if measure == Measure::Parts
        && let Some((paint, white)) = two_parts(text)
    {
        return if number(paint).is_ok_and(|paint| (paint - 1.0).abs() < 1e-9) {
            number(white).map(Amount::plain)
        } else {
            Err(not_a_number(
                "1:3, one part of the paint to three of white, or 3 alone",
            ))
        };
    }
    let text = outside_brackets(text, measure, header_unit).map_err(not_a_number)?;
    let (before, number, after) =
        split(text, decimals, measure).ok_or_else(|| not_a_number("a number such as 0.9"))?;
    let number = number?;
    if after.contains(|c: char| c.is_ascii_digit()) && factor(measure, &after).is_none() {
        return Err(not_a_number("one number"));
    }
    if measure == Measure::Price {
        match in_currency(number, &before, &after).map_err(not_a_number)? {
            Priced::In(amount) => return Ok(amount),
            Priced::InHeaderUnit => return Ok(in_header_unit(number)),
            Priced::Unknown => {}
        }
    }
    let before = fold(&before);
    let rough = is_rough(&before) || measure == Measure::Volume && is_a_pot(&before);
    if after.is_empty() && rough {
        let share = measure == Measure::Stock && header_unit.is_none() && is_a_share(text, number);
        return Ok(Amount {
            of_the_pot: share || in_header_unit(number).of_the_pot,
            ..in_header_unit(number)
        });
    }
    if rough && let Some(amount) = in_unit(number, &after, measure) {
        return Ok(amount);
    }
    Err(UnitError::UnknownUnit {
        found: text.to_owned(),
        units: units_of(measure),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, measure: Measure, decimals: Decimals) -> Option<f64> {
        value(text, measure, None, decimals).ok().map(|v| v.value)
    }

    #[test]
    fn numbers_are_read_in_the_ways_of_many_countries() {
        use Decimals::{Comma, Point, Unknown};
        for (text, decimals, means) in [
            ("2.40", Unknown, 2.4),
            ("2,40", Unknown, 2.4),
            ("1.234,50", Unknown, 1234.5),
            ("1,234.50", Unknown, 1234.5),
            ("1 234,50", Unknown, 1234.5),
            ("1’234.50", Unknown, 1234.5),
            ("1,234", Comma, 1.234),
            ("1,234", Point, 1234.0),
            ("1.234", Comma, 1234.0),
            ("0,125", Unknown, 0.125),
            ("½", Unknown, 0.5),
            ("1½", Unknown, 1.5),
            ("1/4", Unknown, 0.25),
            ("ca. 15", Unknown, 15.0),
            ("~15", Unknown, 15.0),
            ("1e2", Unknown, 100.0),
            ("-3", Unknown, -3.0),
        ] {
            let found = read(text, Measure::Volume, decimals);
            assert!(
                found.is_some_and(|v| (v - means).abs() < 1e-12),
                "{text}: {found:?}"
            );
        }
        assert!(
            read("1,234", Measure::Volume, Unknown).is_none(),
            "could mean either"
        );
        assert!(read("1.200", Measure::Volume, Unknown).is_none(), "as well");
        assert!(read("15/20 ml", Measure::Stock, Unknown).is_none());
        assert!(read("2 (17 ml)", Measure::Stock, Unknown).is_none());
        let half = value("½", Measure::Stock, None, Unknown).unwrap();
        assert!(half.of_the_pot && (half.value - 0.5).abs() < 1e-12);
        assert!(read("12 to 15", Measure::Volume, Unknown).is_none());
        assert!(read("many", Measure::Volume, Unknown).is_none());
    }

    #[test]
    #[expect(
        clippy::too_many_lines,
        reason = "one table of cells and what they mean"
    )]
    fn units_and_currencies_are_taken_off() {
        let u = Decimals::Unknown;
        for (text, measure, means) in [
            ("20 ml", Measure::Volume, 20.0),
            ("20ml", Measure::Volume, 20.0),
            ("0,02 l", Measure::Volume, 20.0),
            ("£2.40", Measure::Price, 2.4),
            ("2,40 €", Measure::Price, 2.4),
            ("EUR 2,40", Measure::Price, 2.4),
            ("kr. 35,-", Measure::Price, 35.0),
            ("2,-", Measure::Price, 2.0),
            ("240p", Measure::Price, 2.4),
            ("2,40 €/Stück", Measure::Price, 2.4),
            ("50%", Measure::Ratio, 0.5),
            ("1:3", Measure::Parts, 3.0),
            ("3 parts", Measure::Parts, 3.0),
            ("1.2 kg/l", Measure::Density, 1.2),
            ("200 g/m²", Measure::Cover, 2.0),
            ("1/2 oz", Measure::Volume, 14.786_75),
            ("half", Measure::Stock, 0.5),
            ("75 %", Measure::Stock, 0.75),
            ("2 pots", Measure::Stock, 2.0),
        ] {
            let found = read(text, measure, u);
            assert!(
                found.is_some_and(|v| (v - means).abs() < 1e-9),
                "{text}: {found:?}"
            );
        }
        for (text, measure) in [
            ("£2..40", Measure::Price),
            ("2'40 €", Measure::Price),
            ("2 40 €", Measure::Price),
            ("1.7.5", Measure::Volume),
            ("17'5 ml", Measure::Volume),
            ("9.1-", Measure::Plain),
            ("20 kg", Measure::Volume),
            ("0,14 €/ml", Measure::Price),
            ("2.40 per ml", Measure::Price),
            ("£7 (3 pots)", Measure::Price),
            ("£7 (x3)", Measure::Price),
            ("3:1", Measure::Parts),
            ("3 to 1", Measure::Parts),
        ] {
            assert!(read(text, measure, u).is_none(), "{text}");
        }
        for (text, measure, means) in [
            ("–18,3", Measure::Plain, -18.3),
            ("- 9.1", Measure::Plain, -9.1),
            ("—9.1", Measure::Plain, -9.1),
            ("1 234 567", Measure::Volume, 1_234_567.0),
            ("1.234.567,5", Measure::Volume, 1_234_567.5),
            ("01:03", Measure::Parts, 3.0),
            ("£2.40 (1 pot)", Measure::Price, 2.4),
            ("£2.40 (17 ml)", Measure::Price, 2.4),
            ("2,40 zł", Measure::Price, 2.4),
            ("1 to 3", Measure::Parts, 3.0),
            ("1 : 3", Measure::Parts, 3.0),
        ] {
            let found = read(text, measure, u);
            assert!(found.is_some_and(|v| (v - means).abs() < 1e-9), "{text}");
        }
        assert_eq!(
            value("kr 35", Measure::Price, None, u).unwrap().currency,
            Some("kr")
        );
    }

    #[test]
    fn a_list_shows_its_decimal_mark() {
        let marks = |cells: &[&str]| decimals_of(cells.iter().copied());
        assert_eq!(marks(&["2,40", "1,234"]), Decimals::Comma);
        assert_eq!(marks(&["2.40"]), Decimals::Point);
        assert_eq!(marks(&["1,234", "20"]), Decimals::Unknown);
        assert_eq!(marks(&["1.234,50"]), Decimals::Comma);
        assert_eq!(marks(&["2,40", "2.40"]), Decimals::Unknown);
    }
}
