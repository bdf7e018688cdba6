//! Spectra as files hold them: tables of two numbers, and the exchange texts of measuring instruments.

use crate::units::number;

/// Wavelengths in nanometres and their values, sorted: rows of two numbers, or a CGATS / ISO 28178 text whose first
/// sample counts.
///
/// # Errors
/// What is wrong, in words: fewer than four points, or a reach that leaves out what the eye sees.
pub fn spectrum_points(text: &str) -> Result<Vec<(f64, f64)>, String> {
    let mut points = if text.contains("BEGIN_DATA_FORMAT") {
        exchange_points(text)?
    } else {
        table_points(text)
    };
    if points.len() < 4 {
        return Err(format!(
            "{} pairs of wavelength and value found, at least 4 needed",
            points.len()
        ));
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    if points[0].0 > 420.0 || points[points.len() - 1].0 < 680.0 {
        return Err("it must reach from 420 nm or below to 680 nm or above".to_owned());
    }
    Ok(points)
}

/// Rows of two numbers, divided by commas, semicolons, tabs or blanks.
fn table_points(text: &str) -> Vec<(f64, f64)> {
    text.lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .filter_map(|line| {
            let decimal_comma = line.contains(';');
            let cells: Vec<&str> = line
                .split(|c: char| c == ';' || c == '\t' || (c == ',' && !decimal_comma) || c == ' ')
                .filter(|cell| !cell.is_empty())
                .collect();
            match cells[..] {
                [nm, value] => Some((number(nm).ok()?, number(value).ok()?)),
                _ => None,
            }
        })
        .collect()
}

/// The first sample of an exchange text.
///
/// # Source
/// ANSI CGATS.17 and ISO 28178: `BEGIN_DATA_FORMAT … END_DATA_FORMAT` names the fields, `BEGIN_DATA … END_DATA` holds the
/// samples; spectral fields end in the wavelength (`SPECTRAL_NM450`, `SPECTRAL_DEC450`; `SPECTRAL_PCT450` is in
/// percent). From memory.
fn exchange_points(text: &str) -> Result<Vec<(f64, f64)>, String> {
    let between = |begin: &str, end: &str| {
        let mut lines = text
            .lines()
            .map(str::trim)
            .skip_while(|line| *line != begin)
            .skip(1);
        let inside: Vec<&str> = lines.by_ref().take_while(|line| *line != end).collect();
        inside
    };
    let format = between("BEGIN_DATA_FORMAT", "END_DATA_FORMAT");
    let fields: Vec<&str> = format
        .iter()
        .flat_map(|line| line.split_whitespace())
        .collect();
    let data = between("BEGIN_DATA", "END_DATA");
    let values: Vec<&str> = data
        .iter()
        .flat_map(|line| line.split_whitespace())
        .take(fields.len())
        .collect();
    if fields.is_empty() || values.len() < fields.len() {
        return Err("it holds no sample as long as its BEGIN_DATA_FORMAT".to_owned());
    }
    let points = fields
        .iter()
        .zip(values)
        .filter_map(|(field, value)| {
            let upper = field.to_uppercase();
            let digits = upper.trim_start_matches(|c: char| !c.is_ascii_digit());
            let kind = &upper[..upper.len() - digits.len()];
            let per = match kind {
                "SPECTRAL_PCT" | "SPECTRAL_PCT_" => 100.0,
                "SPECTRAL_NM" | "SPECTRAL_NM_" | "SPECTRAL_DEC" | "SPECTRAL_DEC_" | "SPECTRAL_"
                | "NM" | "NM_" => 1.0,
                _ => return None,
            };
            Some((number(digits).ok()?, number(value).ok()? / per))
        })
        .collect();
    Ok(points)
}
