//! The fewest paints for a scene, in words and as JSON.

use crate::mix::{EXACT_UP_TO, PaintId, Shelf};
use crate::plan::{FewestPaints, Job, JobKind, Plan, kept_apart};
use crate::report::data::lab;
use crate::share::{FewestEntry, FewestFilm, FewestMix, FewestPaint, OneMoreEntry};
use crate::share::{MixEntry, rounded};
use crate::wash::AS_NEAR;
use serde_json::{Value, json};

/// "7 pots, 2 washes": what was counted.
#[must_use]
pub fn counted_words(fewest: &FewestPaints) -> String {
    let all: Vec<String> = fewest
        .counted()
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| match (count, what) {
            (1, _) => format!("1 {what}"),
            (_, "wash") => format!("{count} washes"),
            _ => format!("{count} {what}s"),
        })
        .collect();
    if all.is_empty() {
        "nothing to paint".to_owned()
    } else {
        all.join(", ")
    }
}

/// How far the answer is proven; `paints` is the length of the list it was chosen from.
#[must_use]
pub fn bound_words(fewest: &FewestPaints, paints: usize) -> String {
    let trim = &fewest.trim;
    if trim.exact {
        return "No smaller set will do: every mix was looked at.".to_owned();
    }
    let films = if fewest.films.is_empty() {
        String::new()
    } else {
        format!(
            " Washes and stains were tried with one and two paints each, and with those planned; where a simpler one comes about as near, the plan may take it, up to ΔE00 {AS_NEAR:.0} further off."
        )
    };
    if paints > EXACT_UP_TO {
        return format!(
            "By the mixes looked at, at least {} are needed; on lists longer than {EXACT_UP_TO} not every mix is looked at.{films}",
            trim.at_least
        );
    }
    if trim.added.len() > trim.at_least && !fewest.films.is_empty() {
        return format!(
            "Opaque mixes need at least {}; the rest is for washes and stains.{films}",
            trim.at_least
        );
    }
    format!(
        "At least {} are needed; it is not settled whether fewer than these would do.{films}",
        trim.at_least
    )
}

/// What is beyond the closeness even with the whole list: job, and how far off it then is.
#[must_use]
pub fn beyond_words(fewest: &FewestPaints) -> Vec<String> {
    let trim = &fewest.trim;
    let told = |job: &Job, off: Option<f64>| {
        let off = off.map_or_else(
            || "nothing mixes".to_owned(),
            |off| format!("ΔE00 {off:.1} with these"),
        );
        format!("{}, {off}", job_words(job))
    };
    let mixes = trim.beyond.iter().map(|at| {
        let recipe = trim.recipes[*at].as_ref();
        told(&fewest.mixes[*at], recipe.map(|r| r.difference.0))
    });
    let films = trim.films_beyond.iter().map(|at| {
        let way = trim.films[*at].as_ref();
        told(&fewest.films[*at], way.map(|way| way.off.0))
    });
    mixes.chain(films).collect()
}

/// A job with where it is.
#[must_use]
pub fn job_words(job: &Job) -> String {
    match job.kind {
        JobKind::Pot(_) => job.name.clone(),
        JobKind::Wash => format!("the wash of {}", job.surfaces),
        JobKind::Rock | JobKind::Place => format!("{} on {}", job.name, job.surfaces),
    }
}

/// What a paint is for: "Kiln wall (pots 2, 5); the wash of Kiln wall".
#[must_use]
pub fn used_for_words(fewest: &FewestPaints, stock: PaintId) -> String {
    let mut pots: Vec<(&str, Vec<usize>)> = Vec::new();
    let mut others: Vec<String> = Vec::new();
    for job in fewest.used_for(stock) {
        let JobKind::Pot(number) = job.kind else {
            others.push(job_words(job));
            continue;
        };
        match pots.iter_mut().find(|(at, _)| *at == job.surfaces) {
            Some((_, numbers)) if numbers.contains(&number) => {}
            Some((_, numbers)) => numbers.push(number),
            None => pots.push((&job.surfaces, vec![number])),
        }
    }
    let by_surface = pots.iter().map(|(surfaces, numbers)| {
        let s = if numbers.len() == 1 { "" } else { "s" };
        let numbers: Vec<String> = numbers.iter().map(usize::to_string).collect();
        format!("{surfaces} (pot{s} {})", numbers.join(", "))
    });
    by_surface.chain(others).collect::<Vec<_>>().join("; ")
}

/// The fewest paints of a plan, as a part of its shopping sheet.
#[derive(Debug)]
pub(in crate::report) struct FewestView {
    pub(in crate::report) lead: String,
    pub(in crate::report) paints: Vec<[String; 2]>,
    pub(in crate::report) more: Vec<String>,
}

impl FewestView {
    pub(in crate::report) fn of_plan(plan: &Plan<'_>) -> Option<Self> {
        let fewest = plan.fewest.as_ref()?;
        let trim = &fewest.trim;
        let name = |at: PaintId| plan.shelf[at].name.clone();
        let mut more = vec![
            format!("Counted: {}.", counted_words(fewest)),
            bound_words(fewest, plan.shelf.stocks().len()),
        ];
        let beyond = beyond_words(fewest);
        if !beyond.is_empty() {
            more.push(format!(
                "Out of reach even of the whole list, and kept about as near as the list can come: {}.",
                beyond.join("; ")
            ));
        }
        let apart = kept_apart(plan);
        if !apart.is_empty() {
            more.push(format!(
                "Also needed, though not for mixing: {}.",
                apart.join("; ")
            ));
        }
        more.extend(trim.one_more.map(|one| {
            format!(
                "One more would be {}: opaque mixes then lie ΔE00 {:.1} off on average, instead of {:.1}.",
                name(one.stock),
                one.after.0,
                one.before.0
            )
        }));
        let (all, reached) = fewest.reached();
        Some(Self {
            lead: format!(
                "{} of {} paints bring {reached} of {all} mixes and washes within ΔE00 {} on paper; the mixes above may use more.",
                trim.paints.len(),
                plan.shelf.stocks().len(),
                fewest.within
            ),
            paints: trim
                .paints
                .iter()
                .map(|at| [name(*at), used_for_words(fewest, *at)])
                .collect(),
            more,
        })
    }
}

/// The fewest paints of a plan, for the data.
pub(in crate::report) fn fewest_of_plan(plan: &Plan<'_>) -> Option<FewestEntry> {
    let fewest = plan.fewest.as_ref()?;
    let trimmed = Trimmed {
        fewest,
        shelf: plan.shelf,
        kept_apart: &kept_apart(plan),
        from: None,
    };
    Some(trimmed.entry())
}

/// A trimmed list with what it was trimmed for.
#[derive(Debug, Clone, Copy)]
pub struct Trimmed<'a> {
    /// The set that was found.
    pub fewest: &'a FewestPaints,
    /// The shelf it was chosen from.
    pub shelf: &'a Shelf,
    /// What is needed besides: powders, scatter.
    pub kept_apart: &'a [String],
    /// The list that purchases are chosen from, if they are.
    pub from: Option<&'a str>,
}

/// Answer of `trim`.
#[derive(Debug, Clone, Copy)]
pub struct TrimJson<'a>(pub &'a Trimmed<'a>);

impl TrimJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        json!(self.0.entry())
    }
}

impl Trimmed<'_> {
    /// The trimmed list as it stands in files.
    #[must_use]
    pub fn entry(&self) -> FewestEntry {
        let trim = &self.fewest.trim;
        FewestEntry {
            format: "hillwash.trim/1".to_owned(),
            within_de: self.fewest.within,
            paints: trim.paints.iter().map(|at| self.paint(*at)).collect(),
            count: trim.paints.len(),
            added: trim.added.len(),
            at_least: trim.at_least,
            exact: trim.exact,
            tones: self.mixes(),
            films: self.films(),
            kept_apart: self.kept_apart.to_vec(),
            from: self.from.map(str::to_owned),
            one_more: trim.one_more.map(|one| OneMoreEntry {
                name: self.shelf[one.stock].name.clone(),
                mean_de_before: rounded(one.before.0),
                mean_de_after: rounded(one.after.0),
            }),
        }
    }

    fn paint(&self, at: PaintId) -> FewestPaint {
        FewestPaint {
            name: self.shelf[at].name.clone(),
            to_buy: self.from.is_some() && self.fewest.trim.added.contains(&at),
            used_for: self.fewest.used_for(at).map(job_words).collect(),
        }
    }

    fn mixes(&self) -> Vec<FewestMix> {
        let trim = &self.fewest.trim;
        let all = self.fewest.mixes.iter().zip(&trim.recipes).enumerate();
        all.map(|(at, (job, recipe))| FewestMix {
            name: job.name.clone(),
            surfaces: job.surfaces.clone(),
            lab: lab(job.colour),
            hex: job.colour.to_srgb8().to_string(),
            within: !trim.beyond.contains(&at),
            recipe: (recipe.as_ref()).map(|recipe| MixEntry::new(recipe, self.shelf)),
        })
        .collect()
    }

    fn films(&self) -> Vec<FewestFilm> {
        let trim = &self.fewest.trim;
        let name = |at: &PaintId| self.shelf[*at].name.clone();
        let all = self.fewest.films.iter().zip(&trim.films).enumerate();
        all.map(|(at, (job, way))| FewestFilm {
            name: job.name.clone(),
            surfaces: job.surfaces.clone(),
            lab: lab(job.colour),
            hex: job.colour.to_srgb8().to_string(),
            within: !trim.films_beyond.contains(&at),
            paints: (way.as_ref()).map(|way| way.stocks.iter().map(name).collect()),
            de2000: way.as_ref().map(|way| rounded(way.off.0)),
        })
        .collect()
    }
}
