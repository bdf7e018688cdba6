//! Words for tones: light and shade of one material, how their number was chosen.

use crate::colour::{LabD65, plain_word};
use crate::plan::{TonesNote, TwoSurfaces};
use crate::region::Outline;
use crate::tones::{Likeness, Side, StepTaken, Tone};

/// The words for a tone that is, or may be, another one in shade.
#[must_use]
pub fn shade_text(tone: &Tone, all: &[Tone]) -> Option<String> {
    let shade = tone.shade_of?;
    let lit = all.get(shade.lit)?;
    let left = 100.0 * shade.line.light();
    Some(match shade.likeness {
        Likeness::OneMaterial => format!(
            "{} {} is {} {} in {left:.0} % of the light: one material; leave the shadow to your lamps",
            tone.name,
            tone.colour.to_srgb8(),
            lit.name,
            lit.colour.to_srgb8()
        ),
        Likeness::Doubtful => format!(
            "{} {} may be {} {} in {left:.0} % of the light, or a second grey: a camera cannot tell; look at the place",
            tone.name,
            tone.colour.to_srgb8(),
            lit.name,
            lit.colour.to_srgb8()
        ),
    })
}

/// What was done in a step of choosing the number of tones.
#[must_use]
pub fn step_taken_text(what: StepTaken) -> &'static str {
    match what {
        StepTaken::Heaps => "colours that stand apart",
        StepTaken::Joined => {
            "those too close for two pots joined, stray ones given to their neighbours"
        }
        StepTaken::Grouped => {
            "no clear gaps: all grouped together, except small colours far from the rest"
        }
        StepTaken::Uncovered => "one tone more: too much of the surface was far from every tone",
        StepTaken::OneMore => "grouped again, one tone more",
        StepTaken::AlikeEnough => "colours within a tone are alike enough for one pot",
        StepTaken::Enough => "enough for a painter",
    }
}

/// An outline as a scene has it.
fn points_text(outline: &Outline) -> String {
    let points = outline.points().iter().map(|[x, y]| format!("[{x}, {y}]"));
    format!("[{}]", points.collect::<Vec<_>>().join(", "))
}

fn two_text(surface: &str, found: &TwoSurfaces) -> String {
    let [here, there] = match found.side {
        Side::Left => ["left of it", "right of it"],
        Side::Above => ["above it", "below it"],
    };
    let [one, other] = found
        .tones
        .each_ref()
        .map(|tone| format!("{} {}", plain_word(tone.colour), tone.colour.to_srgb8()));
    let [from, to] = found.border.map(|[x, y]| format!("{x:.2}, {y:.2}"));
    let outlines = found
        .outlines
        .as_ref()
        .map_or_else(String::new, |outlines| {
            let [first, second] = outlines.each_ref().map(points_text);
            format!(" For two: region = {first} and region = {second}.")
        });
    format!(
        "{surface}: its outline seems to hold two surfaces side by side: {here} mostly {one}, {there} mostly {other}, with a border from {from} to {to}.{outlines}"
    )
}

/// A note on shade, or on several photos of one surface.
#[expect(
    clippy::too_many_lines,
    reason = "the words of each doubt, one after the other"
)]
pub(in crate::report) fn note_text(note: &TonesNote) -> String {
    let named = |tone: &Tone| format!("{} {}", tone.name, tone.colour.to_srgb8());
    match note {
        TonesNote::ShadeAsked {
            surface,
            lit,
            shade,
        } => {
            let left = shade.shade_of.map_or(0.0, |s| 100.0 * s.line.light());
            format!(
                "{surface}: {} may be {} in shadow ({left:.0} % of the light), or a paint of its own; the photo alone cannot tell. It is planned as a paint.",
                named(shade),
                named(lit)
            )
        }
        TonesNote::PhotoRelit {
            surface,
            photo,
            like,
            by: [r, g, b],
        } => format!(
            "{surface}: the light of photo {photo} was brought to that of {like} (red × {r:.2}, green × {g:.2}, blue × {b:.2}), taking both to show the same parts."
        ),
        TonesNote::PhotoOdd {
            surface,
            photo,
            off,
            left_out,
        } => format!(
            "{surface}: photo {photo} does not look like the others of this surface (tones off by ΔE00 {:.0} on average){}",
            off.0,
            if *left_out {
                "; it is left out."
            } else {
                "; it counts all the same, because nobody can say which is the odd one."
            }
        ),
        TonesNote::TwoSurfaces { surface, found } => two_text(surface, found),
        TonesNote::NothingToPick {
            surface,
            differ: false,
        } => format!(
            "{surface}: the scene asks to pick out single bricks, stones or boards; they differ by less than this photo can show, so none are picked out."
        ),
        TonesNote::NothingToPick {
            surface,
            differ: true,
        } => format!(
            "{surface}: its bricks, stones or boards differ, but no paint of the list brings its pot nearer to any of them, so none are picked out."
        ),
        TonesNote::AlikeNotFound { surface, not_found } => {
            let listed = |colours: &[LabD65]| {
                let codes: Vec<String> = colours.iter().map(|c| c.to_srgb8().to_string()).collect();
                codes.join(", ")
            };
            format!(
                "{surface}: the scene makes {} one tone, but no tone is near {} any more.",
                listed(&not_found.named),
                listed(&not_found.missing)
            )
        }
    }
}

/// What to do about it.
pub(in crate::report) fn note_hint(note: &TonesNote) -> Option<&'static str> {
    match note {
        TonesNote::ShadeAsked { .. } => Some(
            "Look at the place, or at a photo in flat light; then write shade = \"join\" (shadow: left to your lamps) or shade = \"keep\" (a paint).",
        ),
        TonesNote::PhotoOdd { .. } => Some("Check its region, or give a grey card in each photo."),
        TonesNote::TwoSurfaces { .. } => Some(
            "Look at the photo. If there are two, a button on the page of the layout outlines each as a surface of its own. If it is one, say so there, or write one_surface = true.",
        ),
        TonesNote::AlikeNotFound { .. } => Some(
            "Choose again which tones are one, on the page of the layout or with alike = [[…]], or remove that line.",
        ),
        TonesNote::PhotoRelit { .. } | TonesNote::NothingToPick { .. } => None,
    }
}
