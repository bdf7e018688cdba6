//! What a search for a wash has passed, so that the next one for the same colours need only try what is new.
//!
//! A mix is worth the same whatever else is on the list. So of the best mixes more are kept than are asked for, and from what
//! worth on there may be others. When paints come or go, those with a paint that is gone are taken out and those with a new
//! one are tried; while as many are left as are asked for, all below that worth, they are the best of all.

use super::tried::{BestWashes, By, TriedMix, WholeParts, Worth};
use crate::work::{PassedWords, put_head};

/// The first word of what is kept: another way to write it has another.
const WRITTEN_SO: u64 = 1;

/// A film of a mix as it was judged: its place on the ladder, how far it is off, the same with what stands against it, and
/// how it ranks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PassedFilm {
    pub(super) rung: usize,
    pub(super) off: f64,
    pub(super) near: f64,
    pub(super) rank: f64,
}

/// The films of a mix that were within bounds.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FilmsOfMix {
    pub(super) parts: WholeParts,
    pub(super) films: Vec<PassedFilm>,
}

/// All that is kept of one search.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PassedMixes {
    /// The best by nearness and by rank.
    pub(super) lists: [BestWashes; 2],
    /// Films that are off by no more than this are all here.
    pub(super) within: f64,
    pub(super) films: Vec<FilmsOfMix>,
}

/// What was kept, by the places that its paints have now.
#[derive(Debug)]
pub(super) struct KnownMixes {
    pub(super) passed: PassedMixes,
    /// Which of the paints of now were there.
    pub(super) known: Vec<bool>,
}

/// Of one or two paints.
fn packed(parts: &WholeParts) -> u64 {
    let mut paints = parts.all().iter();
    let mut half = || {
        let (at, p) = paints.next().copied().unwrap_or((0, 0));
        ((at as u64) << 8 | u64::from(p)) & u64::from(u32::MAX)
    };
    half() << 32 | half()
}

/// Whole parts; none where a paint of them is gone.
type StillThere = Option<WholeParts>;

fn unpacked(word: u64, now: &[Option<usize>]) -> Option<StillThere> {
    let half = |half: u64| {
        let p = u32::try_from(half & 0xff).ok()?;
        Some((*now.get(usize::try_from(half >> 8).ok()?)?, p))
    };
    let (first, p) = half(word >> 32)?;
    let second = half(word & u64::from(u32::MAX))?;
    let parts = match (first, second) {
        (Some(first), (_, 0)) => Some(WholeParts::one(first)),
        (Some(first), (Some(second), q)) => Some(WholeParts::pair((first, second), [p, q])),
        _ => None,
    };
    Some(parts)
}

/// Films of mixes, those with a paint that is gone left out.
fn films_of(
    words: &mut PassedWords<'_>,
    now: &[Option<usize>],
    rungs: usize,
) -> Option<Vec<FilmsOfMix>> {
    let mut all = Vec::new();
    for _ in 0..words.count(2)? {
        let parts = unpacked(words.next_word()?, now)?;
        let mut films = Vec::new();
        for _ in 0..words.count(4)? {
            let rung = usize::try_from(words.next_word()?).ok()?;
            films.push(PassedFilm {
                rung: (rung < rungs).then_some(rung)?,
                off: words.number()?,
                near: words.number()?,
                rank: words.number()?,
            });
        }
        all.extend(parts.map(|parts| FilmsOfMix { parts, films }));
    }
    Some(all)
}

impl PassedMixes {
    /// As words, for paints of these marks.
    pub(super) fn written(&self, marks: &[u128]) -> Vec<u64> {
        let mut words = put_head(WRITTEN_SO, marks);
        for list in &self.lists {
            let all = list.kept.iter();
            let all = all.map(|tried| (tried, list.by.counted(tried.worth)));
            let sure = all.filter(|(_, worth)| list.is_whole() || *worth < list.all_below);
            let sure: Vec<(&TriedMix, f64)> = sure.collect();
            words.extend([list.all_below.to_bits(), sure.len() as u64]);
            for (tried, worth) in sure {
                words.extend([packed(&tried.parts), worth.to_bits()]);
            }
        }
        words.extend([self.within.to_bits(), self.films.len() as u64]);
        for mix in &self.films {
            words.extend([packed(&mix.parts), mix.films.len() as u64]);
            for film in &mix.films {
                words.push(film.rung as u64);
                words.extend([film.off, film.near, film.rank].map(f64::to_bits));
            }
        }
        words
    }

    /// The other way round, of the paints that are there now. `number` tells the number of a mix among all, `most` how many
    /// each list has room for, `rungs` how long the ladder is.
    pub(super) fn read(
        words: &[u64],
        marks: &[u128],
        most: [usize; 2],
        number: impl Fn(&WholeParts) -> Option<usize>,
        rungs: usize,
    ) -> Option<KnownMixes> {
        let mut words = PassedWords::in_order(words);
        let (now, known) = words.head(WRITTEN_SO, marks)?;
        let mut list = |by: By, most: usize| {
            let mut list = BestWashes {
                all_below: words.number()?,
                ..BestWashes::keeping(most, by)
            };
            for _ in 0..words.count(2)? {
                let (parts, worth) = (unpacked(words.next_word()?, &now)?, words.number()?);
                let Some(parts) = parts else { continue };
                let at = number(&parts)?;
                // Each list is asked for its own worth alone.
                let worth = Worth {
                    near: worth,
                    rank: worth,
                };
                if list.is_whole() || by.counted(worth) < list.all_below {
                    list.kept.push(TriedMix { at, parts, worth });
                }
            }
            Some(list)
        };
        let lists = [list(By::Near, most[0])?, list(By::Rank, most[1])?];
        let within = words.number()?;
        let films = films_of(&mut words, &now, rungs)?;
        let passed = PassedMixes {
            lists,
            within,
            films,
        };
        Some(KnownMixes { passed, known })
    }
}
