//! The part each tone plays, in plain words.

use super::shade::{Likeness, shades};
use crate::colour::{LabD65, delta_e00};
use crate::tones::tone::{Role, Tone};

/// Lightness by which a tone counts as lighter or darker than the body. Our choice.
const LIGHTER: f64 = 4.0;
/// Dirt is this much darker than the body, no more colourful than this part of it, and covers at most this share. Our
/// choice.
const DIRT_DARKER: f64 = 12.0;
const DIRT_DULLER: f64 = 0.8;
const MOST_DIRT: f64 = 0.3;
/// If the user gives the number of tones, an accent covers at most this share and is this far from all others. Our
/// choice.
const ACCENT_SHARE: f64 = 0.03;
const ACCENT_APART: f64 = 10.0;

/// Tells light and shade of one material, the body, and how the others stand to it. Accents already known stay so.
pub(in crate::tones) fn give(tones: &mut [Tone]) {
    let known: Vec<(LabD65, f64)> = tones
        .iter()
        .map(|tone| (tone.colour, tone.share.value()))
        .collect();
    for (i, tone) in tones.iter_mut().enumerate() {
        let alone = (0..known.len())
            .all(|j| i == j || delta_e00(tone.colour, known[j].0).0 >= ACCENT_APART);
        if tone.share.value() <= ACCENT_SHARE && alone && known.len() > 1 {
            tone.role = Role::Accent;
        }
    }
    let shades = shades(&known);
    // A material covers what its lit tone and its sure shades cover; the largest is the body.
    let mut material: Vec<f64> = known.iter().map(|(_, share)| *share).collect();
    for (i, shade) in shades.iter().enumerate() {
        if let Some(shade) = shade.filter(|shade| shade.likeness == Likeness::OneMaterial) {
            material[shade.lit] += known[i].1;
            material[i] = 0.0;
        }
    }
    let Some(body) =
        (0..tones.len()).max_by(|a, b| material[*a].total_cmp(&material[*b]).then(b.cmp(a)))
    else {
        return;
    };
    let body_colour = known[body].0;
    for (i, tone) in tones.iter_mut().enumerate() {
        if tone.role == Role::Accent && i != body {
            continue;
        }
        tone.shade_of = shades[i];
        tone.role = if i == body {
            Role::Body
        } else if tone.shade_of.is_some() {
            Role::Shade
        } else if is_dirt(tone, body_colour) {
            Role::Recess
        } else if tone.colour.l > body_colour.l + LIGHTER {
            Role::Light
        } else if tone.colour.l < body_colour.l - LIGHTER {
            Role::Shade
        } else {
            Role::Variation
        };
    }
}

fn is_dirt(tone: &Tone, body: LabD65) -> bool {
    tone.share.value() <= MOST_DIRT
        && tone.colour.l < body.l - DIRT_DARKER
        && tone.colour.chroma() < DIRT_DULLER * body.chroma()
}
