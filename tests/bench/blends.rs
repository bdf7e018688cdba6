//! Every blend of up to three kinds and eight parts, judged as blends are ranked: the oracle and the rival of the search.
//!
//! Shared by `tests/hillsides/` and `tests/bench/scatter.rs`. Written anew from the public parts of the model and the
//! documented rank, so that a fault of the search is not a fault of this.

use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::paint::ScatterList;
use hillwash::scatter::{KindShare, LaidBlend, ScatterKind, WantedZone, ground_that_shows, mixed};
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

    /// A colour of grass, leaves, earth or stone, at least so far from those given.
    pub(crate) fn shade(&mut self, apart: f64, from: &[LabD65]) -> LabD65 {
        loop {
            let hue = self.between(30.0, 150.0).to_radians();
            let chroma = self.between(4.0, 38.0);
            let lab = LabD65::new(
                self.between(18.0, 72.0),
                chroma * hue.cos(),
                chroma * hue.sin(),
            );
            let shown = LabD65::from(lab.to_srgb8());
            if from.iter().all(|other| delta_e00(*other, shown).0 > apart) {
                return shown;
            }
        }
    }

    /// Kinds of these colours, of any grain and cover.
    pub(crate) fn kinds(&mut self, colours: &[LabD65]) -> Vec<ScatterKind> {
        let mut text = "name,hex,grain,cover_g_per_dm2\n".to_owned();
        for (number, colour) in colours.iter().enumerate() {
            let grain = ["coarse", "medium", "fine", "fibre"][number % 4];
            let cover = self.between(1.5, 6.0);
            writeln!(
                text,
                "kind {number},{},{grain},{cover:.1}",
                colour.to_srgb8()
            )
            .unwrap();
        }
        kinds_of(&text)
    }
}

/// The kinds of a list.
pub(crate) fn kinds_of(text: &str) -> Vec<ScatterKind> {
    let list = ScatterList::parse("scatter.csv", text.as_bytes()).unwrap();
    list.items()
        .iter()
        .enumerate()
        .map(|(i, item)| ScatterKind::new(i, item))
        .collect()
}

/// The figure blends are ranked by, as documented: √(ΔE00² + (variety gap)²) + 0.15 a further kind + 0.01 a part.
pub(crate) fn rank(kinds: &[ScatterKind], wanted: &WantedZone, parts: &[(usize, u32)]) -> f64 {
    let areas: Vec<f64> = parts.iter().map(|(_, p)| f64::from(*p)).collect();
    let total: f64 = areas.iter().sum();
    let ground: f64 = parts
        .iter()
        .zip(&areas)
        .map(|((k, _), a)| a / total * ground_that_shows(kinds[*k].grain))
        .sum();
    let strewn: Vec<KindShare> = parts
        .iter()
        .map(|(k, p)| KindShare {
            colour: kinds[*k].xyz,
            area: f64::from(*p),
        })
        .collect();
    let laid = LaidBlend {
        ground: wanted.ground.into(),
        ground_share: ground,
        self_shadow: 0.0,
    };
    let seen = mixed(&strewn, &laid);
    let mut slots: Vec<(LabD65, f64)> = parts
        .iter()
        .zip(&seen.shares)
        .map(|((k, _), share)| (kinds[*k].colour, *share))
        .chain([(wanted.ground, seen.ground)])
        .collect();
    let mut tones = wanted.tones.clone();
    let mut pairs: Vec<(f64, usize, usize)> = (0..tones.len())
        .flat_map(|t| (0..slots.len()).map(move |s| (t, s)))
        .map(|(t, s)| (delta_e00(tones[t].0, slots[s].0).0, t, s))
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut gap = 0.0;
    for (apart, t, s) in pairs {
        let moved = tones[t].1.min(slots[s].1);
        tones[t].1 -= moved;
        slots[s].1 -= moved;
        gap += moved * apart;
    }
    let count: u32 = parts.iter().map(|(_, p)| p).sum();
    let further = f64::from(u32::try_from(parts.len() - 1).unwrap());
    delta_e00(wanted.mean(), seen.xyz.into()).0.hypot(gap)
        + 0.15 * further
        + 0.01 * f64::from(count)
}

/// The least rank of all blends of two or three kinds and at most eight parts, and how many were looked at.
pub(crate) fn best_of_all(kinds: &[ScatterKind], wanted: &WantedZone) -> (f64, u32) {
    let (mut best, mut looked_at) = (f64::INFINITY, 0);
    let mut look = |parts: &[(usize, u32)]| {
        best = rank(kinds, wanted, parts).min(best);
        looked_at += 1;
    };
    for a in 0..kinds.len() {
        for b in a + 1..kinds.len() {
            for p in 1..8 {
                for q in 1..=8 - p {
                    look(&[(a, p), (b, q)]);
                    for c in b + 1..kinds.len() {
                        for r in 1..=(8 - p - q) {
                            look(&[(a, p), (b, q), (c, r)]);
                        }
                    }
                }
            }
        }
    }
    (best, looked_at)
}

/// Tones with shares that sum to 1, the first of them the ground.
pub(crate) fn wanted_of(random: &mut Seeded, colours: &[LabD65]) -> WantedZone {
    let shares: Vec<f64> = colours.iter().map(|_| random.between(0.2, 1.0)).collect();
    let total: f64 = shares.iter().sum();
    WantedZone {
        tones: colours
            .iter()
            .copied()
            .zip(shares.iter().map(|s| s / total))
            .collect(),
        ground: colours
            .first()
            .copied()
            .unwrap_or(Srgb8([0x6e, 0x5a, 0x3e]).into()),
    }
}
