//! What a reader should know before trusting a plan: the kinds of it.

use super::dirt::DirtNote;
use super::mixed::FewerPots;
use super::tones_note::TonesNote;
use crate::colour::DeltaE00;
use crate::depth::Haze;
use crate::mix::{Helpful, LetDownReport};
use crate::paint::{MixingFamily, ScatterMaterial};
use crate::photo::{LightReport, PhotoWarning, Supposed};
use crate::scale_colour::AirNote;
use crate::scatter::{Land, Missing};

/// What a reader should know before trusting the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanNote {
    /// A photo is doubtful.
    Photo {
        /// Its name in the scene.
        photo: String,
        /// What about it.
        warning: PhotoWarning,
    },
    /// No card or chart corrects a photo's light.
    LightUncorrected {
        /// Names of the photos.
        photos: Vec<String>,
    },
    /// What was done about a photo's light.
    Light {
        /// Its name in the scene.
        photo: String,
        /// What.
        report: LightReport,
    },
    /// A known material contradicts the rest of what is known of its photo's light.
    LightDoubt {
        /// The photo's name in the scene.
        photo: String,
        /// How.
        words: String,
    },
    /// What a surface may be made of, and what the photo's light would be then.
    Supposed {
        /// The surface.
        surface: String,
        /// What is supposed.
        supposed: Supposed,
    },
    /// How the tones of a surface lie to what was measured of its material.
    HeldAgainst {
        /// The surface.
        surface: String,
        /// Tone by tone.
        words: String,
    },
    /// A surface whose tones come from measured materials, not from a photo.
    NoPhoto {
        /// The surface.
        surface: String,
        /// Which.
        words: String,
    },
    /// Part of a region is blown out or crushed, and left out of its tones.
    Lost {
        /// The surface.
        surface: String,
        /// Share blown out.
        blown_out: f64,
        /// Share crushed.
        crushed: f64,
    },
    /// A photo's distance is not stated.
    DistanceUnknown {
        /// Its name in the scene.
        photo: String,
    },
    /// Something about the photo's air.
    Air {
        /// The surface.
        surface: String,
        /// What.
        note: AirNote,
    },
    /// Paints that are not mixed.
    NotMixed {
        /// The paint.
        paint: String,
        /// Why.
        reason: crate::paint::NotMixed,
    },
    /// Photos of one surface from different distances: the first one's counts.
    DistancesDiffer {
        /// The surface.
        surface: String,
    },
    /// A photo so dark that its exposure is in doubt.
    Dark {
        /// The surface.
        surface: String,
    },
    /// About the tones of a surface.
    Tones(TonesNote),
    /// No area, hence no quantities.
    AreaUnknown {
        /// The surface.
        surface: String,
    },
    /// A colour the list does not reach.
    OutOfReach {
        /// The surface.
        surface: String,
        /// The tone's name.
        tone: String,
        /// How far the best mix is off.
        difference: DeltaE00,
        /// In which direction.
        falls_short: Option<String>,
    },
    /// The one extra paint that would help most with colours out of reach.
    HelpfulColour(Helpful),
    /// On one surface one medium goes over another.
    MediaOver {
        /// The surface.
        surface: String,
        /// What goes over …
        over: MixingFamily,
        /// … what.
        under: MixingFamily,
    },
    /// Recipes depend on paints whose strength their screen colours do not show.
    LetDownWanted {
        /// The paints.
        paints: Vec<String>,
    },
    /// What a let-down changed.
    LetDown(LetDownReport),
    /// Tones of a photo taken in rain were dried back.
    Dried {
        /// The surface.
        surface: String,
        /// By how much on average.
        by: DeltaE00,
        /// How far that may be off.
        uncertainty: DeltaE00,
    },
    /// What the bands of a photo show of its haze.
    Haze {
        /// The surface.
        surface: String,
        /// What.
        haze: Haze,
        /// True when the plan allows for it, false when the scene's own visibility was.
        used: bool,
    },
    /// Only a colour temperature is known of the lamps.
    LampByTemperature {
        /// The lamps.
        lamp: String,
    },
    /// A surface is to be strewn, and there is no scatter list.
    NoScatterList {
        /// The surface.
        surface: String,
    },
    /// Kinds that a zone is not made of were left out, and its blend is further off for it.
    KindsLeftOut {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// What it is.
        land: Land,
        /// Whether that was guessed.
        guessed: bool,
        /// Their names.
        kinds: Vec<String>,
        /// Differences of the mean: as blended, with them.
        means: [DeltaE00; 2],
        /// Gaps in variety: as blended, with them.
        gaps: [DeltaE00; 2],
    },
    /// What kinds of scatter are was guessed from their names.
    MaterialsGuessed {
        /// Names, and what the program took them for; `None` may be anything.
        kinds: Vec<(String, Option<ScatterMaterial>)>,
    },
    /// Planned colours that no screen of the usual kind shows: their swatches are the nearest it can.
    OutsideScreen {
        /// The surface.
        surface: String,
        /// The tones, counted from 1.
        tones: Vec<usize>,
    },
    /// The list of scatter lacks a kind.
    MissingKind {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// The kind.
        missing: Missing,
    },
    /// The best blend is still far from the zone's mean colour.
    BlendOff {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// How far.
        difference: DeltaE00,
        /// In which direction.
        falls_short: Option<String>,
    },
    /// Fewer pots than the plan would have, by choice.
    FewerPots(FewerPots),
    /// Something about a wash or a place.
    Dirt {
        /// The surface.
        surface: String,
        /// What.
        note: DirtNote,
    },
    /// A listed colour that no surface can have.
    ImpossibleColour {
        /// The paint.
        paint: String,
    },
}
