//! At the bench: compares a photographed dried patch with the plan, and logs it.

use super::desk::Desk;
use super::drawing::Point;
use super::keeper::FileKind;
use super::refused::Refused;
use crate::colour::{LabD65, delta_e00, plain_word};
use crate::mix::{Shelf, falls_short, stirred};
use crate::patch::{
    DriedPatch, PatchReport, Photographed, find_patch, fingerprint, judge, read_before,
};
use crate::photo::{KnownLight, Picture, decode};
use crate::plan::{
    AsBuilt, Kit, PatchLog, Plan, SurfaceId, ToneId, parse_patch_log, without_last_patch,
};
use crate::problem::Place;
use crate::region::Region;
use serde::Deserialize;
use serde_json::{Value, json};

/// A dried patch in a photo.
#[derive(Debug, Clone, Deserialize)]
pub struct AskPatch {
    /// The photo's file name.
    name: String,
    /// The surface it is for.
    surface: String,
    /// The tone, counted from 1.
    #[serde(default = "first")]
    tone: usize,
    /// Where the grey card is, across and down, where there is one.
    card_x: Option<f64>,
    card_y: Option<f64>,
    /// Where the dab is; without it, it is looked for.
    dab_x: Option<f64>,
    dab_y: Option<f64>,
    /// Today, as the page's clock has it.
    date: String,
    /// Log it beside the scene.
    #[serde(default)]
    log: bool,
}

/// A surface whose tones to list as they are brushed.
#[derive(Debug, Clone, Deserialize)]
pub struct AskDabs {
    surface: String,
}

fn first() -> usize {
    1
}

/// A patch was for the tone whose colour is nearest to what was planned then, up to this far (CIEDE2000): plans move a
/// little. Our choice.
const THE_SAME_PLAN: f64 = 5.0;

/// A grey card reflects this much.
const GREY_CARD: f64 = 0.18;

fn about(x: Option<f64>, y: Option<f64>) -> Result<Option<Region>, Refused> {
    let at: Option<Point> = x.zip(y).map(|(x, y)| [x, y]);
    at.map(Region::about)
        .transpose()
        .map_err(|e| Refused::of_problem(&e))
}

/// Where a dab lies in a photo, nobody having clicked on it.
fn dab_found(picture: &Picture, planned: LabD65, set_aside: &[Region]) -> Result<Region, Refused> {
    find_patch(picture, planned, set_aside)
        .map(|found| found.region)
        .ok_or_else(|| Refused::words("found no even patch in the photo: click on the dab"))
}

/// What is known of the light by a grey card, if one was clicked on, and its word for the log.
fn lit_by(card: Option<Region>) -> (KnownLight, &'static str) {
    card.map_or((KnownLight::Nothing, "nothing"), |region| {
        let card = KnownLight::Neutral {
            region,
            reflectance: Some(GREY_CARD),
        };
        (card, "grey card")
    })
}

impl Desk {
    /// Holds a photographed patch against the plan of the scene as it is saved.
    ///
    /// # Errors
    /// [`Refused`] for a photo that cannot be read, or a surface that is not in the plan.
    pub fn patch(&self, ask: &AskPatch, photo: &[u8]) -> Result<Value, Refused> {
        let (card, dab) = (about(ask.card_x, ask.card_y)?, about(ask.dab_x, ask.dab_y)?);
        let read = decode(photo, &self.settings.limits).map_err(|e| Refused::of_problem(&e))?;
        let mut picture = read.value;
        let (known, word) = lit_by(card.clone());
        let light = picture
            .correct(&known)
            .map_err(|e| Refused::of_problem(&e))?;
        self.with_plan(|plan, shelf| {
            let at = named(plan, &ask.surface)?;
            let tone = ask.tone.checked_sub(1);
            let tone = tone.and_then(|tone| plan.surfaces[at].tones.get(tone));
            let tone = tone.ok_or_else(|| Refused::words("found no such tone in the plan"))?;
            let planned = plan.brushed_colour(at, tone);
            let pot = plan.brushed_parts(at, tone).ok_or_else(|| {
                Refused::words("found no mix for it: nothing on the list comes near")
            })?;
            let region = match dab {
                Some(region) => region,
                None => dab_found(&picture, planned, card.as_slice())?,
            };
            let seen = picture
                .reading(&region)
                .ok_or_else(|| Refused::words("found no pixel there"))?;
            let (surface, content) = (&plan.surfaces[at].wanted.name, fingerprint(photo));
            let before = read_before(
                shelf,
                &plan.as_built,
                (surface, tone.wanted.tone.name),
                (word, &content),
            );
            let patch = DriedPatch {
                surface,
                tone: tone.wanted.tone.name,
                pot: &pot,
                planned,
                seen,
                uncertainty: light.uncertainty,
                before: &before,
            };
            let report = judge(shelf, &patch)
                .map_err(|e| Refused::words(e.to_string()))?
                .after(&plan.as_built, word);
            let logged = ask.log && report.doubt.is_none();
            if logged {
                let of = Photographed {
                    date: ask.date.clone(),
                    photo: ask.name.clone(),
                    beside: None,
                    content,
                    light: word.to_owned(),
                };
                self.log(&report.entry(shelf, of))?;
            }
            let mut told = report_answer(&report, shelf, &region);
            told["logged"] = logged.into();
            Ok(told)
        })?
    }

    /// The tones of a surface that are brushed on, by their names, each with the patches that were logged for it; as the
    /// scene is saved.
    ///
    /// # Errors
    /// [`Refused`] for a surface that is not in the plan.
    pub fn dabs(&self, ask: &AskDabs) -> Result<Value, Refused> {
        self.with_plan(|plan, shelf| {
            let at = named(plan, &ask.surface)?;
            let surface = &plan.surfaces[at];
            let brushed: Vec<(ToneId, LabD65)> = ToneId::all(surface.tones.len())
                .filter(|t| {
                    let tone = &surface.tones[*t];
                    !tone.wanted.left_to_lamps && plan.pot_brushed(at, tone).is_some()
                })
                .map(|t| (t, plan.brushed_colour(at, &surface.tones[t])))
                .collect();
            let colours: Vec<LabD65> = brushed.iter().map(|(_, colour)| *colour).collect();
            let of_surface = || {
                let all = plan.as_built.iter();
                all.filter(|entry| entry.surface == ask.surface)
            };
            let dabs = brushed.iter().map(|(t, planned)| {
                let tone = &surface.tones[*t];
                let pot = plan.brushed_parts(at, tone).unwrap_or_default();
                let parts = pot.iter();
                let word = plain_word(tone.wanted.tone.colour);
                let logged = of_surface().filter(|entry| is_for(entry, *planned, &colours));
                json!({
                    "tone": t.number(),
                    "name": surface.part(*t).map_or_else(|| word.to_owned(), |part| format!("{part}, {word}")),
                    "share": tone.wanted.tone.share.value(),
                    "hex": planned.to_srgb8().to_string(),
                    "mix": stirred(parts.map(|(stock, parts)| (parts, &shelf[*stock].name))),
                    "logged": logged.map(logged_words).collect::<Vec<_>>(),
                })
            });
            Ok(json!({ "dabs": dabs.collect::<Vec<_>>() }))
        })?
    }

    /// Works with the plan of the scene as it is saved.
    pub(super) fn with_plan<T>(
        &self,
        work: impl FnOnce(&Plan<'_>, &Shelf) -> T,
    ) -> Result<T, Refused> {
        let text = String::from_utf8_lossy(&self.scene_bytes()?).into_owned();
        let scene = self.scene_to_plan(&text)?;
        let paints = self.paints();
        let listed = paints.as_ref().as_ref().map_err(Refused::words)?;
        let (paints, shelf) = (&listed.list, listed.shelf());
        let scatter = self.scatter(&scene)?;
        let kit = Kit {
            scatter: scatter.as_ref(),
            ..Kit::new(paints, shelf)
        };
        let plan = self.planned(&scene, &text, kit)?;
        Ok(work(&plan, shelf))
    }

    /// The log's name, as the commands have it.
    fn log_name(&self) -> String {
        let file = &self.settings.file;
        let stem = file
            .rsplit_once('.')
            .map_or(file.as_str(), |(stem, _)| stem);
        format!("{stem}.patches.jsonl")
    }

    /// The log of patches; empty where there is none.
    pub(super) fn patch_log(&self) -> Result<PatchLog, Refused> {
        let name = self.log_name();
        if !self.keeper.has(&name) {
            return Ok(PatchLog::default());
        }
        let bytes = self
            .keeper
            .read(&name, &Place::default(), FileKind::Patches)
            .map_err(|e| Refused::of_problem(&*e))?;
        parse_patch_log(&name, &String::from_utf8_lossy(&bytes))
            .map_err(|faults| Refused::faults(&faults))
    }

    /// Takes the patch that was logged last out of the log again.
    ///
    /// # Errors
    /// [`Refused`] where there is none, or the log cannot be written.
    pub fn take_back_patch(&self) -> Result<Value, Refused> {
        let log = self.patch_log()?;
        if log.entries.is_empty() && log.films.is_empty() {
            return Err(Refused::words(
                "no patch is logged: there is nothing to take back",
            ));
        }
        let name = self.log_name();
        let before = self
            .keeper
            .read(&name, &Place::default(), FileKind::Patches)
            .map_err(|e| Refused::of_problem(&*e))?;
        let text = String::from_utf8_lossy(&before);
        let (after, _) = without_last_patch(&text, log.cut_short);
        self.keeper.write(&name, Some(&before), after.as_bytes())?;
        Ok(Value::Null)
    }

    /// Writes a reading into the log.
    fn log(&self, entry: &AsBuilt) -> Result<(), Refused> {
        let line = entry.line().map_err(|e| Refused::words(e.to_string()))?;
        let name = self.log_name();
        let aside = name.replace(".jsonl", ".cut-short");
        let is_cut_short = self.patch_log()?.cut_short.is_some();
        let aside = is_cut_short.then_some(aside.as_str());
        Ok(self.keeper.append(&name, &line, aside)?)
    }
}

/// A surface of a plan by its name.
fn named(plan: &Plan<'_>, surface: &str) -> Result<SurfaceId, Refused> {
    SurfaceId::all(plan.surfaces.len())
        .find(|at| plan.surfaces[*at].wanted.name == surface)
        .ok_or_else(|| {
            Refused::words(format!(
                "found no \"{surface}\" in the saved scene: save first"
            ))
        })
}

/// Whether a patch was for a colour among those that are brushed on its surface.
fn is_for(entry: &AsBuilt, planned: LabD65, all: &[LabD65]) -> bool {
    let off = |colour: LabD65| delta_e00(colour, entry.planned).0;
    let nearest = all.iter().map(|colour| off(*colour));
    let nearest = nearest.fold(f64::INFINITY, f64::min);
    nearest <= THE_SAME_PLAN && off(planned) <= nearest
}

/// A patch that was logged, in words.
fn logged_words(entry: &AsBuilt) -> Value {
    let words = match falls_short(entry.planned, entry.seen) {
        _ if entry.doubtful => "not of this pot".to_owned(),
        Some(words) => format!("{words} than planned"),
        None => "as planned".to_owned(),
    };
    json!({
        "date": entry.date,
        "words": words,
        "hex": entry.seen.to_srgb8().to_string(),
        "de2000": entry.de2000,
        "verdict": entry.verdict,
    })
}

fn report_answer(report: &PatchReport, shelf: &Shelf, region: &Region) -> Value {
    let mut told = report.json(shelf);
    told["advice"] = report.verdict.advice().into();
    told["region"] = json!(region.outline.points());
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_patch_is_marked_at_the_colour_it_was_planned_for_and_at_no_other() {
        let lab = |l: f64, b: f64| LabD65::new(l, 8.0, b);
        let entry = |planned: LabD65| AsBuilt {
            format: String::new(),
            date: "2026-11-25".to_owned(),
            surface: "Wall".to_owned(),
            tone: "brown".to_owned(),
            paints: Vec::new(),
            planned,
            seen: planned,
            de2000: 0.0,
            uncertainty_de: 3.0,
            verdict: "as planned".to_owned(),
            photo: "dried.jpg".to_owned(),
            beside: None,
            content: None,
            light: None,
            add: None,
            doubtful: false,
        };
        let all = [lab(40.0, 12.0), lab(46.0, 14.0), lab(70.0, 10.0)];
        let marked = |planned: LabD65| all.map(|colour| is_for(&entry(planned), colour, &all));
        assert_eq!(marked(lab(40.5, 12.0)), [true, false, false]);
        assert_eq!(marked(lab(45.0, 14.0)), [false, true, false]);
        // Planned for what is not there any more.
        assert_eq!(marked(lab(58.0, 12.0)), [false; 3]);
    }
}
