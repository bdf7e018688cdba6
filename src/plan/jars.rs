//! What is written on a jar: the surface, its band, and the part its colour plays there. No two colours of a layout
//! have the same name, and a colour that moves a little keeps its name. Words for colours change at borders that
//! somebody drew, so they stand beside the name and are not part of it.

use super::toned::{TonedTone, TonedZone};
use crate::tones::{Role, Tone};

/// The part a tone plays, before tones with the same part get different names.
fn part(tone: &Tone) -> &'static str {
    match tone.role {
        _ if tone.thin => "joints",
        Role::Light => "light parts",
        Role::Shade => "dark parts",
        Role::Recess => "recesses",
        Role::Body | Role::Variation | Role::Accent => tone.role.word(),
    }
}

/// For each tone of a surface the part it plays, no two alike: nothing where it is all there is; "joints"; "far slope,
/// dark parts 2" of the second largest of them in that band.
pub(super) fn parts<'a>(
    zones: impl Iterator<Item = &'a TonedZone>,
    tones: &[&TonedTone],
) -> Vec<Option<String>> {
    let mut parts = vec![None; tones.len()];
    for zone in zones {
        let own = tones.get(zone.tones.clone()).unwrap_or_default();
        let band = zone.band.as_ref().map(|band| band.name.clone());
        for (at, tone) in own.iter().enumerate() {
            let part = part(&tone.tone);
            let before = &own[..at];
            let before = before
                .iter()
                .filter(|t| self::part(&t.tone) == part)
                .count();
            let part = (own.len() > 1).then(|| match before {
                0 => part.to_owned(),
                n => format!("{part} {}", n + 1),
            });
            let words: Vec<String> = band.clone().into_iter().chain(part).collect();
            parts[zone.tones.start + at] = (!words.is_empty()).then(|| words.join(", "));
        }
    }
    parts
}

/// What is written on the jar of a part of a surface.
pub(super) fn name(surface: &str, part: Option<&str>) -> String {
    part.map_or_else(|| surface.to_owned(), |part| format!("{surface}, {part}"))
}
