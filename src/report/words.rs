//! Words for facts: pots, steps, notes. Made once; the page, the data and the terminal show them alike.

use super::dirt_words::{dirt_note_hint, dirt_note_text, dirt_step_text};
use super::hand::listed;
use super::{hill_words, tone_words};
use crate::mix::{Closeness, Helpful, Recipe, Shelf};
use crate::paint::over_advice;
use crate::photo::PhotoWarning;
use crate::plan::{FewerPots, Plan, PlanNote, Pot, PotId, Pots, Step, StepKind};
use crate::scale_colour::{AirNote, ScaleRule, customary_white};
use crate::tones::Role;
use crate::units::DROP;

/// The surfaces a pot is for, each once, in the order of its tones.
#[must_use]
pub(super) fn surfaces_of<'a>(pot: &Pot, plan: &'a Plan<'_>) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for member in &pot.members {
        let name = plan.surfaces[member.surface].wanted.name.as_str();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// "Pot 3, moderate brown".
#[must_use]
pub(super) fn pot_name(pot: &Pot) -> String {
    format!("Pot {}, {}", pot.number, pot.name)
}

/// "3 raw umber + 1 titanium white".
#[must_use]
pub fn mix_words(recipe: &Recipe, shelf: &Shelf) -> String {
    recipe
        .parts
        .iter()
        .map(|(at, parts)| format!("{parts} {}", shelf.stocks()[*at].name))
        .collect::<Vec<_>>()
        .join(" + ")
}

fn named_pot(pot: PotId, pots: &Pots) -> String {
    let pot = &pots[pot];
    format!("pot {} ({})", pot.number, pot.name)
}

fn drying(family: Option<crate::paint::MixingFamily>) -> String {
    family.map_or_else(String::new, |family| {
        format!(" Let it dry {} before the next coat.", family.drying())
    })
}

/// A share in words that a hand can follow.
pub(super) fn about(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 1.0 {
        "less than a hundredth".to_owned()
    } else {
        format!("about {percent:.0} %")
    }
}

/// One step of the order of work.
#[must_use]
pub fn step_text(step: &Step, pots: &Pots) -> String {
    match &step.kind {
        StepKind::Clean => "Wash the parts in lukewarm water with a drop of washing-up liquid, rinse, let them dry; dull any shine with fine abrasive.".to_owned(),
        StepKind::Dust => "Let plaster dry right through, a day or more, and brush off the dust; no soap on it, and no sanding.".to_owned(),
        StepKind::Prime { primer, colour } => match primer {
            Some(name) => format!("Prime with {name} ({}); let it dry as its label says.", colour.to_srgb8()),
            None => format!("Prime in a matt mid grey (near {}); a darker or lighter primer shifts thin coats.", colour.to_srgb8()),
        },
        StepKind::TestPatch => "Mix a few drops first, brush them on primed scrap and let the patch dry: paint shifts as it dries. Judge it beside the photo in the light of the layout.".to_owned(),
        StepKind::Body { pot, coats, family } => format!(
            "Brush {} over the whole surface in {}.{}",
            named_pot(*pot, pots),
            if *coats == 1 { "one coat".to_owned() } else { format!("{coats} thin coats") },
            drying(*family)
        ),
        StepKind::Tone { pot, role, share, family } => {
            let pot = named_pot(*pot, pots);
            let about = about(*share);
            let how = match role {
                Role::Body | Role::Variation => format!("Pick out {about} of the surface in {pot}, in irregular patches."),
                Role::Shade => format!("Lay {pot} over {about} of the surface, where the photo is dark: low, sheltered, between the parts."),
                Role::Recess => format!("Work {pot} into the recesses and wipe the flats clean: about {about} of the surface, where rain does not reach."),
                Role::Light if *share > 0.3 => format!("Lay {pot} over {about} of the surface in irregular patches, where the photo is light; let the body show between them."),
                Role::Light => format!("Lay {pot} over {about} of the surface, where light and rain fall; a nearly dry brush keeps its edges soft."),
                Role::Accent => format!("Touch in {pot} on {about} of the surface, only where the photo has it."),
            };
            format!("{how}{}", drying(*family))
        }
        StepKind::Ground { zone, pot, family } => format!(
            "{}aint the ground all over in {} before anything is strewn; it may show through.{}",
            zone.as_deref().map_or_else(|| "P".to_owned(), |zone| format!("{}p", zone_prefix(Some(zone)))),
            named_pot(*pot, pots),
            drying(*family)
        ),
        StepKind::Strew { .. } => hill_words::strew_text(&step.kind),
        StepKind::Tidy => "When the glue is dry, vacuum off what does not hold through a cloth and keep it for patching.".to_owned(),
        StepKind::Dirt(step) => dirt_step_text(step, &|pot| named_pot(pot, pots)),
        StepKind::Varnish { varnish } => match varnish {
            Some(name) => format!("When all is dry for a day, seal with {name}. Varnish darkens and deepens colours a little: try it on the test patch first."),
            None => "When all is dry for a day, seal with a matt varnish. Varnish darkens and deepens colours a little: try it on the test patch first.".to_owned(),
        },
    }
}

/// "Far slope: ", or nothing.
pub(super) fn zone_prefix(zone: Option<&str>) -> String {
    zone.map_or_else(String::new, |zone| format!("{}: ", capitalised(zone)))
}

/// What a reader should know before trusting the plan.
#[must_use]
pub fn note_text(note: &PlanNote) -> String {
    match note {
        PlanNote::Photo { photo, warning } => match warning {
            PhotoWarning::Grey => format!(
                "The photo \"{photo}\" is grey: its lightness was used, no colour was invented."
            ),
            other => format!("The photo \"{photo}\": {other}."),
        },
        PlanNote::LightUncorrected { photos } => format!(
            "Nothing corrects the light of {}: {} colours may be off by about 10 (CIEDE2000), mostly in lightness and warmth.",
            listed(photos),
            if photos.len() == 1 { "its" } else { "their" },
        ),
        PlanNote::Light { photo, report } => format!(
            "The photo \"{photo}\": {report}. Its colours may be off by about {:.0} (CIEDE2000).",
            report.uncertainty.0
        ),
        PlanNote::Lost {
            surface,
            blown_out,
            crushed,
        } => format!(
            "{surface}: {} of its region and left out of its tones.",
            [(blown_out, "blown out"), (crushed, "crushed to black")]
                .into_iter()
                .filter(|(share, _)| **share >= 0.005)
                .map(|(share, how)| format!("{:.0} % is {how}", 100.0 * share))
                .collect::<Vec<_>>()
                .join(", ")
        ),
        PlanNote::DistanceUnknown { photo } => format!(
            "The distance of the photo \"{photo}\" is not stated: no air was subtracted for it."
        ),
        PlanNote::Air { surface, note } => match note {
            AirNote::LeftIn => format!(
                "{surface}: the photo was taken through so much air that taking it out would be guesswork; its haze stays in the planned colours."
            ),
            AirNote::Unknown => format!(
                "{surface}: its photo was taken from farther away than the model is seen from, and nobody knows how clear that day was; what haze there is stays in, and the ± is wider for it."
            ),
            AirNote::RemovedToFloor => format!(
                "{surface}: taking out the photo's air left some colours without any light in a channel; the air that day was clearer than the scene says, and the darkest planned colours are too dark."
            ),
            AirNote::Added | AirNote::Removed => format!("{surface}: the air was reckoned with."),
        },
        PlanNote::NotMixed { paint, reason } => {
            format!("{paint} takes no part in mixes: {reason}.")
        }
        PlanNote::DistancesDiffer { surface } => format!(
            "{surface}: its photos were taken from different distances; the distance of the first was used for all."
        ),
        PlanNote::Dark { surface } => format!(
            "{surface}: its photo is dark and nothing mends its exposure; the planned colours are probably too dark."
        ),
        PlanNote::LightDoubt { photo, words } => format!("The photo \"{photo}\": {words}"),
        PlanNote::Supposed { surface, supposed } => format!("{surface}: {}.", supposed.words()),
        PlanNote::HeldAgainst { surface, words } | PlanNote::NoPhoto { surface, words } => {
            format!("{surface}: {words}.")
        }
        PlanNote::Tones(note) => tone_words::note_text(note),
        PlanNote::AreaUnknown { surface } => {
            format!("{surface}: no area is given, so no quantities can be told for its pots.")
        }
        PlanNote::OutOfReach {
            surface,
            tone,
            difference,
            falls_short,
        } => format!(
            "{surface}, {tone}: no mix of the list comes nearer than {:.0} (CIEDE2000){}.",
            difference.0,
            falls_short
                .as_ref()
                .map_or_else(String::new, |words| format!(", {words} than asked")),
        ),
        PlanNote::LetDownWanted { paints } => format!(
            "{} {} dark or transparent in the pot: a screen colour does not tell how strongly such paint tints.",
            capitalised(&listed(paints)),
            if paints.len() == 1 { "is" } else { "are" },
        ),
        PlanNote::HelpfulColour(_) | PlanNote::MediaOver { .. } | PlanNote::LetDown(_) => {
            paints_text(note)
        }
        PlanNote::Dried { .. }
        | PlanNote::Haze { .. }
        | PlanNote::LampByTemperature { .. }
        | PlanNote::NoScatterList { .. }
        | PlanNote::MissingKind { .. }
        | PlanNote::KindsLeftOut { .. }
        | PlanNote::OutsideScreen { .. }
        | PlanNote::MaterialsGuessed { .. }
        | PlanNote::BlendOff { .. } => hill_words::note_text(note),
        PlanNote::FewerPots(fewer) => fewer_text(fewer),
        PlanNote::Dirt { surface, note } => dirt_note_text(surface, note),
        PlanNote::ImpossibleColour { paint } => {
            format!("{paint}: no surface can have the listed colour; it was moved toward grey.")
        }
    }
}

/// What having fewer pots costs.
fn fewer_text(fewer: &FewerPots) -> String {
    let FewerPots {
        asked, before, now, ..
    } = fewer;
    let missed = if now > asked {
        format!(" {asked} were asked for; no other pot can do the work of the rest.")
    } else {
        String::new()
    };
    match &fewer.worst {
        None => format!("{now} mixes, as without the limit of {asked}.{missed}"),
        Some((surface, tone, then, worst)) => format!(
            "{now} mixes in place of {before}, by choice. What that costs most: {surface}, {tone}, ΔE00 {:.1} from the planned colour on paper in place of {:.1}.{missed}",
            worst.0, then.0
        ),
    }
}

/// Notes about paints and media.
fn paints_text(note: &PlanNote) -> String {
    match note {
        PlanNote::HelpfulColour(helpful) => helpful_text(helpful),
        PlanNote::LetDown(report) => format!("{report}."),
        PlanNote::MediaOver {
            surface,
            over,
            under,
        } => {
            let advice = over_advice(*over, *under).unwrap_or("let it dry first");
            format!(
                "{surface}: {} goes over {}; {advice}.",
                over.words(),
                under.words()
            )
        }
        _ => String::new(),
    }
}

fn helpful_text(helpful: &Helpful) -> String {
    format!(
        "One further paint near {} would help most with what is out of reach: from {:.0} to about {:.0} (CIEDE2000) off on average, {} brought near.",
        helpful.colour.to_srgb8(),
        helpful.before.0,
        helpful.after.0,
        match helpful.brought_within {
            1 => "1 tone".to_owned(),
            n => format!("{n} tones"),
        }
    )
}

/// What would mend it.
#[must_use]
pub fn note_hint(note: &PlanNote) -> Option<&'static str> {
    match note {
        PlanNote::LightUncorrected { .. } => {
            Some("Photograph a grey card or a colour chart in the same light.")
        }
        PlanNote::Light { report, .. } if report.uncertainty.0 > 5.0 => {
            Some("Photograph a grey card or a colour chart in the same light.")
        }
        PlanNote::Lost { .. } => Some("Photograph it again with less, or more, exposure."),
        PlanNote::DistanceUnknown { .. } => Some("Add from = \"8 m\" to the photo."),
        PlanNote::Air {
            note: AirNote::LeftIn | AirNote::RemovedToFloor,
            ..
        } => {
            Some("Photograph the surface from nearer by, or raise the visibility in scale_colour.")
        }
        PlanNote::Air {
            note: AirNote::Unknown,
            ..
        } => Some(
            "Say how far one could see, as in scale_colour = { visibility = \"20 km\" }, to have it taken out.",
        ),
        PlanNote::LightDoubt { .. } => Some(
            "Correct or remove its material, or draw its region where the light is that of the rest.",
        ),
        PlanNote::Dark { .. } => {
            Some("Photograph it in better light, with a grey card in the picture.")
        }
        PlanNote::Tones(note) => tone_words::note_hint(note),
        PlanNote::AreaUnknown { .. } => Some("Add area = \"310 cm2\" to the surface."),
        PlanNote::LetDownWanted { .. } => Some(
            "Mix 1 part with 3 parts white, let it dry, photograph it and enter it as let_down_hex and let_down_parts_white.",
        ),
        PlanNote::OutOfReach { .. } => {
            Some("A paint of this colour would help; see the planned swatch.")
        }
        PlanNote::LetDown(report) if report.doubtful.is_some() => {
            Some("Photograph both again, in one light, with a grey card.")
        }
        PlanNote::Dirt { note, .. } => dirt_note_hint(note),
        PlanNote::ImpossibleColour { .. } => Some("Check the paint's colour in the list."),
        PlanNote::Dried { .. }
        | PlanNote::Haze { .. }
        | PlanNote::LampByTemperature { .. }
        | PlanNote::NoScatterList { .. }
        | PlanNote::MissingKind { .. }
        | PlanNote::KindsLeftOut { .. }
        | PlanNote::OutsideScreen { .. }
        | PlanNote::MaterialsGuessed { .. }
        | PlanNote::BlendOff { .. } => hill_words::note_hint(note),
        PlanNote::MediaOver { .. } => Some(
            "Common practice, no source: labels, safety data sheets and a test on scrap come first.",
        ),
        PlanNote::Photo { .. }
        | PlanNote::HelpfulColour(_)
        | PlanNote::DistancesDiffer { .. }
        | PlanNote::HeldAgainst { .. }
        | PlanNote::NoPhoto { .. }
        | PlanNote::Supposed { .. }
        | PlanNote::LetDown(_)
        | PlanNote::Light { .. }
        | PlanNote::Air { .. }
        | PlanNote::NotMixed { .. }
        | PlanNote::FewerPots(_) => None,
    }
}

/// The last part of a path, whichever way its parts are divided.
pub(super) fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

pub(super) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// "close on paper (ΔE00 1.8; at the bench expect about 6)": how near the colour asked the pot should come counts both.
pub(super) fn closeness_text(difference: f64, uncertainty: f64) -> String {
    let words = Closeness::of(crate::colour::DeltaE00(difference)).words();
    let expected = difference.hypot(uncertainty);
    format!("{words} (ΔE00 {difference:.1}; at the bench expect about {expected:.0})")
}

/// An en dash for what is not known; a figure otherwise.
pub(super) fn or_dash(value: Option<String>) -> String {
    value.unwrap_or_else(|| "–".to_owned())
}

/// "12.5 ml"; below a millilitre with drops, above a thousand in litres; "none" of nothing.
pub(super) fn ml(volume: f64) -> String {
    if volume <= 0.0 {
        "none".to_owned()
    } else if volume >= 1000.0 {
        format!("{:.2} litres", volume / 1000.0)
    } else if volume < 0.95 {
        let drops = (volume / DROP - 1e-6).ceil().max(1.0);
        let plural = if drops > 1.0 { "s" } else { "" };
        format!("{volume:.2} ml, {drops:.0} drop{plural}")
    } else {
        format!("{volume:.1} ml")
    }
}

/// "0.9 m", "12 m", "2.5 km".
pub(super) fn distance_text(metres: f64) -> String {
    let (value, unit) = if metres >= 1000.0 {
        (metres / 1000.0, "km")
    } else {
        (metres, "m")
    };
    let text = if value >= 10.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    };
    format!("{} {unit}", text.trim_end_matches(".0"))
}

/// The rule of scale colour with its settings.
pub(super) fn rule_text(plan: &Plan<'_>) -> String {
    let settings = &plan.layout.scale_colour;
    match settings.rule {
        ScaleRule::Air => format!(
            "air, visibility {}, colour of the air {}",
            distance_text(settings.visibility.value()),
            settings.air.to_srgb8()
        ),
        ScaleRule::Customary => format!(
            "customary, {:.0} % white paint",
            100.0 * customary_white(plan.layout.scale)
        ),
        ScaleRule::None => "none".to_owned(),
    }
}

/// A move to a tenth; nothing where it rounds to none.
pub(super) fn moved_by(by: crate::colour::DeltaE00) -> Option<String> {
    (by.0 >= 0.05).then(|| format!("{:.1}", by.0))
}
