//! How a workbook shows a number: as percent, or as money. The cell itself holds 0.5 where 50 % is read.

use quick_xml::events::{BytesStart, Event};
use quick_xml::name::QName;
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};

/// What is shown with a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum ShownAs {
    /// A hundred times the number, and the sign.
    Percent,
    /// A currency or a unit, by its sign or letters.
    Sign(String),
}

/// Signs of currencies that formats show.
const SIGNS: [&str; 8] = ["€", "£", "¥", "zł", "Kč", "kr", "CHF", "$"];

/// What a format code shows; none for plain numbers.
///
/// # Source
/// ECMA-376, part 1, section 18.8.31: `%`, and `[$€-407]` for a currency and the place that writes it so.
pub(super) fn by_code(code: &str) -> Option<ShownAs> {
    let (mut plain, mut named) = (String::new(), None);
    let mut rest = code;
    while let Some((before, after)) = rest.split_once('[') {
        plain.push_str(before);
        let (inside, behind) = after.split_once(']').unwrap_or((after, ""));
        let sign = inside
            .strip_prefix('$')
            .map(|s| s.split_once('-').map_or(s, |(sign, _)| sign).trim());
        named = named.or(sign.filter(|sign| !sign.is_empty()));
        rest = behind;
    }
    plain.push_str(rest);
    // What stands in quotes is shown, but for a percent sign, which then only looks like one.
    let outside: String = plain.split('"').step_by(2).collect();
    if outside.contains('%') {
        return Some(ShownAs::Percent);
    }
    let sign = SIGNS.into_iter().find(|sign| plain.contains(sign));
    // `0.0 "fl oz"` shows a unit.
    let unit = plain.split('"').nth(1).map(str::trim);
    named
        .or(sign)
        .or(unit.filter(|unit| !unit.is_empty()))
        .map(|sign| ShownAs::Sign(sign.to_owned()))
}

/// A number as it is shown, to be read like text.
pub(super) fn as_shown(value: f64, plain: String, shown: Option<&ShownAs>) -> String {
    match shown {
        None => plain,
        // Twelve digits: 0.07 is 7 %, not 7.000000000000001.
        Some(ShownAs::Percent) => format!("{} %", (value * 1e14).round() / 1e12),
        Some(ShownAs::Sign(sign)) => format!("{plain} {sign}"),
    }
}

/// Where in a sheet: its name, row and column.
pub(super) type At = (String, u32, u32);

/// This is kept for at most this many cells. Our choice: as many as a list can have.
const MOST_CELLS: usize = 200_000;

/// The cells of an .ods workbook that show percent or money; of what cannot be read none.
///
/// # Source
/// OASIS Open Document 1.2, part 1, sections 19.369 and 19.385: `office:currency`, `office:value-type`.
pub(super) fn in_ods(bytes: &[u8], most: u64) -> BTreeMap<At, ShownAs> {
    let mut found = BTreeMap::new();
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else {
        return found;
    };
    let Ok(content) = archive.by_name("content.xml") else {
        return found;
    };
    let mut reader = quick_xml::Reader::from_reader(BufReader::new(content.take(most)));
    let (mut sheet, mut row, mut column) = (String::new(), 0_u32, 0_u32);
    let mut times = 1;
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(tag)) if tag.name().0 == "table:table" => {
                sheet = attribute(&tag, "table:name").unwrap_or_default();
                row = 0;
            }
            Ok(Event::Start(tag)) if tag.name().0 == "table:table-row" => {
                times = repeated(&tag, "table:number-rows-repeated");
                column = 0;
            }
            Ok(Event::End(tag)) if tag.name().0 == "table:table-row" => {
                row = row.saturating_add(times);
            }
            Ok(Event::Start(tag) | Event::Empty(tag)) if is_cell(tag.name()) => {
                if let Some(shown) = by_kind(&tag) {
                    found.insert((sheet.clone(), row, column), shown);
                }
                column = column.saturating_add(repeated(&tag, "table:number-columns-repeated"));
            }
            Ok(Event::Eof) | Err(_) => return found,
            _ => {}
        }
        if found.len() >= MOST_CELLS {
            return found;
        }
    }
}

fn is_cell(name: QName<'_>) -> bool {
    matches!(name.0, "table:table-cell" | "table:covered-table-cell")
}

fn by_kind(cell: &BytesStart<'_>) -> Option<ShownAs> {
    match attribute(cell, "office:value-type")?.as_str() {
        "percentage" => Some(ShownAs::Percent),
        "currency" => attribute(cell, "office:currency").map(ShownAs::Sign),
        _ => None,
    }
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    tag.attributes()
        .filter_map(Result::ok)
        .find(|a| a.key == QName(name))
        .map(|a| a.value.to_string())
}

fn repeated(tag: &BytesStart<'_>, name: &str) -> u32 {
    attribute(tag, name)
        .and_then(|times| times.parse().ok())
        .unwrap_or(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_tell_percent_and_money() {
        // Codes as spreadsheets write them; ECMA-376, 18.8.30 lists 0% and 0.00% as formats 9 and 10.
        for (code, shown) in [
            ("0%", Some(ShownAs::Percent)),
            ("0.00%", Some(ShownAs::Percent)),
            ("#,##0.00 [$€-407]", Some(ShownAs::Sign("€".to_owned()))),
            ("[$£-809]#,##0.00", Some(ShownAs::Sign("£".to_owned()))),
            (
                "\"£\"#,##0.00;[Red]-\"£\"#,##0.00",
                Some(ShownAs::Sign("£".to_owned())),
            ),
            ("[$-409]d-mmm", None),
            ("0.0 \"fl oz\"", Some(ShownAs::Sign("fl oz".to_owned()))),
            ("0\"%\"", Some(ShownAs::Sign("%".to_owned()))),
            ("General", None),
            ("0.00", None),
        ] {
            assert_eq!(by_code(code), shown, "{code}");
        }
        let percent = Some(&ShownAs::Percent);
        assert_eq!(as_shown(0.07, "0.07".to_owned(), percent), "7 %");
        assert_eq!(as_shown(0.125, "0.1250".to_owned(), percent), "12.5 %");
    }
}
