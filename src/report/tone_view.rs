//! Tones and their mixes as the page prints them.

use super::figures::Swatches;
use super::tone_figures::ToneFigure;
use super::words::{about, capitalised, closeness_text, mix_words, ml, pot_name};
use crate::colour::LabD65;
use crate::mix::{Recipe, Shelf, falls_short};
use crate::plan::{Plan, SurfacePlan, TonePlan};

/// One tone.
#[derive(Debug)]
pub(super) struct ToneView {
    pub(super) number: usize,
    pub(super) role: String,
    pub(super) share: String,
    pub(super) name: String,
    pub(super) swatches: ToneFigure,
    pub(super) printed: Swatches,
    pub(super) photographed: String,
    pub(super) planned: String,
    pub(super) predicted: String,
    pub(super) moved: String,
    pub(super) pot: Option<String>,
    pub(super) pot_number: Option<usize>,
    pub(super) recipe: Option<RecipeView>,
    pub(super) others: Vec<RecipeView>,
    pub(super) target: String,
    /// Instead of a mix: it is not painted.
    pub(super) lamps: Option<String>,
    pub(super) loose: &'static str,
}

/// One mix.
#[derive(Debug)]
pub(super) struct RecipeView {
    pub(super) text: String,
    pub(super) hex: String,
    pub(super) closeness: String,
    pub(super) short: Option<String>,
}

impl RecipeView {
    pub(super) fn new(recipe: &Recipe, shelf: &Shelf, asked: LabD65) -> Self {
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
    pub(super) fn new(
        number: usize,
        tone: &TonePlan,
        surface: &SurfacePlan,
        plan: &Plan<'_>,
        tag: Option<&'static str>,
    ) -> Self {
        let planned = tone.moved.colour;
        let mixes: &[Recipe] = if tone.left_to_lamps {
            &[]
        } else {
            &tone.recipes
        };
        let best = mixes.first();
        let predicted = best.map(|recipe| recipe.colour);
        let label = format!(
            "{}: photographed {}, planned {}{}",
            tone.tone.name,
            tone.tone.colour.to_srgb8(),
            planned.to_srgb8(),
            predicted.map_or_else(String::new, |c| format!(", predicted mix {}", c.to_srgb8())),
        );
        Self {
            number,
            role: role_text(tone, surface),
            share: about(tone.tone.share.value()),
            name: capitalised(tone.tone.name),
            swatches: ToneFigure::new(label, tone, tag),
            printed: Swatches::row(
                format!("{}, planned {}", tone.tone.name, planned.to_srgb8()),
                120,
                52,
                &[(planned, 1.0)],
            ),
            photographed: lab_text(tone.tone.colour),
            planned: lab_text(planned),
            predicted: predicted.map_or_else(String::new, lab_text),
            moved: format!("{:.1}", tone.moved.by.0),
            pot_number: tone.pot.map(|pot| plan.pots[pot].number),
            pot: tone.pot.map(|pot| {
                let pot = &plan.pots[pot];
                let batch = pot
                    .volume
                    .map_or_else(String::new, |v| format!(", batch {}", ml(v.value())));
                format!("{}{batch}", pot_name(pot))
            }),
            recipe: best.map(|recipe| RecipeView::new(recipe, plan.shelf, planned)),
            others: mixes
                .iter()
                .skip(1)
                .map(|recipe| RecipeView::new(recipe, plan.shelf, planned))
                .collect(),
            target: format!("± {:.0}", tone.target_uncertainty.0),
            lamps: left_to_lamps(tone, surface),
            loose: tone.tone.keep(),
        }
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
fn role_text(tone: &TonePlan, surface: &SurfacePlan) -> String {
    let role = tone.tone.role.word();
    surface.zones[tone.zone].band.as_ref().map_or_else(
        || capitalised(role),
        |band| format!("{}, {role}", capitalised(&band.name)),
    )
}

/// What to say of a tone that is not painted.
fn left_to_lamps(tone: &TonePlan, surface: &SurfacePlan) -> Option<String> {
    let shade = tone.tone.shade_of.filter(|_| tone.left_to_lamps)?;
    let lit = surface.tones.get(shade.lit)?;
    Some(format!(
        "Not painted: this is tone {}, {}, in {:.0} % of the light. Leave the shadow to your lamps.",
        shade.lit + 1,
        lit.tone.name,
        100.0 * shade.line.light()
    ))
}
