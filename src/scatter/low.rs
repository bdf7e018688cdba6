//! How a laid blend looks from low down.
//!
//! A line of sight from low down meets grains on their sides: one that stands up hides more than its own area, one
//! that lies flat does not. Large grains make slopes for smaller ones strewn over them: the eye looks almost straight
//! at the sides turned to it, so grains on them hide little more than from above, and large grains show more than the
//! gap fraction of level ground would leave. And grains stand on those below, so deep ones are hidden both by those
//! over them and by raised ones in front.
//!
//! # Source
//! Nilson 1971, *A theoretical analysis of the frequency of gaps in plant stands*: gaps along a slanted line, exp(−n ×
//! shadow). Which parts of grains other grains of their pass hide: a Boolean model of convex grains (Matheron 1975,
//! *Random Sets and Integral Geometry*), cut at the height of each part. Slopes and standing on each other are our own
//! application of both; nothing in it was fitted, `tests/bench/rain.rs` draws it.

use super::laying::{Layer, looks};
use super::{Blend, ScatterKind};
use crate::colour::LabD65;
use crate::paint::Grain;
use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, PI};

/// Steps across a grain, for sums over its surface.
const STEPS: usize = 24;
/// The lowest and the highest elevation that count, degrees.
const ELEVATIONS: [f64; 2] = [3.0, 89.9];

/// A part of the upper side of a grain that faces the eye, measured in the grain's radius.
#[derive(Clone, Copy)]
struct Facet {
    height: f64,
    /// How steeply the line of sight falls against it, as a tangent.
    steep: f64,
    /// How much of the view it takes.
    weight: f64,
}

/// What shows at some stage.
struct Showing {
    /// A part of the blend; `None` is the ground.
    part: Option<usize>,
    share: f64,
    /// Across one of its grains, millimetres.
    across: f64,
    /// Mean thickness of what lies on it, millimetres.
    buried: f64,
    /// Empty where it lies flat.
    facets: Vec<Facet>,
}

/// Usual sizes of grains, millimetres across; only their ratios count. Our reading of the words.
fn across(grain: Grain) -> f64 {
    match grain {
        Grain::Coarse => 3.0,
        Grain::Medium => 1.6,
        Grain::Fine | Grain::Fibre => 0.8,
    }
}

/// The area that a grain hides along a line of sight, over the area it lies on: half its foot and half the shadow of the
/// whole ellipsoid, for one that stands so high over its radius.
fn hides(stands: f64, steep: f64) -> f64 {
    f64::midpoint(1.0, (1.0 + (stands / steep).powi(2)).sqrt())
}

/// The share of a disc that another of its size covers, shifted by this many radii.
fn shared(shifted: f64) -> f64 {
    let half = (shifted / 2.0).clamp(0.0, 1.0);
    FRAC_2_PI * (half.acos() - half * (1.0 - half * half).sqrt())
}

/// How much more a line of sight over level ground meets of grains than one from above; `stands` is their height over
/// their radius. For half balls (1 + 1 / sin elevation) / 2.
#[must_use]
pub fn slant(stands: f64, elevation_degrees: f64) -> f64 {
    hides(stands, tangent(elevation_degrees))
}

fn tangent(elevation_degrees: f64) -> f64 {
    let [least, most] = ELEVATIONS;
    elevation_degrees.clamp(least, most).to_radians().tan()
}

/// The upper side of a half ellipsoid as the eye has it, in even steps of latitude and longitude: near its rim it is steep.
#[expect(clippy::cast_precision_loss, reason = "a few dozen steps")]
fn facets(stands: f64, tangent: f64) -> Vec<Facet> {
    let part = |step: usize| (step as f64 + 0.5) / STEPS as f64;
    (0..STEPS)
        .flat_map(|i| (0..STEPS).map(move |j| [FRAC_PI_2 * part(i), PI * part(j)]))
        .filter_map(|[from_top, about]| {
            let (sine, cosine) = from_top.sin_cos();
            let steep = tangent + stands * sine / cosine * about.cos();
            // The share of the foot that lies below it, and what of the view that takes.
            let foot = PI * sine * cosine / (STEPS * STEPS) as f64;
            (steep > 0.0).then_some(Facet {
                height: stands * cosine,
                steep,
                weight: steep * foot,
            })
        })
        .collect()
}

/// How much of the foot of such a grain its shadow covers that falls on a plane so high above its foot: the view that its
/// facets above that plane take.
fn shadow_above(facets: &[Facet], height: f64, tangent: f64) -> f64 {
    let above = facets.iter().filter(|facet| facet.height > height);
    above.map(|facet| facet.weight).sum::<f64>() / tangent
}

/// What a laid blend shows from so high above the horizon: the mean colour, the share of each kind in the order of the
/// blend's parts, and that of the ground.
#[must_use]
pub fn seen_from(
    blend: &Blend,
    kinds: &[ScatterKind],
    layers: &[Layer],
    ground: LabD65,
    elevation_degrees: f64,
) -> (LabD65, Vec<f64>, f64) {
    let tangent = tangent(elevation_degrees);
    let mut showing = vec![Showing {
        part: None,
        share: 1.0,
        across: f64::INFINITY,
        buried: 0.0,
        facets: Vec::new(),
    }];
    for layer in layers {
        let own: Vec<StrewnKind> = layer
            .kinds
            .iter()
            .map(|laid| {
                let kind = &kinds[blend.parts[laid.at].0];
                StrewnKind {
                    part: laid.at,
                    thick: laid.grams_per_dm2 / kind.cover,
                    stands: kind.stands,
                    facets: facets(kind.stands, tangent),
                }
            })
            .collect();
        lay(&mut showing, &own, across(layer.grain), tangent);
    }
    let mut shares = vec![0.0; blend.parts.len()];
    let mut bare = 0.0;
    for shown in &showing {
        match shown.part {
            Some(part) => shares[part] += shown.share,
            None => bare += shown.share,
        }
    }
    let of_parts: Vec<(usize, f64)> = shares.iter().copied().enumerate().collect();
    (looks(blend, kinds, ground.into(), &of_parts), shares, bare)
}

/// A kind of a pass.
struct StrewnKind {
    part: usize,
    /// Mass over the mass that covers once.
    thick: f64,
    stands: f64,
    facets: Vec<Facet>,
}

/// Lays a pass over what shows.
fn lay(showing: &mut Vec<Showing>, pass: &[StrewnKind], across: f64, tangent: f64) {
    let radius = 0.5 * across;
    // A half ellipsoid is two thirds as thick, on its foot, as it is high.
    let thickness: f64 = pass
        .iter()
        .map(|kind| kind.thick * kind.stands * radius * 2.0 / 3.0)
        .sum();
    // How often a line of sight that falls so steeply meets grains of the pass that stand so high over where it ends: the
    // shadow is shifted by that, and what lies right over the end counts besides.
    let met = |steep: f64, raised: f64| -> f64 {
        let beside = 1.0 - shared(raised / steep / radius);
        pass.iter()
            .map(|kind| kind.thick * (hides(kind.stands, steep) + beside))
            .sum()
    };
    let mut hidden = 0.0;
    for below in showing.iter_mut() {
        let before = below.share;
        // The pass heaps up itself: half of it lies below a grain of it.
        let raised = below.buried + 0.5 * thickness;
        below.buried += thickness;
        // Only for smaller grains are the sides of a grain a slope to lie on.
        if below.facets.is_empty() || below.across <= across {
            below.share *= (-met(tangent, raised)).exp();
        } else {
            let all: f64 = below.facets.iter().map(|facet| facet.weight).sum();
            for facet in &mut below.facets {
                facet.weight *= (-met(facet.steep, raised)).exp();
            }
            let left: f64 = below.facets.iter().map(|facet| facet.weight).sum();
            below.share *= if all > 0.0 { left / all } else { 0.0 };
        }
        hidden += before - below.share;
    }
    let all: f64 = pass.iter().map(|kind| met_alone(kind, tangent)).sum();
    for kind in pass {
        let mut facets = if kind.stands > 0.0 {
            kind.facets.clone()
        } else {
            Vec::new()
        };
        for facet in &mut facets {
            let before: f64 = pass
                .iter()
                .map(|other| other.thick * shadow_above(&other.facets, facet.height, tangent))
                .sum();
            facet.weight *= (-before).exp();
        }
        showing.push(Showing {
            part: Some(kind.part),
            share: if all > 0.0 {
                hidden * met_alone(kind, tangent) / all
            } else {
                0.0
            },
            across,
            buried: 0.0,
            facets,
        });
    }
}

/// How often a line of sight over level ground meets a kind.
fn met_alone(kind: &StrewnKind, tangent: f64) -> f64 {
    kind.thick * hides(kind.stands, tangent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_balls_throw_the_shadow_of_half_balls() {
        // Geometry: half the disc and half the ellipse of a ball's shadow, whose long side is 1 / sin elevation.
        for degrees in [15.0, 30.0, 60.0_f64] {
            let wanted = 0.5 + 0.5 / degrees.to_radians().sin();
            assert!((slant(1.0, degrees) - wanted).abs() < 1e-12);
            let tangent = tangent(degrees);
            let summed = shadow_above(&facets(1.0, tangent), -1.0, tangent);
            assert!((summed - wanted).abs() < 0.01, "{summed} for {wanted}");
            assert!((slant(0.0, degrees) - 1.0).abs() < 1e-12);
            // Two discs whose middles are a radius apart share 2π/3 − √3/2 of π.
            let lens = 2.0 / 3.0 - 3.0_f64.sqrt() / (2.0 * PI);
            assert!((shared(1.0) - lens).abs() < 1e-12);
        }
    }

    fn ground() -> Vec<Showing> {
        vec![Showing {
            part: None,
            share: 1.0,
            across: f64::INFINITY,
            buried: 0.0,
            facets: Vec::new(),
        }]
    }

    fn standing(thick: f64) -> [StrewnKind; 1] {
        let tangent = tangent(30.0);
        [StrewnKind {
            part: 0,
            thick,
            stands: 1.0,
            facets: facets(1.0, tangent),
        }]
    }

    #[test]
    fn half_balls_bury_the_ground_two_thirds_as_deep_as_they_are_high() {
        // By hand: a half ball holds 2/3 pi r^3 over its foot of pi r^2; of 4 across, laid one and a half times over, 2.
        let mut showing = ground();
        lay(&mut showing, &standing(1.5), 4.0, tangent(30.0));
        assert!(
            (showing[0].buried - 2.0).abs() < 1e-12,
            "{}",
            showing[0].buried
        );
    }

    #[test]
    fn a_hill_of_grains_three_times_as_large_looks_the_same_from_low_down() {
        // Geometry: nothing but the proportions of grains decides what hides what.
        let seen = |size: f64| -> Vec<f64> {
            let mut showing = ground();
            for (thick, across) in [(0.8, 2.0), (0.5, 1.0), (0.3, 3.0)] {
                lay(&mut showing, &standing(thick), size * across, tangent(30.0));
            }
            showing.iter().map(|shown| shown.share).collect()
        };
        let (small, large) = (seen(1.0), seen(3.0));
        assert!(
            (small.iter().sum::<f64>() - 1.0).abs() < 1e-9,
            "all of it shows something"
        );
        for (small, large) in small.iter().zip(&large) {
            assert!((small - large).abs() < 1e-12, "{small} {large}");
        }
    }
}
