//! Spectra as files hold them: tables of two numbers, and the exchange texts of measuring instruments.
//!
//! Every row is read or reported: a row that is silently left out would change the colour.

use crate::units::number;
use std::fmt;

/// What is wrong with a spectrum's text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpectrumFault {
    /// The line, from 1; `None` for the text as a whole.
    pub line: Option<usize>,
    /// What was found and what was expected.
    pub detail: String,
}

impl SpectrumFault {
    /// A fault of the text as a whole.
    #[must_use]
    pub fn whole(detail: impl Into<String>) -> Self {
        Self {
            line: None,
            detail: detail.into(),
        }
    }

    fn at(line: usize, detail: String) -> Self {
        Self {
            line: Some(line),
            detail,
        }
    }
}

impl fmt::Display for SpectrumFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.detail)
    }
}

/// Instruments write values a little below 0 where nothing is left to measure; they count as 0. Our choice.
const NOISE_BELOW_ZERO: f64 = -0.005;
/// Steps as wide as these leave no gap, nanometres: the widest that tables of the standard observer are made for
/// (ASTM E308, 20 nm).
const WIDEST_STEP: f64 = 20.0;
/// At most this many faults of one text are reported.
const MOST_FAULTS: usize = 50;

/// One point, and the line it stands on.
type SpectrumPoint = (usize, f64, f64);

/// Wavelengths in nanometres and their values, none below 0, sorted: rows of two numbers, or a CGATS / ISO 28178 text of
/// one sample. Blank lines, lines that begin with `#`, and headings above the first row of numbers are not rows.
///
/// # Errors
/// All faults: rows that are not two numbers, values below 0, a wavelength given twice, fewer than four points, a
/// reach that leaves out what the eye sees, a gap in the steps, an exchange text cut short, several samples that
/// differ.
pub fn spectrum_points(text: &str) -> Result<Vec<(f64, f64)>, Vec<SpectrumFault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut faults = Vec::new();
    let mut points = if text.contains("BEGIN_DATA_FORMAT") {
        exchange_points(text).map_err(|detail| vec![SpectrumFault::whole(detail)])?
    } else {
        table_points(text, &mut faults)
    };
    points.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    sound(&points, &mut faults);
    if points.len() < 4 && faults.is_empty() {
        let found = points.len();
        faults.push(SpectrumFault::whole(format!(
            "found {found} pairs of wavelength and value, expected at least 4"
        )));
    }
    if faults.is_empty() && (points[0].1 > 420.0 || points[points.len() - 1].1 < 680.0) {
        faults.push(SpectrumFault::whole(format!(
            "found {} to {} nm, expected 420 nm or below to 680 nm or above",
            points[0].1,
            points[points.len() - 1].1
        )));
    }
    if faults.is_empty() {
        gaps(&points, &mut faults);
    }
    if faults.is_empty() {
        let pairs = points.iter().map(|(_, nm, value)| (*nm, value.max(0.0)));
        return Ok(pairs.collect());
    }
    faults.sort_by_key(|fault| fault.line);
    faults.truncate(MOST_FAULTS);
    Err(faults)
}

/// Puts down points, sorted by wavelength, that no measurement has.
fn sound(points: &[SpectrumPoint], faults: &mut Vec<SpectrumFault>) {
    for (line, nm, value) in points {
        if *nm <= 0.0 {
            faults.push(SpectrumFault::at(
                *line,
                format!("found {nm} nm, expected a wavelength above 0"),
            ));
        } else if *value < NOISE_BELOW_ZERO {
            faults.push(SpectrumFault::at(
                *line,
                format!("found {value} at {nm} nm, expected 0 or more"),
            ));
        }
    }
    for pair in points.windows(2) {
        let ((first, nm, _), (line, again, _)) = (pair[0], pair[1]);
        if nm.total_cmp(&again).is_eq() {
            faults.push(SpectrumFault::at(
                line,
                format!("found {nm} nm a second time, the first on line {first}, expected each wavelength once"),
            ));
        }
    }
}

/// Puts down where rows are missing: a step wider than the observer's tables, and than twice the text's own (the middle one), or
/// half as wide again where all but two are the same. A line drawn across it would be a guess at the colour.
fn gaps(points: &[SpectrumPoint], faults: &mut Vec<SpectrumFault>) {
    let mut steps: Vec<f64> = points.windows(2).map(|two| two[1].1 - two[0].1).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps[steps.len() / 2];
    let as_usual = steps
        .iter()
        .filter(|step| (*step - usual).abs() < 0.01 * usual);
    let is_even = as_usual.count() + 2 >= steps.len() && steps.len() > 5;
    for two in points.windows(2) {
        let ((_, from, _), (line, to, _)) = (two[0], two[1]);
        let most = if is_even { 1.5 } else { 2.0 } * usual;
        if to - from > most.max(WIDEST_STEP) + 1e-6 {
            faults.push(SpectrumFault::at(
                line,
                format!("found nothing between {from} and {to} nm where the others lie {usual} nm apart, expected no gap: are rows missing?"),
            ));
        }
    }
}

/// "x380": a wavelength that begins with a slip of the finger.
fn is_misspelt_wavelength(cell: &str) -> bool {
    let digits = cell.trim_start_matches(|c: char| !c.is_ascii_digit());
    cell.len() <= digits.len() + 2 && number(digits).is_ok_and(|nm| (300.0..=1100.0).contains(&nm))
}

/// Rows of two numbers, divided by a semicolon, a tab, a comma or blanks.
fn table_points(text: &str, faults: &mut Vec<SpectrumFault>) -> Vec<SpectrumPoint> {
    let mut points = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let cells = cells_of(line);
        match cells[..] {
            [nm, value] if number(nm).is_ok() && number(value).is_ok() => {
                if let (Ok(nm), Ok(value)) = (number(nm), number(value)) {
                    points.push((at + 1, nm, value));
                }
            }
            // What stands above the numbers says what they are, if it does not begin as a number itself.
            [nm, value] if is_misspelt_wavelength(nm) && number(value).is_ok() => {
                faults.push(SpectrumFault::at(
                    at + 1,
                    format!("found \"{nm}\", expected a wavelength in nm"),
                ));
            }
            _ if points.is_empty() && !begins_as_number(line) => {}
            _ => faults.push(SpectrumFault::at(
                at + 1,
                format!(
                    "found \"{}\", expected two numbers: wavelength in nm and value",
                    line.chars().take(60).collect::<String>()
                ),
            )),
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    points
}

/// The cells of a row. Where a semicolon or a tab divides, a comma is a decimal comma.
fn cells_of(line: &str) -> Vec<&str> {
    let divider = [';', '\t', ','].into_iter().find(|d| line.contains(*d));
    let cells: Vec<&str> = match divider {
        Some(divider) => line.split(divider).map(str::trim).collect(),
        None => line.split_whitespace().collect(),
    };
    // A divider at the end of a row, as some spreadsheets leave it, begins no further cell.
    match cells[..] {
        [nm, value, ""] => vec![nm, value],
        _ => cells,
    }
}

fn begins_as_number(line: &str) -> bool {
    line.trim_start_matches(['"', '\'', '+', '-', '.', ' '])
        .starts_with(|c: char| c.is_ascii_digit())
}

/// The sample of an exchange text.
///
/// # Source
/// ANSI CGATS.17 and ISO 28178: `BEGIN_DATA_FORMAT … END_DATA_FORMAT` names the fields, `BEGIN_DATA … END_DATA` holds the
/// samples; spectral fields end in the wavelength (`SPECTRAL_NM450`, `SPECTRAL_DEC450`; `SPECTRAL_PCT450` is in
/// percent). From memory.
fn exchange_points(text: &str) -> Result<Vec<SpectrumPoint>, String> {
    for (begin, end) in [
        ("BEGIN_DATA_FORMAT", "END_DATA_FORMAT"),
        ("BEGIN_DATA", "END_DATA"),
    ] {
        let count = |word: &str| text.lines().filter(|line| line.trim() == word).count();
        match (count(begin), count(end)) {
            (1, 1) => {}
            (1, 0) => {
                return Err(format!(
                    "found {begin} and no {end}, expected a whole text: it is cut short"
                ));
            }
            (found, ends) => {
                return Err(format!(
                    "found {begin} {found} times and {end} {ends} times, expected each once: a file a colour"
                ));
            }
        }
    }
    let between = |begin: &str, end: &str| -> Vec<(usize, &str)> {
        text.lines()
            .enumerate()
            .map(|(at, line)| (at + 1, line.trim()))
            .skip_while(|(_, line)| *line != begin)
            .skip(1)
            .take_while(|(_, line)| *line != end)
            .flat_map(|(at, line)| line.split_whitespace().map(move |word| (at, word)))
            .collect()
    };
    let fields = between("BEGIN_DATA_FORMAT", "END_DATA_FORMAT");
    let values = between("BEGIN_DATA", "END_DATA");
    if fields.is_empty() || values.len() < fields.len() {
        return Err("found no sample as long as its BEGIN_DATA_FORMAT, expected one".to_owned());
    }
    if values.len() % fields.len() != 0 {
        return Err(format!(
            "found {} values for {} fields, expected whole samples",
            values.len(),
            fields.len()
        ));
    }
    let mut samples = values.chunks_exact(fields.len());
    let count = samples.len();
    let first = sample_points(&fields, samples.next().unwrap_or_default())?;
    for other in samples {
        let other = sample_points(&fields, other)?;
        let same = |(a, b): (&SpectrumPoint, &SpectrumPoint)| (a.2 - b.2).abs() < 1e-9;
        if !first.iter().zip(&other).all(same) {
            return Err(format!(
                "found {count} samples that differ, expected one: a file a colour"
            ));
        }
    }
    Ok(first)
}

/// The spectral fields of one sample.
fn sample_points(
    fields: &[(usize, &str)],
    values: &[(usize, &str)],
) -> Result<Vec<SpectrumPoint>, String> {
    let mut points = Vec::new();
    for ((_, field), (line, value)) in fields.iter().zip(values) {
        let upper = field.to_uppercase();
        let digits = upper.trim_start_matches(|c: char| !c.is_ascii_digit());
        let per = match &upper[..upper.len() - digits.len()] {
            "SPECTRAL_PCT" | "SPECTRAL_PCT_" => 100.0,
            "SPECTRAL_NM" | "SPECTRAL_NM_" | "SPECTRAL_DEC" | "SPECTRAL_DEC_" | "SPECTRAL_"
            | "NM" | "NM_" => 1.0,
            _ => continue,
        };
        let (Ok(nm), Ok(read)) = (number(digits), number(value)) else {
            let value: String = value.chars().take(40).collect();
            return Err(format!(
                "found \"{value}\" for {field} on line {line}, expected a number"
            ));
        };
        points.push((*line, nm, read / per));
    }
    Ok(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<Option<usize>> {
        spectrum_points(text)
            .unwrap_err()
            .iter()
            .map(|fault| fault.line)
            .collect()
    }

    #[test]
    fn tables_of_every_spreadsheet_are_read() {
        let wanted = [(400.0, 0.05), (500.0, 0.1), (600.0, 0.2), (700.0, 0.5)];
        for text in [
            "wavelength_nm,reflectance\n400,0.05\n500,0.1\n600,0.2\n700,0.5\n",
            "\u{feff}Sample: kiln, \"R\"\nnm;R\n400;0,05\n500;0,1;\n600;0,2\n700;0,5",
            "# by hand\r\n400\t0,05\r\n500\t0,1\r\n600\t0,2\r\n700\t0,5\r\n",
            "700 0.5\n600  0.2\n\n500 0.1\n400 0.05\n",
        ] {
            assert_eq!(spectrum_points(text).unwrap(), wanted, "{text:?}");
        }
    }

    #[test]
    fn each_bad_row_is_told_with_its_line() {
        assert_eq!(
            lines("nm,R\n400,0.1\n5OO,0.1\n600,0.1,0.2\n700,-0.1\n400,0.3\nend\n"),
            [3, 4, 5, 6, 7].map(Some)
        );
        assert_eq!(
            lines("4OO,0.1\n500,0.1\n600,0.1\n700,0.1\n800,0.1"),
            [Some(1)]
        );
        assert_eq!(lines("400,0.1\n500,0.1\n"), [None]);
        let noise = spectrum_points("400,-0.001\n500,0.1\n600,0.1\n700,0.1").unwrap();
        assert!(noise[0].1.abs() < 1e-12);
    }

    #[test]
    fn samples_of_an_exchange_text_must_agree() {
        let text = |data: &str| {
            format!(
                "BEGIN_DATA_FORMAT\nID NM400 NM500 NM600 NM700\nEND_DATA_FORMAT\nBEGIN_DATA\n{data}END_DATA\n"
            )
        };
        let one = "a 0.1 0.1 0.2 0.3\n";
        assert!(spectrum_points(&text(one)).is_ok());
        assert!(spectrum_points(&text(&one.repeat(2))).is_ok());
        for bad in [
            "a 0.1 0.1 0.2 0.3\nEND_DATA\nBEGIN_DATA\nb 0.9 0.9 0.9 0.9\n",
            "a 0.1 0.1 0.2 0.3\nb 0.1 0.1 0.2 0.4\n",
            "a 0.1 0.1 0.2 O.3\n",
            "a 0.1 0.1 0.2 0.3\nb 1\n",
        ] {
            assert!(spectrum_points(&text(bad)).is_err(), "{bad:?}");
        }
        let cut = text(one).replace("END_DATA\n", "");
        let told = spectrum_points(&cut).unwrap_err();
        assert!(told[0].detail.contains("cut short"), "{told:?}");
    }

    #[test]
    fn a_gap_among_the_rows_is_told_and_never_bridged() {
        let scan = |left_out: std::ops::Range<u32>| {
            (380..=730)
                .step_by(10)
                .filter(|nm| !left_out.contains(nm))
                .map(|nm| format!("{nm},0.2\n"))
                .collect::<Vec<_>>()
                .concat()
        };
        // One row of a 10 nm scan: still as fine as a 20 nm scan.
        assert!(spectrum_points(&scan(500..510)).is_ok());
        let told = spectrum_points(&scan(500..560)).unwrap_err();
        assert_eq!(told.len(), 1);
        assert_eq!(told[0].line, Some(13), "{told:?}");
        assert!(
            told[0].detail.contains("between 490 and 560 nm"),
            "{told:?}"
        );
        // One row of a 20 nm scan is more than the widest step there is.
        let coarse: String = (380..=740)
            .step_by(20)
            .filter(|nm| *nm != 540)
            .fold(String::new(), |text, nm| text + &format!("{nm},0.2\n"));
        assert!(spectrum_points(&coarse).is_err());
        // A slip of the finger in the first row makes no heading of it.
        let slip = scan(0..0).replacen("380", "x380", 1);
        let told = spectrum_points(&slip).unwrap_err();
        assert_eq!(told[0].line, Some(1), "{told:?}");
    }
}
