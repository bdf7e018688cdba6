//! Where shades go: a plan of patches for each strewn zone, in words and as a small picture, and the edges between bands.

use crate::colour::LabD65;
use crate::plan::{Plan, SurfacePlan, ZonePlan};
use crate::report::figures::px;
use crate::tones::{Third, ToneMap, Whereabouts};
use askama::Template;

/// One stretch of a row.
#[derive(Debug)]
pub(in crate::report) struct RowStretch {
    pub(in crate::report) x: usize,
    pub(in crate::report) y: usize,
    pub(in crate::report) width: usize,
    pub(in crate::report) hex: String,
}

/// A small map of a zone, its tones in their planned colours.
#[derive(Debug, Template)]
#[template(
    path = "figures/patch-plan.svg",
    config = "report-templates/askama.toml"
)]
pub(in crate::report) struct PatchPlan {
    pub(in crate::report) label: String,
    pub(in crate::report) width: usize,
    pub(in crate::report) height: usize,
    pub(in crate::report) across: String,
    pub(in crate::report) stretches: Vec<RowStretch>,
}

/// Places along the longer side of the drawn map.
const LONG_SIDE: usize = 36;

impl PatchPlan {
    fn new(map: &ToneMap, colours: &[LabD65]) -> Self {
        let step = map.width().max(map.height()).div_ceil(LONG_SIDE).max(1);
        let (width, height) = (map.width().div_ceil(step), map.height().div_ceil(step));
        let mut stretches: Vec<RowStretch> = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let tone = map.tone(x * step + step / 2, y * step + step / 2);
                let Some(colour) = tone.and_then(|tone| colours.get(tone)) else {
                    continue;
                };
                let hex = colour.to_srgb8().to_string();
                match stretches.last_mut() {
                    Some(last) if last.y == y && last.x + last.width == x && last.hex == hex => {
                        last.width += 1;
                    }
                    _ => stretches.push(RowStretch {
                        x,
                        y,
                        width: 1,
                        hex,
                    }),
                }
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "a few dozen places")]
        let across = px(240.0 * width as f64 / width.max(height) as f64);
        Self {
            label: "Where each shade lies in the photo, in planned colours".to_owned(),
            width,
            height,
            across,
            stretches,
        }
    }
}

/// The plan of patches of one zone.
#[derive(Debug)]
pub(in crate::report) struct PatchesView {
    pub(in crate::report) picture: PatchPlan,
    pub(in crate::report) words: Vec<String>,
}

/// "mostly at the foot, on the left, in patches".
pub(in crate::report) fn where_words(place: Whereabouts) -> String {
    let upright = place.upright.map(|third| match third {
        Third::First => "mostly along the top",
        Third::Middle => "mostly in the middle",
        Third::Last => "mostly along the foot",
    });
    let across = place.across.map(|third| match third {
        Third::First => "mostly on the left",
        Third::Middle => "mostly half-way across",
        Third::Last => "mostly on the right",
    });
    let spread = if place.in_patches {
        "in patches"
    } else {
        "speckled among the others"
    };
    let mut words: Vec<&str> = [upright, across].into_iter().flatten().collect();
    if words.is_empty() {
        words.push("all over");
    }
    words.push(spread);
    words.join(", ")
}

/// Where the shades of a zone go, as a person strews; `None` without a map or a blend.
pub(in crate::report) fn patches(
    surface: &SurfacePlan,
    zone: &ZonePlan,
    plan: &Plan<'_>,
) -> Option<PatchesView> {
    let map = zone.wanted.map.as_ref()?;
    let (_, blend) = zone.blended()?;
    let tones = &surface.tones[zone.wanted.tones.clone()];
    let lightness = |at: usize| tones[at].wanted.moved.colour.l;
    let by_lightness = |a: &usize, b: &usize| lightness(*a).total_cmp(&lightness(*b));
    let darkest = (0..tones.len()).min_by(by_lightness)?;
    let lightest = (0..tones.len()).max_by(by_lightness)?;
    let words = (0..tones.len())
        .filter_map(|at| {
            let place = map.whereabouts(at)?;
            let colour = tones[at].wanted.moved.colour;
            let (kind, _) = blend.parts.iter().min_by(|(a, _), (b, _)| {
                let off = |kind: usize| crate::colour::delta_e00(plan.kinds[kind].colour, colour).0;
                off(*a).total_cmp(&off(*b))
            })?;
            // Common practice, no source.
            let by_hand = if tones.len() > 1 && at == darkest {
                "; favour it in the hollows and under trees and bushes"
            } else if tones.len() > 1 && at == lightest {
                "; favour it on the crests and lit tops"
            } else {
                ""
            };
            Some(format!(
                "{} {} (tone {}): {}; nearest kind {}{by_hand}.",
                tones[at].wanted.tone.name,
                colour.to_srgb8(),
                zone.wanted.tones.start + at + 1,
                where_words(place),
                plan.kinds[*kind].name,
            ))
        })
        .collect();
    let colours: Vec<LabD65> = tones.iter().map(|tone| tone.wanted.moved.colour).collect();
    Some(PatchesView {
        picture: PatchPlan::new(map, &colours),
        words,
    })
}

/// Over how many centimetres two bands run into each other: a sixth of the depth between them, 2 to 15. Common practice,
/// no source.
fn edge_cm(near: &ZonePlan, far: &ZonePlan) -> f64 {
    let depth = |zone: &ZonePlan| Some(zone.wanted.band.as_ref()?.model_depth?.value());
    match (depth(near), depth(far)) {
        (Some(near), Some(far)) => ((far - near) / 60.0).clamp(2.0, 15.0).round(),
        _ => 5.0,
    }
}

/// Where two strewn bands meet.
#[derive(Debug)]
pub(in crate::report) struct Edge<'a> {
    pub(in crate::report) near: &'a str,
    pub(in crate::report) far: &'a str,
    /// Over this much both mixes are strewn.
    pub(in crate::report) over_cm: f64,
}

impl Edge<'_> {
    pub(in crate::report) fn words(&self) -> String {
        format!(
            "Between {} and {}: over about {:.0} cm strew both mixes, each thinner towards the other, in fingers and not along a line (common practice, no source).",
            self.near, self.far, self.over_cm
        )
    }
}

/// The edges between strewn bands, from the front.
pub(in crate::report) fn edges(surface: &SurfacePlan) -> Vec<Edge<'_>> {
    surface
        .zones
        .windows(2)
        .filter_map(|pair| {
            let [near, far] = pair else { return None };
            near.blended()?;
            far.blended()?;
            let (a, b) = (near.wanted.band.as_ref()?, far.wanted.band.as_ref()?);
            Some(Edge {
                near: &a.name,
                far: &b.name,
                over_cm: edge_cm(near, far),
            })
        })
        .collect()
}
