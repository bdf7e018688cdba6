//! The fewest paints that are enough for a whole plan: its pots, the rest of its rock schemes, its washes and places.

use super::SurfacePlan;
use super::dirt::{FilmNeeded, Shelves, films_needed};
use super::pots::Pots;
use super::{PlacedBy, Plan};
use crate::colour::LabD65;
use crate::mix::{FilmWish, PaintId, Search, Shelf, Trim, TrimWish};
use crate::wash::LaidFilms;

/// The fewest paints that bring all of a plan within a closeness.
#[derive(Debug)]
pub struct FewestPaints {
    /// The closeness, CIEDE2000.
    pub within: f64,
    /// What is mixed opaque, in the order of [`Trim::recipes`].
    pub mixes: Vec<Job>,
    /// What is laid thin, in the order of [`Trim::films`].
    pub films: Vec<Job>,
    /// The set.
    pub trim: Trim,
}

/// Something that paints are needed for.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What it is.
    pub kind: JobKind,
    /// What it is called: "pot 3, dark brown", "wash".
    pub name: String,
    /// Where it is used.
    pub surfaces: String,
    /// The wanted colour; of a wash, its recesses.
    pub colour: LabD65,
}

/// Kinds of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobKind {
    /// A tone painted from the pot of this number.
    Pot(usize),
    /// A colour of a rock scheme that no pot holds.
    Rock,
    /// A place that is dry-brushed, stippled or stained.
    Place,
    /// A wash.
    Wash,
}

/// All that is mixed opaque for a plan.
fn mixes(plan: &Jobs<'_>) -> Vec<Job> {
    // A pot is wanted by each surface in that surface's own planned colour.
    let mut mixes: Vec<Job> = plan
        .pots
        .iter()
        .flat_map(|pot| {
            let jar = pot.members.iter().zip(&pot.jar);
            jar.map(move |(member, jar)| (pot.number, member, jar))
        })
        .map(|(number, member, jar)| Job {
            kind: JobKind::Pot(number),
            name: format!("pot {number}, {jar}"),
            surfaces: plan.surfaces[member.surface].wanted.name.clone(),
            colour: member.planned,
        })
        .collect();
    for surface in plan.surfaces {
        let of = |kind, name: String, colour| Job {
            kind,
            name,
            surfaces: surface.wanted.name.clone(),
            colour,
        };
        for step in surface.dirt.rock.iter().flat_map(|rock| &rock.steps) {
            // Tones of the photo are in pots already; the dark wash is a film.
            if step.tone.is_none() && !step.recipes.is_empty() {
                mixes.push(of(
                    JobKind::Rock,
                    step.role.words().to_owned(),
                    step.planned,
                ));
            }
        }
        for place in &surface.dirt.places {
            if matches!(place.by, PlacedBy::Paint { .. }) {
                mixes.push(of(JobKind::Place, place.name.clone(), place.wanted));
            }
        }
    }
    mixes
}

/// What paints are needed for.
pub(super) struct Jobs<'a> {
    pub(super) surfaces: &'a [SurfacePlan],
    pub(super) pots: &'a Pots,
    pub(super) shelf: &'a Shelf,
    pub(super) films: LaidFilms,
}

impl Plan<'_> {
    /// Chooses the fewest paints of a shelf for this plan; `owned` are places in that shelf that need not be added.
    #[must_use]
    pub fn fewest_of(
        &self,
        shelf: &Shelf,
        within: f64,
        search: &Search,
        owned: &[PaintId],
    ) -> FewestPaints {
        let jobs = Jobs {
            surfaces: &self.surfaces,
            pots: &self.pots,
            shelf: self.shelf,
            films: self.films,
        };
        fewest(&jobs, shelf, within, search, owned)
    }
}

pub(super) fn fewest(
    plan: &Jobs<'_>,
    shelf: &Shelf,
    within: f64,
    search: &Search,
    owned: &[PaintId],
) -> FewestPaints {
    let mixes = mixes(plan);
    let colours: Vec<LabD65> = mixes.iter().map(|job| job.colour).collect();
    let wish = TrimWish {
        colours: &colours,
        within,
        owned,
    };
    let trimming = shelf.trimming(wish, search);
    let mut films: Vec<Job> = Vec::new();
    let mut wishes: Vec<FilmWish> = Vec::new();
    search.begin("washes of few paints", 0);
    let favoured = [trimming.for_colours(), owned].concat();
    for surface in plan.surfaces {
        let on = Shelves {
            planned: plan.shelf,
            chosen_from: shelf,
            favoured: &favoured,
            films: plan.films,
            watched: search,
        };
        for needed in films_needed(surface, &on) {
            let FilmNeeded {
                place,
                colour,
                wish,
            } = needed;
            films.push(Job {
                kind: place.as_ref().map_or(JobKind::Wash, |_| JobKind::Place),
                name: place.unwrap_or_else(|| "wash".to_owned()),
                surfaces: surface.wanted.name.clone(),
                colour,
            });
            wishes.push(wish);
        }
    }
    FewestPaints {
        within,
        trim: trimming.with_films(&wishes),
        mixes,
        films,
    }
}

impl FewestPaints {
    /// How many jobs of each kind there are, films apart from opaque places.
    #[must_use]
    pub fn counted(&self) -> [(usize, &'static str); 5] {
        let count = |jobs: &[Job], kind| jobs.iter().filter(|job| job.kind == kind).count();
        let pots = self
            .mixes
            .iter()
            .filter(|job| matches!(job.kind, JobKind::Pot(_)));
        [
            (pots.count(), "painted tone"),
            (count(&self.mixes, JobKind::Rock), "further rock colour"),
            (count(&self.mixes, JobKind::Place), "brushed place"),
            (count(&self.films, JobKind::Wash), "wash"),
            (count(&self.films, JobKind::Place), "stained place"),
        ]
    }

    /// How many jobs there are, and how many of them come within the closeness.
    #[must_use]
    pub fn reached(&self) -> (usize, usize) {
        let all = self.mixes.len() + self.films.len();
        let beyond = self.trim.beyond.len() + self.trim.films_beyond.len();
        (all, all - beyond)
    }

    /// What a paint is for.
    pub fn used_for(&self, stock: PaintId) -> impl Iterator<Item = &Job> {
        let mixes = self.trim.used_for(stock).into_iter();
        let films = self.trim.films_of(stock).into_iter();
        mixes
            .map(|at| &self.mixes[at])
            .chain(films.map(|at| &self.films[at]))
    }
}

/// What a plan uses that is no mixed paint: powders, scatter.
#[must_use]
pub fn kept_apart(plan: &Plan<'_>) -> Vec<String> {
    let powders = plan
        .surfaces
        .iter()
        .flat_map(|surface| &surface.dirt.places)
        .filter(|place| matches!(place.by, PlacedBy::Powder { .. }))
        .filter_map(|place| place.blend())
        .flat_map(|blend| blend.parts.iter().map(|(name, _)| name.clone()));
    let scatter = plan.scatter_shopping.iter();
    let mut apart: Vec<String> = powders
        .chain(scatter.map(|line| plan.kinds[line.kind].name.clone()))
        .collect();
    apart.sort();
    apart.dedup();
    apart
}
