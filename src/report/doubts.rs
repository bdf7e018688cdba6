//! What is doubtful about a plan, in words.

use super::dirt::words::{dirt_note_hint, dirt_note_text};
use super::hand::listed;
use super::hills::words as hill_words;
use super::tones::words as tone_words;
use super::words::capitalised;
use crate::mix::Helpful;
use crate::paint::over_advice;
use crate::photo::PhotoWarning;
use crate::plan::{FewerPots, PlanNote};
use crate::scale_colour::AirNote;

/// What a reader should know before trusting the plan.
#[must_use]
#[expect(
    clippy::too_many_lines,
    reason = "the words of each doubt, one after the other"
)]
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
            "{surface}: {} of its region; none of that counts in its tones.",
            [(blown_out, "blown out"), (crushed, "crushed to black")]
                .into_iter()
                .filter(|(share, _)| **share >= 0.005)
                .map(|(share, how)| format!("the photo is {how} over {:.0} %", 100.0 * share))
                .collect::<Vec<_>>()
                .join(" and ")
        ),
        PlanNote::DistanceUnknown { photo } => format!(
            "The distance of the photo \"{photo}\" is not given, so no air was taken out of it."
        ),
        PlanNote::Air { surface, note } => match note {
            AirNote::LeftIn => format!(
                "{surface}: the photo was taken through so much air that taking it out would be guesswork; its haze stays in the planned colours."
            ),
            AirNote::Unknown => format!(
                "{surface}: its photo was taken from farther away than you see the model from, and nobody knows how clear that day was; any haze stays in, and the ± is wider for it."
            ),
            AirNote::RemovedToFloor => format!(
                "{surface}: with the photo's air taken out, some colours have no light left in a channel. The air that day was clearer than the scene says, and the darkest planned colours are too dark."
            ),
            AirNote::Added | AirNote::Removed => format!("{surface}: the plan allows for the air."),
        },
        PlanNote::NotMixed { paint, reason } => {
            format!("{paint} is left out of mixes: {reason}.")
        }
        PlanNote::DistancesDiffer { surface } => format!(
            "{surface}: its photos were taken from different distances; the plan uses the distance of the first for all."
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
            format!("{surface}: no area is given, so the plan cannot say how much its pots need.")
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
            "{} {} dark or transparent in the pot: a screen colour does not show how strongly such paint tints.",
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
            format!("{paint}: no surface can have the listed colour; it was moved towards grey.")
        }
    }
}

/// What having fewer pots costs.
fn fewer_text(fewer: &FewerPots) -> String {
    let FewerPots {
        asked, before, now, ..
    } = fewer;
    let missed = if now > asked {
        format!(" You asked for {asked}, but no pot can stand in for another of these.")
    } else {
        String::new()
    };
    match &fewer.worst {
        None => format!("{now} mixes, as without the limit of {asked}.{missed}"),
        Some((surface, tone, then, worst)) => format!(
            "{now} mixes instead of {before}, as you chose. The largest cost: {surface}, {tone} is ΔE00 {:.1} from the planned colour on paper instead of {:.1}.{missed}",
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
        "One more paint near {} would help most with colours out of reach: it brings {3} near, and the average difference from {:.0} to about {:.0} (CIEDE2000).",
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
#[expect(
    clippy::too_many_lines,
    reason = "what mends each doubt, one after the other"
)]
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
            "Correct or remove its material, or draw its region where it has the same light as the rest.",
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
