//! What to brush on a surface, for cards and sheets: the pot in use, and no other mix.

use crate::colour::{delta_e00, plain_word};
use crate::mix::{Closeness, falls_short};
use crate::plan::{Member, Plan, Pot, SurfaceId, SurfacePlan, ToneId};
use crate::report::figures::Swatches;
use crate::report::hand::hand_ml;
use crate::report::words::{capitalised, closeness_text};
use crate::report::work::lines::{stirred_words, taken_words};

/// One pot or bottle on one surface.
#[derive(Debug)]
pub(in crate::report) struct BrushView {
    /// Number of its tone; none for the clean base under a wash.
    pub(in crate::report) tone: Option<usize>,
    pub(in crate::report) title: String,
    /// "Pot 3", or "Burnt sienna, from the bottle".
    pub(in crate::report) take: String,
    /// What a pot is mixed of; none for a bottle.
    pub(in crate::report) mix: Option<String>,
    pub(in crate::report) amount: Option<String>,
    /// How near it comes, in words.
    pub(in crate::report) near: String,
    /// How near it comes, in figures.
    pub(in crate::report) figures: String,
    /// Planned, for cards on paper.
    pub(in crate::report) printed: Swatches,
    /// Planned and mixed, touching.
    pub(in crate::report) pair: Swatches,
}

/// The pots that are brushed on a surface and what each does there, the clean base first, then by tone.
pub(in crate::report) fn brushed_on<'a>(
    at: SurfaceId,
    plan: &'a Plan<'_>,
) -> Vec<(&'a Pot, &'a Member)> {
    let mut found: Vec<(&Pot, &Member)> = plan
        .pots
        .iter()
        .flat_map(|pot| pot.members.iter().map(move |member| (pot, member)))
        .filter(|(_, member)| member.surface == at)
        .collect();
    found.sort_by_key(|(_, member)| member.tone);
    found
}

impl BrushView {
    /// Everything that is brushed on a surface, its base first.
    pub(in crate::report) fn all(at: SurfaceId, plan: &Plan<'_>) -> Vec<Self> {
        let surface = &plan.surfaces[at];
        brushed_on(at, plan)
            .into_iter()
            .map(|(pot, member)| Self::new(pot, member, surface, plan))
            .collect()
    }

    fn new(pot: &Pot, member: &Member, surface: &SurfacePlan, plan: &Plan<'_>) -> Self {
        let title = member.tone.map_or_else(
            || "Clean base, under the wash".to_owned(),
            |t| {
                let word = plain_word(surface.tones[t].wanted.tone.colour);
                match surface.part(t) {
                    Some(part) => format!("{}: {word}", capitalised(&part)),
                    None => capitalised(word),
                }
            },
        );
        let recipe = pot.recipe.as_ref();
        let palette = plan.on_palette(pot);
        let reached = palette
            .map(|palette| palette.colour)
            .or(recipe.map(|recipe| recipe.colour));
        let hex = member.planned.to_srgb8();
        let mut colours = vec![(member.planned, 1.0)];
        colours.extend(reached.map(|colour| (colour, 1.0)));
        Self {
            tone: member.tone.map(ToneId::number),
            take: taken_words(pot, plan),
            mix: stirred_words(pot, plan),
            amount: if palette.is_some() {
                Some("a few drops".to_owned())
            } else {
                pot.volume.map(hand_ml)
            },
            near: reached.map_or_else(
                || "nothing on the list mixes".to_owned(),
                |colour| {
                    let off = delta_e00(member.planned, colour);
                    near_words(off, falls_short(member.planned, colour))
                },
            ),
            figures: recipe.map_or_else(String::new, |recipe| {
                let off = delta_e00(member.planned, reached.unwrap_or(recipe.colour));
                closeness_text(off.0, recipe.uncertainty.0)
            }),
            printed: Swatches::row(
                format!("{title}, planned {hex}"),
                120,
                80,
                &[(member.planned, 1.0)],
            ),
            pair: Swatches::row(
                format!(
                    "{title}: planned {hex}{}",
                    reached.map_or_else(String::new, |c| format!(", mixed {}", c.to_srgb8()))
                ),
                96,
                44,
                &colours,
            ),
            title,
        }
    }
}

/// "very close on paper"; where it is seen, in which direction too.
pub(in crate::report) fn near_words(
    off: crate::colour::DeltaE00,
    falls_short: Option<String>,
) -> String {
    let near = Closeness::of_difference(off);
    match (near, falls_short) {
        (Closeness::Near | Closeness::Plain | Closeness::Far, Some(how)) => {
            format!("{}, {how} than asked", near.words())
        }
        _ => near.words().to_owned(),
    }
}
