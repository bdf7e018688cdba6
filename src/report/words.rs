//! Words for facts: pots, steps, notes. They are made once; page, data and terminal show the same ones.

use crate::mix::{Closeness, Recipe, Shelf, stirred};
use crate::plan::{Plan, Pot};
use crate::scale_colour::{ScaleRule, customary_white};
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

/// "Pot 3, Yard wall, body and 2 more".
#[must_use]
pub(super) fn pot_name(pot: &Pot) -> String {
    format!("Pot {}, {}", pot.number, pot.label())
}

/// "3 raw umber + 1 titanium white".
#[must_use]
pub fn mix_words(recipe: &Recipe, shelf: &Shelf) -> String {
    let parts = recipe.parts.iter();
    stirred(parts.map(|(at, parts)| (parts, &shelf[*at].name)))
}

/// A share in words that you can paint by.
pub(super) fn about(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 1.0 {
        "less than a hundredth".to_owned()
    } else {
        format!("about {percent:.0} %")
    }
}

/// "Far slope: ", or nothing.
pub(super) fn zone_prefix(zone: Option<&str>) -> String {
    zone.map_or_else(String::new, |zone| format!("{}: ", capitalised(zone)))
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

/// "close on paper (ΔE00 1.8; at the bench expect about 6)": how near the pot should come to the wanted colour counts
/// both.
pub(super) fn closeness_text(difference: f64, uncertainty: f64) -> String {
    let words = Closeness::of_difference(crate::colour::DeltaE00(difference)).words();
    let expected = difference.hypot(uncertainty);
    format!("{words} (ΔE00 {difference:.1}; at the bench expect about {expected:.0})")
}

/// An en dash for an unknown amount; a figure otherwise.
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
