//! The search for a wash.

use super::films::LaidFilms;
use super::narrow::worth_stirring;
use super::passed::{FilmsOfMix, KnownMixes, PassedFilm, PassedMixes};
use super::tried::{BestWashes, By, TriedMix, WholeParts, Worth};
use crate::colour::{DeltaE00, LabD65, Xyz, delta_e00, least_delta_e00};
use crate::paint::{
    DEFAULT_POOL, FilmDoubt, Films, Ground, MixingFamily, Opacity, Prepared, Wash, WashPot,
    within_in_recesses,
};
use crate::work::{Meter, Remembering};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A paint that may go into a wash.
#[derive(Debug, Clone, Copy)]
pub struct WashPaint<'a> {
    /// As the mixing model sees it.
    pub prepared: &'a Prepared,
    /// What it may be stirred with.
    pub family: MixingFamily,
    /// How far it hides, when stated.
    pub opacity: Option<Opacity>,
}

impl WashPaint<'_> {
    /// True when a pale wash of it would hardly show.
    #[must_use]
    pub fn is_transparent(&self) -> bool {
        matches!(
            self.opacity,
            Some(Opacity::Transparent | Opacity::SemiTransparent)
        )
    }
}

/// What flats and recesses should look like, and how much each counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WantedWash {
    /// Flats.
    pub flat: LabD65,
    /// Recesses.
    pub recess: LabD65,
    /// Weight of the recesses where the flats have 1; 0 leaves them out.
    pub recess_weight: f64,
}

/// How to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WashSearch {
    /// Thickness in recesses against flats.
    pub pool: f64,
    /// How thick the builder's washes lie.
    pub films: LaidFilms,
    /// Most paints in the wash, 1 to 3.
    pub most_paints: usize,
    /// Told how far the search is, and may say that it is enough: then nothing is found.
    pub meter: Option<&'static Meter>,
}

impl Default for WashSearch {
    fn default() -> Self {
        Self {
            pool: DEFAULT_POOL,
            films: LaidFilms::default(),
            most_paints: 2,
            meter: None,
        }
    }
}

impl WashSearch {
    fn is_over(&self) -> bool {
        self.meter.is_some_and(Meter::is_over)
    }
}

/// Paints, thinning and passes of one wash, and the colours they give.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashRecipe<P = usize> {
    /// Paints and whole parts by volume, most parts first. As solved, a paint is its place among those handed in.
    pub parts: Vec<(P, u32)>,
    /// What is stirred.
    pub family: MixingFamily,
    /// Parts of thinner to 1 part of paint.
    pub thin: u32,
    /// Passes.
    pub passes: u32,
    /// Flats under it.
    pub flat: LabD65,
    /// Recesses under it.
    pub recess: LabD65,
    /// The paints laid thick.
    pub own: LabD65,
    /// Weighted root mean square of the differences from the wanted colours.
    pub off: DeltaE00,
    /// How far the film may be off on flats.
    pub flat_doubt: FilmDoubt,
    /// The same in recesses.
    pub recess_doubt: FilmDoubt,
}

impl WashRecipe {
    /// The same for paints named in another way than by their place.
    #[must_use]
    pub fn of_paints<P>(&self, paint: impl Fn(usize) -> P) -> WashRecipe<P> {
        WashRecipe {
            parts: self.parts.iter().map(|(at, p)| (paint(*at), *p)).collect(),
            family: self.family,
            thin: self.thin,
            passes: self.passes,
            flat: self.flat,
            recess: self.recess,
            own: self.own,
            off: self.off,
            flat_doubt: self.flat_doubt,
            recess_doubt: self.recess_doubt,
        }
    }
}

impl<P> WashRecipe<P> {
    /// What the model can say of the strength: paint share times passes.
    #[must_use]
    pub fn strength(&self) -> f64 {
        strength(self.thin, self.passes)
    }

    /// Sum of the parts of paint.
    #[must_use]
    pub fn total_parts(&self) -> u32 {
        self.parts.iter().map(|(_, p)| p).sum()
    }

    /// For a wash thinner than is measured out in one go: parts of thinner to 1 of paint for a stock, and parts of thinner
    /// to 1 part of that stock.
    #[must_use]
    pub fn from_stock(&self) -> Option<(u32, u32)> {
        (self.thin > THINS[0]).then(|| (STOCK, (self.thin + 1) / (STOCK + 1) - 1))
    }

    /// The next thinner wash of the ladder, and the next stronger one: where to go from a scrap that came out too strong or
    /// too weak. `None` at its ends.
    #[must_use]
    pub fn neighbours(&self) -> (Option<u32>, Option<u32>) {
        let thinner = THINS.into_iter().rev().find(|thin| *thin > self.thin);
        let stronger = THINS.into_iter().find(|thin| *thin < self.thin);
        (thinner, stronger)
    }
}

/// Why there is no wash.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum NoWash {
    /// There is no paint to wash with.
    NoPaint,
    /// The base is as wanted already.
    NotNeeded,
    /// No wash of these paints brings the base nearer to the wanted colours; one of a paint of about this colour
    /// would.
    NoneHelps {
        /// That colour, where any paint would do.
        near: Option<LabD65>,
    },
}

/// How much of the answer is a matter of choice.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ambiguity {
    /// Other mixes within a difference of 1 of the best.
    pub other_mixes: usize,
    /// The weakest strength (paint share times passes) among all that lie so near.
    pub weakest: f64,
    /// The strongest.
    pub strongest: f64,
}

/// How the dirt is laid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum WayOfLaying {
    /// One wash over everything.
    OneWash(WashRecipe),
    /// In the recesses only: the flats are to stay as they are.
    Pin(WashRecipe),
    /// A thin filter over everything, then a pin wash in the recesses only.
    FilterAndPin {
        /// Over everything.
        filter: WashRecipe,
        /// In the recesses.
        pin: WashRecipe,
    },
}

/// A solved wash.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Laying {
    /// What to lay.
    pub laid: WayOfLaying,
    /// Flats in the end.
    pub flat: LabD65,
    /// Recesses in the end.
    pub recess: LabD65,
    /// Their difference from the wanted colours.
    pub flat_off: DeltaE00,
    /// The same in recesses.
    pub recess_off: DeltaE00,
    /// How much of the answer is a matter of choice.
    pub ambiguity: Ambiguity,
}

impl Laying {
    /// The washes in the order to lay them.
    #[must_use]
    pub fn washes(&self) -> Vec<&WashRecipe> {
        match &self.laid {
            WayOfLaying::OneWash(one) | WayOfLaying::Pin(one) => vec![one],
            WayOfLaying::FilterAndPin { filter, pin } => vec![filter, pin],
        }
    }
}

impl Laying {
    /// The colours from flats (first) to the deepest recess (last), in `steps` even steps of depth.
    ///
    /// Thickness grows from 1 on flats to the pool in recesses as a power of the depth; a pin wash from nothing.
    #[must_use]
    pub fn ramp(
        &self,
        base: LabD65,
        paints: &[WashPaint<'_>],
        search: &WashSearch,
        steps: u32,
    ) -> Vec<LabD65> {
        let film = |ground: LabD65, recipe: &WashRecipe, pool: f64| -> LabD65 {
            let parts: Vec<(&Prepared, f64)> = recipe
                .parts
                .iter()
                .map(|(at, p)| (paints[*at].prepared, f64::from(*p)))
                .collect();
            let wash = Wash {
                film: search.films.for_family(recipe.family).film,
                ..Wash::thinned(f64::from(recipe.thin), f64::from(recipe.passes))
            };
            WashPot::new(&parts).map_or(ground, |pot| {
                let ground = Ground::new(Xyz::from(ground));
                pot.over(&ground, wash.thickness() * pool).into()
            })
        };
        let last = f64::from(steps.max(2) - 1);
        (0..steps.max(2))
            .map(|step| {
                let depth = f64::from(step) / last;
                let (pooled, pinned) = (search.pool.powf(depth), search.pool * depth);
                match &self.laid {
                    WayOfLaying::OneWash(one) => film(base, one, pooled),
                    WayOfLaying::Pin(pin) => film(base, pin, pinned),
                    WayOfLaying::FilterAndPin { filter, pin } => {
                        film(film(base, filter, pooled), pin, pinned)
                    }
                }
            })
            .collect()
    }
}

/// Beyond this difference on flats or in recesses one film is not enough. Our choice.
pub const ONE_FILM_WITHIN: f64 = 5.0;
/// Mixes this near to the best count as equally good: less than a photo or a hand can show. Our choice.
pub const AS_NEAR: f64 = 1.0;
/// Flats this near to the base want no film. Our choice.
const NO_FILM: f64 = 2.0;
/// A filter and a pin wash must be better than one film by this much to be worth the work. Our choice.
const WORTH_TWO: f64 = 1.0;

/// Parts of thinner to 1 part of paint, in steps of a third to a half. Common practice, no source: 1 to 8 up to 1 to 20 is
/// usual, 1 to 32 the thinnest that is measured out in one go.
const THINS: [u32; 10] = [32, 24, 16, 12, 8, 6, 4, 3, 2, 1];
/// Filters beyond that, thinned from a stock of 1 to [`STOCK`]: whole parts of thinner to 1 part of the stock.
const STOCK: u32 = 8;
const FROM_STOCK: [u32; 3] = [80, 62, 44];
/// What the trouble of a stock costs in rank, so that a filter is taken only where a wash is far too strong. Our choice.
const PER_STOCK: f64 = 1.0;
/// A base this near to the wanted colours needs no wash: less than a photo or a hand can show. Our choice.
const AS_WANTED: f64 = 1.0;
/// A filter is at least so thin. Common practice, no source.
const THIN_FILTER: u32 = 8;
const MOST_PASSES: u32 = 3;
/// From a longer list, this many paints are mixed with each other. Our choice: the cost grows no further.
const MOST_STIRRED: usize = 300;
/// Ratios of two paints: coprime, none above 3.
const RATIOS: [[u32; 2]; 7] = [[1, 1], [1, 2], [2, 1], [1, 3], [3, 1], [2, 3], [3, 2]];
/// Parts of a third paint.
const THIRDS: [u32; 3] = [1, 2, 3];
/// This many pairs are tried in every ratio: all pairs of some sixty paints; from more, those whose even mix comes
/// nearest.
const ALL_RATIOS: usize = 2_000;
/// This many paints that come nearest by themselves are tried with every other.
const WITH_EVERY: usize = 12;
/// Mixes that are tried on every rung of the ladder.
const TRIED_FULLY: usize = 400;
/// How many of the soundest mixes are tried on every rung as well.
const TRIED_BY_RANK: usize = 100;
/// Two-paint mixes that get a third paint.
const GIVEN_A_THIRD: usize = 100;
/// So many mixes more are kept, by nearness and by rank, for the next search. Our choice: what one paint leaves of the best
/// mixes of a list of some thirty.
const MORE: [usize; 2] = [200, 60];
/// A browser keeps nothing from one search to the next.
const REMEMBERS: bool = !cfg!(target_family = "wasm");
/// Number of mixes to judge between two looks at the clock, and at the rank to beat.
const AT_ONCE: usize = 500;

/// What the trouble of a wash costs in rank, in units of difference. Our choice: a further paint, a further part, a
/// further pass, a wash thicker than 1 to 4.
const PER_PAINT: f64 = 0.5;
const PER_PART: f64 = 0.05;
const PER_PASS: f64 = 0.05;
const PER_THICK: f64 = 0.1;
/// What stands against a mix from the start, in the same units: a transparent paint where a pale wash is wanted, a medium
/// that most of the list does not have. Our choice.
const PER_TRANSPARENT: f64 = 1.5;
const PER_OTHER_MEDIUM: f64 = 0.5;
/// Real error of a mix against how far its paints stand from it (mean CIEDE2000 by parts): as with opaque mixes, where it
/// was measured, the further apart they are, the less a prediction is worth. Less than the 0.35 found there, for a film
/// shows its base besides: our choice, by washes drawn and solved back.
const PER_APART: f64 = 0.15;

fn strength(thin: u32, passes: u32) -> f64 {
    f64::from(passes) / (1.0 + f64::from(thin))
}

/// A rung of the ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Rung {
    thin: u32,
    passes: u32,
}

impl Rung {
    /// All rungs of at least so thin a wash, the weakest first.
    fn ladder(thinnest: u32) -> Vec<Self> {
        let mut all: Vec<Self> = FROM_STOCK
            .into_iter()
            .chain(THINS)
            .filter(|thin| *thin >= thinnest)
            .flat_map(|thin| (1..=MOST_PASSES).map(move |passes| Self { thin, passes }))
            .collect();
        all.sort_by(|a, b| a.strength().total_cmp(&b.strength()));
        all
    }

    fn strength(self) -> f64 {
        strength(self.thin, self.passes)
    }

    fn trouble(self) -> f64 {
        let thick = if self.thin < 4 { PER_THICK } else { 0.0 };
        let stock = if self.thin > THINS[0] { PER_STOCK } else { 0.0 };
        PER_PASS * f64::from(self.passes - 1) + thick + stock
    }
}

/// A mix of paints with the colours of its films at hand.
struct Mix {
    parts: WholeParts,
    family: MixingFamily,
    pot: WashPot,
    films: Films,
    /// What the distance of the paints from the mix never falls below.
    least_apart: f64,
    /// Further paints and parts.
    trouble: f64,
    /// What stands against it from the start.
    against: f64,
}

impl Mix {
    /// What a film of it is worth that is off by this much, its paints being so far apart; grows with both.
    fn worth(&self, off: f64, apart: f64, rung: Rung) -> Worth {
        let likely = (off * off + PER_APART * PER_APART * apart * apart).sqrt();
        Worth {
            near: off + self.against,
            rank: likely + self.against + self.trouble + rung.trouble(),
        }
    }
}

/// One film of a mix, judged.
#[derive(Clone, Copy)]
struct JudgedFilm {
    mix: usize,
    rung: Rung,
    off: f64,
    /// The same with what stands against the mix.
    near: f64,
    /// What it is likely to be off in truth, with its trouble.
    rank: f64,
}

/// The mixes that are tried on every rung.
struct Chosen {
    /// In order.
    mixes: Vec<TriedMix>,
    /// The least [`JudgedFilm::near`] found on the way.
    nearest: f64,
    /// What they were taken from.
    lists: [BestWashes; 2],
}

impl Chosen {
    fn of_lists(lists: [BestWashes; 2]) -> Self {
        let nearest = lists[0].kept.first();
        let nearest = nearest.map_or(f64::INFINITY, |tried| tried.worth.near);
        let firsts = lists.iter().zip([TRIED_FULLY, TRIED_BY_RANK]);
        let firsts = firsts.flat_map(|(list, most)| list.kept.iter().take(most));
        let mut mixes: Vec<TriedMix> = firsts.copied().collect();
        mixes.sort_unstable_by_key(|tried| tried.at);
        mixes.dedup_by_key(|tried| tried.at);
        Self {
            mixes,
            nearest,
            lists,
        }
    }

    /// What is kept of it.
    fn passed(&self, films: &[JudgedFilm], rungs: &[Rung]) -> PassedMixes {
        let mut films = films.iter().peekable();
        let mixes = self.mixes.iter().enumerate().map(|(mix, tried)| {
            let mut own = Vec::new();
            while let Some(film) = films.next_if(|film| film.mix == mix) {
                own.push(PassedFilm {
                    rung: rungs.iter().position(|r| *r == film.rung).unwrap_or(0),
                    off: film.off,
                    near: film.near,
                    rank: film.rank,
                });
            }
            FilmsOfMix {
                parts: tried.parts,
                films: own,
            }
        });
        PassedMixes {
            films: mixes.collect(),
            lists: self.lists.clone(),
            within: self.nearest + AS_NEAR,
        }
    }
}

/// All mixes of up to two paints of a short list.
struct AllMixes {
    singles: usize,
    pairs: Vec<(usize, usize)>,
}

impl AllMixes {
    /// Each with its number.
    fn numbered(&self) -> impl Iterator<Item = (usize, WholeParts)> + '_ {
        let singles = (0..self.singles).map(WholeParts::one);
        let pairs = self.pairs.iter();
        let pairs = pairs.flat_map(|pair| RATIOS.map(|ratio| WholeParts::pair(*pair, ratio)));
        singles.chain(pairs).enumerate()
    }

    /// The number of one.
    fn number(&self, parts: &WholeParts) -> Option<usize> {
        match *parts.all() {
            [(at, _)] => Some(at),
            [(a, p), (b, q)] => {
                let pair = self.pairs.binary_search(&(a, b)).ok()?;
                let ratio = RATIOS.iter().position(|ratio| *ratio == [p, q])?;
                Some(self.singles + pair * RATIOS.len() + ratio)
            }
            _ => None,
        }
    }
}

/// What is searched for over one ground.
struct WashBench<'a> {
    paints: &'a [WashPaint<'a>],
    base: LabD65,
    ground: Ground,
    wanted: WantedWash,
    search: &'a WashSearch,
    /// Whether the film lies in recesses alone and is compared with [`WantedWash::recess`] only, as a pin wash.
    in_recesses_only: bool,
    pale: bool,
    /// Pairs that are tried in every ratio.
    all_ratios: usize,
    /// Paints that are stirred with each other.
    most_stirred: usize,
    /// What was passed before, where that is kept.
    remembering: Option<Remembering<'a>>,
}

impl WashBench<'_> {
    fn thickness(&self, family: MixingFamily, rung: Rung) -> f64 {
        Wash {
            paint_share: 1.0 / (1.0 + f64::from(rung.thin)),
            passes: f64::from(rung.passes),
            film: self.search.films.for_family(family).film,
            pool: self.search.pool,
        }
        .thickness()
    }

    fn colours(&self, mix: &Mix, rung: Rung) -> (LabD65, LabD65) {
        let recess = self.in_recess(mix, rung);
        (self.on_flat(mix, rung), recess)
    }

    /// The same, unless flats or recesses alone show that the film is too far off, or it turns wrong.
    fn colours_within(
        &self,
        mix: &Mix,
        rung: Rung,
        is_too_far: impl Fn(f64) -> bool,
    ) -> Option<(LabD65, LabD65)> {
        let wanted = &self.wanted;
        // First what counts.
        let colours = if wanted.recess_weight > 0.0 {
            let recess = self.in_recess(mix, rung);
            if is_too_far(self.least_off((wanted.flat, recess))) {
                return None;
            }
            (self.on_flat(mix, rung), recess)
        } else {
            let flat = self.on_flat(mix, rung);
            if is_too_far(self.least_off((flat, wanted.recess))) {
                return None;
            }
            (flat, self.in_recess(mix, rung))
        };
        let is_out = is_too_far(self.least_off(colours)) || self.turns_wrong(colours);
        (!is_out).then_some(colours)
    }

    fn in_recess(&self, mix: &Mix, rung: Rung) -> LabD65 {
        let thickness = self.thickness(mix.family, rung);
        mix.films.at(thickness * self.search.pool).into()
    }

    fn on_flat(&self, mix: &Mix, rung: Rung) -> LabD65 {
        if self.in_recesses_only {
            return self.wanted.flat;
        }
        mix.films.at(self.thickness(mix.family, rung)).into()
    }

    /// A wash that is to darken never lightens, neither flats nor recesses.
    fn turns_wrong(&self, (flat, recess): (LabD65, LabD65)) -> bool {
        let lighter = |colour: LabD65| colour.l > self.base.l + 1e-9;
        !self.pale && (lighter(recess) || (!self.in_recesses_only && lighter(flat)))
    }

    /// How far the base itself is from the wanted colours.
    fn untouched(&self) -> f64 {
        if self.in_recesses_only {
            self.off((self.wanted.flat, self.base))
        } else {
            self.off((self.base, self.base))
        }
    }

    fn off(&self, colours: (LabD65, LabD65)) -> f64 {
        self.off_by(colours, |one, other| delta_e00(one, other).0)
    }

    /// What [`WashBench::off`] never falls below, quick to work out.
    fn least_off(&self, colours: (LabD65, LabD65)) -> f64 {
        self.off_by(colours, least_delta_e00)
    }

    fn off_by(
        &self,
        (flat, recess): (LabD65, LabD65),
        apart: impl Fn(LabD65, LabD65) -> f64,
    ) -> f64 {
        let weight = self.wanted.recess_weight;
        let in_recess = if weight > 0.0 {
            apart(recess, self.wanted.recess)
        } else {
            0.0
        };
        if self.in_recesses_only {
            return in_recess;
        }
        let on_flat = apart(flat, self.wanted.flat);
        ((on_flat * on_flat + weight * in_recess * in_recess) / (1.0 + weight)).sqrt()
    }

    fn mix(&self, parts: WholeParts) -> Option<Mix> {
        let paints = parts.all();
        let first = self.paints[paints[0].0];
        let mut prepared = [(first.prepared, 0.0); 3];
        for (prepared, (at, p)) in prepared.iter_mut().zip(paints) {
            *prepared = (self.paints[*at].prepared, f64::from(*p));
        }
        let prepared = &prepared[..paints.len()];
        let family = first.family;
        let total: u32 = paints.iter().map(|(_, p)| p).sum();
        #[expect(clippy::cast_precision_loss, reason = "at most three paints")]
        let count = paints.len() as f64;
        let transparent = paints
            .iter()
            .any(|(at, _)| self.paints[*at].is_transparent());
        let mut against = 0.0;
        if self.pale && transparent {
            against += PER_TRANSPARENT;
        }
        if Some(family) != self.paints.first().map(|paint| paint.family) {
            against += PER_OTHER_MEDIUM;
        }
        let pot = WashPot::new(prepared).ok()?;
        let films = pot.laid_on(&self.ground);
        Some(Mix {
            parts,
            family,
            least_apart: self.apart_by(parts, &pot, least_delta_e00),
            pot,
            films,
            trouble: PER_PAINT * (count - 1.0) + PER_PART * f64::from(total - 1),
            against,
        })
    }

    /// How far the paints of a mix stand from it, by parts.
    fn apart(&self, mix: &Mix) -> f64 {
        self.apart_by(mix.parts, &mix.pot, |paint, own| delta_e00(paint, own).0)
    }

    fn apart_by(
        &self,
        parts: WholeParts,
        pot: &WashPot,
        apart: impl Fn(LabD65, LabD65) -> f64,
    ) -> f64 {
        let own = LabD65::from(pot.own_colour());
        let (mut sum, mut total) = (0.0, 0.0);
        for (at, p) in parts.all() {
            sum += f64::from(*p) * apart(self.paints[*at].prepared.lab, own);
            total += f64::from(*p);
        }
        sum / total
    }

    /// Every film of a mix on these rungs, except for some that are off by more than `most`.
    fn films<'b>(
        &'b self,
        at: usize,
        mix: &'b Mix,
        rungs: &'b [Rung],
        most: f64,
    ) -> impl Iterator<Item = JudgedFilm> + 'b {
        let apart = self.apart(mix);
        rungs.iter().filter_map(move |rung| {
            let colours = self.colours_within(mix, *rung, |off| off > most)?;
            let off = self.off(colours);
            let Worth { near, rank } = mix.worth(off, apart, *rung);
            Some(JudgedFilm {
                mix: at,
                rung: *rung,
                off,
                near,
                rank,
            })
        })
    }

    /// What the best films of a mix on these rungs are worth, where that is below `to_beat` in one way or the other. Each is
    /// judged no farther than it takes to know that it is not, the whole difference only where it may be near enough.
    fn worth(&self, mix: &Mix, rungs: &[Rung], to_beat: Worth) -> Option<Worth> {
        let (mut best, mut apart) = (to_beat, None);
        for rung in rungs {
            let fails = |off: f64| {
                let worth = mix.worth(off, mix.least_apart, *rung);
                worth.near >= best.near && worth.rank >= best.rank
            };
            let Some(colours) = self.colours_within(mix, *rung, fails) else {
                continue;
            };
            let apart = *apart.get_or_insert_with(|| self.apart(mix));
            let worth = mix.worth(self.off(colours), apart, *rung);
            best.near = best.near.min(worth.near);
            best.rank = best.rank.min(worth.rank);
        }
        // A list with room takes what is worth nothing too.
        let room = to_beat.near.max(to_beat.rank) == f64::INFINITY;
        let better = |own: f64, beaten: f64| if own < beaten { own } else { f64::INFINITY };
        let worth = Worth {
            near: better(best.near, to_beat.near),
            rank: better(best.rank, to_beat.rank),
        };
        (room || worth.near.min(worth.rank) < f64::INFINITY).then_some(worth)
    }

    /// Judges so many mixes, some at once, and keeps the best; stops where it is told that it is enough. `numbered` makes them
    /// by their place, and tells their number among all.
    fn try_all(
        &self,
        count: usize,
        numbered: impl Fn(usize) -> Option<(usize, WholeParts)> + Sync,
        rungs: &[Rung],
        best: &mut [&mut BestWashes],
    ) {
        let watched = self.search.meter;
        if let Some(meter) = watched {
            meter.expect(count.div_ceil(AT_ONCE));
        }
        for from in (0..count).step_by(AT_ONCE) {
            if self.search.is_over() {
                return;
            }
            let to_beat = BestWashes::to_beat(best);
            let tried: Vec<TriedMix> = (from..count.min(from + AT_ONCE))
                .into_par_iter()
                .filter_map(|place| {
                    let (at, parts) = numbered(place)?;
                    let mix = self.mix(parts)?;
                    let worth = self.worth(&mix, rungs, to_beat)?;
                    Some(TriedMix { at, parts, worth })
                })
                .collect();
            for best in best.iter_mut() {
                best.take(&tried);
            }
            if let Some(meter) = watched {
                meter.did_one();
            }
        }
    }

    /// All pairs of these paints that may be stirred together, in order.
    fn may_be_stirred(&self, among: &[usize]) -> Vec<(usize, usize)> {
        let others = |i: usize| among[i + 1..].iter().map(move |b| (among[i], *b));
        let all = (0..among.len()).flat_map(others);
        all.filter(|(a, b)| self.paints[*a].family == self.paints[*b].family)
            .collect()
    }

    /// Pairs of these paints that are worth every ratio, in order: all where they are few; of many those whose even mix comes
    /// nearest, and the paints that come nearest by themselves with every other. `alone` are the best paints by themselves.
    fn pairs(&self, among: &[usize], alone: &[TriedMix], rungs: &[Rung]) -> Vec<(usize, usize)> {
        let all = self.may_be_stirred(among);
        if all.len() <= self.all_ratios {
            return all;
        }
        let mut good = vec![false; self.paints.len()];
        for tried in alone.iter().take(WITH_EVERY) {
            good[tried.parts.of[0].0] = true;
        }
        let mut even = BestWashes::keeping(self.all_ratios, By::Near);
        let parts = |at: usize| Some((at, WholeParts::pair(all[at], [1, 1])));
        self.try_all(all.len(), parts, rungs, &mut [&mut even]);
        let mut kept: Vec<(usize, usize)> = even.kept.iter().map(|tried| all[tried.at]).collect();
        kept.extend(all.into_iter().filter(|(a, b)| good[*a] || good[*b]));
        kept.sort_unstable();
        kept.dedup();
        kept
    }

    /// The mixes that are worth trying on every rung: of single paints, of pairs that may be stirred together, and with a third
    /// paint where that is asked.
    fn mixes(&self, rungs: &[Rung], more: [usize; 2]) -> Chosen {
        let few = every_fourth(rungs);
        let mut near = BestWashes::keeping(TRIED_FULLY + more[0], By::Near);
        let mut sound = BestWashes::keeping(TRIED_BY_RANK + more[1], By::Rank);
        let mut alone = BestWashes::keeping(WITH_EVERY.max(self.most_stirred / 2), By::Near);
        let mut of_two = BestWashes::keeping(GIVEN_A_THIRD, By::Near);
        let singles = self.paints.len();
        let single = |at: usize| Some((at, WholeParts::one(at)));
        let kept = &mut [&mut near, &mut sound, &mut alone];
        self.try_all(singles, single, &few, kept);
        if self.search.most_paints >= 2 {
            let colours: Vec<LabD65> = self.paints.iter().map(|paint| paint.prepared.lab).collect();
            let nearest: Vec<usize> = alone.kept.iter().map(|tried| tried.at).collect();
            let among = worth_stirring(&colours, &nearest, self.most_stirred);
            let pairs = self.pairs(&among, &alone.kept, &few);
            let ratios = RATIOS.len();
            let pair = |at: usize| {
                let parts = WholeParts::pair(pairs[at / ratios], RATIOS[at % ratios]);
                Some((singles + at, parts))
            };
            let kept = &mut [&mut near, &mut sound, &mut of_two];
            self.try_all(pairs.len() * ratios, pair, &few, kept);
            if self.search.most_paints >= 3 {
                let each = among.len() * THIRDS.len();
                let before = singles + pairs.len() * ratios;
                let third = |at: usize| {
                    let pair = of_two.kept[at / each].parts;
                    let third = among[at % each / THIRDS.len()];
                    let stirred = self.paints[third].family == self.paints[pair.of[0].0].family
                        && pair.all().iter().all(|(used, _)| *used != third);
                    let parts = || pair.with(third, THIRDS[at % THIRDS.len()]);
                    stirred.then(|| (before + at, parts()))
                };
                let kept = &mut [&mut near, &mut sound];
                self.try_all(of_two.kept.len() * each, third, &few, kept);
            }
        }
        Chosen::of_lists([near, sound])
    }

    /// The same where most of them were tried before: only mixes of new paints are tried. `None` where it cannot be told from
    /// these which are the best.
    fn mixes_still_known(
        &self,
        rungs: &[Rung],
        all: &AllMixes,
        known: &KnownMixes,
    ) -> Option<Chosen> {
        let [mut near, mut sound] = known.passed.lists.clone();
        let new: Vec<(usize, WholeParts)> = all
            .numbered()
            .filter(|(_, parts)| parts.all().iter().any(|(at, _)| !known.known[*at]))
            .collect();
        let of_new = |place: usize| new.get(place).copied();
        let few = every_fourth(rungs);
        for list in [&mut near, &mut sound] {
            list.take(&[]);
        }
        self.try_all(new.len(), of_new, &few, &mut [&mut near, &mut sound]);
        near.best(TRIED_FULLY)?;
        sound.best(TRIED_BY_RANK)?;
        Some(Chosen::of_lists([near, sound]))
    }

    /// All mixes that are tried, where these are known beforehand: short lists, up to two paints.
    fn all_mixes(&self) -> Option<AllMixes> {
        let among: Vec<usize> = (0..self.paints.len()).collect();
        if self.search.most_paints != 2 || among.len() > self.most_stirred {
            return None;
        }
        let pairs = self.may_be_stirred(&among);
        (pairs.len() <= self.all_ratios).then_some(AllMixes {
            singles: among.len(),
            pairs,
        })
    }

    /// The best film, and how much of it is a matter of choice.
    fn best(&self, thinnest: u32) -> Result<(WashRecipe, Ambiguity), NoWash> {
        if self.paints.is_empty() {
            return Err(NoWash::NoPaint);
        }
        if self.untouched() <= AS_WANTED {
            return Err(NoWash::NotNeeded);
        }
        self.best_wash(thinnest)
            .filter(|(recipe, _)| recipe.off.0 < self.untouched())
            .ok_or(NoWash::NoneHelps { near: None })
    }

    /// The mixes worth trying, and their films.
    fn mixes_and_films(&self, rungs: &[Rung]) -> (Vec<TriedMix>, Vec<JudgedFilm>) {
        let remembering = self.remembering.filter(|_| REMEMBERS);
        let Some((remembering, all)) = remembering.zip(self.all_mixes()) else {
            let chosen = self.mixes(rungs, [0; 2]);
            let films = self.films_of(&chosen, rungs, None);
            return (chosen.mixes, films);
        };
        let of = self.question(rungs);
        let most = [TRIED_FULLY + MORE[0], TRIED_BY_RANK + MORE[1]];
        let marks = remembering.marks;
        let known = (remembering.store.recall(&of)).and_then(|words| {
            PassedMixes::read(&words, marks, most, |parts| all.number(parts), rungs.len())
        });
        let still = known.as_ref();
        let chosen = still
            .and_then(|known| self.mixes_still_known(rungs, &all, known))
            .unwrap_or_else(|| self.mixes(rungs, MORE));
        let films = self.films_of(&chosen, rungs, still.map(|known| &known.passed));
        if !self.search.is_over() {
            let passed = chosen.passed(&films, rungs);
            remembering.store.keep(of, passed.written(marks));
        }
        (chosen.mixes, films)
    }

    /// All that the worth of a mix and its films hang on, but for the mix.
    fn question(&self, rungs: &[Rung]) -> String {
        let WashSearch {
            pool,
            films,
            most_paints,
            meter: _,
        } = self.search;
        let first = self.paints.first().map(|paint| paint.family);
        format!(
            "mixes for a wash {:?} {:?} {} {} {first:?} {pool:?} {films:?} {most_paints} {}",
            self.base,
            self.wanted,
            self.in_recesses_only,
            self.pale,
            rungs.len()
        )
    }

    /// Every film of these mixes that may count, in order; what was found before is not looked for again.
    fn films_of(
        &self,
        chosen: &Chosen,
        rungs: &[Rung],
        known: Option<&PassedMixes>,
    ) -> Vec<JudgedFilm> {
        let within = chosen.nearest + AS_NEAR;
        // Films farther off may be among them: none of those counts.
        let known = known.filter(|known| within <= known.within);
        let known = known.map_or(&[][..], |known| &known.films[..]);
        let places: BTreeMap<[(usize, u32); 3], &FilmsOfMix> =
            known.iter().map(|mix| (mix.parts.of, mix)).collect();
        let mixes = chosen.mixes.par_iter().enumerate();
        let films = mixes.flat_map_iter(|(mix, tried)| {
            if let Some(known) = places.get(&tried.parts.of) {
                let films = known.films.iter().map(|film| JudgedFilm {
                    mix,
                    rung: rungs[film.rung],
                    off: film.off,
                    near: film.near,
                    rank: film.rank,
                });
                return films.collect::<Vec<JudgedFilm>>();
            }
            let own = self.mix(tried.parts);
            own.map_or_else(Vec::new, |own| {
                self.films(mix, &own, rungs, within).collect()
            })
        });
        films.collect()
    }

    fn best_wash(&self, thinnest: u32) -> Option<(WashRecipe, Ambiguity)> {
        let rungs = Rung::ladder(thinnest);
        let (mixes, all) = self.mixes_and_films(&rungs);
        if self.search.is_over() {
            return None;
        }
        // Of what comes as near as can be told, the mix that is soundest and least trouble.
        let least_near = all.iter().map(|j| j.near).fold(f64::INFINITY, f64::min);
        let best = all
            .iter()
            .filter(|j| j.near <= least_near + AS_NEAR)
            .min_by(|a, b| a.rank.total_cmp(&b.rank))?;
        let nearest = all.iter().map(|j| j.off).fold(f64::INFINITY, f64::min);
        let near: Vec<&JudgedFilm> = all.iter().filter(|j| j.off <= nearest + AS_NEAR).collect();
        let mut alike: Vec<usize> = near.iter().map(|j| j.mix).collect();
        alike.push(best.mix);
        alike.sort_unstable();
        alike.dedup();
        let strengths = || near.iter().map(|j| j.rung.strength());
        let ambiguity = Ambiguity {
            other_mixes: alike.len() - 1,
            weakest: strengths().fold(best.rung.strength(), f64::min),
            strongest: strengths().fold(best.rung.strength(), f64::max),
        };
        let mix = &self.mix(mixes[best.mix].parts)?;
        let (flat, recess) = self.colours(mix, best.rung);
        let thickness = self.thickness(mix.family, best.rung);
        let within = self.search.films.for_family(mix.family).within;
        let mut parts = mix.parts.all().to_vec();
        parts.sort_by_key(|(at, p)| (std::cmp::Reverse(*p), *at));
        let recipe = WashRecipe {
            parts,
            family: mix.family,
            thin: best.rung.thin,
            passes: best.rung.passes,
            flat,
            recess,
            own: mix.pot.own_colour().into(),
            off: DeltaE00(best.off),
            flat_doubt: mix.pot.doubt(&self.ground, thickness, within),
            recess_doubt: mix.pot.doubt(
                &self.ground,
                thickness * self.search.pool,
                within_in_recesses(within),
            ),
        };
        Some((recipe, ambiguity))
    }
}

fn every_fourth(rungs: &[Rung]) -> Vec<Rung> {
    rungs.iter().copied().skip(1).step_by(4).collect()
}

/// The film over a base that comes nearest to one colour, on flats: a filter, a streak.
///
/// # Errors
/// [`NoWash`] says why there is none.
pub fn solve_film(
    base: LabD65,
    wanted: LabD65,
    paints: &[WashPaint<'_>],
    search: &WashSearch,
) -> Result<(WashRecipe, Ambiguity), NoWash> {
    solve_film_from(base, wanted, (paints, None), search)
}

/// Paints to wash with, and what was passed in earlier searches among them; a mark for each paint.
pub type WashPaints<'a> = (&'a [WashPaint<'a>], Option<Remembering<'a>>);

/// The same answer as [`solve_film`], sooner where most of these paints were there in an earlier search for it.
///
/// # Errors
/// As there.
pub fn solve_film_from(
    base: LabD65,
    wanted: LabD65,
    paints: WashPaints<'_>,
    search: &WashSearch,
) -> Result<(WashRecipe, Ambiguity), NoWash> {
    let wanted = WantedWash {
        flat: wanted,
        recess: wanted,
        recess_weight: 0.0,
    };
    film(base, &wanted, paints, search, 1)
        .map_err(|why| with_what_would_help(why, base, &wanted, search))
}

fn film(
    base: LabD65,
    wanted: &WantedWash,
    paints: WashPaints<'_>,
    search: &WashSearch,
    thinnest: u32,
) -> Result<(WashRecipe, Ambiguity), NoWash> {
    bench(base, wanted, paints, search).best(thinnest)
}

fn bench<'a>(
    base: LabD65,
    wanted: &WantedWash,
    (paints, remembering): WashPaints<'a>,
    search: &'a WashSearch,
) -> WashBench<'a> {
    let recess = if wanted.recess_weight > 0.0 {
        wanted.recess
    } else {
        wanted.flat
    };
    WashBench {
        paints,
        base,
        ground: Ground::new(Xyz::from(base)),
        wanted: *wanted,
        search,
        in_recesses_only: false,
        all_ratios: ALL_RATIOS,
        most_stirred: MOST_STIRRED,
        pale: recess.l > base.l || wanted.flat.l > base.l + NO_FILM,
        remembering,
    }
}

/// Names a colour of paint whose wash would do: of paints darker, as wanted and lighter than the wanted recess, greyer and
/// as colourful, the one whose best wash comes nearest.
fn with_what_would_help(
    why: NoWash,
    base: LabD65,
    wanted: &WantedWash,
    search: &WashSearch,
) -> NoWash {
    let NoWash::NoneHelps { .. } = why else {
        return why;
    };
    let mut near: Option<(f64, LabD65)> = None;
    for lightness in [0.3, 0.5, 0.75, 1.0, 1.25] {
        for chroma in [0.6, 1.0, 1.5] {
            let aim = wanted.recess;
            let own = LabD65::new(
                (aim.l * lightness).clamp(8.0, 95.0),
                aim.a * chroma,
                aim.b * chroma,
            );
            let paint = Prepared::from_colour(Xyz::from(own).clamped(), None, 1.0);
            let alone = [WashPaint {
                prepared: &paint,
                family: MixingFamily::WaterBorne,
                opacity: None,
            }];
            if let Ok((recipe, _)) = film(base, wanted, (&alone, None), search, 1)
                && near.is_none_or(|(off, _)| recipe.off.0 < off)
            {
                near = Some((recipe.off.0, own));
            }
        }
    }
    NoWash::NoneHelps {
        near: near.map(|(_, own)| own),
    }
}

/// Solves a wash over a base for flats and recesses at once.
///
/// Mixes of one or two paints in at most 3 parts each (three paints when asked), on a ladder of 1 to 32 parts of thinner, or
/// beyond that from a stock, and 1 to 3 passes. Of lists longer than some sixty paints only pairs that come near when mixed
/// evenly, or of which one comes near alone; of more than three hundred, paints that come near alone and a spread of the
/// others are stirred. Of all that come within 1 of the nearest, the fewest paints that stand nearest to their mix are
/// taken. Where one film misses flats or recesses by more than [`ONE_FILM_WITHIN`], a filter over everything and a pin wash
/// in the recesses take its place, if they come nearer. The first paint's medium goes before others that come about as
/// near. A wash that is to darken never lightens.
///
/// # Errors
/// [`NoWash`] says why there is none.
pub fn solve(
    base: LabD65,
    wanted: &WantedWash,
    paints: &[WashPaint<'_>],
    search: &WashSearch,
) -> Result<Laying, NoWash> {
    solve_from(base, wanted, (paints, None), search)
}

/// The same answer as [`solve`], sooner where most of these paints were there in an earlier search for it.
///
/// # Errors
/// As there.
pub fn solve_from(
    base: LabD65,
    wanted: &WantedWash,
    paints: WashPaints<'_>,
    search: &WashSearch,
) -> Result<Laying, NoWash> {
    let whole = bench(base, wanted, paints, search);
    let pale = whole.pale;
    let in_recesses = |ground: LabD65| WashBench {
        ground: Ground::new(Xyz::from(ground)),
        base: ground,
        in_recesses_only: true,
        pale,
        ..bench(base, wanted, paints, search)
    };
    let (one, ambiguity) = whole
        .best(1)
        .map_err(|why| with_what_would_help(why, base, wanted, search))?;
    let laying = |laid: WayOfLaying, flat: LabD65, recess: LabD65, ambiguity: Ambiguity| Laying {
        laid,
        flat,
        recess,
        flat_off: delta_e00(flat, wanted.flat),
        recess_off: delta_e00(recess, wanted.recess),
        ambiguity,
    };
    let (flat, recess) = (one.flat, one.recess);
    let one = laying(WayOfLaying::OneWash(one), flat, recess, ambiguity);
    if one.flat_off.0.max(one.recess_off.0) <= ONE_FILM_WITHIN || wanted.recess_weight <= 0.0 {
        return Ok(one);
    }
    let untouched = delta_e00(base, wanted.flat).0;
    let on_flats = WantedWash {
        recess_weight: 0.0,
        ..*wanted
    };
    let filter = film(base, &on_flats, paints, search, THIN_FILTER)
        .ok()
        .map(|(filter, _)| filter)
        .filter(|filter| untouched > NO_FILM && filter.off.0 < untouched);
    let (flat, below) = filter
        .as_ref()
        .map_or((base, base), |filter| (filter.flat, filter.recess));
    let Ok((pin, ambiguity)) = in_recesses(below).best(1) else {
        return Ok(one);
    };
    let recess = pin.recess;
    let pin = WashRecipe { flat, ..pin };
    let laid = match filter {
        Some(filter) => WayOfLaying::FilterAndPin { filter, pin },
        None => WayOfLaying::Pin(pin),
    };
    let two = laying(laid, flat, recess, ambiguity);
    let worst = |laying: &Laying| laying.flat_off.0.hypot(laying.recess_off.0);
    Ok(if worst(&two) + WORTH_TWO < worst(&one) {
        two
    } else {
        one
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::Drawer;
    use std::time::Duration;

    /// Paints over the whole of surface colours, by a fixed rule.
    fn spread_paints(count: u32) -> Vec<Prepared> {
        (0..count)
            .map(|i| {
                let part = |by: f64| (f64::from(i) * by).fract();
                let (l, chroma) = (8.0 + 82.0 * part(0.618), 45.0 * part(0.414));
                let hue = std::f64::consts::TAU * part(0.732);
                let own = LabD65::new(l, chroma * hue.cos(), chroma * hue.sin());
                Prepared::from_colour(Xyz::from(own).clamped(), None, 1.0)
            })
            .collect()
    }

    fn of_water(prepared: &[Prepared]) -> Vec<WashPaint<'_>> {
        let paint = |prepared| WashPaint {
            prepared,
            family: MixingFamily::WaterBorne,
            opacity: None,
        };
        prepared.iter().map(paint).collect()
    }

    fn watched(most: Option<Duration>) -> WashSearch {
        WashSearch {
            meter: Some(Box::leak(Box::new(Meter::new(most)))),
            ..WashSearch::default()
        }
    }

    const BASE: LabD65 = LabD65::new(78.0, 4.0, 14.0);

    /// The `i`th colours that are wanted over [`BASE`], by a fixed rule.
    fn wanted(i: u32) -> WantedWash {
        let part = |by: f64| (f64::from(i) * by).fract();
        let flat = LabD65::new(
            45.0 + 25.0 * part(0.37),
            -6.0 + 18.0 * part(0.59),
            2.0 + 24.0 * part(0.83),
        );
        WantedWash {
            flat,
            recess: LabD65::new(flat.l - 18.0, flat.a, flat.b),
            recess_weight: 1.0,
        }
    }

    #[test]
    fn a_film_from_thousands_of_paints_is_hardly_more_work_than_from_hundreds() {
        let steps = |count: u32| {
            let prepared = spread_paints(count);
            let search = watched(None);
            let film = solve_film(BASE, wanted(3).flat, &of_water(&prepared), &search);
            assert!(film.unwrap().0.off.0 < 1.0);
            search.meter.unwrap().progress().done
        };
        let (few, many) = (steps(300), steps(1_500));
        assert!(few > 8, "enough to tell what is left: {few}");
        assert!(many <= few + few / 4, "{few} and {many}");
    }

    #[test]
    fn films_given_up_by_one_of_their_colours_are_those_that_both_give_up() {
        let prepared = spread_paints(12);
        let paints = of_water(&prepared);
        let search = WashSearch::default();
        let (mut given_up, mut kept) = (0, 0);
        for (i, recess_weight) in (0..8).zip([0.0, 1.0, 0.3].into_iter().cycle()) {
            let wanted = WantedWash {
                recess_weight,
                ..wanted(i)
            };
            let over = bench(BASE, &wanted, (&paints, None), &search);
            let pinned = WashBench {
                in_recesses_only: true,
                ..bench(BASE, &wanted, (&paints, None), &search)
            };
            for (bench, most) in [(&over, 3.0), (&over, 12.0), (&pinned, 6.0)] {
                let mixes = (0..11).filter_map(|a| bench.mix(WholeParts::pair((a, a + 1), [1, 2])));
                let mixes: Vec<Mix> = mixes.collect();
                let rungs = Rung::ladder(1);
                let films = mixes
                    .iter()
                    .flat_map(|mix| rungs.iter().map(move |r| (mix, *r)));
                for (mix, rung) in films {
                    let both = bench.colours(mix, rung);
                    let is_out = bench.least_off(both) > most || bench.turns_wrong(both);
                    let plain = (!is_out).then_some(both);
                    assert_eq!(bench.colours_within(mix, rung, |off| off > most), plain);
                    (given_up, kept) = (given_up + i32::from(is_out), kept + i32::from(!is_out));
                }
            }
        }
        assert!(given_up > 500 && kept > 500, "{given_up} {kept}");
    }

    #[test]
    fn the_paints_of_a_wash_stand_from_it_by_their_parts() {
        let prepared = spread_paints(12);
        let paints = of_water(&prepared);
        let search = WashSearch::default();
        let bench = bench(BASE, &wanted(1), (&paints, None), &search);
        let mix = bench.mix(WholeParts::pair((2, 7), [3, 1])).unwrap();
        let own = LabD65::from(mix.pot.own_colour());
        let [one, other] = [2, 7].map(|at: usize| delta_e00(prepared[at].lab, own).0);
        assert!((one - other).abs() > 1.0);
        // By hand: three parts of the one, one of the other.
        let by_hand = 0.75 * one + 0.25 * other;
        assert!((bench.apart(&mix) - by_hand).abs() < 1e-12);
    }

    #[test]
    fn among_few_paints_the_nearest_wash_is_the_nearest_of_every_one_two_or_three() {
        let prepared = spread_paints(5);
        let paints = of_water(&prepared);
        let search = WashSearch {
            most_paints: 3,
            ..WashSearch::default()
        };
        let rungs = Rung::ladder(1);
        let pairs = (0..5).flat_map(|a| (0..a).map(move |b| (b, a)));
        let of_two = pairs.flat_map(|pair| RATIOS.map(|ratio| WholeParts::pair(pair, ratio)));
        let with_third = |two: WholeParts| {
            let others = (0..5).filter(move |at| two.all().iter().all(|(used, _)| used != at));
            others.flat_map(move |at| THIRDS.map(|parts| two.with(at, parts)))
        };
        let of_two: Vec<WholeParts> = of_two.collect();
        let all = (0..5).map(WholeParts::one).chain(of_two.clone());
        let all: Vec<WholeParts> = all.chain(of_two.into_iter().flat_map(with_third)).collect();
        let mut of_three = 0;
        for i in 0..12 {
            let wanted = wanted(i);
            let bench = bench(BASE, &wanted, (&paints, None), &search);
            let near = |parts: &WholeParts| {
                let mix = bench.mix(*parts).unwrap();
                let films = bench.films(0, &mix, &rungs, f64::INFINITY);
                films.map(|film| film.near).fold(f64::INFINITY, f64::min)
            };
            let nearest = all.iter().map(|parts| (near(parts), parts.all().len()));
            let (by_hand, many) = nearest.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            let films = bench.films_of(&bench.mixes(&rungs, [0; 2]), &rungs, None);
            let found = films.iter().map(|film| film.near);
            let found = found.fold(f64::INFINITY, f64::min);
            assert!((found - by_hand).abs() < 1e-9, "{i}: {found} {by_hand}");
            of_three += usize::from(many == 3);
        }
        assert!(of_three > 1, "{of_three} are of three paints");
    }

    /// One paint of a list comes, goes, changes or moves, of these, by a fixed rule.
    fn changed(list: &mut Vec<usize>, step: u32, all: usize) {
        let drawn = |by: f64, most: usize| {
            let part = (f64::from(step + 1) * by).fract() * 1e6;
            (0..1_000_000)
                .step_by(997)
                .take_while(|at| f64::from(*at) < part)
                .count()
                % most
        };
        let (at, other) = (drawn(0.618, list.len()), drawn(0.414, all));
        match step % 5 {
            0 | 1 => list[at] = other,
            2 => list.insert(at, other),
            3 => {
                list.remove(at);
            }
            _ => {
                let moved = list.remove(at);
                list.insert(other % list.len(), moved);
            }
        }
    }

    #[test]
    fn a_search_that_goes_on_from_an_earlier_one_answers_as_the_whole_search() {
        let prepared = spread_paints(50);
        let all = of_water(&prepared);
        let mut list: Vec<usize> = (0..26).collect();
        let drawer = Drawer::default();
        let (mut whole, mut from) = (0, 0);
        for step in 0..20 {
            let own = |at: &usize| WashPaint {
                family: [MixingFamily::WaterBorne, MixingFamily::Oil][usize::from(at % 9 == 4)],
                opacity: (at % 4 == 1).then_some(Opacity::Transparent),
                ..all[*at]
            };
            let paints: Vec<WashPaint<'_>> = list.iter().map(own).collect();
            let marks: Vec<u128> = list.iter().map(|at| *at as u128).collect();
            let remembering = Remembering {
                store: &drawer,
                marks: &marks,
            };
            for wanted in [wanted(2), wanted(7)] {
                let plain = watched(None);
                let answer = solve(BASE, &wanted, &paints, &plain);
                whole += plain.meter.unwrap().progress().done;
                let search = watched(None);
                let again = solve_from(BASE, &wanted, (&paints, Some(remembering)), &search);
                assert_eq!(again, answer, "{step}");
                from += search.meter.unwrap().progress().done;
            }
            changed(&mut list, step, all.len());
        }
        assert!(from * 2 < whole, "{from} steps of {whole}");
    }

    #[test]
    fn what_was_passed_comes_back_as_it_was_and_nothing_else_is_believed() {
        let prepared = spread_paints(20);
        let (paints, drawer) = (of_water(&prepared), Drawer::default());
        let marks: Vec<u128> = (0..20).collect();
        let remembering = Remembering {
            store: &drawer,
            marks: &marks,
        };
        let (wanted, search) = (wanted(5), WashSearch::default());
        let plain = solve(BASE, &wanted, &paints, &search);
        let from = || solve_from(BASE, &wanted, (&paints, Some(remembering)), &search);
        assert_eq!(from(), plain);
        let kept = drawer.0.lock().unwrap().clone();
        assert_eq!(from(), plain);
        assert_eq!(
            *drawer.0.lock().unwrap(),
            kept,
            "nothing is lost on the way"
        );
        for cut in [0, 1, 30, 60, 500] {
            for words in drawer.0.lock().unwrap().values_mut() {
                words.truncate(cut);
            }
            assert_eq!(from(), plain, "{cut}");
            assert_eq!(*drawer.0.lock().unwrap(), kept);
        }
    }

    #[test]
    fn a_wash_is_given_up_at_once_when_told() {
        let prepared = spread_paints(100);
        let search = watched(Some(Duration::ZERO));
        std::thread::sleep(Duration::from_millis(2));
        let solved = solve(BASE, &wanted(0), &of_water(&prepared), &search);
        assert!(
            matches!(solved, Err(NoWash::NoneHelps { .. })),
            "{solved:?}"
        );
        assert_eq!(search.meter.unwrap().progress().done, 0);
    }

    /// If a list is too long to mix all with all, the paints left out hardly ever hold the answer: against every pair
    /// of 96 paints.
    #[test]
    fn paints_that_come_near_and_a_spread_of_the_rest_answer_for_a_long_list() {
        let prepared = spread_paints(96);
        let paints = of_water(&prepared);
        let search = WashSearch::default();
        for i in 0..12 {
            let wanted = wanted(i);
            let [whole, narrowed] = [96, 32].map(|most_stirred| WashBench {
                most_stirred,
                ..bench(BASE, &wanted, (&paints, None), &search)
            });
            let [(a, _), (b, _)] = [whole, narrowed].map(|bench| bench.best(1).unwrap());
            assert!(b.off.0 <= a.off.0 + AS_NEAR, "{i}: {a:?} {b:?}");
        }
    }

    /// The pairs left out of a long list hardly ever hold the answer. 48 paints over the whole of surface colours, by
    /// a fixed rule; each wanted colour is what some wash of them gives, moved a little.
    #[test]
    fn a_long_list_is_answered_as_if_every_pair_were_tried() {
        let prepared = spread_paints(48);
        let paints = of_water(&prepared);
        let search = WashSearch::default();
        let mut same = 0;
        for i in 0..16_u32 {
            let wanted = wanted(i);
            let short = bench(BASE, &wanted, (&paints, None), &search);
            let plain = WashBench {
                all_ratios: usize::MAX,
                ..bench(BASE, &wanted, (&paints, None), &search)
            };
            let narrowed = WashBench {
                all_ratios: 300,
                ..short
            };
            let (Ok((a, _)), Ok((b, _))) = (plain.best(1), narrowed.best(1)) else {
                continue;
            };
            assert!(b.off.0 <= a.off.0 + AS_NEAR, "{i}: {a:?} {b:?}");
            same += usize::from(a.parts == b.parts && a.thin == b.thin);
        }
        assert!(same >= 15, "{same} of 16");
    }
}
