//! The plan: what to mix for each surface, how much, in which order, with which cautions.
//!
//! In: a checked scene, the bytes of its photos, and a [`Kit`] of paints and scatter. Out: a [`Plan`] that report, data
//! files and terminal show each in their way. It opens no files and prints nothing.
//!
//! The way goes in stages. Each stage is a complete value that nothing changes later:
//!
//! | stage | what it knows | made by |
//! |---|---|---|
//! | [`Sighted`] | the photos are read, their light is known, tones are found | [`sight`] |
//! | [`Toned`] | what each tone is to come to; a plan from elsewhere enters here | [`Sighted::toned`] |
//! | [`Mixed`] | pots, and the mixes of each tone | [`Toned::mixed`] |
//! | [`Laid`] | scatter, washes, rock, dirt, and one order of work | [`Mixed::laid`] |
//! | [`Plan`] | what to buy, what is doubtful | [`Laid::planned`] |
//!
//! [`schedule()`] does all of it.

mod advice;
mod answers;
mod as_built;
mod before;
mod brushed;
mod cautions;
mod dirt;
mod doubts;
mod fewest;
mod finding;
mod ids;
mod jars;
mod kept;
mod laying;
mod light;
mod like;
mod material_note;
mod mixed;
mod mixing;
mod name_words;
mod notes;
mod passed;
mod photo_bytes;
mod picked;
mod pots;
mod quantities;
mod schedule;
mod shadow;
mod shopping;
mod sighted;
mod sighting;
mod smear;
mod steps;
mod strewing;
mod toned;
mod tones_note;
mod toning;
mod variety;
mod weigh;
mod work;
mod zones;

pub use as_built::{
    Added, AsBuilt, FILM_LOG, FilmRead, MixedPaint, PATCH_LOG, PatchLog, PatchLogError, laid_films,
    parse_patch_log, without_last_patch,
};
pub use before::Before;
pub use cautions::Caution;
pub use dirt::{
    Amounts, BaseFrom, Dirt, DirtError, DirtNote, DirtStep, GrimeStep, PlacePlan, PlacedBy,
    RockPlan, RockStepPlan, Thinned, ThinnedMix, WASH_ML_PER_CM2_AND_PASS, WashBlend, WashPlan,
    check_dirt,
};
pub use fewest::{FewestPaints, Job, JobKind, kept_apart};
pub use ids::{PotId, SurfaceId, ToneId};
pub use kept::AnswerStore;
pub use light::UnderLamp;
pub use like::tones_like;
pub use mixed::{FewerPots, Kit, Member, Mixed, MixedPot, MixedPots, MixedSurface, TonePlan};
pub use notes::PlanNote;
pub use photo_bytes::{PhotoBytes, UnreadPhoto};
pub use picked::{PickedOut, TenthWanted, UnitsWanted};
pub use pots::{POT_WITHIN, Pot, Pots};
pub use quantities::{ML_PER_CM2_AND_COAT, RESERVE};
pub use schedule::{Inputs, ScheduleError, schedule};
pub use shadow::is_left_to_lamps;
pub use shopping::{Purpose, ShoppingLine};
pub use sighted::{PartSeen, PhotoSeen, Pictures, Sighted, SightedSurface};
pub use sighting::{SightError, Sighting, sight, sight_with};
pub use smear::OnPalette;
pub use steps::{Step, StepKind};
pub use strewing::{Freely, GLUE_ML_PER_CM2, LOW, ScatterLine, SeenLow, Strewn, dosed, weighable};
pub use toned::{
    BandPlan, Layout, SurfaceWanted, SurfaceWish, Toned, TonedSurface, TonedTone, TonedZone,
};
pub use tones_note::{TonesNote, TwoSurfaces};
pub use work::{OnSurface, Sitting, Stage, Wait, WorkStep};

use crate::colour::{LabD65, plain_word};
use crate::lamps::Lamp;
use crate::mix::{Helpful, Recipe, Search, Shelf};
use crate::paint::{PaintList, ScatterList};
use crate::scatter::{Blend as ScatterBlend, ScatterKind};
use crate::units::Millilitres;
use crate::wash::LaidFilms;
use crate::work::Timings;
use ids::found_by;

/// A layout whose work is known from the first step to the last.
#[derive(Debug)]
pub struct Laid {
    /// What holds for the whole layout.
    pub layout: Layout,
    /// Photos as read.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfacePlan>,
    /// What to mix, in the order in which work needs it; bottles used as they are last.
    pub pots: Pots,
    /// One order of work across all surfaces.
    pub work: Vec<Sitting>,
    /// The kinds of the scatter list, made ready.
    pub kinds: Vec<ScatterKind>,
    /// What having fewer pots costs, where that was wanted.
    pub fewer: Option<FewerPots>,
    /// The further paint that would help most with what no mix comes near.
    pub helpful: Option<Helpful>,
}

/// What is planned for one surface.
#[derive(Debug)]
pub struct SurfacePlan {
    /// What is wanted of it as a whole.
    pub wanted: SurfaceWanted,
    /// Its tones, largest share first.
    pub tones: Vec<TonePlan>,
    /// Its bands, or itself as one zone; at least one.
    pub zones: Vec<ZonePlan>,
    /// Tones that no pot is mixed for: the wash stands for them, or the rock scheme does without.
    pub unpainted: Vec<ToneId>,
    /// The pot of a body that is painted clean, in the base of its wash: the wash brings it to the photographed tones.
    pub clean_pot: Option<PotId>,
    /// What some of its units are picked out in.
    pub picked: Vec<PickedOut>,
    /// Where its farthest band meets a painted backscene.
    pub backscene: Option<Backscene>,
    /// Its washes, rock scheme and places.
    pub dirt: Dirt,
    /// Order of work.
    pub steps: Vec<Step>,
    /// Cautions for this surface.
    pub cautions: Vec<Caution>,
}

impl SurfacePlan {
    /// The part a tone plays, no two alike: "joints"; "far slope, dark parts 2". `None` where it is all there is.
    #[must_use]
    pub fn part(&self, tone: ToneId) -> Option<String> {
        let tones: Vec<&TonedTone> = self.tones.iter().map(|tone| &tone.wanted).collect();
        let zones = self.zones.iter().map(|zone| &zone.wanted);
        jars::parts(zones, &tones).swap_remove(tone.place())
    }

    /// What a tone is called where its surface is known: its part, else its colour in a plain word.
    #[must_use]
    pub fn called(&self, tone: ToneId) -> String {
        let word = || plain_word(self.tones[tone].wanted.tone.colour).to_owned();
        self.part(tone).unwrap_or_else(word)
    }
}

/// One zone and what is strewn there.
#[derive(Debug)]
pub struct ZonePlan {
    /// What is wanted of it.
    pub wanted: TonedZone,
    /// What is strewn there; `None` on a painted surface.
    pub strewn: Option<Strewn>,
}

impl ZonePlan {
    /// What is strewn there and its blend, where one was found.
    #[must_use]
    pub fn blended(&self) -> Option<(&Strewn, &ScatterBlend)> {
        let strewn = self.strewn.as_ref()?;
        Some((strewn, strewn.blend.as_ref()?))
    }
}

/// Where the farthest band meets a painted backscene.
#[derive(Debug)]
pub struct Backscene {
    /// The colour to bring up to the join: the farthest band's own planned mean.
    pub join: LabD65,
    /// Mixes for it.
    pub join_recipes: Vec<Recipe>,
    /// The colour of the sky-line, into which everything far fades: that of the air.
    pub sky_line: LabD65,
    /// Mixes for it.
    pub sky_line_recipes: Vec<Recipe>,
}

found_by!(SurfaceId in SurfacePlan);

/// A whole plan.
#[derive(Debug)]
pub struct Plan<'a> {
    /// What holds for the whole layout.
    pub layout: Layout,
    /// The list it mixes from.
    pub paints: &'a PaintList,
    /// That list, prepared.
    pub shelf: &'a Shelf,
    /// The scatter list, when the scene names one.
    pub scatter: Option<&'a ScatterList>,
    /// Photos as read.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfacePlan>,
    /// What to mix, in the order in which work needs it; bottles used as they are last.
    pub pots: Pots,
    /// One order of work across all surfaces.
    pub work: Vec<Sitting>,
    /// What to have ready and what to buy.
    pub shopping: Vec<ShoppingLine>,
    /// The lamp over the layout, when it is not daylight.
    pub lamp: Option<Lamp>,
    /// The kinds of the scatter list, made ready.
    pub kinds: Vec<ScatterKind>,
    /// Scatter to have ready and to buy.
    pub scatter_shopping: Vec<ScatterLine>,
    /// What a reader should know before trusting it.
    pub notes: Vec<PlanNote>,
    /// The patches logged so far.
    pub as_built: Vec<AsBuilt>,
    /// How thick the builder's washes lie.
    pub films: LaidFilms,
    /// Whether its schedule shows pictures made from the photos.
    pub pictures: Pictures,
    /// The fewest paints that do for it; `None` if nobody asked for them.
    pub fewest: Option<FewestPaints>,
}

/// How a plan is wanted.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wishes {
    /// How mixes are searched for.
    pub search: Search,
    /// Mixes at most; bottles used as they are do not count.
    pub most_pots: Option<usize>,
    /// The fewest paints that do within this difference (CIEDE2000) are looked for; `None` looks for none.
    pub trim_within: Option<f64>,
    /// Whether its schedule shows pictures made from the photos.
    pub pictures: Pictures,
}

impl From<Search> for Wishes {
    /// As many pots as it takes.
    fn from(search: Search) -> Self {
        Self {
            search,
            most_pots: None,
            trim_within: None,
            pictures: Pictures::default(),
        }
    }
}

impl Laid {
    /// What to buy, and what a reader should know.
    #[must_use]
    pub fn planned<'a>(self, kit: Kit<'a>, wishes: &Wishes) -> Plan<'a> {
        let fewest = wishes.trim_within.map(|within| {
            let jobs = fewest::Jobs {
                surfaces: &self.surfaces,
                pots: &self.pots,
                shelf: kit.shelf,
                films: kit.films,
            };
            fewest::fewest(&jobs, kit.shelf, within, &wishes.search, &[])
        });
        let notes = doubts::of_plan(&self, &kit);
        let shopping = shopping::shopping_list(&self.pots, &self.surfaces, kit.shelf, kit.paints);
        let scatter_shopping = strewing::shopping(&self.surfaces, &self.kinds);
        let Kit {
            paints,
            shelf,
            scatter,
            lamp,
            as_built,
            films,
            before: _,
        } = kit;
        Plan {
            layout: self.layout,
            paints,
            shelf,
            scatter,
            photos: self.photos,
            surfaces: self.surfaces,
            pots: self.pots,
            work: self.work,
            shopping,
            lamp,
            kinds: self.kinds,
            scatter_shopping,
            notes,
            as_built,
            films,
            pictures: wishes.pictures,
            fewest,
        }
    }
}

impl Toned {
    /// The stages that follow, all at once.
    #[must_use]
    pub fn planned<'a>(self, kit: Kit<'a>, wishes: &Wishes) -> Plan<'a> {
        self.planned_timed(kit, wishes, &Timings::default())
    }

    /// As [`Self::planned`]; mixes found before are taken up from where answers are kept, and those found now put there.
    #[must_use]
    pub fn planned_kept<'a>(
        self,
        kit: Kit<'a>,
        answers: Option<&dyn AnswerStore>,
        wishes: &Wishes,
        timings: &Timings,
    ) -> Plan<'a> {
        let before = answers.map(|answers| Before::of_lists(answers, kit.shelf, kit.scatter));
        let kit = Kit {
            before: before.clone(),
            ..kit
        };
        let plan = self.planned_timed(kit, wishes, timings);
        if let (Some(before), Some(answers)) = (before, answers) {
            before.keep(answers);
        }
        plan
    }

    /// As [`Self::planned`]; where its time goes is written down.
    #[must_use]
    pub fn planned_timed<'a>(self, kit: Kit<'a>, wishes: &Wishes, timings: &Timings) -> Plan<'a> {
        let mixed = self.mixed(&kit, wishes);
        timings.ended("mixes");
        let laid = mixed.laid(&kit, &wishes.search);
        timings.ended("washes, scatter, order of work");
        let plan = laid.planned(kit, wishes);
        timings.ended("shopping, doubts");
        plan
    }
}

/// A volume for people to measure out: rounded up to a tenth of a millilitre.
#[must_use]
pub fn measurable(volume: Millilitres) -> Millilitres {
    Millilitres::new((volume.value() * 10.0 - 1e-9).ceil() / 10.0).unwrap_or(volume)
}
