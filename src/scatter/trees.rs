//! Trees and bushes of a zone: how many, and in which three shades.

use crate::colour::{LabD65, Xyz};
use crate::units::{Metres, ScaleRatio, SquareCentimetres};

/// One shade of crowns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrownShade {
    /// Its colour.
    pub colour: LabD65,
    /// How many crowns have it.
    pub count: u32,
}

/// The crowns of a zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crowns {
    /// Across one, full size.
    pub across: Metres,
    /// Whether that is a usual figure and not the scene's.
    pub usual: bool,
    /// Across one on the model, millimetres.
    pub across_mm: f64,
    /// Lit, body and shade.
    pub shades: [CrownShade; 3],
}

/// What the three shades are called.
pub const CROWN_ROLES: [&str; 3] = ["lit", "body", "shade"];

/// Across the crown of a tree in a wood, metres, where a scene does not say. Common practice, no source.
pub const USUAL_CROWN: f64 = 6.0;
/// Share of a wood that its crowns cover. Common practice, no source.
const COVERED: f64 = 0.9;

/// How many crowns a zone wants, and in which shades: its tones from light to dark in three runs that are each as much
/// alike as can be. With fewer than three tones the lightest and the darkest quarter are parted from the rest.
///
/// # Source
/// Nilson 1971: crowns that stand at random cover 1 − exp(−n) where their areas add up to n times the ground.
#[must_use]
pub fn crowns(
    tones: &[(LabD65, f64)],
    area: SquareCentimetres,
    scale: ScaleRatio,
    crown: Option<Metres>,
) -> Option<Crowns> {
    let across = crown.or_else(|| Metres::new(USUAL_CROWN).ok())?;
    if tones.is_empty() || across.value() <= 0.0 {
        return None;
    }
    let full_size = area.value() * 1e-4 * scale.n() * scale.n();
    let one = std::f64::consts::FRAC_PI_4 * across.value() * across.value();
    let all = -(1.0 - COVERED).ln() * full_size / one;
    let runs = three_runs(tones);
    let shades = runs.map(|(colour, share)| CrownShade {
        colour,
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held to what a count can be"
        )]
        count: (all * share).round().clamp(0.0, 1e9) as u32,
    });
    Some(Crowns {
        across,
        usual: crown.is_none(),
        across_mm: 1000.0 * across.value() / scale.n(),
        shades,
    })
}

/// Light, middle and dark of tones, each with its share.
fn three_runs(tones: &[(LabD65, f64)]) -> [(LabD65, f64); 3] {
    let mut sorted = tones.to_vec();
    sorted.sort_by(|a, b| b.0.l.total_cmp(&a.0.l));
    let total: f64 = sorted.iter().map(|(_, share)| share).sum();
    for (_, share) in &mut sorted {
        *share /= total;
    }
    let ends = if sorted.len() < 3 {
        [0.25, 0.75]
    } else {
        let mut best = (f64::INFINITY, [0.25, 0.75]);
        for first in 1..sorted.len() - 1 {
            for second in first + 1..sorted.len() {
                let runs = [&sorted[..first], &sorted[first..second], &sorted[second..]];
                let apart: f64 = runs.iter().map(|run| unlike(run)).sum();
                if apart < best.0 {
                    let until = |n: usize| sorted[..n].iter().map(|(_, share)| share).sum();
                    best = (apart, [until(first), until(second)]);
                }
            }
        }
        best.1
    };
    let between = |from: f64, to: f64| {
        let (mut sum, mut at) = (Xyz::default(), 0.0);
        for (colour, share) in &sorted {
            let own = (to.min(at + share) - from.max(at)).max(0.0);
            sum = sum.blend(1.0, (*colour).into(), own / (to - from).max(1e-12));
            at += share;
        }
        (LabD65::from(sum), to - from)
    };
    [
        between(0.0, ends[0]),
        between(ends[0], ends[1]),
        between(ends[1], 1.0),
    ]
}

/// Sum of squares of lightness about its mean.
fn unlike(run: &[(LabD65, f64)]) -> f64 {
    let total: f64 = run.iter().map(|(_, share)| share).sum();
    let mean: f64 = run.iter().map(|(c, share)| share * c.l).sum::<f64>() / total.max(1e-12);
    run.iter()
        .map(|(c, share)| share * (c.l - mean).powi(2))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crowns_cover_the_area_they_are_for() {
        let tone = |l: f64| LabD65::new(l, -10.0, 20.0);
        let tones = [
            (tone(20.0), 0.2),
            (tone(40.0), 0.3),
            (tone(42.0), 0.3),
            (tone(60.0), 0.2),
        ];
        let area = SquareCentimetres::new(1000.0).unwrap();
        let scale = ScaleRatio::one_to(100.0).unwrap();
        let found = crowns(&tones, area, scale, Some(Metres::new(5.0).unwrap())).unwrap();
        // 0.1 m2 at 1:100 is 1000 m2; ln 10 times over by crowns of 19.63 m2 are 117.
        let count: u32 = found.shades.iter().map(|shade| shade.count).sum();
        assert!((115..=119).contains(&count), "{count}");
        assert!((found.across_mm - 50.0).abs() < 1e-9);
        let [lit, body, shade] = found.shades;
        assert!((lit.colour.l - 60.0).abs() < 1e-6 && (shade.colour.l - 20.0).abs() < 1e-6);
        assert!(body.count > 2 * lit.count);
    }

    #[test]
    fn one_tone_gives_three_alike() {
        let tones = [(LabD65::new(40.0, -10.0, 20.0), 1.0)];
        let area = SquareCentimetres::new(100.0).unwrap();
        let found = crowns(&tones, area, ScaleRatio::one_to(87.0).unwrap(), None).unwrap();
        assert!(
            found.usual
                && found
                    .shades
                    .iter()
                    .all(|s| (s.colour.l - 40.0).abs() < 1e-6)
        );
    }
}
