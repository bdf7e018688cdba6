//! The search for a blend: all pairs and triples in all small whole parts, then more kinds added to the best.

use super::ScatterKind;
use super::model::{KindShare, LaidBlend, ground_that_shows, mixed};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00, least_delta_e00};
use crate::paint::Grain;
use crate::work::Meter;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Most kinds in a blend.
pub const MOST_KINDS: usize = 5;
/// Most parts in a blend.
pub const MOST_PARTS: u32 = 20;
/// Parts that sets of kinds are tried in; the best sets of all then in up to [`MOST_PARTS`].
const PARTS_TRIED: u32 = 10;
const REFINED: usize = 6;
/// Lists up to this many kinds are searched whole up to three kinds a blend.
const SHORT_LIST: usize = 30;
/// Lists up to this many kinds are tried in all pairs. Of a longer one the kinds of the best pairs are nearly one kind: those
/// nearest to each tone gave better blends (mean rank 5.2 for twelve drawn zones from 3,000 kinds; from the first 300 of them,
/// in all pairs, 5.5).
const MOST_IN_PAIRS: usize = 300;
/// Number of sets to try between two looks at the clock.
const AT_ONCE: usize = 2_000;
/// Number of sets to try between two looks at the rank to beat.
const BETWEEN_CUTS: usize = 100;
/// Room for what is lost by rounding when ranks are compared.
const ROUNDING: f64 = 1e-9;
/// Sets of three that are given a fourth kind, and sets of four that are given a fifth.
const WORTH_A_FOURTH: usize = 40;
const WORTH_A_FIFTH: usize = 15;
/// What the difference in variety weighs against that of the mean. Our choice: a mean that is off is seen from afar, a
/// blend that is too plain only from near by.
const WEIGHT_OF_VARIETY: f64 = 1.0;
/// What a further kind and a further part cost, CIEDE2000: a kind is added where it brings the blend nearer by more than
/// that. Our choice.
const PER_KIND: f64 = 0.15;
const PER_PART: f64 = 0.01;

/// What is wanted of a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedZone {
    /// Its tones with their shares, which sum to 1.
    pub tones: Vec<(LabD65, f64)>,
    /// The painted ground.
    pub ground: LabD65,
}

impl WantedZone {
    /// The mean colour of the tones, in linear light.
    #[must_use]
    pub fn mean(&self) -> LabD65 {
        mean_of(self.tones.iter().map(|(colour, share)| (*colour, *share)))
    }

    /// How varied the tones are: the mean difference from their mean.
    #[must_use]
    pub fn spread(&self) -> DeltaE00 {
        let mean = self.mean();
        DeltaE00(
            self.tones
                .iter()
                .map(|(c, share)| share * delta_e00(*c, mean).0)
                .sum(),
        )
    }
}

fn mean_of(colours: impl Iterator<Item = (LabD65, f64)>) -> LabD65 {
    colours
        .fold(Xyz::default(), |sum, (colour, share)| {
            sum.blend(1.0, colour.into(), share)
        })
        .into()
}

/// How good a blend is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JudgedBlend {
    /// The mean colour, ground included.
    pub colour: LabD65,
    /// Its difference from the mean wanted.
    pub difference: DeltaE00,
    /// How far, on average, a patch of the photo stands from the kind that takes its place: what is amiss in variety.
    pub variety_gap: DeltaE00,
    /// What blends are ranked by; smaller is better.
    pub rank: f64,
}

/// A blend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blend {
    /// Kinds and whole parts of the area that show them, most parts first.
    pub parts: Vec<(usize, u32)>,
    /// Share of the strewn area that each of them covers; sums to 1.
    pub areas: Vec<f64>,
    /// Share of the ground that shows.
    pub ground_share: f64,
    /// How good it is.
    pub judged: JudgedBlend,
    /// How varied it is: the mean difference of what shows from the mean.
    pub spread: DeltaE00,
}

/// A kind that the list lacks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Missing {
    /// Its colour.
    pub colour: LabD65,
    /// Its grain.
    pub grain: Grain,
    /// The share of the zone it would be for.
    pub share: f64,
    /// How far the nearest kind on the list is from it.
    pub nearest: DeltaE00,
}

/// Whole parts without a common divisor, most parts in all given, for a number of kinds.
fn ratios(kinds: usize, most: u32) -> Vec<Vec<u32>> {
    fn extend(kinds: usize, left: u32, so_far: &mut Vec<u32>, all: &mut Vec<Vec<u32>>) {
        if kinds == 0 {
            if so_far.iter().fold(0, |a, b| gcd(a, *b)) == 1 {
                all.push(so_far.clone());
            }
            return;
        }
        let others = u32::try_from(kinds - 1).unwrap_or(u32::MAX);
        for part in 1..=left.saturating_sub(others) {
            so_far.push(part);
            extend(kinds - 1, left - part, so_far, all);
            so_far.pop();
        }
    }
    let mut all = Vec::new();
    extend(kinds, most, &mut Vec::new(), &mut all);
    all
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// The kinds, what is wanted, and how far each kind and the ground stand from each tone.
struct ZoneBench<'a> {
    kinds: &'a [ScatterKind],
    wanted: &'a WantedZone,
    mean: LabD65,
    ground: Xyz,
    /// By kind, the ground last; then by tone.
    apart: Vec<Vec<f64>>,
    watched: Option<&'a Meter>,
}

/// A set of kinds with the pairs of tone and kind in the order of their nearness.
struct Set {
    kinds: Vec<usize>,
    pairs: Vec<(usize, usize, f64)>,
}

#[derive(Clone)]
struct BlendCandidate {
    parts: Vec<(usize, u32)>,
    judged: JudgedBlend,
}

impl BlendCandidate {
    /// Its kinds, in list order.
    fn kinds(&self) -> Vec<usize> {
        let mut kinds: Vec<usize> = self.parts.iter().map(|(kind, _)| *kind).collect();
        kinds.sort_unstable();
        kinds
    }
}

impl<'a> ZoneBench<'a> {
    fn new(kinds: &'a [ScatterKind], wanted: &'a WantedZone, watched: Option<&'a Meter>) -> Self {
        let apart = kinds
            .iter()
            .map(|kind| kind.colour)
            .chain([wanted.ground])
            .map(|colour| {
                wanted
                    .tones
                    .iter()
                    .map(|(tone, _)| delta_e00(*tone, colour).0)
                    .collect()
            })
            .collect();
        Self {
            kinds,
            wanted,
            mean: wanted.mean(),
            ground: wanted.ground.into(),
            apart,
            watched,
        }
    }

    fn is_over(&self) -> bool {
        self.watched.is_some_and(Meter::is_over)
    }

    /// The kinds that are tried in pairs, in list order: all of a list that is not too long, else the thirty that stand
    /// nearest to one of the tones, taken from tone to tone in turn.
    fn likely_in_pairs(&self) -> Vec<usize> {
        let count = self.kinds.len();
        if count <= MOST_IN_PAIRS {
            return (0..count).collect();
        }
        let nearest: Vec<Vec<usize>> = (0..self.wanted.tones.len())
            .map(|tone| {
                let mut order: Vec<usize> = (0..count).collect();
                order.sort_by(|a, b| self.apart[*a][tone].total_cmp(&self.apart[*b][tone]));
                order
            })
            .collect();
        let mut taken = std::collections::BTreeSet::new();
        let in_turn = (0..count).flat_map(|nth| nearest.iter().map(move |order| order[nth]));
        for kind in in_turn {
            if taken.len() == SHORT_LIST {
                break;
            }
            taken.insert(kind);
        }
        taken.into_iter().collect()
    }

    fn set(&self, kinds: Vec<usize>) -> Set {
        let slots = kinds.iter().copied().chain([self.kinds.len()]);
        let mut pairs: Vec<(usize, usize, f64)> = slots
            .enumerate()
            .flat_map(|(slot, kind)| {
                let apart = &self.apart[kind];
                (0..apart.len()).map(move |tone| (tone, slot, apart[tone]))
            })
            .collect();
        pairs.sort_by(|a, b| a.2.total_cmp(&b.2).then((a.0, a.1).cmp(&(b.0, b.1))));
        Set { kinds, pairs }
    }

    /// Areas (summing to 1, zero beyond the parts) and ground that shows of a mix.
    fn laid(&self, parts: &[(usize, u32)]) -> ([f64; MOST_KINDS], f64) {
        let mut areas = [0.0; MOST_KINDS];
        for (area, (_, p)) in areas.iter_mut().zip(parts) {
            *area = f64::from(*p);
        }
        let total: f64 = areas.iter().sum();
        let mut ground = 0.0;
        for (area, (kind, _)) in areas.iter_mut().zip(parts) {
            *area /= total;
            ground += *area * ground_that_shows(self.kinds[*kind].grain);
        }
        (areas, ground)
    }

    fn colour(&self, parts: &[(usize, u32)], areas: &[f64], ground: f64) -> LabD65 {
        let kinds = || {
            parts
                .iter()
                .zip(areas)
                .map(|((kind, _), a)| (&self.kinds[*kind], *a))
        };
        let self_shadow: f64 = kinds().map(|(kind, a)| a * kind.self_shadow).sum();
        if self_shadow > 0.0 {
            let parts: Vec<KindShare> = kinds()
                .map(|(kind, area)| KindShare {
                    colour: kind.xyz,
                    area,
                })
                .collect();
            let laid = LaidBlend {
                ground: self.ground,
                ground_share: ground,
                self_shadow,
            };
            return mixed(&parts, &laid).xyz.into();
        }
        let base = self.ground.blend(ground, Xyz::default(), 0.0);
        kinds()
            .fold(base, |sum, (kind, a)| {
                sum.blend(1.0, kind.xyz, (1.0 - ground) * a)
            })
            .into()
    }

    /// The mean way from a tone to the kind that takes its place: the nearest pairs are served first, each up to what is
    /// left of both shares. `None` as soon as it is known to lie above `most`: no shorter way is possible for the
    /// rest.
    fn variety_gap(&self, set: &Set, areas: &[f64], ground: f64, most: f64) -> Option<f64> {
        let mut tones = [0.0_f64; crate::tones::MOST_TONES];
        for (left, (_, share)) in tones.iter_mut().zip(&self.wanted.tones) {
            *left = *share;
        }
        let mut slots = [0.0_f64; MOST_KINDS + 1];
        for (left, area) in slots.iter_mut().zip(areas) {
            *left = (1.0 - ground) * area;
        }
        slots[areas.len()] = ground;
        let mut way = 0.0;
        let mut left = tones.iter().sum::<f64>().min(slots.iter().sum());
        for (tone, slot, apart) in &set.pairs {
            if way + (left - ROUNDING) * apart > most + ROUNDING {
                return None;
            }
            let moved = tones[*tone].min(slots[*slot]);
            tones[*tone] -= moved;
            slots[*slot] -= moved;
            left -= moved;
            way += moved * apart;
        }
        Some(way)
    }

    /// How good a mix is; `None` when it is known to rank above `limit`: by its variety, then by the least that its mean may
    /// be off, and only then by the difference itself.
    fn judge(&self, set: &Set, parts: &[(usize, u32)], limit: f64) -> Option<JudgedBlend> {
        let (areas, ground) = self.laid(parts);
        let areas = &areas[..parts.len()];
        let total: u32 = parts.iter().map(|(_, p)| p).sum();
        let fuss: f64 =
            parts.iter().skip(1).map(|_| PER_KIND).sum::<f64>() + PER_PART * f64::from(total);
        let most = limit - fuss + ROUNDING;
        let gap = self.variety_gap(set, areas, ground, most / WEIGHT_OF_VARIETY)?;
        let varied = WEIGHT_OF_VARIETY * gap;
        if varied > most {
            return None;
        }
        let colour = self.colour(parts, areas, ground);
        let least = least_delta_e00(self.mean, colour);
        if most < 0.0 || least * least + varied * varied > most * most {
            return None;
        }
        let difference = delta_e00(self.mean, colour);
        Some(JudgedBlend {
            colour,
            difference,
            variety_gap: DeltaE00(gap),
            rank: difference.0.hypot(varied) + fuss,
        })
    }

    /// The best parts of a set of kinds, where their rank is not above `to_beat`.
    fn best_of_set(
        &self,
        kinds: Vec<usize>,
        ratios: &[Vec<u32>],
        to_beat: f64,
    ) -> Option<BlendCandidate> {
        let set = self.set(kinds);
        let mut parts: Vec<(usize, u32)> = set.kinds.iter().map(|k| (*k, 0)).collect();
        let mut best: Option<BlendCandidate> = None;
        for ratio in ratios {
            for (part, p) in parts.iter_mut().zip(ratio) {
                part.1 = *p;
            }
            let least = best.as_ref().map_or(f64::INFINITY, |b| b.judged.rank);
            if let Some(judged) = self.judge(&set, &parts, least.min(to_beat))
                && judged.rank < least
                && judged.rank <= to_beat
            {
                best = Some(BlendCandidate {
                    parts: parts.clone(),
                    judged,
                });
            }
        }
        best
    }

    /// The best parts for each set of kinds, the best `kept` sets, best first; of those that were tried when it is told that it
    /// is enough.
    fn best_of_sets(&self, sets: &[Vec<usize>], most: u32, kept: usize) -> Vec<BlendCandidate> {
        let Some(size) = sets.first().map(Vec::len) else {
            return Vec::new();
        };
        let ratios = ratios(size, most);
        let at_once = sets.chunks(AT_ONCE);
        if let Some(meter) = self.watched {
            meter.expect(at_once.len());
        }
        let mut best: Vec<BlendCandidate> = Vec::new();
        for sets in at_once {
            if self.is_over() {
                break;
            }
            for sets in sets.chunks(BETWEEN_CUTS) {
                let last = best.get(kept.saturating_sub(1));
                let to_beat = last.map_or(f64::INFINITY, |last| last.judged.rank);
                best.par_extend(
                    sets.par_iter()
                        .filter_map(|kinds| self.best_of_set(kinds.clone(), &ratios, to_beat)),
                );
                best.sort_by(|a, b| {
                    let rank = a.judged.rank.total_cmp(&b.judged.rank);
                    rank.then_with(|| a.parts.cmp(&b.parts))
                });
                best.truncate(kept);
            }
            if let Some(meter) = self.watched {
                meter.did_one();
            }
        }
        best
    }

    fn blend(&self, candidate: &BlendCandidate) -> Blend {
        let mut parts = candidate.parts.clone();
        parts.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
        let (areas, ground_share) = self.laid(&parts);
        let mean = candidate.judged.colour;
        let spread = parts
            .iter()
            .zip(&areas)
            .map(|((kind, _), a)| {
                (1.0 - ground_share) * a * delta_e00(self.kinds[*kind].colour, mean).0
            })
            .sum::<f64>()
            + ground_share * delta_e00(self.wanted.ground, mean).0;
        Blend {
            areas: areas[..parts.len()].to_vec(),
            parts,
            ground_share,
            judged: candidate.judged,
            spread: DeltaE00(spread),
        }
    }
}

/// Each set with each further kind, every set once.
fn with_one_more(sets: &[BlendCandidate], among: &[usize]) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = sets
        .iter()
        .flat_map(|candidate| {
            let kinds = candidate.kinds();
            among
                .iter()
                .filter(|more| !kinds.contains(more))
                .map(|more| {
                    let mut set = kinds.clone();
                    set.push(*more);
                    set.sort_unstable();
                    set
                })
                .collect::<Vec<_>>()
        })
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The blend of two to five kinds that comes nearest to the wanted mean colour and variety; of one where the list
/// has no more. `None` for an empty list or without a tone.
///
/// Up to three kinds of a list of at most 30 are tried in every ratio of up to ten parts. Of a longer list the thirty
/// that do best in pairs are, of more than three hundred kinds the thirty nearest to a tone; a fourth and a fifth kind are
/// added to the best sets. The best sets of all are tried again in up to twenty parts.
#[must_use]
pub fn best_blend(kinds: &[ScatterKind], wanted: &WantedZone) -> Option<Blend> {
    best_blend_watched(kinds, wanted, None)
}

/// [`best_blend`], which reports its progress to `watched`; once `watched` stops it, its answer is worth nothing.
#[must_use]
pub fn best_blend_watched(
    kinds: &[ScatterKind],
    wanted: &WantedZone,
    watched: Option<&Meter>,
) -> Option<Blend> {
    if kinds.is_empty() || wanted.tones.is_empty() || wanted.tones.len() > crate::tones::MOST_TONES
    {
        return None;
    }
    let bench = ZoneBench::new(kinds, wanted, watched);
    if kinds.len() == 1 {
        return bench
            .best_of_sets(&[vec![0]], 1, 1)
            .first()
            .map(|c| bench.blend(c));
    }
    let all = bench.likely_in_pairs();
    let pairs: Vec<Vec<usize>> = all
        .iter()
        .enumerate()
        .flat_map(|(i, a)| all[i + 1..].iter().map(|b| vec![*a, *b]))
        .collect();
    let twos = bench.best_of_sets(&pairs, PARTS_TRIED, kept_pairs(kinds.len()));
    let among = likely(&twos, kinds.len());
    let triples: Vec<Vec<usize>> = among
        .iter()
        .enumerate()
        .flat_map(|(i, a)| {
            let rest = &among[i + 1..];
            rest.iter().enumerate().flat_map(move |(j, b)| {
                rest[j + 1..]
                    .iter()
                    .map(|c| vec![*a, *b, *c])
                    .collect::<Vec<_>>()
            })
        })
        .collect();
    let threes = bench.best_of_sets(&triples, PARTS_TRIED, WORTH_A_FOURTH);
    let worth =
        |found: &[BlendCandidate], n: usize| with_one_more(&found[..found.len().min(n)], &among);
    let fours = worth(&threes, WORTH_A_FOURTH);
    let fours = bench.best_of_sets(&fours, PARTS_TRIED, WORTH_A_FIFTH);
    let fives = worth(&fours, WORTH_A_FIFTH);
    let fives = bench.best_of_sets(&fives, PARTS_TRIED, REFINED);
    [twos, threes, fours, fives]
        .iter()
        .flat_map(|found| {
            let sets: Vec<_> = found
                .iter()
                .take(REFINED)
                .map(BlendCandidate::kinds)
                .collect();
            bench.best_of_sets(&sets, MOST_PARTS, 1)
        })
        .min_by(|a, b| a.judged.rank.total_cmp(&b.judged.rank))
        .map(|candidate| bench.blend(&candidate))
}

/// How many of the best pairs are asked for: of a long list those that tell which kinds are tried further.
fn kept_pairs(kinds: usize) -> usize {
    if kinds <= SHORT_LIST {
        REFINED
    } else {
        usize::MAX
    }
}

/// The kinds worth trying further, in list order: all of a short list, those of the best pairs of a long one.
fn likely(twos: &[BlendCandidate], kinds: usize) -> Vec<usize> {
    if kinds <= SHORT_LIST {
        return (0..kinds).collect();
    }
    let mut among: Vec<usize> = Vec::new();
    for (kind, _) in twos.iter().flat_map(|two| &two.parts) {
        if among.len() < SHORT_LIST && !among.contains(kind) {
            among.push(*kind);
        }
    }
    among.sort_unstable();
    among
}

/// A kind further than this from a tone does not stand in for it. Our choice.
const STANDS_IN: f64 = 8.0;
/// Tones of a lesser share are not worth a kind of their own. Our choice.
const WORTH_A_KIND: f64 = 0.08;

/// The kind whose lack is felt most: the tone of the largest share times distance from all of the list, where the nearest
/// is further off than a kind can stand in for. Dark tones are wanted coarse, since bushes throw the shadows, the
/// others fine (common practice, no source).
#[must_use]
pub fn missing(kinds: &[ScatterKind], wanted: &WantedZone) -> Option<Missing> {
    let mean = wanted.mean();
    wanted
        .tones
        .iter()
        .filter(|(_, share)| *share >= WORTH_A_KIND)
        .filter_map(|(tone, share)| {
            let nearest = kinds
                .iter()
                .map(|kind| delta_e00(kind.colour, *tone).0)
                .fold(f64::INFINITY, f64::min);
            (nearest > STANDS_IN).then_some(Missing {
                colour: *tone,
                grain: if tone.l < mean.l - 8.0 {
                    Grain::Coarse
                } else {
                    Grain::Fine
                },
                share: *share,
                nearest: DeltaE00(nearest),
            })
        })
        .max_by(|a, b| {
            (a.share * a.nearest.0.min(100.0)).total_cmp(&(b.share * b.nearest.0.min(100.0)))
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::ScatterList;
    use std::fmt::Write;
    use std::time::Duration;

    /// Kinds spread over the colours of grounds and greens by a fixed rule.
    fn kinds(count: u32) -> Vec<ScatterKind> {
        let mut text = "name,hex\n".to_owned();
        for i in 0..count {
            let part = |by: f64| (f64::from(i) * by).fract();
            let colour = LabD65::new(
                15.0 + 65.0 * part(0.618),
                40.0 * part(0.414) - 20.0,
                50.0 * part(0.732) - 5.0,
            );
            let _ = writeln!(text, "kind {i},{}", colour.to_srgb8());
        }
        let list = ScatterList::parse("s.csv", text.as_bytes()).unwrap();
        let items = list.items().iter().enumerate();
        items.map(|(i, item)| ScatterKind::new(i, item)).collect()
    }

    /// The `zone`th zone, by a fixed rule.
    fn wanted(zone: u32) -> WantedZone {
        let tone = |nth: u32| {
            let part = |by: f64| (f64::from(zone * 7 + nth + 1) * by).fract();
            LabD65::new(
                25.0 + 40.0 * part(0.37),
                22.0 * part(0.59) - 15.0,
                5.0 + 32.0 * part(0.83),
            )
        };
        WantedZone {
            tones: vec![(tone(0), 0.5), (tone(1), 0.3), (tone(2), 0.2)],
            ground: LabD65::new(40.0, 6.0, 16.0),
        }
    }

    #[test]
    fn blends_from_thousands_of_kinds_are_no_more_work_than_from_hundreds_and_as_good() {
        let all = |count: u32| {
            let kinds = kinds(count);
            let meter = Meter::new(None);
            let ranks: f64 = (1..=6)
                .map(|zone| best_blend_watched(&kinds, &wanted(zone), Some(&meter)))
                .map(|blend| blend.unwrap().judged.rank)
                .sum();
            (meter.progress().done, ranks)
        };
        let ((few, of_few), (many, of_many)) = (all(300), all(3_000));
        assert!(many <= few, "{few} and {many} steps");
        assert!(of_many <= of_few, "{of_few} and {of_many}");
    }

    /// Against every mix of every set, each judged to the end.
    #[test]
    fn sets_that_cannot_be_among_the_best_are_all_that_is_passed_over() {
        let kinds = kinds(14);
        for zone in 0..6 {
            let wanted = wanted(zone);
            let bench = ZoneBench::new(&kinds, &wanted, None);
            let triples: Vec<Vec<usize>> = (0..14)
                .flat_map(|a| {
                    (a + 1..14).flat_map(move |b| (b + 1..14).map(move |c| vec![a, b, c]))
                })
                .collect();
            let mut plain: Vec<(f64, Vec<(usize, u32)>)> = triples
                .iter()
                .map(|kinds| {
                    let set = bench.set(kinds.clone());
                    let mut best = (f64::INFINITY, Vec::new());
                    for ratio in ratios(3, PARTS_TRIED) {
                        let parts: Vec<_> = kinds.iter().copied().zip(ratio).collect();
                        let judged = bench.judge(&set, &parts, f64::INFINITY).unwrap();
                        if judged.rank < best.0 {
                            best = (judged.rank, parts);
                        }
                    }
                    best
                })
                .collect();
            plain.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
            for kept in [1, 15, 40, usize::MAX] {
                let found = bench.best_of_sets(&triples, PARTS_TRIED, kept);
                let found: Vec<_> = found
                    .into_iter()
                    .map(|found| (found.judged.rank, found.parts))
                    .collect();
                assert!(found[..] == plain[..kept.min(plain.len())], "{zone} {kept}");
            }
        }
    }

    #[test]
    fn a_blend_is_given_up_at_once_when_told() {
        let meter = Meter::new(Some(Duration::ZERO));
        std::thread::sleep(Duration::from_millis(2));
        assert_eq!(
            best_blend_watched(&kinds(60), &wanted(1), Some(&meter)),
            None
        );
        assert_eq!(meter.progress().done, 0);
    }
}
