//! Paints laid out for the inner loop of the search, and the colour of a mix of them.

use super::unknown::{listed_error, strength_spread, swatch_slopes};
use super::{PaintId, Shelf, Stock};
use crate::colour::{BANDS, D65_WHITE, LabD65, Xyz, d65_sums};
use crate::paint::endless_layer;

/// A paint as the inner loop wants it: s·q and s a band.
pub(super) struct PaintLane {
    pub(super) stock: PaintId,
    pub(super) absorption: [f64; BANDS],
    pub(super) scattering: [f64; BANDS],
    pub(super) mirror: f64,
    pub(super) residual: Xyz,
    /// Spread of the natural logarithm of its strength.
    pub(super) strength: f64,
    /// What an error of its listed colour does to its absorption.
    pub(super) swatch: [f64; BANDS],
    /// Its own colour.
    pub(super) lab: LabD65,
    /// Sold thin: it tints a coat and is none by itself.
    pub(super) thin: bool,
    /// The same in single precision, for the way to a mix: absorption and scattering.
    pub(super) single: [[f32; BANDS]; 2],
}

impl PaintLane {
    /// Some paints of a shelf, in the order given.
    pub(super) fn of_paints(shelf: &Shelf, paints: impl IntoIterator<Item = PaintId>) -> Vec<Self> {
        paints
            .into_iter()
            .map(|at| Self::new(at, &shelf[at]))
            .collect()
    }

    pub(super) fn new(at: PaintId, stock: &Stock) -> Self {
        let (q, s) = (
            stock.prepared.k_over_s.values(),
            stock.prepared.scattering.values(),
        );
        let absorption = std::array::from_fn(|i| q[i] * s[i]);
        Self {
            stock: at,
            absorption,
            scattering: *s,
            mirror: stock.prepared.mirror,
            residual: stock.prepared.residual,
            strength: strength_spread(stock),
            swatch: swatch_slopes(&absorption, s, stock.prepared.mirror, listed_error(stock)),
            lab: stock.prepared.lab,
            thin: stock.thin,
            single: [single(&absorption), single(s)],
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "single precision is meant")]
fn single(bands: &[f64; BANDS]) -> [f32; BANDS] {
    bands.map(|v| v as f32)
}

/// What does not go band by band: means by parts over the paints of a mix.
pub(super) struct MixMeans {
    /// Of what the surfaces mirror.
    pub(super) mirror: f64,
    /// Of what the paints' own colours lie beside the model.
    pub(super) residual: [f64; 3],
    /// All parts together.
    pub(super) total: f64,
}

impl MixMeans {
    #[inline]
    pub(super) fn of_parts(lanes: &[PaintLane], parts: &[(usize, f64)]) -> Self {
        let (mut mirror, mut residual, mut total) = (0.0, [0.0; 3], 0.0);
        for (lane, p) in parts {
            let lane = &lanes[*lane];
            for (sum, e) in residual.iter_mut().zip(lane.residual.as_array()) {
                *sum += p * e;
            }
            mirror += p * lane.mirror;
            total += p;
        }
        Self {
            mirror: mirror / total,
            residual: residual.map(|e| e / total),
            total,
        }
    }

    /// A colour from inside the paint, as seen: dimmed by what the surface mirrors, and that added, white as the light is.
    #[inline]
    pub(super) fn seen(&self, inside: [f64; 3]) -> Xyz {
        let white = D65_WHITE.as_array();
        Xyz::from_array(std::array::from_fn(|i| {
            (1.0 - self.mirror) * inside[i] + self.mirror * white[i] + self.residual[i]
        }))
        .clamped()
    }
}

/// The paints of a mix together.
pub(super) struct LaneSums {
    pub(super) absorption: [f64; BANDS],
    pub(super) scattering: [f64; BANDS],
    pub(super) means: MixMeans,
}

impl LaneSums {
    pub(super) fn of_parts(lanes: &[PaintLane], parts: &[(usize, f64)]) -> Self {
        let mut absorption = [0.0; BANDS];
        let mut scattering = [0.0; BANDS];
        for (lane, p) in parts {
            let lane = &lanes[*lane];
            for i in 0..BANDS {
                absorption[i] += p * lane.absorption[i];
                scattering[i] += p * lane.scattering[i];
            }
        }
        Self {
            absorption,
            scattering,
            means: MixMeans::of_parts(lanes, parts),
        }
    }
}

/// The colour of a mix; the same sums as [`crate::paint::opaque_mix`], laid out for speed.
pub(super) fn colour_of(lanes: &[PaintLane], parts: &[(usize, f64)]) -> LabD65 {
    LaneSums::of_parts(lanes, parts).colour()
}

impl LaneSums {
    /// The mix as seen.
    pub(super) fn seen(&self) -> Xyz {
        let layer = |i| endless_layer(self.absorption[i], self.scattering[i]);
        self.means.seen(d65_sums(&std::array::from_fn(layer)))
    }

    /// Its colour.
    pub(super) fn colour(&self) -> LabD65 {
        self.seen().into()
    }
}

/// Most paints in a pot.
pub(super) const MOST: usize = 4;
