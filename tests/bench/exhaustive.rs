//! Every mix of up to four paints, judged by the figure recipes are ranked by: the rival and the oracle of the search.
//!
//! Shared by `tests/recipes_oracle.rs` and `tests/bench/mix.rs`. Written anew from the public parts of the model, so that
//! a fault of the search is not a fault of this; the final figures go through [`opaque_mix`].

use hillwash::colour::{
    BANDS, LabD65, SmallDifferences, Spectrum, Srgb8, Xyz, d65_weights, delta_e00, seen_in_daylight,
};
use hillwash::mix::{Search, Shelf, StrengthFrom};
use hillwash::paint::{
    ColourSource, PaintList, PaintSurface, Prepared, endless_layer, infinite_reflectance,
    opaque_mix,
};
use std::fmt::Write as _;

/// Numbers that look random and are the same in every run.
///
/// # Source
/// Knuth 1997, *The Art of Computer Programming*, volume 2, section 3.3.4: the multiplier of MMIX.
pub(crate) struct Seeded(pub(crate) u64);

impl Seeded {
    /// Evenly in 0..1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / 4_294_967_296.0
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A colour of a given range of chroma that a screen can show.
    pub(crate) fn colour(&mut self, most_chroma: f64) -> Srgb8 {
        let hue = self.between(0.0, std::f64::consts::TAU);
        let chroma = most_chroma * self.share();
        LabD65::new(
            self.between(12.0, 96.0),
            chroma * hue.cos(),
            chroma * hue.sin(),
        )
        .to_srgb8()
    }

    /// A shelf of acrylics: white, black, the rest any colour; some hide well; about one in three of known strength.
    pub(crate) fn shelf(&mut self, count: usize) -> Shelf {
        let mut text = "name,hex,medium,opacity,strength\n".to_owned();
        for number in 0..count {
            let hex = match number {
                0 => "#f2f1ec".to_owned(),
                1 => "#1d1c1b".to_owned(),
                _ => self.colour(75.0).to_string(),
            };
            let word = match self.share() {
                s if s < 0.3 => "opaque",
                s if s < 0.4 => "semi-opaque",
                s if s < 0.5 => "transparent",
                _ => "",
            };
            let strength = if self.share() < 0.35 {
                format!("{:.2}", self.between(0.6, 1.6))
            } else {
                String::new()
            };
            writeln!(text, "paint {number},{hex},acrylic,{word},{strength}").unwrap();
        }
        let read = |_: &str| Err(String::new());
        Shelf::new(&PaintList::parse("random.csv", text.as_bytes(), &read).unwrap())
    }

    /// A colour scenery is made of: mostly dull.
    pub(crate) fn target(&mut self) -> LabD65 {
        let most = if self.share() < 0.7 { 30.0 } else { 55.0 };
        self.colour(most).into()
    }
}

/// A paint of the shelf, laid out for the sums.
struct Lane<'a> {
    prepared: &'a Prepared,
    absorption: [f64; BANDS],
    /// The paint a small step stronger, and the spread of that strength in such steps.
    stronger: (Prepared, f64),
    /// The paint a small step lighter, and how far its listed colour may be off in such steps.
    lighter: (Prepared, f64),
}

/// The small step: a share of strength, or of light.
const STEP: f64 = 1e-3;
/// Spread of the logarithm of a strength, unknown and known.
const STRENGTH: [f64; 2] = [0.5, 0.15];

fn stronger(paint: &Prepared, from: StrengthFrom) -> (Prepared, f64) {
    let scattering = paint.scattering.values().map(|s| s * (1.0 + STEP));
    let paint = paint.clone().with_scattering(Spectrum::new(scattering));
    (
        paint,
        STRENGTH[usize::from(from != StrengthFrom::Nothing)] / STEP,
    )
}

fn lighter(paint: &Prepared, source: ColourSource) -> (Prepared, f64) {
    let off = match source {
        ColourSource::Hex => 4.0,
        ColourSource::Lab => 1.0,
        ColourSource::Spectrum => 0.7,
    };
    let (mirror, inside) = (paint.mirror, 1.0 - paint.mirror);
    let seen = (paint.k_over_s).map(|q| mirror + inside * endless_layer(q, 1.0));
    let there = seen.map(|r| r * (1.0 + STEP));
    let moved = delta_e00(
        seen_in_daylight(&seen).into(),
        seen_in_daylight(&there).into(),
    );
    let mut paint = paint.clone();
    // K/S at which the layer is so much lighter, by the chord of a small step; where nearly no light comes back, at most so
    // that it is doubled by all that the colour may be off.
    let most = moved.0 / off;
    paint.k_over_s = Spectrum::new(std::array::from_fn(|i| {
        let q = paint.k_over_s.values()[i];
        let there = mirror + inside * endless_layer(q * (1.0 + STEP), 1.0);
        let chord = there - seen.values()[i];
        q * (1.0 + (STEP * STEP * seen.values()[i] / chord).clamp(-most, most))
    }));
    (paint, off / moved.0)
}

/// Parts of paints, by place on the shelf, with the figures they are judged by.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    pub(crate) parts: Vec<(usize, u32)>,
    /// What is expected of it at the bench, CIEDE2000.
    pub(crate) rank: f64,
    /// CIEDE2000 from the target.
    pub(crate) difference: f64,
}

impl Judged {
    pub(crate) fn paints(&self) -> Vec<usize> {
        self.parts.iter().map(|(at, _)| *at).collect()
    }

    /// What settles a tie: the difference on paper, half a unit a further paint, a twentieth a part.
    pub(crate) fn in_a_tie(&self) -> f64 {
        let parts: u32 = self.parts.iter().map(|(_, p)| p).sum();
        let paints = u32::try_from(self.parts.len()).unwrap();
        self.difference + 0.5 * (f64::from(paints) - 1.0) + 0.05 * f64::from(parts)
    }
}

/// Ranks within so much count as equal to the search.
pub(crate) const TIE: f64 = 0.5;

pub(crate) struct Exhaustive<'a> {
    lanes: Vec<Lane<'a>>,
    target: LabD65,
    near: SmallDifferences,
    ratios: Vec<Vec<Vec<u32>>>,
    /// Mixes looked at.
    pub(crate) looked_at: u64,
}

impl<'a> Exhaustive<'a> {
    pub(crate) fn new(shelf: &'a Shelf, target: LabD65, most_parts: u32) -> Self {
        let lanes = shelf
            .stocks()
            .iter()
            .map(|stock| {
                let (q, s) = (
                    stock.prepared.k_over_s.values(),
                    stock.prepared.scattering.values(),
                );
                Lane {
                    prepared: &stock.prepared,
                    absorption: std::array::from_fn(|i| q[i] * s[i]),
                    stronger: stronger(&stock.prepared, stock.strength),
                    lighter: lighter(&stock.prepared, stock.source),
                }
            })
            .collect();
        Self {
            lanes,
            target,
            near: SmallDifferences::about(target),
            ratios: vec![
                vec![vec![1]],
                ratios_of_two(most_parts),
                ratios_of_three(most_parts),
                ratios_of_four(most_parts),
            ],
            looked_at: 0,
        }
    }

    /// All mixes whose rank is within `window` of the least, up to `most_paints` paints.
    pub(crate) fn within(&mut self, most_paints: usize, window: f64) -> Vec<Judged> {
        let mut kept: Vec<Judged> = Vec::new();
        let mut least = f64::INFINITY;
        let count = self.lanes.len();
        for a in 0..count {
            self.paints(&[a], &mut kept, &mut least, window);
            for b in (a + 1..count).filter(|_| most_paints > 1) {
                self.paints(&[a, b], &mut kept, &mut least, window);
                for c in (b + 1..count).filter(|_| most_paints > 2) {
                    self.paints(&[a, b, c], &mut kept, &mut least, window);
                    for d in (c + 1..count).filter(|_| most_paints > 3) {
                        self.paints(&[a, b, c, d], &mut kept, &mut least, window);
                    }
                }
            }
        }
        kept.retain(|judged| judged.rank <= least + window);
        kept
    }

    /// The mixes that can be the answer: all within a tie of the least rank, best first.
    pub(crate) fn best(&mut self, most_paints: usize) -> Vec<Judged> {
        let mut kept = self.within(most_paints, TIE);
        kept.sort_by(|a, b| a.rank.total_cmp(&b.rank));
        kept
    }

    fn paints(&mut self, lanes: &[usize], kept: &mut Vec<Judged>, least: &mut f64, window: f64) {
        let residual: [[f64; 3]; 4] = std::array::from_fn(|i| {
            lanes
                .get(i)
                .map_or([0.0; 3], |at| self.lanes[*at].prepared.residual.as_array())
        });
        for ratio in &self.ratios[lanes.len() - 1] {
            self.looked_at += 1;
            let total: u32 = ratio.iter().sum();
            let shares = ratio.iter().map(|p| f64::from(*p) / f64::from(total));
            let mut xyz = [0.0; 3];
            let (mut absorption, mut scattering) = ([0.0; BANDS], [0.0; BANDS]);
            let mut mirror = 0.0;
            for ((at, share), residual) in lanes.iter().zip(shares.clone()).zip(&residual) {
                let lane = &self.lanes[*at];
                let s = lane.prepared.scattering.values();
                mirror += share * lane.prepared.mirror;
                for i in 0..BANDS {
                    absorption[i] += share * lane.absorption[i];
                    scattering[i] += share * s[i];
                }
                for c in 0..3 {
                    xyz[c] += share * residual[c];
                }
            }
            let surface = PaintSurface::mirroring(mirror);
            for (i, weights) in d65_weights().iter().enumerate() {
                let r = surface.outward(infinite_reflectance(absorption[i] / scattering[i]));
                for c in 0..3 {
                    xyz[c] += r * weights[c];
                }
            }
            let mix = LabD65::from(Xyz::from_array(xyz).clamped());
            let difference = delta_e00(self.target, mix).0;
            if difference > *least + window {
                continue;
            }
            let rank = difference.hypot(self.doubt(lanes, ratio));
            if rank <= *least + window {
                *least = least.min(rank);
                kept.push(Judged {
                    parts: lanes.iter().copied().zip(ratio.iter().copied()).collect(),
                    rank,
                    difference,
                });
            }
        }
    }

    /// How far a mix may be off: every paint in turn a small step stronger, and all together lighter, in so many such steps
    /// as they may be off; a part counted out is off evenly by up to half a part.
    fn doubt(&self, lanes: &[usize], ratio: &[u32]) -> f64 {
        let mix = |which: usize, changed: Option<&Prepared>| -> [f64; 3] {
            let pot: Vec<(&Prepared, f64)> = (lanes.iter().zip(ratio).enumerate())
                .map(|(i, (at, p))| {
                    let own = self.lanes[*at].prepared;
                    (changed.filter(|_| i == which).unwrap_or(own), f64::from(*p))
                })
                .collect();
            LabD65::from(opaque_mix(&pot).unwrap()).into()
        };
        let exact = mix(0, None);
        let mut square = 0.0;
        let mut lighter = [0.0; 3];
        for (i, at) in lanes.iter().enumerate() {
            let lane = &self.lanes[*at];
            let moved = |paint: &Prepared| -> [f64; 3] {
                let there = mix(i, Some(paint));
                std::array::from_fn(|c| there[c] - exact[c])
            };
            let counted = 1.0 / 12.0_f64.sqrt() / f64::from(ratio[i]) / STEP;
            let (stronger, by_strength) = &lane.stronger;
            square +=
                (by_strength.powi(2) + counted.powi(2)) * self.near.square_of(moved(stronger));
            let (paint, by_swatch) = &lane.lighter;
            for (sum, change) in lighter.iter_mut().zip(moved(paint)) {
                *sum += by_swatch * change;
            }
        }
        square += self.near.square_of(lighter);
        square.sqrt()
    }
}

fn common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

fn ratios_of_two(most: u32) -> Vec<Vec<u32>> {
    let mut all = Vec::new();
    for a in 1..most {
        for b in 1..=most - a {
            if common_divisor(a, b) == 1 {
                all.push(vec![a, b]);
            }
        }
    }
    all
}

fn ratios_of_three(most: u32) -> Vec<Vec<u32>> {
    ratios_of_any_three(most)
        .into_iter()
        .filter(|[a, b, c]| common_divisor(*a, common_divisor(*b, *c)) == 1)
        .map(|ratio| ratio.to_vec())
        .collect()
}

fn ratios_of_four(most: u32) -> Vec<Vec<u32>> {
    let mut all = Vec::new();
    for ratio in (1..most).flat_map(|d| {
        ratios_of_any_three(most - d)
            .into_iter()
            .map(move |abc| [abc[0], abc[1], abc[2], d])
    }) {
        if ratio.iter().fold(0, |a, b| common_divisor(a, *b)) == 1 {
            all.push(ratio.to_vec());
        }
    }
    all
}

fn ratios_of_any_three(most: u32) -> Vec<[u32; 3]> {
    let mut all = Vec::new();
    for a in 1..=most {
        for b in 1..=most.saturating_sub(a) {
            for c in 1..=most.saturating_sub(a + b) {
                all.push([a, b, c]);
            }
        }
    }
    all
}

/// The search as it is by default, with so many paints in a pot.
pub(crate) fn search(most_paints: usize) -> Search {
    Search {
        most_paints,
        ..Search::default()
    }
}
