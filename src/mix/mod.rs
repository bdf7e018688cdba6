//! Recipes: which paints of a shelf, in how many whole parts, come near a colour, and how far to trust that.
//!
//! In: a target and a [`Shelf`]. Out: up to five [`Recipe`]s that differ in at least one paint, best first. Only paints
//! that may be stirred together share a pot. It knows nothing of scenes and photographs.

mod add;
mod approach;
mod chance;
mod closeness;
mod doubt;
mod explain;
mod helpful;
mod lanes;
mod learn;
mod narrow;
mod onward;
mod paint_id;
mod passed;
mod ratios;
mod reach;
mod search;
mod steady;
mod stirred;
mod told;
mod trim;
mod unknown;

pub use add::Addition;
pub use closeness::{Closeness, distance_of_paints};
pub use doubt::uncertainty;
pub use helpful::{Helpful, OUT_OF_REACH};
pub use learn::{DriedPot, Learnt, learnt, learnt_of_one_paint};
pub use paint_id::PaintId;
pub use reach::{Reach, Slice, reach};
pub use search::{Rank, Search};
pub use steady::{NotMeasured, SteadyRecipe};
pub use stirred::stirred;
pub use told::{PotRead, PotTold};
pub use trim::{EXACT_UP_TO, FilmWay, FilmWish, OneMore, Trim, TrimWish, Trimming};

use crate::colour::{BANDS, DeltaE00, LabD65, Spectrum, Srgb8, Xyz, delta_e00, hue_way};
use crate::paint::{
    BRUSHED_COAT, ColourSource, DISAGREES, Done, Doubtful, LetDown, LetDownColour, Make,
    MixingFamily, MixtureError, NotMixed, Opacity, Paint, PaintList, Prepared, SeenAs, Sight,
    opaque_mix, opaque_reflectance, scattering_told, which_is_doubtful,
};

use crate::units::{DROP, Millilitres};
use crate::work::Remembering;
use rayon::prelude::*;
use search::Around;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A paint list made ready: each mixable paint prepared, sorted into what may be stirred together.
#[derive(Debug, Clone)]
pub struct Shelf {
    stocks: Vec<Stock>,
    families: Vec<(MixingFamily, Vec<PaintId>)>,
    left_out: Vec<(String, NotMixed)>,
    let_downs: Vec<LetDownReport>,
}

/// What let-downs, or coats over a black and a white card, changed.
#[derive(Debug, Clone, PartialEq)]
pub struct LetDownReport {
    /// The paint.
    pub paint: String,
    /// What was seen of it: "let-down", "coats over black and white".
    pub seen: &'static str,
    /// Strength as it would be taken without, relative to the white.
    pub before: f64,
    /// Strength by what was seen.
    pub after: f64,
    /// How far that is from what this paint gives; above 1 no paint has all these colours.
    pub residual: DeltaE00,
    /// Which of the two is likelier to be wrong, where no paint has both.
    pub doubtful: Option<Doubtful>,
}

impl fmt::Display for LetDownReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { paint, seen, .. } = self;
        match self.doubtful {
            Some(Doubtful::Sight(off)) => write!(
                f,
                "{paint}: no paint of this colour gives its {seen}; the nearest is {:.0} (CIEDE2000) off. Doubt the {seen}",
                off.0
            ),
            Some(Doubtful::OwnColour(off)) => write!(
                f,
                "{paint}: no paint of this colour gives its {seen}, but one about {:.0} (CIEDE2000) away would. Doubt the paint's own colour",
                off.0
            ),
            None => write!(
                f,
                "{paint}: by its {seen} its tinting strength is {:.2} of the white's; otherwise the program would assume {:.2}",
                self.after, self.before
            ),
        }
    }
}

/// The white that we assume for let-downs if the list has none: #f4f4f0.
const USUAL_WHITE: Srgb8 = Srgb8([0xf4, 0xf4, 0xf0]);

/// The white of a list: the lightest mixable paint with "white" in its name.
fn own_white(stocks: &[Stock]) -> Option<usize> {
    (0..stocks.len())
        .filter(|at| {
            stocks[*at].name.to_lowercase().contains("white") && stocks[*at].prepared.lab.l > 80.0
        })
        .max_by(|a, b| {
            stocks[*a]
                .prepared
                .xyz
                .y
                .total_cmp(&stocks[*b].prepared.xyz.y)
        })
}

/// Gives each paint with a let-down its strength. The white itself then counts as 1, so that all stand on one scale.
fn apply_let_downs(stocks: &mut [Stock], list: &PaintList) -> Vec<LetDownReport> {
    let paints = list.paints();
    if !stocks.iter().any(|stock| paints[stock.index].was_tried()) {
        return Vec::new();
    }
    let own = own_white(stocks);
    let one = Spectrum::flat(1.0);
    let white = own
        .map_or_else(
            || Prepared::from_colour(USUAL_WHITE.to_linear().into(), Some(Opacity::Opaque), 1.0),
            |at| stocks[at].prepared.clone(),
        )
        .with_scattering(one);
    let coat = coat_brushed(own.map(|at| &paints[stocks[at].index]), &white);
    let mut reports = Vec::new();
    for (at, stock) in stocks.iter_mut().enumerate() {
        if own == Some(at) {
            stock.prepared = stock.prepared.clone().with_scattering(one);
            stock.strength = StrengthFrom::LetDown;
            continue;
        }
        let sights = sights_of(&paints[stock.index], coat);
        if sights.is_empty() {
            continue;
        }
        let told = scattering_told(&stock.prepared, &white, &sights);
        let doubtful = (told.worst().0 > DISAGREES).then(|| {
            let paint = &paints[stock.index];
            let made = |own: Xyz| {
                Prepared::of_make(
                    Make::told_by(paint.medium, paint.opacity),
                    own,
                    paint.opacity,
                    1.0,
                )
            };
            which_is_doubtful(&told, stock.prepared.xyz, &made, &white, &sights)
        });
        reports.push(LetDownReport {
            paint: stock.name.clone(),
            seen: seen_of(&paints[stock.index]),
            before: stock.prepared.scattering.values()[BANDS / 2]
                / white.scattering.values()[BANDS / 2],
            after: told.strength,
            residual: told.worst(),
            doubtful,
        });
        stock.prepared = stock.prepared.clone().with_scattering(told.scattering);
    }
    reports
}

/// Lightness of the cards that a coat is brushed over, as measured on one black and one white card.
///
/// # Source
/// Geldof and others 2018, *Reconstructing Van Gogh's palette to determine the optical characteristics of his paints*.
const CARDS: [f64; 2] = [26.6, 94.0];
/// How far a coat's colour over a card may be off: its thickness is guessed besides. Our choice.
const COAT_OFF: f64 = 4.0;

/// How thick coats over cards were brushed: the white, which counts as of scattering 1, tells by its own; else as usual.
fn coat_brushed(white: Option<&Paint>, prepared: &Prepared) -> f64 {
    let sights = white.map_or_else(Vec::new, |white| coats_of(white, BRUSHED_COAT));
    if sights.is_empty() {
        return BRUSHED_COAT;
    }
    BRUSHED_COAT * scattering_told(prepared, prepared, &sights).strength
}

/// A paint's coats over both cards.
fn coats_of(paint: &Paint, thickness: f64) -> Vec<Sight> {
    let coat = |card: f64, seen| Sight {
        done: Done::LaidOver {
            base: LabD65::new(card, 0.0, 0.0).into(),
            thickness,
        },
        seen: SeenAs::Colour(seen),
        uncertainty: COAT_OFF,
    };
    paint.over_cards.map_or_else(Vec::new, |over| {
        vec![coat(CARDS[0], over.black), coat(CARDS[1], over.white)]
    })
}

/// All that was seen of a paint.
fn sights_of(paint: &Paint, coat: f64) -> Vec<Sight> {
    let let_downs = paint.let_downs.iter().map(sight_of);
    let_downs.chain(coats_of(paint, coat)).collect()
}

/// The same in words.
fn seen_of(paint: &Paint) -> &'static str {
    match (paint.let_downs.len(), paint.over_cards) {
        (0, _) => "coats over black and white",
        (_, Some(_)) => "let-down and coats over black and white",
        (1, None) => "let-down",
        (_, None) => "let-downs",
    }
}

/// How far a let-down's colour may be off, CIEDE2000: read off a screen or a photo, and measured. Our choice.
const LET_DOWN_OFF: [f64; 2] = [3.0, 0.7];

/// A listed let-down as a sight of its paint.
fn sight_of(let_down: &LetDown) -> Sight {
    let (seen, uncertainty) = match &let_down.seen {
        LetDownColour::Colour(seen) => (SeenAs::Colour(*seen), LET_DOWN_OFF[0]),
        LetDownColour::Spectrum(seen) => (SeenAs::Reflectance(seen.clone()), LET_DOWN_OFF[1]),
    };
    Sight {
        done: Done::LetDown {
            share: 1.0 / (1.0 + let_down.parts_white),
        },
        seen,
        uncertainty,
    }
}

/// How a paint's tinting strength is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StrengthFrom {
    /// It is not: a typical one is taken.
    Nothing,
    /// The list states it.
    List,
    /// A let-down with white shows it.
    LetDown,
}

/// One mixable paint.
#[derive(Debug, Clone)]
pub struct Stock {
    /// Its place in the list.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// As the mixing model sees it.
    pub prepared: Prepared,
    /// How its colour is known.
    pub source: ColourSource,
    /// How far it hides, when stated.
    pub opacity: Option<Opacity>,
    /// How its tinting strength is known.
    pub strength: StrengthFrom,
    /// What it may be stirred with.
    pub family: MixingFamily,
    /// Sold thin, as a wash or an ink, in a list with others that are not: it tints a coat and is none by itself.
    pub thin: bool,
}

/// Parts of paints that make a colour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recipe {
    /// Paints and whole parts by volume, most parts first.
    pub parts: Vec<(PaintId, u32)>,
    /// The predicted colour.
    pub colour: LabD65,
    /// Its difference from the target.
    pub difference: DeltaE00,
    /// Two in three real mixes should fall within this much of the prediction.
    pub uncertainty: DeltaE00,
    /// What is stirred.
    pub family: MixingFamily,
    /// The figure recipes are ranked by; smaller is sounder.
    pub rank: f64,
}

impl Recipe {
    /// How near the pot should come to the wanted colour, "two in three": the known difference and what may go wrong.
    #[must_use]
    pub fn expected(&self) -> DeltaE00 {
        DeltaE00(self.difference.0.hypot(self.uncertainty.0))
    }

    /// Sum of the parts.
    #[must_use]
    pub fn total_parts(&self) -> u32 {
        self.parts.iter().map(|(_, p)| p).sum()
    }

    /// A batch, or the least measurable amount if that is more: a drop a part. Common practice, no source.
    #[must_use]
    pub fn at_least_a_drop(&self, batch: Millilitres) -> Millilitres {
        let least = Millilitres::new(DROP * f64::from(self.total_parts()));
        least.map_or(batch, |least| if least > batch { least } else { batch })
    }
}

/// What sets a recipe apart from the others on offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecipeKind {
    /// The one to try first.
    Soundest,
    /// The smallest predicted difference.
    ClosestOnPaper,
    /// The fewest paints.
    Simplest,
    /// A further one.
    Other,
}

impl RecipeKind {
    /// The words users see.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Soundest => "soundest",
            Self::ClosestOnPaper => "closest on paper",
            Self::Simplest => "simplest",
            Self::Other => "another way",
        }
    }
}

/// What a pot made by hand will look like.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedPot {
    /// The colour.
    pub xyz: Xyz,
    /// The same as CIELAB.
    pub colour: LabD65,
    /// Two in three real mixes should fall within this much of it.
    pub uncertainty: DeltaE00,
}

impl Shelf {
    /// Prepares every paint of a list.
    #[must_use]
    pub fn new(list: &PaintList) -> Self {
        let mut stocks: Vec<Stock> = Vec::new();
        let mut left_out = Vec::new();
        for (index, paint) in list.paints().iter().enumerate() {
            match paint.mixing_family() {
                Ok(family) => stocks.push(Stock::new(index, paint, family)),
                Err(reason) => left_out.push((paint.name.clone(), reason)),
            }
        }
        // Who has nothing else lays several coats of what there is.
        if stocks.iter().all(|stock| stock.thin) {
            for stock in &mut stocks {
                stock.thin = false;
            }
        }
        let let_downs = apply_let_downs(&mut stocks, list);
        let mut families: Vec<(MixingFamily, Vec<PaintId>)> = Vec::new();
        for (at, stock) in stocks.iter().enumerate() {
            match families
                .iter_mut()
                .find(|(family, _)| *family == stock.family)
            {
                Some((_, members)) => members.push(PaintId::at(at)),
                None => families.push((stock.family, vec![PaintId::at(at)])),
            }
        }
        families.sort_by_key(|(family, members)| (std::cmp::Reverse(members.len()), *family));
        Self {
            stocks,
            families,
            left_out,
            let_downs,
        }
    }

    /// The mixable paints.
    #[must_use]
    pub fn stocks(&self) -> &[Stock] {
        &self.stocks
    }

    /// Paints that take no part in mixing, and why.
    #[must_use]
    pub fn left_out(&self) -> &[(String, NotMixed)] {
        &self.left_out
    }

    /// In words, which colours of these paints contradict each other: their own, and what was seen of them with white or
    /// over cards.
    #[must_use]
    pub fn doubts_about(&self, paints: impl Iterator<Item = PaintId>) -> Vec<String> {
        let names: Vec<&str> = paints
            .filter_map(|at| self.get(at))
            .map(|stock| stock.name.as_str())
            .collect();
        (self.let_downs.iter())
            .filter(|told| told.doubtful.is_some() && names.contains(&told.paint.as_str()))
            .map(ToString::to_string)
            .collect()
    }

    /// What the list's let-downs changed, in list order.
    #[must_use]
    pub fn let_downs(&self) -> &[LetDownReport] {
        &self.let_downs
    }

    /// Paints by what may be stirred together, the largest family first; each with its paints.
    #[must_use]
    pub fn families(&self) -> &[(MixingFamily, Vec<PaintId>)] {
        &self.families
    }

    /// Recipes for a colour, best first; empty only when nothing on the shelf mixes.
    #[must_use]
    pub fn recipes_near(&self, target: LabD65, search: &Search) -> Vec<Recipe> {
        self.recipes_near_from(target, search, None)
    }

    /// The same, sooner where most of these paints were there in an earlier search for the colour; with a mark for each of
    /// [`Shelf::stocks`].
    #[must_use]
    pub fn recipes_near_from(
        &self,
        target: LabD65,
        search: &Search,
        remembering: Option<Remembering<'_>>,
    ) -> Vec<Recipe> {
        let around = self.around(target, search);
        let found = self.recipes_among(&around, search, remembering);
        search.did_one();
        found
    }

    /// The paints of each family that a colour may be mixed from.
    fn around(&self, target: LabD65, search: &Search) -> Vec<Around> {
        if search.is_over() {
            return Vec::new();
        }
        let families = self.families.iter();
        families
            .map(|family| Around::likely_for(self, family, target, search))
            .collect()
    }

    fn recipes_among(
        &self,
        around: &[Around],
        search: &Search,
        remembering: Option<Remembering<'_>>,
    ) -> Vec<Recipe> {
        let by_family = around
            .iter()
            .map(|around| onward::recipes(self, around, search, remembering));
        let mut found = search::merged(by_family.collect(), search.rank);
        found.truncate(search.answers);
        found
    }

    /// Recipes for many colours, worked out in parallel on all cores, in the given order.
    #[must_use]
    pub fn recipes_for_all(&self, targets: &[LabD65], search: &Search) -> Vec<Vec<Recipe>> {
        search.expect(targets.len());
        targets
            .par_iter()
            .map(|target| self.recipes_near(*target, search))
            .collect()
    }

    /// Recipes of different kinds: the soundest first, then the closest on paper, then the simplest where that is yet
    /// another, then others. No two use the same paints in the same parts.
    #[must_use]
    pub fn kinds_of_answers(&self, target: LabD65, search: &Search) -> Vec<(RecipeKind, Recipe)> {
        let around = self.around(target, search);
        let sound = self.recipes_among(&around, search, None);
        if search.rank == Rank::ClosestOnPaper {
            let kinds = std::iter::once(RecipeKind::ClosestOnPaper)
                .chain(std::iter::repeat(RecipeKind::Other));
            return kinds.zip(sound).collect();
        }
        let closest = Search {
            rank: Rank::ClosestOnPaper,
            answers: 1,
            ..*search
        };
        let simplest = Search {
            most_paints: search.most_paints.min(2),
            answers: 1,
            ..*search
        };
        let mut all: Vec<(RecipeKind, Recipe)> = Vec::new();
        let found = sound
            .iter()
            .take(1)
            .map(|r| (RecipeKind::Soundest, r.clone()))
            .chain(
                self.recipes_among(&around, &closest, None)
                    .into_iter()
                    .map(|r| (RecipeKind::ClosestOnPaper, r)),
            )
            .chain(
                self.recipes_among(&around, &simplest, None)
                    .into_iter()
                    .map(|r| (RecipeKind::Simplest, r)),
            )
            .chain(sound.iter().skip(1).map(|r| (RecipeKind::Other, r.clone())));
        for (kind, recipe) in found {
            if all.len() < search.answers.max(1)
                && !all.iter().any(|(_, other)| other.parts == recipe.parts)
            {
                all.push((kind, recipe));
            }
        }
        all
    }

    /// The parts of a recipe in the order to stir them: the largest share of light first, then lighter before darker, so
    /// that strong and dark paint comes last, a drop at a time. Common practice, no source.
    #[must_use]
    pub fn stirring_order(&self, recipe: &Recipe) -> Vec<(PaintId, u32)> {
        let mut parts = recipe.parts.clone();
        let light = |(at, p): &(PaintId, u32)| f64::from(*p) * self[*at].prepared.xyz.y;
        parts.sort_by(|a, b| light(b).total_cmp(&light(a)));
        let rest = parts.split_off(1.min(parts.len()));
        let mut rest = rest;
        rest.sort_by(|a, b| {
            let l = |at: PaintId| self[at].prepared.lab.l;
            l(b.0).total_cmp(&l(a.0)).then(a.0.cmp(&b.0))
        });
        parts.extend(rest);
        parts
    }

    /// The reflectance of a mix, as the model has it.
    #[must_use]
    pub fn reflectance_of(&self, recipe: &Recipe) -> Option<Spectrum> {
        let parts: Vec<(&Prepared, f64)> = recipe
            .parts
            .iter()
            .map(|(at, p)| (&self[*at].prepared, f64::from(*p)))
            .collect();
        opaque_reflectance(&parts).ok()
    }

    /// True when every paint of a mix has a measured spectrum.
    #[must_use]
    pub fn all_measured(&self, recipe: &Recipe) -> bool {
        recipe
            .parts
            .iter()
            .all(|(at, _)| self[*at].source == ColourSource::Spectrum)
    }

    /// The colour of a pot mixed by hand.
    ///
    /// # Errors
    /// [`MixtureError`] when all parts are zero, or one is negative or no number.
    pub fn tried(&self, parts: &[(PaintId, f64)]) -> Result<TriedPot, MixtureError> {
        let prepared: Vec<(&Prepared, f64)> = parts
            .iter()
            .filter_map(|(at, p)| self.get(*at).map(|stock| (&stock.prepared, *p)))
            .collect();
        let xyz = opaque_mix(&prepared)?;
        let colour = LabD65::from(xyz);
        Ok(TriedPot {
            xyz,
            colour,
            uncertainty: uncertainty(self, parts, colour),
        })
    }
}

impl Stock {
    fn new(index: usize, paint: &Paint, family: MixingFamily) -> Self {
        Self {
            index,
            name: paint.name.clone(),
            prepared: Prepared::from_paint(paint),
            source: paint.source,
            opacity: paint.opacity,
            strength: match (paint.was_tried(), paint.strength) {
                (true, _) => StrengthFrom::LetDown,
                (false, Some(_)) => StrengthFrom::List,
                (false, None) => StrengthFrom::Nothing,
            },
            family,
            thin: paint.thin,
        }
    }
}

/// In which direction a colour falls short of the wanted one, in words: "darker and greyer"; `None` when it is near.
#[must_use]
pub fn falls_short(asked: LabD65, got: LabD65) -> Option<String> {
    if delta_e00(asked, got).0 < 2.0 {
        return None;
    }
    let mut words = Vec::new();
    if (got.l - asked.l).abs() > 2.0 {
        words.push(if got.l > asked.l { "lighter" } else { "darker" });
    }
    let chroma = got.chroma() - asked.chroma();
    if chroma.abs() > 2.5 {
        words.push(if chroma > 0.0 {
            "more colourful"
        } else {
            "greyer"
        });
    }
    // What is left once the change of chroma is taken out: the turn of hue.
    let kept = if asked.chroma() > 1e-9 {
        got.chroma() / asked.chroma()
    } else {
        0.0
    };
    let (da, db) = (got.a - kept * asked.a, got.b - kept * asked.b);
    if da.hypot(db) > 3.0 {
        words.push(hue_way(da, db));
    }
    (!words.is_empty()).then(|| words.join(" and "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shelf(text: &str) -> Shelf {
        Shelf::new(&PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap())
    }

    /// Coats brushed half as thick as usual, of an ochre of known strength, rounded to screen colours: the white's
    /// own coats show how thick they are.
    #[test]
    fn coats_over_black_and_white_tell_strength_whatever_their_thickness() {
        let made = shelf("name,hex,medium,strength\nochre,#b08648,oil,0.3\nwhite,#f4f4f0,oil,\n");
        let half = BRUSHED_COAT / 2.0;
        let coats = |at: usize, scattering: f64| {
            let prepared = &made.stocks()[at].prepared;
            let paint = prepared.clone().with_scattering(Spectrum::flat(scattering));
            let pot = crate::paint::WashPot::new(&[(&paint, 1.0)]).unwrap();
            CARDS
                .map(|card| {
                    let base = LabD65::new(card, 0.0, 0.0).into();
                    let seen = pot.over(&crate::paint::Ground::new(base), half);
                    LabD65::from(seen).to_srgb8().to_string()
                })
                .join(",")
        };
        let told = shelf(&format!(
            "name,hex,medium,over_black_hex,over_white_hex\nochre,#b08648,oil,{}\nwhite,#f4f4f0,oil,{}\n",
            coats(0, 0.3),
            coats(1, 1.0)
        ));
        let report = &told.let_downs()[0];
        assert!((report.after / 0.3).ln().abs() < 0.15, "{}", report.after);
        assert!(report.doubtful.is_none(), "{report}");
        assert!(
            report.to_string().contains("coats over black and white"),
            "{report}"
        );
        assert_eq!(told.stocks()[0].strength, StrengthFrom::LetDown);
    }

    /// Three let-downs of an umber, rounded to screen colours, as the model itself makes them of a paint of known strength.
    #[test]
    fn several_let_downs_of_one_paint_come_back_together() {
        let made = shelf("name,hex,strength\number,#5a4634,0.45\nwhite,#f4f4f0,\n");
        let with = |white: f64| {
            let tried = made
                .tried(&[(PaintId::at(0), 1.0), (PaintId::at(1), white)])
                .unwrap();
            tried.colour.to_srgb8()
        };
        let cells: Vec<String> = [1.0, 3.0, 8.0].map(|w| format!("{},{w}", with(w))).to_vec();
        let head = "name,hex,let_down_hex,let_down_parts_white,let_down_2_hex,let_down_2_parts_white,let_down_3_hex,let_down_3_parts_white";
        let told = shelf(&format!(
            "{head}\number,#5a4634,{}\nwhite,#f4f4f0,,,,,,\n",
            cells.join(",")
        ));
        assert_eq!(told.let_downs().len(), 1);
        assert!(
            told.let_downs()[0].doubtful.is_none(),
            "{}",
            told.let_downs()[0]
        );
        for white in [1.0, 3.0, 8.0] {
            let again = told
                .tried(&[(PaintId::at(0), 1.0), (PaintId::at(1), white)])
                .unwrap()
                .colour;
            let off = delta_e00(again, with(white).to_linear().into()).0;
            assert!(off < 1.0, "{white} parts: {off}");
        }
    }

    #[test]
    fn what_is_sold_thin_is_no_opaque_coat() {
        let rest = "white,#f2f1ec,acrylic\nbrown,#6a4a34,acrylic\nblack,#262524,acrylic\n";
        let list =
            format!("name,hex,medium\number wash,#5a4634,acrylic\nrust ink,#7a4024,ink\n{rest}");
        let shelf_of_both = shelf(&list);
        for hex in [0x5a_4634_u32, 0x7a_4024] {
            let [_, r, g, b] = hex.to_be_bytes();
            let target = LabD65::from(Srgb8([r, g, b]));
            let found = shelf_of_both.recipes_near(target, &Search::default());
            assert!(!found.is_empty());
            for recipe in found {
                let body: u32 = (recipe.parts.iter())
                    .filter(|(at, _)| !shelf_of_both[*at].thin)
                    .map(|(_, p)| p)
                    .sum();
                assert!(2 * body >= recipe.total_parts(), "{:?}", recipe.parts);
            }
        }
        // Who has nothing else lays several coats of it.
        let inks = shelf("name,hex,medium\nrust ink,#7a4024,ink\nblack ink,#262524,ink\n");
        let target = LabD65::from(Srgb8([0x7a, 0x40, 0x24]));
        assert_eq!(
            inks.recipes_near(target, &Search::default())[0].parts,
            [(PaintId::at(0), 1)]
        );
    }

    #[test]
    fn a_colour_that_falls_short_is_told_in_the_directions_that_the_eye_sees() {
        // By hand: a turn of hue keeps a colour's distance from grey, sqrt(300) = 17.3 and 10 making 20 again.
        let turned = 300.0_f64.sqrt();
        let yellow = [50.0, 0.0, 20.0];
        let red = [50.0, 20.0, 0.0];
        for (asked, got, told) in [
            (red, red, None),
            (red, [60.0, 20.0, 0.0], Some("lighter")),
            (red, [40.0, 20.0, 0.0], Some("darker")),
            (red, [50.0, 10.0, 0.0], Some("greyer")),
            (
                [50.0, 20.0, 10.0],
                [50.0, 40.0, 20.0],
                Some("more colourful"),
            ),
            (yellow, [50.0, 10.0, turned], Some("redder")),
            (yellow, [50.0, -10.0, turned], Some("greener")),
            (red, [50.0, turned, 10.0], Some("yellower")),
            (red, [50.0, turned, -10.0], Some("bluer")),
            (red, [35.0, 8.0, 0.0], Some("darker and greyer")),
            // 26.0 and 11.1 are as far from grey as 20 and 20: 8.9 less of the one, 6 more of the other.
            ([50.0, 20.0, 20.0], [50.0, 11.1, 26.0], Some("greener")),
            ([50.0, 20.0, 20.0], [50.0, 26.0, 11.1], Some("bluer")),
        ] {
            let [asked, got] = [asked, got].map(|[l, a, b]| LabD65::new(l, a, b));
            let words = falls_short(asked, got);
            assert_eq!(words.as_deref(), told, "{asked:?} to {got:?}");
        }
    }
}
