//! Tones and their mixes as the page prints them.

use crate::colour::{LabD65, delta_e00, plain_word};
use crate::mix::{Closeness, Recipe, Shelf, falls_short};
use crate::plan::{Plan, SurfaceId, SurfacePlan, ToneId, TonePlan};
use crate::report::pots::brushed::BrushView;
use crate::report::tones::figures::ToneFigure;
use crate::report::words::{about, capitalised, closeness_text, mix_words, moved_by};
use crate::scene::Treatment;

/// One tone.
#[derive(Debug)]
pub(in crate::report) struct ToneView {
    pub(in crate::report) number: usize,
    pub(in crate::report) role: String,
    pub(in crate::report) share: String,
    pub(in crate::report) name: String,
    pub(in crate::report) swatches: ToneFigure,
    pub(in crate::report) photographed: String,
    pub(in crate::report) planned: String,
    pub(in crate::report) predicted: String,
    pub(in crate::report) moved: Option<String>,
    /// What is brushed for it.
    pub(in crate::report) brush: Option<BrushView>,
    /// Instead: why nothing is.
    pub(in crate::report) unbrushed: Option<String>,
    /// What is said at length of a shadow that is left to the lamps.
    pub(in crate::report) left: Option<String>,
    pub(in crate::report) others: Vec<RecipeView>,
    pub(in crate::report) target: String,
}

/// One mix.
#[derive(Debug)]
pub(in crate::report) struct RecipeView {
    pub(in crate::report) text: String,
    pub(in crate::report) hex: String,
    pub(in crate::report) closeness: String,
    pub(in crate::report) short: Option<String>,
}

impl RecipeView {
    pub(in crate::report) fn new(recipe: &Recipe, shelf: &Shelf, asked: LabD65) -> Self {
        let family = if shelf.families().len() > 1 && recipe.family.is_solvent_borne() {
            format!(" ({})", recipe.family.words())
        } else {
            String::new()
        };
        Self {
            text: format!("{}{family}", mix_words(recipe, shelf)),
            hex: recipe.colour.to_srgb8().to_string(),
            closeness: closeness_text(recipe.difference.0, recipe.uncertainty.0),
            short: falls_short(asked, recipe.colour).map(|words| format!("{words} than asked")),
        }
    }
}

impl ToneView {
    /// The tone at a place of surface and tone.
    pub(in crate::report) fn new(
        (at, t): (SurfaceId, ToneId),
        tone: &TonePlan,
        plan: &Plan<'_>,
        tag: Option<&'static str>,
    ) -> Self {
        let surface = &plan.surfaces[at];
        let planned = tone.wanted.moved.colour;
        let brush = BrushView::all(at, plan)
            .into_iter()
            .find(|brush| brush.tone == Some(t.number()));
        let mixes: &[Recipe] = if brush.is_some() { &tone.recipes } else { &[] };
        let predicted = mixes.first().map(|recipe| recipe.colour);
        let label = format!(
            "{}: photographed {}, planned {}{}",
            plain_word(tone.wanted.tone.colour),
            tone.wanted.tone.colour.to_srgb8(),
            planned.to_srgb8(),
            predicted.map_or_else(String::new, |c| format!(", predicted mix {}", c.to_srgb8())),
        );
        Self {
            number: t.number(),
            role: role_text(t, tone, surface),
            share: about(tone.wanted.tone.share.value())
                .trim_start_matches("about ")
                .replace(" %", "\u{a0}%"),
            name: capitalised(plain_word(tone.wanted.tone.colour)),
            swatches: ToneFigure::new(label, tone, tag),
            photographed: lab_text(tone.wanted.tone.colour),
            planned: lab_text(planned),
            predicted: predicted.map_or_else(|| "–".to_owned(), lab_text),
            moved: moved_by(tone.wanted.moved.by),
            unbrushed: brush.is_none().then(|| unbrushed_words(t, tone, surface)),
            left: left_to_lamps(tone, surface),
            brush,
            others: mixes
                .iter()
                .skip(1)
                .map(|recipe| RecipeView::new(recipe, plan.shelf, planned))
                .collect(),
            target: format!("± {:.0}", tone.wanted.target_uncertainty.0),
        }
    }
}

/// Why nothing is brushed for a tone.
fn unbrushed_words(t: ToneId, tone: &TonePlan, surface: &SurfacePlan) -> String {
    if let Some(shade) = tone
        .wanted
        .tone
        .shade_of
        .filter(|_| tone.wanted.left_to_lamps)
    {
        return format!("shadow of tone {}: leave it to your lamps", shade.lit + 1);
    }
    match surface.wanted.treatment {
        Treatment::Scatter => "strewn".to_owned(),
        Treatment::Rock => "not in the rock scheme: not painted".to_owned(),
        _ if surface.unpainted.contains(&t) => washed_words(tone.wanted.moved.colour, surface),
        _ => "not painted".to_owned(),
    }
}

/// The words for a tone that a wash replaces: it need not lead to all tones of its surface.
fn washed_words(planned: LabD65, surface: &SurfacePlan) -> String {
    let Some(wash) = &surface.dirt.wash else {
        return "not painted".to_owned();
    };
    let off = |ends: &LabD65| delta_e00(planned, *ends);
    let ends = [wash.flat, wash.recess];
    let nearest = ends
        .into_iter()
        .min_by(|a, b| off(a).0.total_cmp(&off(b).0));
    let plainly_off = nearest.filter(|ends| Closeness::of_difference(off(ends)) > Closeness::Near);
    match plainly_off.and_then(|ends| falls_short(planned, ends)) {
        Some(direction) => format!("not painted: the wash ends {direction}"),
        None => "not painted: the wash leads there".to_owned(),
    }
}

fn lab_text(colour: LabD65) -> String {
    // Padded by figure spaces, so that numerals stand one above the other.
    let figure = |value: f64| {
        let text = format!("{:>3}", format!("{:.0}", value + 0.0).replace("-0", "0"));
        text.replace('-', "\u{2212}").replace(' ', "\u{2007}")
    };
    format!(
        "{}\u{a0} L*\u{a0}{}\u{a0} a*\u{a0}{}\u{a0} b*\u{a0}{}",
        colour.to_srgb8(),
        figure(colour.l),
        figure(colour.a),
        figure(colour.b)
    )
}

/// The part a tone plays, and in which band where its surface has some.
fn role_text(t: ToneId, tone: &TonePlan, surface: &SurfacePlan) -> String {
    let part = surface.part(t);
    capitalised(part.as_deref().unwrap_or(tone.wanted.tone.role.word()))
}

/// What to say of a tone that is not painted.
fn left_to_lamps(tone: &TonePlan, surface: &SurfacePlan) -> Option<String> {
    let shade = tone
        .wanted
        .tone
        .shade_of
        .filter(|_| tone.wanted.left_to_lamps)?;
    let lit = surface.tones.get(shade.lit)?;
    Some(format!(
        "Not painted: this is tone {}, {}, in {:.0} % of the light. Leave the shadow to your lamps.",
        shade.lit + 1,
        plain_word(lit.wanted.tone.colour),
        100.0 * shade.line.light()
    ))
}
