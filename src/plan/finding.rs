//! Mixes, washes and blends: from an earlier run if possible, otherwise searched for now.

use super::before::{Before, KeptAnswers};
use super::kept::KEEPS;
use super::mixed::Kit;
use crate::colour::LabD65;
use crate::mix::{PaintId, Recipe, Search};
use crate::scatter::{Blend, ScatterKind, WantedZone as Zone, best_blend_watched};
use crate::wash::{
    Ambiguity, Laying, NoWash, WantedWash, WashPaint, WashRecipe, WashSearch, solve_film_from,
    solve_from,
};
use crate::work::{Meter, Remembering};
use rayon::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// Whether these parts are some of this many paints.
fn are_parts<P: Copy>(parts: &[(P, u32)], place: fn(P) -> usize, paints: usize) -> bool {
    !parts.is_empty() && parts.iter().all(|(at, p)| place(*at) < paints && *p > 0)
}

/// What a film is solved to.
type FoundFilm = Result<(WashRecipe, Ambiguity), NoWash>;

/// Where an answer is kept, and under what.
struct KeptUnder<F> {
    among: fn(&Before) -> &KeptAnswers,
    of: F,
}

impl<F: FnOnce() -> String> KeptUnder<F> {
    fn mixes(of: F) -> Self {
        let among = Before::mixes;
        Self { among, of }
    }

    fn blends(of: F) -> Self {
        let among = Before::blends;
        Self { among, of }
    }
}

impl Kit<'_> {
    /// The earlier answer, or a new one. What was cut short is not kept.
    fn found_or_kept<T: Serialize + DeserializeOwned>(
        &self,
        under: KeptUnder<impl FnOnce() -> String>,
        holds: impl FnOnce(&T) -> bool,
        meter: Option<&Meter>,
        find: impl FnOnce() -> T,
    ) -> T {
        let Some(before) = self.before.as_ref().filter(|_| KEEPS) else {
            return find();
        };
        let (among, of) = ((under.among)(before), (under.of)());
        if let Some(answer) = among.get(&of, holds) {
            return answer;
        }
        let answer = find();
        if !meter.is_some_and(Meter::is_over) {
            among.put(of, &answer);
        }
        answer
    }

    /// As [`best_blend_watched`], of these kinds of the list by their places in it.
    pub(super) fn blend(
        &self,
        kinds: &[ScatterKind],
        own: &[usize],
        wanted: &Zone,
        search: &Search,
    ) -> Option<Blend> {
        let holds = |blend: &Option<Blend>| {
            let blend = blend.as_ref();
            blend.is_none_or(|blend| {
                are_parts(&blend.parts, |at| at, own.len())
                    && blend.areas.len() == blend.parts.len()
            })
        };
        let of = || format!("blend {own:?} {wanted:?}");
        self.found_or_kept(KeptUnder::blends(of), holds, search.meter, || {
            let kinds: Vec<ScatterKind> = own.iter().map(|at| kinds[*at].clone()).collect();
            best_blend_watched(&kinds, wanted, search.meter)
        })
    }

    /// As [`crate::mix::Shelf::recipes_near`].
    pub(super) fn recipes_near(&self, target: LabD65, search: &Search) -> Vec<Recipe> {
        let of = || format!("mix {target:?} {}", search.question());
        let paints = self.shelf.stocks().len();
        let holds = |recipes: &Vec<Recipe>| {
            let mut recipes = recipes.iter();
            recipes.all(|recipe| are_parts(&recipe.parts, PaintId::place, paints))
        };
        let mut is_new = false;
        let found = self.found_or_kept(KeptUnder::mixes(of), holds, search.meter, || {
            is_new = true;
            let marks = self.before.as_ref().and_then(Before::passed);
            let marks = marks.map(|(_, marks)| marks);
            let passed = self.remembering(marks);
            self.shelf.recipes_near_from(target, search, passed)
        });
        if !is_new {
            search.did_one();
        }
        found
    }

    /// As [`crate::mix::Shelf::recipes_for_all`].
    pub(super) fn recipes_for_all(&self, targets: &[LabD65], search: &Search) -> Vec<Vec<Recipe>> {
        search.expect(targets.len());
        let targets = targets.par_iter();
        targets
            .map(|target| self.recipes_near(*target, search))
            .collect()
    }

    /// As [`crate::wash::solve`]; `paints` are those of the shelf.
    pub(super) fn laying(
        &self,
        base: LabD65,
        wanted: &WantedWash,
        paints: &[WashPaint<'_>],
        search: &WashSearch,
    ) -> Result<Laying, NoWash> {
        let holds = |laying: &Result<Laying, NoWash>| {
            laying.as_ref().map_or(true, |laying| {
                let mut washes = laying.washes().into_iter();
                washes.all(|wash| are_parts(&wash.parts, |at| at, paints.len()))
            })
        };
        let of = || format!("wash {base:?} {wanted:?} {}", wash_key(search));
        self.found_or_kept(KeptUnder::mixes(of), holds, search.meter, || {
            let marks = self.marks_of(paints);
            let passed = self.remembering(marks.as_deref());
            solve_from(base, wanted, (paints, passed), search)
        })
    }

    /// As [`crate::wash::solve_film`]; `paints` are those of the shelf.
    pub(super) fn film(
        &self,
        base: LabD65,
        wanted: LabD65,
        paints: &[WashPaint<'_>],
        search: &WashSearch,
    ) -> FoundFilm {
        let holds = |film: &FoundFilm| {
            let film = film.as_ref();
            film.map_or(true, |(film, _)| {
                are_parts(&film.parts, |at| at, paints.len())
            })
        };
        let of = || format!("film {base:?} {wanted:?} {}", wash_key(search));
        self.found_or_kept(KeptUnder::mixes(of), holds, search.meter, || {
            let marks = self.marks_of(paints);
            let passed = self.remembering(marks.as_deref());
            solve_film_from(base, wanted, (paints, passed), search)
        })
    }

    /// The marks of these paints, where all are known.
    fn marks_of(&self, paints: &[WashPaint<'_>]) -> Option<Vec<u128>> {
        let (_, marks) = self.before.as_ref()?.passed()?;
        let stocks = self.shelf.stocks();
        let mark = |paint: &WashPaint<'_>| {
            let mut all = stocks.iter().zip(marks);
            let found =
                all.find(|(stock, _)| std::ptr::eq(&raw const stock.prepared, paint.prepared));
            found.map(|(_, mark)| *mark)
        };
        paints.iter().map(mark).collect()
    }

    /// With what a search goes on that has these marks.
    fn remembering<'a>(&'a self, marks: Option<&'a [u128]>) -> Option<Remembering<'a>> {
        let (store, _) = self.before.as_ref()?.passed()?;
        marks.map(|marks| Remembering { store, marks })
    }
}

/// Everything in it that a wash depends on.
fn wash_key(search: &WashSearch) -> String {
    let WashSearch {
        pool,
        films,
        most_paints,
        meter: _,
    } = search;
    format!("{pool:?} {films:?} {most_paints}")
}

#[cfg(test)]
mod tests {
    use super::super::kept::AnswerStore;
    use super::*;
    use crate::mix::Shelf;
    use crate::paint::{PaintList, ScatterList};
    use std::collections::BTreeMap;
    use std::sync::Mutex;
    use std::time::Duration;

    #[derive(Default)]
    struct Drawer(Mutex<BTreeMap<String, Vec<u8>>>);

    impl AnswerStore for Drawer {
        fn get(&self, of: &str) -> Option<Vec<u8>> {
            self.0.lock().unwrap().get(of).cloned()
        }
        fn put(&self, of: &str, answer: &[u8]) {
            let mut all = self.0.lock().unwrap();
            all.insert(of.to_owned(), answer.to_vec());
        }
    }

    /// The questions, and how many answers were known.
    type Asked = (String, usize);

    const LIST: &str = "name,hex,medium,opacity,price,on_hand_ml\n\
        white,#f2f1ec,acrylic,opaque,4.00,20\nblack,#262524,acrylic,opaque,3.20,10\n\
        ochre,#b58a3c,acrylic,,3.50,5\nred,#93503d,acrylic,,3.10,0\ngreen,#577740,enamel,,2.90,8\n";

    const SCATTER: &str = "name,hex\nfine earth,#6b5a44\ncoarse leaf,#4c5c34\n\
        pale turf,#8f9460\nsand,#b8a67c\n";

    const COLOURS: [LabD65; 3] = [
        LabD65::new(35.0, 7.0, 12.0),
        LabD65::new(52.0, 1.0, 9.0),
        LabD65::new(71.0, -2.0, 14.0),
    ];

    /// Asks for mixes, a wash and films from this list; with what was found before, and without.
    fn ask(text: &str, drawer: Option<&Drawer>, search: &Search) -> Asked {
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let scatter = ScatterList::parse("s.csv", SCATTER.as_bytes()).unwrap();
        let items = scatter.items().iter().enumerate();
        let kinds: Vec<ScatterKind> = items.map(|(at, item)| ScatterKind::new(at, item)).collect();
        let kit = Kit {
            before: drawer.map(|drawer| Before::of_lists(drawer, &shelf, Some(&scatter))),
            ..Kit::new(&list, &shelf)
        };
        let paint = |at: PaintId| {
            let stock = &shelf[at];
            WashPaint {
                prepared: &stock.prepared,
                family: stock.family,
                opacity: stock.opacity,
            }
        };
        let paints: Vec<WashPaint<'_>> = shelf.paints().map(paint).collect();
        let [dark, middle, light] = COLOURS;
        let wanted = WantedWash {
            flat: middle,
            recess: dark,
            recess_weight: 1.0,
        };
        let wash = WashSearch {
            meter: search.meter,
            ..WashSearch::default()
        };
        let zone = Zone {
            tones: vec![(dark, 0.4), (light, 0.6)],
            ground: middle,
        };
        let answers = format!(
            "{:?} {:?} {:?} {:?} {:?} {:?}",
            kit.recipes_for_all(&COLOURS, search),
            kit.laying(light, &wanted, &paints, &wash),
            kit.film(light, middle, &paints, &wash),
            kit.film(light, light, &paints, &wash),
            kit.blend(&kinds, &[0, 1, 2, 3], &zone, search),
            kit.blend(&kinds, &[1, 3], &zone, search),
        );
        let known = kit
            .before
            .as_ref()
            .zip(drawer)
            .map_or(0, |(before, drawer)| {
                before.keep(drawer);
                before.known()
            });
        (answers, known)
    }

    #[test]
    fn what_was_found_before_is_what_would_be_found_now_to_the_last_bit() {
        let (drawer, search) = (Drawer::default(), Search::default());
        let (plain, _) = ask(LIST, None, &search);
        assert_eq!(ask(LIST, Some(&drawer), &search), (plain.clone(), 0));
        assert_eq!(ask(LIST, Some(&drawer), &search), (plain.clone(), 8));
        let other = LIST
            .replace("4.00,20", "6.50,0")
            .replace("ochre", "yellow earth");
        assert_eq!(
            ask(&other, Some(&drawer), &search),
            (plain, 8),
            "price, name and store are no part of a mix"
        );
    }

    #[test]
    fn another_colour_medium_opacity_or_way_to_search_is_looked_for_anew() {
        let (drawer, search) = (Drawer::default(), Search::default());
        ask(LIST, Some(&drawer), &search);
        for (of, by) in [
            ("#93503d", "#93503e"),
            ("#577740,enamel", "#577740,acrylic"),
            ("#b58a3c,acrylic,", "#b58a3c,acrylic,transparent"),
        ] {
            let other = LIST.replace(of, by);
            let blends = 2;
            let (plain, _) = ask(&other, None, &search);
            assert_eq!(ask(&other, Some(&drawer), &search), (plain, blends), "{by}");
        }
        let two = Search {
            most_paints: 2,
            ..search
        };
        let (plain, _) = ask(LIST, None, &two);
        let (washes, blends) = (3, 2);
        assert_eq!(
            ask(LIST, Some(&drawer), &two),
            (plain.clone(), washes + blends)
        );
        ask(LIST, Some(&drawer), &search);
        let both = "of the first way and of the second";
        assert_eq!(ask(LIST, Some(&drawer), &two), (plain, 8), "{both}");
    }

    #[test]
    fn what_was_cut_short_or_makes_no_sense_is_not_believed() {
        let (drawer, search) = (Drawer::default(), Search::default());
        let hurried = Search {
            meter: Some(Box::leak(Box::new(Meter::new(Some(Duration::ZERO))))),
            ..search
        };
        std::thread::sleep(Duration::from_millis(2));
        ask(LIST, Some(&drawer), &hurried);
        assert!(drawer.0.lock().unwrap().is_empty());
        let (plain, _) = ask(LIST, Some(&drawer), &search);
        for (of, by) in [("\"parts\":[[", "\"parts\":[[9"), ("{", "["), ("\t", " ")] {
            for lines in drawer.0.lock().unwrap().values_mut() {
                // What searches passed is no text.
                let Ok(text) = String::from_utf8(lines.clone()) else {
                    continue;
                };
                let damaged = text.replace(of, by);
                *lines = damaged.into_bytes();
            }
            let (answers, known) = ask(LIST, Some(&drawer), &search);
            assert_eq!(answers, plain, "{by}");
            // Of a film that is not needed nothing is kept but that.
            assert!(known <= 1, "{by}: {known}");
        }
    }

    #[test]
    fn a_mix_of_an_earlier_run_counts_if_it_is_stirred_from_paints_of_the_list() {
        let of_three = |parts: &[(usize, u32)]| are_parts(parts, |at| at, 3);
        assert!(of_three(&[(0, 2), (2, 1)]));
        assert!(!of_three(&[]), "nothing in the pot");
        assert!(!of_three(&[(0, 2), (3, 1)]), "a fourth paint of three");
        assert!(!of_three(&[(0, 2), (1, 0)]), "no part of a paint");
    }
}
