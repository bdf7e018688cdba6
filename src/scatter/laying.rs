//! In which order to lay a blend, how much of each kind goes into each pass, and how the hill looks after it.
//!
//! Grains that fall at random leave exp(−n) of what is below them bare, where n is the mass laid over the mass that covers
//! once; so every pass hides a share of all passes before it. The last pass comes first: it must cover its own area,
//! the pass before it its own area of what the last leaves bare, and so on down to the ground.
//!
//! # Source
//! Nilson 1971, *A theoretical analysis of the frequency of gaps in plant stands* (Poisson model).

use super::model::{KindShare, LaidBlend, mixed};
use super::{Blend, ScatterKind};
use crate::colour::{LabD65, Xyz};
use crate::paint::{Grain, ScatterMaterial};
use crate::units::{Grams, SquareCentimetres};
use serde::Serialize;

/// Which grain goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LayOrder {
    /// Coarse, then medium, then fine, so that bushes rise from the grass instead of lying on it. Common practice, no
    /// source.
    #[default]
    CoarseFirst,
    /// The other way round.
    FineFirst,
}

impl LayOrder {
    /// Both, with the words a scene uses.
    pub const ALL: [(&'static str, Self); 2] = [
        ("coarse-first", Self::CoarseFirst),
        ("fine-first", Self::FineFirst),
    ];

    /// The grains in laying order. Standing fibres (static grass) always come last, in a pass of their own into fresh
    /// glue (common practice, no source).
    fn grains(self) -> [Grain; 4] {
        match self {
            Self::CoarseFirst => [Grain::Coarse, Grain::Medium, Grain::Fine, Grain::Fibre],
            Self::FineFirst => [Grain::Fine, Grain::Medium, Grain::Coarse, Grain::Fibre],
        }
    }
}

/// One kind in a pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidKind {
    /// Its place in the blend's parts.
    pub at: usize,
    /// Grams to strew on a square decimetre.
    pub grams_per_dm2: f64,
    /// Grams to strew, where the area is known.
    pub grams: Option<Grams>,
    /// How much that is in teaspoons of 5 ml, shaken loose.
    pub teaspoons: Option<f64>,
}

/// One pass: a grain and the kinds of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// The grain.
    pub grain: Grain,
    /// Its kinds.
    pub kinds: Vec<LaidKind>,
    /// The mean colour of the hill after this pass.
    pub after: LabD65,
    /// Share of the ground that shows after it.
    pub ground_after: f64,
}

/// What shows of passes laid one over another: each a list of thicknesses, mass over the mass that covers once. The share
/// of each, and of the ground, seen from above.
#[must_use]
pub fn shown(passes: &[Vec<f64>]) -> (Vec<Vec<f64>>, f64) {
    let mut bare = 1.0;
    let mut shares: Vec<Vec<f64>> = passes
        .iter()
        .rev()
        .map(|pass| {
            let total: f64 = pass.iter().sum();
            let left = bare * (-total).exp();
            let shares = pass
                .iter()
                .map(|n| {
                    if total > 0.0 {
                        (bare - left) * n / total
                    } else {
                        0.0
                    }
                })
                .collect();
            bare = left;
            shares
        })
        .collect();
    shares.reverse();
    (shares, bare)
}

/// Thicknesses of passes so that, after the last, each kind shows the share wanted of it: the inverse of [`shown`] from
/// above. Shares must sum to less than 1; what is left is ground.
#[must_use]
pub fn thicknesses(wanted: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut bare: f64 = 1.0;
    let mut passes: Vec<Vec<f64>> = wanted
        .iter()
        .rev()
        .map(|shares| {
            let total: f64 = shares.iter().sum();
            let left = (bare - total).max(1e-6);
            let n = (bare / left).ln();
            bare = left;
            shares
                .iter()
                .map(|share| if total > 0.0 { n * share / total } else { 0.0 })
                .collect()
        })
        .collect();
    passes.reverse();
    passes
}

/// A blend in passes, over a ground: `order` rules which grain goes first.
#[must_use]
pub fn laying_order(
    blend: &Blend,
    kinds: &[ScatterKind],
    ground: LabD65,
    order: LayOrder,
    area: Option<SquareCentimetres>,
) -> Vec<Layer> {
    let passes: Vec<(Grain, Vec<usize>)> = order
        .grains()
        .into_iter()
        .map(|grain| {
            let own = (0..blend.parts.len()).filter(|at| kinds[blend.parts[*at].0].grain == grain);
            (grain, own.collect::<Vec<usize>>())
        })
        .filter(|(_, own)| !own.is_empty())
        .collect();
    let wanted: Vec<Vec<f64>> = passes
        .iter()
        .map(|(_, own)| {
            own.iter()
                .map(|at| (1.0 - blend.ground_share) * blend.areas[*at])
                .collect()
        })
        .collect();
    let thick = thicknesses(&wanted);
    (0..passes.len())
        .map(|i| {
            let (grain, own) = &passes[i];
            let (shares, ground_after) = shown(&thick[..=i]);
            let so_far: Vec<(usize, f64)> = passes
                .iter()
                .zip(&shares)
                .flat_map(|((_, own), shares)| own.iter().copied().zip(shares.iter().copied()))
                .collect();
            Layer {
                grain: *grain,
                kinds: own
                    .iter()
                    .zip(&thick[i])
                    .map(|(at, n)| laid_kind(*at, *n, &kinds[blend.parts[*at].0], area))
                    .collect(),
                after: looks(blend, kinds, ground.into(), &so_far),
                ground_after,
            }
        })
        .collect()
}

fn laid_kind(
    at: usize,
    thick: f64,
    kind: &ScatterKind,
    area: Option<SquareCentimetres>,
) -> LaidKind {
    let grams_per_dm2 = thick * kind.cover;
    let grams = area.and_then(|area| Grams::new(grams_per_dm2 * area.value() / 100.0).ok());
    LaidKind {
        at,
        grams_per_dm2,
        grams,
        teaspoons: grams.map(|grams| grams.value() / loose_density(kind) / TEASPOON),
    }
}

/// Millilitres.
const TEASPOON: f64 = 5.0;

/// Grams a millilitre of a kind shaken loose. Common practice, no source: foam and fibre are mostly air.
fn loose_density(kind: &ScatterKind) -> f64 {
    match kind.material {
        Some(ScatterMaterial::Foliage) => 0.07,
        Some(
            ScatterMaterial::Turf
            | ScatterMaterial::Fibre
            | ScatterMaterial::Leaf
            | ScatterMaterial::Flock,
        ) => 0.1,
        Some(ScatterMaterial::Needle) => 0.15,
        Some(ScatterMaterial::Earth) => 1.1,
        Some(ScatterMaterial::Ballast) => 1.4,
        None => match kind.grain {
            Grain::Coarse => 0.07,
            Grain::Medium | Grain::Fibre => 0.1,
            Grain::Fine => 0.12,
        },
    }
}

/// The mean colour of a hill that shows these shares of a blend's kinds.
pub(super) fn looks(
    blend: &Blend,
    kinds: &[ScatterKind],
    ground: Xyz,
    shares: &[(usize, f64)],
) -> LabD65 {
    let kind = |at: usize| &kinds[blend.parts[at].0];
    let strewn: f64 = shares.iter().map(|(_, share)| share).sum();
    let parts: Vec<KindShare> = shares
        .iter()
        .map(|(at, area)| KindShare {
            colour: kind(*at).xyz,
            area: *area,
        })
        .collect();
    let shadow: f64 = shares
        .iter()
        .map(|(at, share)| share * kind(*at).self_shadow)
        .sum();
    let laid = LaidBlend {
        ground,
        ground_share: 1.0 - strewn,
        self_shadow: if strewn > 0.0 { shadow / strewn } else { 0.0 },
    };
    mixed(&parts, &laid).xyz.into()
}
