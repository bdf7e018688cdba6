//! In which order a blend is laid, and how much of each kind.

use super::{Blend, Kind};
use crate::paint::Grain;
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
}

/// One pass: a grain and the kinds of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// The grain.
    pub grain: Grain,
    /// Kinds as places in the blend's parts, each with the grams to strew where the area is known.
    pub kinds: Vec<(usize, Option<Grams>)>,
}

/// A blend in passes. Standing fibres (static grass) always come last, in a pass of their own into fresh glue (common
/// practice, no source); `order` rules the others.
#[must_use]
pub fn laying_order(
    blend: &Blend,
    kinds: &[Kind],
    order: LayOrder,
    area: Option<SquareCentimetres>,
) -> Vec<Layer> {
    let mut grains = [Grain::Coarse, Grain::Medium, Grain::Fine];
    if order == LayOrder::FineFirst {
        grains.reverse();
    }
    grains
        .into_iter()
        .chain([Grain::Fibre])
        .map(|grain| Layer {
            grain,
            kinds: blend
                .parts
                .iter()
                .enumerate()
                .filter(|(_, (kind, _))| kinds[*kind].grain == grain)
                .map(|(at, (kind, _))| {
                    let grams = area.and_then(|area| {
                        let share = blend.areas[at] * blend.layers * kinds[*kind].cover;
                        Grams::new(share * area.value() / 100.0).ok()
                    });
                    (at, grams)
                })
                .collect(),
        })
        .filter(|layer| !layer.kinds.is_empty())
        .collect()
}
