//! Dirt: washes, rock schemes and the places where dirt gathers.
//!
//! In: surfaces with their planned tones, the scene's wishes and the shelf. Out: a [`WashPlan`], [`RockPlan`] and
//! [`PlacePlan`]s for each surface, with their doubts as [`DirtNote`]s.

mod blend;
mod check;
mod lay;
mod places;
mod rocks;
mod steps;
mod uses;
mod washes;
mod ways;

pub use blend::{Amounts, Thinned, ThinnedMix, WASH_ML_PER_CM2_AND_PASS, WashBlend};
pub use check::{DirtError, check_dirt};
pub use places::{PlacePlan, PlacedBy};
pub use rocks::{RockPlan, RockStepPlan};
pub use steps::DirtStep;
pub use washes::{BaseFrom, GrimeStep, WashPlan};

pub(super) use lay::{lay, unpainted};
pub(super) use steps::steps;
pub(super) use uses::uses;
pub(super) use washes::{clean_base, tone_of_the_wash};
pub(super) use ways::{FilmNeeded, Shelves, films_needed};

use places::places;
use rocks::{rock, scheme_of};
use washes::wash;

use crate::colour::{DeltaE00, LabD65};
use crate::mix::{PaintId, Shelf};
use crate::scene::Technique;
use crate::wash::{NoWash, ShadeTaken, WashPaint};

/// Washes, rock and places of a surface.
#[derive(Debug)]
pub struct Dirt {
    /// The wash over it.
    pub wash: Option<WashPlan>,
    /// Its rock scheme.
    pub rock: Option<RockPlan>,
    /// Where dirt gathers on it.
    pub places: Vec<PlacePlan>,
    /// What is doubtful about all that.
    pub notes: Vec<DirtNote>,
}

impl Dirt {
    /// The wash over the surface, and the dark wash of its rock.
    pub fn washes(&self) -> impl Iterator<Item = &WashPlan> {
        let of_rock = self.rock.iter().filter_map(|rock| rock.wash.as_ref());
        self.wash.iter().chain(of_rock)
    }
}

/// What a reader should know before trusting a wash or a place.
#[derive(Debug, Clone, PartialEq)]
pub enum DirtNote {
    /// Neither photo nor scene gives the recesses: a usual one was planned for.
    RecessUnknown,
    /// A photographed recess was freed of shadow.
    Shade(ShadeTaken),
    /// The wash falls short of the wanted colours.
    FallsShort {
        /// On flats.
        flat: DeltaE00,
        /// In recesses.
        recess: DeltaE00,
        /// In which direction, of the worse of the two.
        how: Option<String>,
        /// Lighter was wanted than any wash of this list reaches over this base.
        base_too_dark: bool,
    },
    /// A pale wash of transparent paint hardly shows.
    PaleOfTransparent {
        /// The paints.
        paints: Vec<String>,
    },
    /// The grime dial stands at 0.
    NoGrime,
    /// More or less grime than photographed, by choice.
    Grime {
        /// The dial.
        grime: f64,
    },
    /// Dried patches showed how thick the wash lies.
    FilmRead {
        /// Wet film against a brushed coat.
        film: f64,
        /// The patches.
        patches: u32,
    },
    /// No paint on the list can be washed with.
    NothingToWash,
    /// No wash from this list brings the base nearer to the wanted colour.
    NoUsefulWash {
        /// The place it was for; `None` for the wash over everything.
        place: Option<String>,
        /// A paint of about this colour would help.
        near: Option<LabD65>,
    },
    /// The base is as wanted already.
    WashNotNeeded {
        /// The place it was for; `None` for the wash over everything.
        place: Option<String>,
    },
    /// A place without a known colour: a usual one was planned.
    PlaceColour {
        /// The place.
        place: String,
    },
    /// A place whose technique is not given: one was taken by its name.
    PlaceTechnique {
        /// The place.
        place: String,
        /// What was taken.
        technique: Technique,
        /// The word of its name that decided; `None` when none did.
        by: Option<String>,
    },
    /// A place without a known share.
    PlaceShare {
        /// The place.
        place: String,
        /// What was taken.
        share: f64,
    },
    /// Powder is wanted, and the list has none.
    NoPowder {
        /// The place.
        place: String,
    },
    /// The list's paint is far from the place's colour.
    PlaceFar {
        /// The place.
        place: String,
        /// How far.
        off: DeltaE00,
    },
}

/// The shelf as the wash solver takes it: paints by family, the largest first.
struct WashShelf<'a> {
    paints: Vec<WashPaint<'a>>,
    /// Place in [`Shelf::stocks`] of each.
    at: Vec<PaintId>,
}

impl DirtNote {
    /// Why there is no wash, or no film in a place.
    fn no_wash(why: NoWash, place: Option<String>) -> Self {
        match why {
            NoWash::NoPaint => Self::NothingToWash,
            NoWash::NotNeeded => Self::WashNotNeeded { place },
            NoWash::NoneHelps { near } => Self::NoUsefulWash { place, near },
        }
    }
}

impl<'a> WashShelf<'a> {
    fn new(shelf: &'a Shelf) -> Self {
        let at: Vec<PaintId> = shelf
            .families()
            .iter()
            .flat_map(|(_, members)| members.iter().copied())
            .collect();
        let paints = at
            .iter()
            .map(|at| {
                let stock = &shelf[*at];
                WashPaint {
                    prepared: &stock.prepared,
                    family: stock.family,
                    opacity: stock.opacity,
                }
            })
            .collect();
        Self { paints, at }
    }
}
