//! From the bytes of a schedule page or `plan.json` to a checked [`PlanFile`].

use super::error::ReceivedError;
use super::plan_file::FORMAT;
use super::{BandEntry, MixEntry, PlanFile, SurfaceEntry, ToneEntry};
use crate::lamps::Lamp;
use crate::problem::{Place, turning_sign};
use crate::scene::Treatment;
use crate::tones::MOST_TONES;
use std::ops::RangeInclusive;

/// Largest file that is read, bytes: some twenty times a schedule of a large scene.
pub const MOST_BYTES: u64 = 32 << 20;
/// Largest plan inside, bytes: the rest of a page is pictures.
const MOST_PLAN_BYTES: usize = 8 << 20;
/// Most surfaces. Our choice, as are the limits below.
const MOST_SURFACES: usize = 500;
/// Most entries of any other list.
const MOST_ENTRIES: usize = 2000;
/// Longest text, characters.
const LONGEST_TEXT: usize = 4000;
/// Most mixes of one tone, and most paints of one mix.
const MOST_MIXES: usize = 24;

/// The block of a page that holds its plan begins with this; nothing else in a page can, since user text has its `<`
/// escaped.
const BLOCK: &str = "<script type=\"application/json\" id=\"plan\">";

/// True if a file is a schedule or plan, and not a scene: it begins as a page or as a JSON object.
///
/// ```
/// use hillwash::share::looks_received;
/// assert!(looks_received(b"\xef\xbb\xbf  <!DOCTYPE html>"));
/// assert!(looks_received(b"{\"format\": \"hillwash.plan/1\"}"));
/// assert!(!looks_received(b"title = \"Hop yard\""));
/// ```
#[must_use]
pub fn looks_received(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first = bytes.iter().find(|b| !b.is_ascii_whitespace());
    matches!(first, Some(b'<' | b'{'))
}

/// Reads and checks the plan inside a schedule page or a `plan.json`; `file` is its name for messages.
///
/// # Errors
/// What is wrong with it: at once all values that make no sense, or the first of a wrong kind.
pub fn read_plan(file: &str, bytes: &[u8]) -> Result<PlanFile, Vec<ReceivedError>> {
    let whole = Place::file(file);
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(vec![ReceivedError::NotUtf8 { place: whole }]);
    };
    let json = block(text, &whole)?;
    if json.len() > MOST_PLAN_BYTES {
        return Err(vec![ReceivedError::OutOfRange {
            place: whole,
            found: format!("a plan of {} bytes", json.len()),
            expected: format!("at most {MOST_PLAN_BYTES}"),
        }]);
    }
    if let Some((_, found)) = turning_sign(json) {
        return Err(vec![ReceivedError::OutOfRange {
            place: whole,
            found,
            expected: "text without it".to_owned(),
        }]);
    }
    // serde_json stops at 128 levels of nesting by itself.
    let mut reader = serde_json::Deserializer::from_str(json);
    let plan: PlanFile = serde_path_to_error::deserialize(&mut reader)
        .map_err(|e| vec![received_error(file, &e)])?;
    reader.end().map_err(|error| {
        vec![ReceivedError::NotJson {
            place: whole.clone(),
            detail: error.to_string(),
        }]
    })?;
    let mut check = Check {
        file,
        faults: Vec::new(),
    };
    check.plan(&plan);
    if check.faults.is_empty() {
        Ok(plan)
    } else {
        Err(check.faults)
    }
}

/// The JSON text: the file itself, or the one block of a page.
fn block<'t>(text: &'t str, whole: &Place) -> Result<&'t str, Vec<ReceivedError>> {
    if text.trim_start().starts_with('{') {
        return Ok(text);
    }
    let found = text.matches(BLOCK).count();
    let inside = text
        .split_once(BLOCK)
        .and_then(|(_, rest)| rest.split_once("</script>"));
    match inside {
        Some((json, _)) if found == 1 => Ok(json),
        _ => Err(vec![ReceivedError::NoPlan {
            place: whole.clone(),
            found,
        }]),
    }
}

/// The reader's fault with its field, in the words of this program.
fn received_error(
    file: &str,
    error: &serde_path_to_error::Error<serde_json::Error>,
) -> ReceivedError {
    let path = error.path().to_string();
    let inner = error.inner();
    let place = Place::file(file);
    if inner.is_data() {
        let text = inner.to_string();
        let text = text
            .split(" at line ")
            .next()
            .unwrap_or_default()
            .replace("invalid type: ", "found ")
            .replace("invalid value: ", "found ")
            .replace("invalid length ", "found a list of length ");
        let place = if path == "." {
            place
        } else {
            place.at_field(path)
        };
        ReceivedError::Kind {
            place,
            detail: text,
        }
    } else {
        ReceivedError::NotJson {
            place,
            detail: inner.to_string(),
        }
    }
}

struct Check<'a> {
    file: &'a str,
    faults: Vec<ReceivedError>,
}

impl Check<'_> {
    fn fault(&mut self, field: &str, found: String, expected: &str) {
        // What nobody will read is not gathered.
        if self.faults.len() < 50 {
            self.faults.push(ReceivedError::OutOfRange {
                place: Place::file(self.file).at_field(field),
                found,
                expected: expected.to_owned(),
            });
        }
    }

    fn number(&mut self, field: &str, value: f64, range: RangeInclusive<f64>) {
        if !range.contains(&value) {
            let expected = format!("a number from {} to {}", range.start(), range.end());
            self.fault(field, value.to_string(), &expected);
        }
    }

    fn difference(&mut self, field: &str, value: f64) {
        self.number(field, value, 0.0..=500.0);
    }

    fn lab(&mut self, field: &str, [l, a, b]: [f64; 3]) {
        let sound = (-1.0..=110.0).contains(&l)
            && (-200.0..=200.0).contains(&a)
            && (-200.0..=200.0).contains(&b);
        if !sound {
            let found = format!("[{l}, {a}, {b}]");
            self.fault(field, found, "L* from 0 to 100, a* and b* from -200 to 200");
        }
    }

    fn text(&mut self, field: &str, text: &str) {
        let length = text.chars().count();
        if length > LONGEST_TEXT {
            let expected = format!("at most {LONGEST_TEXT} characters");
            self.fault(field, format!("a text of {length} characters"), &expected);
        }
    }

    fn count(&mut self, field: &str, found: usize, range: RangeInclusive<usize>) {
        if !range.contains(&found) {
            let expected = format!("{} to {}", range.start(), range.end());
            self.fault(field, format!("{found} entries"), &expected);
        }
    }

    fn plan(&mut self, plan: &PlanFile) {
        if plan.format != FORMAT {
            self.faults.push(ReceivedError::Format {
                place: Place::file(self.file).at_field("format"),
                found: plan.format.chars().take(80).collect(),
            });
            return;
        }
        let scene = &plan.scene;
        self.text("scene.title", &scene.title);
        self.text("scene.paints", &scene.paints);
        self.text("scene.lamps", &scene.lamps);
        self.text("scene.date", &scene.date);
        if let Some(weights) = &scene.lamp_weights
            && Lamp::from_weights("", weights).is_none()
        {
            self.fault(
                "scene.lamp_weights",
                format!("{} rows", weights.len()),
                "36 rows of X, Y, Z whose Y come to 1",
            );
        }
        self.number("scene.scale_n", scene.scale_n, 1.0..=10_000.0);
        self.number("scene.view_mm", scene.view_mm, 10.0..=1e6);
        self.number(
            "scene.scale_colour.visibility_m",
            scene.scale_colour.visibility_m,
            100.0..=1e6,
        );
        self.lab("scene.scale_colour.air", scene.scale_colour.air.lab);
        self.count("surfaces", plan.surfaces.len(), 1..=MOST_SURFACES);
        self.count("photos", plan.photos.len(), 0..=MOST_ENTRIES);
        self.count("pots", plan.pots.len(), 0..=MOST_ENTRIES);
        self.count("shopping", plan.shopping.len(), 0..=MOST_ENTRIES);
        self.count("notes", plan.notes.len(), 0..=MOST_ENTRIES);
        for (i, surface) in plan.surfaces.iter().enumerate().take(MOST_SURFACES) {
            self.surface(&format!("surfaces[{i}]"), surface);
        }
        for (i, line) in plan.shopping.iter().enumerate().take(MOST_ENTRIES) {
            self.text(&format!("shopping[{i}].paint"), &line.paint);
            if let Some(ml) = line.needed_ml {
                self.number(&format!("shopping[{i}].needed_ml"), ml, 0.0..=1e7);
            }
        }
    }

    fn surface(&mut self, at: &str, surface: &SurfaceEntry) {
        self.text(&format!("{at}.name"), &surface.name);
        if surface.name.trim().is_empty() {
            self.fault(&format!("{at}.name"), "an empty text".to_owned(), "a name");
        }
        if !Treatment::ALL
            .iter()
            .any(|(word, _)| *word == surface.treatment)
        {
            self.fault(
                &format!("{at}.treatment"),
                format!(
                    "\"{}\"",
                    surface.treatment.chars().take(80).collect::<String>()
                ),
                "coat, rock, scatter or wash",
            );
        }
        if let Some(area) = surface.area_cm2 {
            self.number(&format!("{at}.area_cm2"), area, 0.01..=1e7);
        }
        if let Some(from) = surface.from_m {
            self.number(&format!("{at}.from_m"), from, 0.0..=1e6);
        }
        self.number(&format!("{at}.coats"), f64::from(surface.coats), 1.0..=10.0);
        self.difference(&format!("{at}.spread_de"), surface.spread_de);
        if let Some(variety) = &surface.variety {
            self.difference(&format!("{at}.variety.spread_de"), variety.spread_de);
            self.count(&format!("{at}.variety.picks"), variety.picks.len(), 1..=3);
            for (i, pick) in variety.picks.iter().enumerate().take(3) {
                let at = format!("{at}.variety.picks[{i}]");
                self.number(&format!("{at}.share"), pick.share, 0.0..=1.0);
                self.lab(&format!("{at}.photographed"), pick.photographed.lab);
                self.lab(&format!("{at}.planned"), pick.planned.lab);
            }
        }
        self.count(&format!("{at}.tones"), surface.tones.len(), 1..=MOST_TONES);
        for (i, tone) in surface.tones.iter().enumerate().take(MOST_TONES) {
            self.tone(&format!("{at}.tones[{i}]"), tone);
        }
        self.count(&format!("{at}.bands"), surface.bands.len(), 0..=MOST_TONES);
        let mut next = 1;
        for (i, band) in surface.bands.iter().enumerate().take(MOST_TONES) {
            self.band(&format!("{at}.bands[{i}]"), band, &mut next);
        }
        if !surface.bands.is_empty() && next != surface.tones.len() + 1 {
            let found = format!("bands with {} tones", next - 1);
            let expected = format!("all {} of the surface", surface.tones.len());
            self.fault(&format!("{at}.bands"), found, &expected);
        }
        self.dirt(at, surface);
        let sum: f64 = surface.tones.iter().map(|tone| tone.share).sum();
        if !(0.99..=1.01).contains(&sum) {
            let found = format!("shares that make {sum:.3}");
            self.fault(&format!("{at}.tones"), found, "shares that make 1 together");
        }
    }

    fn dirt(&mut self, at: &str, surface: &SurfaceEntry) {
        if let Some(wash) = &surface.wash {
            for (field, lab) in [
                ("base", wash.base.lab),
                ("flat", wash.flat.lab),
                ("recess", wash.recess.lab),
                ("flat_wanted", wash.flat_wanted.lab),
                ("recess_wanted", wash.recess_wanted.lab),
            ] {
                self.lab(&format!("{at}.wash.{field}"), lab);
            }
            self.number(&format!("{at}.wash.grime"), wash.grime, 0.0..=1.5);
            self.number(&format!("{at}.wash.pool"), wash.pool, 1.0..=32.0);
            if let Some(film) = wash.film {
                self.number(&format!("{at}.wash.film"), film, 0.02..=8.0);
            }
            if let Some(weight) = wash.recess_weight {
                self.number(&format!("{at}.wash.recess_weight"), weight, 0.0..=10.0);
            }
            if let Some(most) = wash.most_paints {
                self.count(&format!("{at}.wash.most_paints"), most, 1..=3);
            }
        }
        self.count(
            &format!("{at}.places"),
            surface.places.len(),
            0..=MOST_SURFACES,
        );
        for (i, place) in surface.places.iter().enumerate().take(MOST_SURFACES) {
            let at = format!("{at}.places[{i}]");
            self.text(&format!("{at}.name"), &place.name);
            self.lab(&format!("{at}.planned.lab"), place.planned.lab);
            self.number(&format!("{at}.share"), place.share, 0.0..=1.0);
            if super::rebuild::technique(&place.technique).is_none() {
                self.fault(
                    &format!("{at}.technique"),
                    format!(
                        "\"{}\"",
                        place.technique.chars().take(80).collect::<String>()
                    ),
                    "a technique such as pin-wash or streak",
                );
            }
        }
    }

    /// `next` is the tone that comes next, counted from 1.
    fn band(&mut self, at: &str, band: &BandEntry, next: &mut usize) {
        self.text(&format!("{at}.name"), &band.name);
        self.number(&format!("{at}.stands_for_m"), band.stands_for_m, 0.0..=1e6);
        self.number(&format!("{at}.scale_n"), band.scale_n, 1.0..=10_000.0);
        self.number(&format!("{at}.share"), band.share, 0.0..=1.0);
        self.number(&format!("{at}.air"), band.air, 0.0..=1.0);
        self.lab(&format!("{at}.photographed.lab"), band.photographed.lab);
        self.lab(&format!("{at}.planned.lab"), band.planned.lab);
        for (field, value, range) in [
            ("from_m", band.from_m, 0.0..=1e6),
            ("model_depth_mm", band.model_depth_mm, 0.0..=1e6),
            ("area_cm2", band.area_cm2, 0.01..=1e7),
        ] {
            if let Some(value) = value {
                self.number(&format!("{at}.{field}"), value, range);
            }
        }
        self.count(&format!("{at}.tones"), band.tones.len(), 1..=MOST_TONES);
        for tone in band.tones.iter().take(MOST_TONES) {
            if tone == next {
                *next += 1;
            } else {
                let expected = format!("tone {next}, one after the other");
                self.fault(&format!("{at}.tones"), format!("tone {tone}"), &expected);
            }
        }
    }

    fn tone(&mut self, at: &str, tone: &ToneEntry) {
        self.lab(&format!("{at}.lab"), tone.lab);
        self.number(&format!("{at}.share"), tone.share, 0.0..=1.0);
        self.difference(&format!("{at}.spread_de"), tone.spread_de);
        self.difference(&format!("{at}.spread_90_de"), tone.spread_90_de);
        self.difference(
            &format!("{at}.target_uncertainty_de"),
            tone.target_uncertainty_de,
        );
        self.count(&format!("{at}.made_of"), tone.made_of.len(), 0..=MOST_TONES);
        for (i, part) in tone.made_of.iter().enumerate().take(MOST_TONES) {
            self.lab(&format!("{at}.made_of[{i}].lab"), part.lab);
            self.number(&format!("{at}.made_of[{i}].share"), part.share, 0.0..=1.0);
        }
        match &tone.planned {
            Some(planned) => self.lab(&format!("{at}.planned.lab"), planned.lab),
            None => self.fault(at, "no planned colour".to_owned(), "\"planned\""),
        }
        if super::rebuild::role(&tone.role).is_none() {
            self.fault(
                &format!("{at}.role"),
                format!("\"{}\"", tone.role.chars().take(80).collect::<String>()),
                "body, light, shade, dirt in the recesses, variation or accent",
            );
        }
        let mixes = tone.recipes.as_deref().unwrap_or_default();
        self.count(&format!("{at}.recipes"), mixes.len(), 0..=MOST_MIXES);
        for (i, mix) in mixes.iter().enumerate().take(MOST_MIXES) {
            self.mix(&format!("{at}.recipes[{i}]"), mix);
        }
    }

    fn mix(&mut self, at: &str, mix: &MixEntry) {
        self.lab(&format!("{at}.lab"), mix.lab);
        self.difference(&format!("{at}.de2000"), mix.de2000);
        self.difference(&format!("{at}.uncertainty_de"), mix.uncertainty_de);
        self.count(&format!("{at}.paints"), mix.paints.len(), 1..=MOST_MIXES);
        for (i, paint) in mix.paints.iter().enumerate().take(MOST_MIXES) {
            self.text(&format!("{at}.paints[{i}].name"), &paint.name);
        }
    }
}
