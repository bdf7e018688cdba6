//! The cover: ridges of hills in the layout's own planned colours, the palest farthest off. And the page's one accent,
//! taken from the same colours.

use crate::colour::LabD65;
use crate::plan::Plan;
use crate::report::figures::px;
use askama::Template;

/// One ridge.
#[derive(Debug)]
pub(in crate::report) struct Ridge {
    pub(in crate::report) path: String,
    pub(in crate::report) hex: String,
}

/// The band of ridges.
#[derive(Debug, Template)]
#[template(path = "figures/cover.svg", config = "report-templates/askama.toml")]
pub(in crate::report) struct CoverFigure {
    pub(in crate::report) ridges: Vec<Ridge>,
}

/// Drawn this wide and high; stretched to the page.
const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 120.0;
/// Ridges at most: more run into each other.
const MOST: usize = 12;
/// Colours nearer than this look like one ridge (CIEDE2000). Our choice: from there on two colours are told as plainly
/// different (`Closeness`).
const APART: f64 = 5.0;

fn planned(plan: &Plan<'_>) -> impl Iterator<Item = LabD65> {
    let tones = plan.surfaces.iter().flat_map(|surface| &surface.tones);
    tones.map(|tone| tone.wanted.moved.colour)
}

impl CoverFigure {
    pub(in crate::report) fn of_plan(plan: &Plan<'_>) -> Self {
        let mut colours: Vec<LabD65> = Vec::new();
        for colour in planned(plan) {
            let near = |other: &LabD65| crate::colour::delta_e00(*other, colour).0 < APART;
            if !colours.iter().any(near) {
                colours.push(colour);
            }
        }
        colours.sort_by(|a, b| b.l.total_cmp(&a.l));
        // Every so many-th, so that pale and dark both stay.
        let kept = colours.len().min(MOST);
        let ridges = (0_u32..)
            .zip(0..kept)
            .map(|(turn, at)| Ridge {
                path: ridge(f64::from(turn), kept),
                hex: colours[at * colours.len() / kept.max(1)]
                    .to_srgb8()
                    .to_string(),
            })
            .collect();
        Self { ridges }
    }
}

/// A ridge line: a few slow waves, shifted from ridge to ridge by the golden angle so that no two run alike.
fn ridge(turn: f64, of: usize) -> String {
    #[expect(clippy::cast_precision_loss, reason = "at most a dozen ridges")]
    let of = of.max(1) as f64;
    let shift = turn * 2.399_963;
    let base = HEIGHT * (0.14 + 0.80 * turn / of);
    let tall = HEIGHT * (0.17 - 0.07 * turn / of);
    let points: Vec<String> = (0..=48_u32)
        .map(|i| {
            let x = WIDTH * f64::from(i) / 48.0;
            let along = f64::from(i) / 48.0 * std::f64::consts::TAU;
            let wave = 0.6 * (1.3 * along + shift).sin()
                + 0.3 * (2.9 * along + 1.7 * shift).sin()
                + 0.1 * (7.1 * along + 0.6 * shift).sin();
            format!("{},{}", px(x), px(base - tall * wave))
        })
        .collect();
    format!("M{}L{WIDTH},{HEIGHT}L0,{HEIGHT}Z", points.join("L"))
}

/// The accent on light and on dark ground: the hue of the most colourful planned tone, at a lightness that text can be
/// read in. L* 32 on near-white and L* 82 on near-black both give more than 7 : 1 (WCAG 2, level AAA).
pub(in crate::report) fn accents(plan: &Plan<'_>) -> [String; 2] {
    let chroma = |c: &LabD65| c.a.hypot(c.b);
    let most = planned(plan)
        .max_by(|a, b| chroma(a).total_cmp(&chroma(b)))
        .unwrap_or(LabD65::new(40.0, 0.0, 0.0));
    let at = |l: f64, strength: f64| {
        let scale = if chroma(&most) < 1.0 {
            0.0
        } else {
            strength / chroma(&most)
        };
        LabD65::new(l, most.a * scale, most.b * scale)
            .to_srgb8()
            .to_string()
    };
    let strength = chroma(&most).min(38.0);
    [at(32.0, strength), at(82.0, strength)]
}
