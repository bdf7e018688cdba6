//! Words for hillsides, scatter, rain and lamps.

use crate::paint::{Grain, ScatterMaterial};
use crate::plan::{PlanNote, StepKind, dosed};
use crate::report::words::{capitalised, distance_text, zone_prefix};
use crate::scatter::{LaidKind, Missing};

/// "coarse", "medium", "fine", "static grass": the trade's words.
#[must_use]
pub fn grain_word(grain: Grain) -> &'static str {
    match grain {
        Grain::Coarse => "coarse",
        Grain::Medium => "medium",
        Grain::Fine => "fine",
        Grain::Fibre => "static grass",
    }
}

/// "about 3 teaspoons": amounts of a spoon are rough.
fn spoons_text(teaspoons: Option<f64>) -> String {
    match teaspoons {
        Some(n) if n < 0.75 => "about half a teaspoon".to_owned(),
        Some(n) if n < 1.5 => "about a teaspoon".to_owned(),
        Some(n) if n < 20.0 => format!("about {n:.0} teaspoons"),
        Some(n) => format!("about {:.1} litres", n * 0.005),
        None => String::new(),
    }
}

/// "12.5 g", "1.4 g a dm²" where the area is unknown.
pub(in crate::report) fn weight_text(laid: &LaidKind) -> String {
    match laid.grams {
        Some(grams) => format!("{} g", dosed(grams).value()),
        None => format!("{:.1} g a dm²", laid.grams_per_dm2),
    }
}

/// "12.5 g, about 20 teaspoons", "1.4 g a dm²" where the area is unknown.
#[must_use]
pub fn amount_text(laid: &LaidKind) -> String {
    match laid.grams {
        Some(grams) => format!(
            "{} g, {}",
            dosed(grams).value(),
            spoons_text(laid.teaspoons)
        ),
        None => format!("{:.1} g a dm²", laid.grams_per_dm2),
    }
}

/// One pass of scatter; empty for any other step.
pub(in crate::report) fn strew_text(step: &StepKind) -> String {
    let StepKind::Strew {
        zone,
        grain,
        kinds,
        after,
        glue,
        first,
    } = step
    else {
        return String::new();
    };
    let kinds: Vec<String> = kinds
        .iter()
        .map(|(name, laid)| format!("{name} ({})", amount_text(laid)))
        .collect();
    let kinds = kinds.join(" with ");
    let glue = glue.map_or_else(String::new, |ml| format!(" (about {} ml)", ml.value()));
    let how = match (grain, first) {
        (Grain::Coarse, true) => format!(
            "brush on glue that dries clear{glue}, press in the coarse kinds first so that they rise from the ground like bushes: {kinds}."
        ),
        (Grain::Coarse, false) => {
            format!(
                "mist fresh glue that dries clear{glue} evenly over what lies, then the coarse kinds: {kinds}."
            )
        }
        (Grain::Medium, true) => {
            format!("brush on glue that dries clear{glue}, strew the medium kinds: {kinds}.")
        }
        (Grain::Medium, false) => format!(
            "mist fresh glue that dries clear{glue} evenly over what lies, then the medium kinds: {kinds}."
        ),
        (Grain::Fine, true) => format!(
            "brush on glue that dries clear{glue}, strew the fine kinds from a sieve: {kinds}."
        ),
        (Grain::Fine, false) => format!(
            "mist fresh glue that dries clear{glue} evenly over what lies, then the fine kinds from a sieve: {kinds}."
        ),
        (Grain::Fibre, _) => format!(
            "static grass in a pass of its own, into fresh glue that dries clear{glue}, before it skins over: {kinds}."
        ),
    };
    capitalised(&format!(
        "{}{how} From afar it then looks like {}.",
        zone_prefix(zone.as_deref()),
        after.to_srgb8()
    ))
}

/// "a fine kind near #6b7a38".
pub(in crate::report) fn missing_text(missing: &Missing) -> String {
    format!(
        "a {} kind near {} ({})",
        grain_word(missing.grain),
        missing.colour.to_srgb8(),
        crate::colour::plain_word(missing.colour),
    )
}

/// Notes on hillsides, scatter, rain and lamps; empty for any other.
#[expect(
    clippy::too_many_lines,
    reason = "the words of each doubt, one after the other"
)]
pub(in crate::report) fn note_text(note: &PlanNote) -> String {
    match note {
        PlanNote::Dried {
            surface,
            by,
            uncertainty,
        } => format!(
            "{surface}: its photo was taken in rain; its tones were changed to what they should be when dry, by about {:.0} (CIEDE2000). That may be off by {:.0}, since nobody knows how wet it was (Lekner and Dorf 1988).",
            by.0, uncertainty.0
        ),
        PlanNote::Haze {
            surface,
            haze,
            used,
        } => format!(
            "{surface}: from {} to {}, haze in its photo suggests a visibility of about {} (within a factor of {:.1}) and air of about {} (± {:.0}){}.",
            distance_text(haze.near.value()),
            distance_text(haze.far.value()),
            distance_text(haze.visibility.value()),
            haze.within,
            haze.air.to_srgb8(),
            haze.air_within.0,
            if *used {
                "; it was taken out of the bands as far as that is sure"
            } else {
                "; the plan weighs that together with the scene's own visibility"
            }
        ),
        PlanNote::LampByTemperature { lamp } => format!(
            "Only the temperature of the lamps is known ({lamp}), so the plan takes them for a glowing body or a phase of daylight. An LED of the same temperature shifts other colours."
        ),
        PlanNote::NoScatterList { surface } => format!(
            "{surface}: it is to be strewn, but there is no scatter list, so it has no blend."
        ),
        PlanNote::KindsLeftOut {
            surface,
            zone,
            land,
            guessed,
            kinds,
            means,
            gaps,
        } => format!(
            "{}: it is {}{}, so no {} in it. That costs colour: the mean is {:.1} off instead of {:.1} (CIEDE2000), its shades {:.1} instead of {:.1}.",
            place(surface, zone.as_deref()),
            land.word(),
            if *guessed { " by its name" } else { "" },
            kinds.join(", no "),
            means[0].0,
            means[1].0,
            gaps[0].0,
            gaps[1].0,
        ),
        PlanNote::OutsideScreen { surface, tones } => {
            let tones: Vec<String> = tones.iter().map(ToString::to_string).collect();
            format!(
                "{surface}: the planned colour of tone {} lies outside what screens show (sRGB); its swatch is the nearest they can.",
                tones.join(", ")
            )
        }
        PlanNote::MaterialsGuessed { kinds } => {
            let told: Vec<String> = kinds
                .iter()
                .map(|(name, material)| {
                    let word = material.map_or("anything", ScatterMaterial::word);
                    format!("{name}: {word}")
                })
                .collect();
            format!(
                "The material of these kinds of scatter was guessed from their names: {}.",
                told.join("; ")
            )
        }
        PlanNote::MissingKind {
            surface,
            zone,
            missing,
        } => format!(
            "{}: the list lacks {}, for {:.0} % of it; the nearest kind is {:.0} (CIEDE2000) away.",
            place(surface, zone.as_deref()),
            missing_text(missing),
            100.0 * missing.share,
            missing.nearest.0
        ),
        PlanNote::BlendOff {
            surface,
            zone,
            difference,
            falls_short,
        } => format!(
            "{}: the best blend is {:.0} (CIEDE2000) off the colour wanted{}.",
            place(surface, zone.as_deref()),
            difference.0,
            falls_short
                .as_ref()
                .map_or_else(String::new, |words| format!(", {words}")),
        ),
        _ => String::new(),
    }
}

/// What would mend it.
pub(in crate::report) fn note_hint(note: &PlanNote) -> Option<&'static str> {
    match note {
        PlanNote::Dried { .. } => Some("Photograph it again when it is dry."),
        PlanNote::Haze { used: false, .. } => {
            Some("Leave visibility out of scale_colour to have the photo's own haze taken out.")
        }
        PlanNote::LampByTemperature { .. } => Some(
            "Name a CIE illuminant near your lamps (LED-B3 is a usual white one), or give their spectrum file.",
        ),
        PlanNote::KindsLeftOut { .. } => Some(
            "To allow a material, add it to the surface, such as allow = [\"leaf\", \"needle\"]. land = \"grass\" says what a surface or band is; land = \"any\" uses whatever has the colour.",
        ),
        PlanNote::MaterialsGuessed { .. } => {
            Some("Add a column material to the scatter list to say what each kind is.")
        }
        PlanNote::NoScatterList { .. } => {
            Some("Add scatter = \"scatter.csv\" to the scene, or give a list with --scatter.")
        }
        PlanNote::MissingKind { .. } | PlanNote::BlendOff { .. } => {
            Some("Buy or dye a kind of that colour and add it to the list.")
        }
        _ => None,
    }
}

fn place(surface: &str, zone: Option<&str>) -> String {
    zone.map_or_else(|| surface.to_owned(), |zone| format!("{surface}, {zone}"))
}
