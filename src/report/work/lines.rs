//! The one order of work as short lines: what to take, where, how much. Page, terminal and `plan.json` print these
//! same lines; the craft notes explain each technique once.

use crate::colour::LabD65;
use crate::mix::{PaintId, stirred};
use crate::plan::{
    DirtStep, OnSurface, PickedOut, PlacedBy, Plan, Pot, Sitting, Stage, StepKind, SurfaceId,
    SurfacePlan, ThinnedMix, Wait, WashBlend, WorkStep,
};
use crate::report::dirt::words::{parts_words, technique_words};
use crate::report::hand::{hand_ml, listed};
use crate::report::hills::words::{grain_word, weight_text};
use crate::report::tones::variety::{short_mix_words, short_where};
use crate::report::words::{capitalised, mix_words};
use crate::rock::RockRole;
use crate::scene::Technique;
use crate::tones::Role;
use crate::units::Millilitres;

/// One line of the order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkLine {
    /// What to take: "Pot 3", "burnt sienna, from the bottle", "Wash".
    pub what: String,
    /// What it is mixed of, where it is mixed.
    pub mix: Option<String>,
    /// How much of it, as a hand measures.
    pub amount: Option<String>,
    /// What the brush or tool does with it: "brush on", "dry-brush".
    pub verb: &'static str,
    /// Where, each with what differs there.
    pub on: Vec<WorkPlace>,
    /// The colour of the paint in its jar or bottle.
    pub colour: Option<LabD65>,
    /// Which craft note explains how.
    pub craft: Craft,
}

/// Where a line applies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkPlace {
    /// The surface, as a place in the plan.
    pub surface: SurfaceId,
    /// Its name.
    pub name: String,
    /// What differs there; may be empty.
    pub detail: String,
}

/// The craft notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Craft {
    /// Cleaning and priming.
    Ground,
    /// Mixing and trying on scrap.
    Mixing,
    /// Brushing bodies and tones.
    Brushing,
    /// Washes, filters, streaks.
    Thin,
    /// Stippling and dry-brushing.
    Dry,
    /// Powder.
    Powder,
    /// Glue and scatter.
    Scatter,
    /// The last coat.
    Seal,
}

impl Craft {
    /// A word for links and marks.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Mixing => "mixing",
            Self::Brushing => "brushing",
            Self::Thin => "thin",
            Self::Dry => "dry-brush",
            Self::Powder => "powder",
            Self::Scatter => "scatter",
            Self::Seal => "seal",
        }
    }
}

/// What a wait is called.
#[must_use]
pub fn wait_words(wait: Wait) -> &'static str {
    match wait {
        Wait::HalfHour => "half an hour",
        Wait::Hours => "an hour or two",
        Wait::Label => "drying as its label says",
        Wait::Overnight => "overnight",
        Wait::Day => "a full day",
        Wait::Days => "several days",
    }
}

/// The subject of a sitting, in a word or two.
#[must_use]
pub fn sitting_words(sitting: &Sitting) -> &'static str {
    match sitting.steps.first().map(|step| step.stage) {
        Some(Stage::Clean) => "Clean",
        Some(Stage::Prime) => "Prime",
        Some(Stage::Try | Stage::FirstColours) => "First colours",
        Some(Stage::SecondColours) => "Second colours",
        Some(Stage::Washes) => "Washes",
        Some(Stage::Stains | Stage::Dabs) => "Dirt in its places",
        Some(Stage::SealBeforePowder) => "Matt ground for powder",
        Some(Stage::Powder | Stage::SealAfterPowder) => "Powder",
        Some(Stage::DryBrush) => "Dry brush",
        Some(Stage::Strew) => "Scatter",
        Some(Stage::Tidy) => "Tidy up",
        Some(Stage::Varnish) => "Seal",
        None => "",
    }
}

/// "Pot 3", or of a bottle "burnt sienna, from the bottle".
#[must_use]
pub fn taken_words(pot: &Pot, plan: &Plan<'_>) -> String {
    match pot.recipe.as_ref().filter(|_| pot.is_straight()) {
        Some(recipe) => format!(
            "{}, from the bottle",
            capitalised(&plan.shelf[recipe.parts[0].0].name)
        ),
        None if plan.on_palette(pot).is_some() => format!("Pot {}, on the palette", pot.number),
        None => format!("Pot {}", pot.number),
    }
}

/// What a pot is mixed of: "5 slate grey + 1 red oxide", or on the palette "1 Pot 2 + 1 Concrete"; none for a bottle.
#[must_use]
pub fn stirred_words(pot: &Pot, plan: &Plan<'_>) -> Option<String> {
    let recipe = pot.recipe.as_ref().filter(|_| !pot.is_straight())?;
    Some(match plan.on_palette(pot) {
        Some(palette) => {
            let of = palette.of.iter();
            stirred(of.map(|(at, parts)| (parts, open_words(&plan.pots[*at], plan))))
        }
        None => mix_words(recipe, plan.shelf),
    })
}

/// A pot, or a bottle by its bare name.
pub(in crate::report) fn open_words(pot: &Pot, plan: &Plan<'_>) -> String {
    match pot.recipe.as_ref().filter(|_| pot.is_straight()) {
        Some(recipe) => plan.shelf[recipe.parts[0].0].name.clone(),
        None => format!("Pot {}", pot.number),
    }
}

impl WorkLine {
    /// The line of a step.
    #[must_use]
    pub fn new(step: &WorkStep, plan: &Plan<'_>) -> Self {
        let first = step.on.first().map(|at| (at, kind(plan, *at)));
        let pot = step.pot.map(|pot| &plan.pots[pot]);
        let mut line = first.map_or_else(Self::nothing, |(at, kind)| match pot {
            Some(pot) => match kind {
                StepKind::PickOut(picked) => Self::picked_out(picked, pot, plan),
                _ => Self::of_pot(pot, step.stage, plan),
            },
            None => Self::without_pot(kind, &plan.surfaces[at.surface], plan),
        });
        line.on = step
            .on
            .iter()
            .map(|at| WorkPlace {
                surface: at.surface,
                name: plan.surfaces[at.surface].wanted.name.clone(),
                detail: detail(kind(plan, *at), plan.surfaces[at.surface].wanted.coats),
            })
            .collect();
        line
    }

    fn nothing() -> Self {
        Self {
            what: String::new(),
            mix: None,
            amount: None,
            verb: "",
            on: Vec::new(),
            colour: None,
            craft: Craft::Ground,
        }
    }

    fn plain(what: &str, verb: &'static str, craft: Craft) -> Self {
        Self {
            what: what.to_owned(),
            verb,
            craft,
            ..Self::nothing()
        }
    }

    fn of_pot(pot: &Pot, stage: Stage, plan: &Plan<'_>) -> Self {
        let recipe = pot.recipe.as_ref();
        let palette = plan.on_palette(pot);
        Self {
            mix: stirred_words(pot, plan),
            amount: if palette.is_some() {
                Some("a few drops".to_owned())
            } else {
                pot.volume.map(hand_ml)
            },
            colour: palette
                .map(|palette| palette.colour)
                .or(recipe.map(|recipe| recipe.colour)),
            ..Self::plain(
                &taken_words(pot, plan),
                if stage == Stage::DryBrush {
                    "dry-brush"
                } else {
                    "brush"
                },
                if stage == Stage::DryBrush {
                    Craft::Dry
                } else {
                    Craft::Brushing
                },
            )
        }
    }

    fn picked_out(picked: &PickedOut, pot: &Pot, plan: &Plan<'_>) -> Self {
        let pot = open_words(pot, plan);
        Self {
            mix: Some(short_mix_words(picked)),
            colour: Some(picked.addition.colour),
            ..Self::plain(&format!("{pot}, varied"), "pick out", Craft::Brushing)
        }
    }

    fn without_pot(kind: &StepKind, surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        match kind {
            StepKind::Clean => Self::plain("Wash off grease, dull the shine", "", Craft::Ground),
            StepKind::Dust => {
                Self::plain("Let plaster dry through, brush off dust", "", Craft::Ground)
            }
            StepKind::Prime { primer, colour } => Self {
                colour: Some(*colour),
                ..Self::plain(
                    &match primer {
                        Some(name) => format!("Prime with {name}"),
                        None => "Prime in a matt mid grey".to_owned(),
                    },
                    "",
                    Craft::Ground,
                )
            },
            StepKind::TestPatch => Self::plain(
                "Try every mix on primed scrap and let it dry",
                "",
                Craft::Mixing,
            ),
            StepKind::Tidy => Self::plain("Vacuum off loose scatter", "", Craft::Scatter),
            StepKind::Varnish { varnish } => Self::plain(
                &match varnish {
                    Some(name) => format!("Seal with {name}"),
                    None => "Seal with a matt varnish".to_owned(),
                },
                "",
                Craft::Seal,
            ),
            StepKind::Strew { .. } => strewn_line(kind),
            StepKind::Dirt(step) => dirt_line(step, surface),
            StepKind::Body { pot, .. }
            | StepKind::Tone { pot, .. }
            | StepKind::Ground { pot, .. } => {
                Self::of_pot(&plan.pots[*pot], Stage::FirstColours, plan)
            }
            StepKind::PickOut(picked) => Self::picked_out(picked, &plan.pots[picked.pot], plan),
        }
    }

    /// The line as one sentence for data and terminal.
    #[must_use]
    pub fn words(&self) -> String {
        let mut text = self.what.clone();
        if let Some(mix) = &self.mix {
            text.push_str(": ");
            text.push_str(mix);
        }
        if let Some(amount) = &self.amount {
            text.push_str(", ");
            text.push_str(amount);
        }
        let places: Vec<String> = self.on.iter().map(WorkPlace::words).collect();
        if !places.is_empty() {
            text.push_str(if self.verb.is_empty() { ": " } else { "; " });
            if !self.verb.is_empty() {
                text.push_str(self.verb);
                text.push_str(" on ");
            }
            text.push_str(&listed(&places));
        }
        text
    }
}

impl WorkPlace {
    /// "Yard wall (2 coats)".
    #[must_use]
    pub fn words(&self) -> String {
        if self.detail.is_empty() {
            self.name.clone()
        } else {
            format!("{} ({})", self.name, self.detail)
        }
    }
}

fn kind<'a>(plan: &'a Plan<'_>, at: OnSurface) -> &'a StepKind {
    &plan.surfaces[at.surface].steps[at.step].kind
}

/// A share as a hand takes it.
fn share_words(share: f64) -> String {
    match share {
        s if s < 0.015 => "here and there".to_owned(),
        s if s < 0.12 => format!("{:.0} %", 100.0 * s),
        s if (0.22..0.28).contains(&s) => "a quarter".to_owned(),
        s if (0.3..0.37).contains(&s) => "a third".to_owned(),
        s if (0.45..0.55).contains(&s) => "half".to_owned(),
        s => format!("{:.0} %", (s * 20.0).round() * 5.0),
    }
}

/// What differs on one surface.
fn detail(kind: &StepKind, _coats: u32) -> String {
    match kind {
        StepKind::Body { coats, .. } => match coats {
            1 => "all over, 1 coat".to_owned(),
            n => format!("all over, {n} thin coats"),
        },
        StepKind::PickOut(picked) => short_where(picked),
        StepKind::Tone { role, share, .. } => {
            let share = share_words(*share);
            match role {
                Role::Body | Role::Variation => format!("{share}, in irregular patches"),
                Role::Shade => format!("{share}, where the photo is dark"),
                Role::Recess => format!("{share}, into recesses"),
                Role::Light => format!("{share}, where light and rain fall"),
                Role::Accent => format!("{share}, only where the photo has it"),
            }
        }
        StepKind::Ground { zone, .. } => zone.as_ref().map_or_else(
            || "ground, all over".to_owned(),
            |zone| format!("ground of {zone}"),
        ),
        StepKind::Strew { zone, .. } => zone.clone().unwrap_or_default(),
        StepKind::Dirt(DirtStep::Rock { role, share, .. }) => match role {
            RockRole::Undercoat => "undercoat, into every crack".to_owned(),
            RockRole::MidTint => format!("{}, following the strata", share_words(*share)),
            RockRole::DarkWash => "into the strata".to_owned(),
            RockRole::Light => format!("edges only, {}", share_words(*share)),
        },
        StepKind::Dirt(DirtStep::Place { name, share, .. }) => {
            format!("{name}, {}", share_words(*share))
        }
        _ => String::new(),
    }
}

/// "1 : 12, one pass".
fn thinning_words(blend: &ThinnedMix) -> Option<String> {
    let thinned = blend.thinned.as_ref()?;
    let passes = match thinned.passes {
        1 => "one pass".to_owned(),
        2 => "two passes".to_owned(),
        n => format!("{n} passes"),
    };
    Some(format!(
        "1 : {} with {}, {passes}",
        thinned.thin, thinned.thinner
    ))
}

/// "3 sepia + 1 dark pine, 1 : 16 with water, one pass"; one paint alone without its part.
#[must_use]
pub(in crate::report) fn short_blend_words(blend: &ThinnedMix) -> String {
    let parts = match &blend.parts[..] {
        [(name, _)] => name.clone(),
        _ => parts_words(blend),
    };
    match thinning_words(blend) {
        Some(thinning) => format!("{parts}, {thinning}"),
        None => parts,
    }
}

fn strewn_line(kind: &StepKind) -> WorkLine {
    let StepKind::Strew {
        grain, kinds, glue, ..
    } = kind
    else {
        return WorkLine::nothing();
    };
    let kinds = kinds.iter().map(|(name, laid)| (name, weight_text(laid)));
    WorkLine {
        mix: Some(stirred(kinds)),
        amount: glue.map(|ml| format!("{} of glue", hand_ml(ml))),
        ..WorkLine::plain(
            &format!("Strew {}", grain_word(*grain)),
            "strew",
            Craft::Scatter,
        )
    }
}

fn dirt_line(step: &DirtStep, surface: &SurfacePlan) -> WorkLine {
    match step {
        DirtStep::Wash { technique, blend } => wash_line(*technique, blend, surface),
        DirtStep::Rock { role, blend, .. } => rock_line(*role, blend.as_ref(), surface),
        DirtStep::Place {
            name,
            technique,
            blend,
            ..
        } => place_line(name, (*technique, blend.as_ref()), surface),
        DirtStep::SealBeforePowder => WorkLine::plain(
            "A thin matt varnish, for powder to hold on to",
            "",
            Craft::Powder,
        ),
        DirtStep::SealAfterPowder => WorkLine::plain(
            "Fix the powder with a mist of matt varnish",
            "",
            Craft::Powder,
        ),
        DirtStep::Harden { .. } => WorkLine::nothing(),
    }
}

/// How much of a film is to be thinned.
fn film_amount(film: &WashBlend) -> Option<String> {
    film.amounts.as_ref().map(|a| hand_ml(a.batch))
}

fn wash_line(technique: Technique, blend: &ThinnedMix, surface: &SurfacePlan) -> WorkLine {
    let mut films = surface.dirt.washes().flat_map(|wash| &wash.washes);
    let film = films.find(|film| film.blend == *blend);
    WorkLine {
        mix: Some(short_blend_words(blend)),
        amount: film.and_then(film_amount),
        colour: film.map(|film| film.recipe.own),
        ..WorkLine::plain(&capitalised(technique_words(technique)), "lay", Craft::Thin)
    }
}

fn rock_line(role: RockRole, blend: Option<&ThinnedMix>, surface: &SurfacePlan) -> WorkLine {
    let rock = surface.dirt.rock.as_ref();
    let dark = rock
        .and_then(|rock| rock.wash.as_ref())
        .and_then(|wash| wash.washes.last())
        .filter(|_| role == RockRole::DarkWash);
    let own = rock
        .into_iter()
        .flat_map(|rock| &rock.steps)
        .find(|s| s.role == role && s.blend.as_ref() == blend)
        .and_then(|s| s.recipes.first())
        .map(|recipe| recipe.colour);
    let craft = if dark.is_some() {
        Craft::Thin
    } else {
        Craft::Dry
    };
    WorkLine {
        mix: blend.map(short_blend_words),
        amount: dark.and_then(film_amount),
        colour: dark.map(|film| film.recipe.own).or(own),
        ..WorkLine::plain(&capitalised(role.words()), "", craft)
    }
}

fn place_line(
    name: &str,
    (technique, blend): (Technique, Option<&ThinnedMix>),
    surface: &SurfacePlan,
) -> WorkLine {
    let place = surface.dirt.places.iter().find(|place| place.name == name);
    let (amount, colour) = place.map_or((None, None), |place| match &place.by {
        PlacedBy::Film(film) => (film_amount(film), Some(film.recipe.own)),
        PlacedBy::Paint { .. } => (None, place.colour),
        PlacedBy::Powder { .. } => (Some("a knife-tip".to_owned()), place.colour),
        PlacedBy::Nothing => (None, None),
    });
    let craft = match technique {
        Technique::Powder => Craft::Powder,
        Technique::Stipple | Technique::DryBrush => Craft::Dry,
        _ => Craft::Thin,
    };
    WorkLine {
        mix: Some(blend.map_or_else(
            || "nothing on the list will do".to_owned(),
            short_blend_words,
        )),
        amount,
        colour,
        ..WorkLine::plain(&capitalised(technique_words(technique)), "", craft)
    }
}

/// All lines of the order of work, sitting by sitting.
#[must_use]
pub fn work_lines<'a>(plan: &'a Plan<'_>) -> Vec<(&'a Sitting, Vec<WorkLine>)> {
    plan.work
        .iter()
        .map(|sitting| {
            let lines = sitting.steps.iter().map(|step| WorkLine::new(step, plan));
            (sitting, lines.collect())
        })
        .collect()
}

/// What to mix and what not: "9 mixes, 5 colours straight from the bottle".
#[must_use]
pub fn pots_words(plan: &Plan<'_>) -> String {
    let mixes = plan
        .pots
        .iter()
        .filter(|pot| pot.recipe.is_some() && !pot.is_straight());
    let (smears, mixes): (Vec<&Pot>, Vec<&Pot>) =
        mixes.partition(|pot| plan.on_palette(pot).is_some());
    let mut bottles: Vec<PaintId> = plan
        .pots
        .iter()
        .filter(|pot| pot.is_straight())
        .filter_map(|pot| pot.recipe.as_ref().map(|recipe| recipe.parts[0].0))
        .collect();
    bottles.sort_unstable();
    bottles.dedup();
    let mixes = match mixes.len() {
        0 => "no mixes".to_owned(),
        1 => "1 mix".to_owned(),
        n => format!("{n} mixes"),
    };
    let mixes = match bottles.len() {
        0 => mixes,
        n => format!("{mixes}, {n} straight from the bottle"),
    };
    match smears.len() {
        0 => mixes,
        n => format!("{mixes}, {n} on the palette"),
    }
}

/// What is short, each with how much: "sepia ink 48.8 ml", "dark turf 80 g".
#[must_use]
pub fn shortages(plan: &Plan<'_>) -> Vec<String> {
    let ml =
        |short: Millilitres| (short.value() > 0.0).then(|| crate::report::hand::exact_ml(short));
    let paints = plan.shopping.iter().filter_map(|line| {
        let short = ml(line.short?)?;
        Some(format!("{} {short}", line.paint))
    });
    let scatter = plan.scatter_shopping.iter().filter_map(|line| {
        let short = line.to_buy?.value();
        (short > 0.0).then(|| format!("{} {short} g", plan.kinds[line.kind].name))
    });
    paints.chain(scatter).collect()
}
