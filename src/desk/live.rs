//! Live answers: the tones of the current drawing, and mixes for them.
//!
//! While the user drags something, sums follow it and colours keep their sorting; once it rests, tones are counted
//! from finer bins and chosen again.

use super::desk::Desk;
use super::drawing::{DrawnLike, DrawnPart};
use super::lane::QuestionLane;
use super::map::{BESIDE_SIDE, MAP_SIDE, told_maps, two_in};
use super::refused::{Refused, lab};
use super::said::groups_in;
use crate::colour::{LabD65, parse_colour};
use crate::mix::{Closeness, Search, Shelf};
use crate::plan::{is_left_to_lamps, tones_like};
use crate::region::RegionError;
use crate::scale_colour::{SeenFrom, moved};
use crate::scene::ShadeWish;
use crate::tones::{Bin, Count, Part, Tones, TonesError, bins_for, together};
use crate::units::Metres;
use crate::wet::dried;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::fmt::Write;

/// Most colours in one question for mixes.
const MOST_COLOURS: usize = 24;
/// Most paints of a mix that must be fast.
const QUICK_PAINTS: usize = 2;

/// A question about tones.
#[derive(Debug, Deserialize)]
pub struct AskTones {
    /// The page's own number of the surface.
    #[serde(default)]
    surface: u64,
    parts: Vec<DrawnPart>,
    /// The measured material it is like, where it has no photo.
    #[serde(default)]
    like: Option<DrawnLike>,
    tones: Option<usize>,
    /// What is to become of shades: a word of the scene's key.
    #[serde(default)]
    shade: Option<String>,
    /// Which tones are joined, in the form of the scene's key (see `said.rs`).
    #[serde(default)]
    alike: Option<String>,
    /// Something is being dragged: quick and a little coarser will do.
    #[serde(default)]
    pub(super) rough: bool,
    /// Answer where each tone is, too.
    #[serde(default)]
    map: bool,
}

impl AskTones {
    /// Whether something is being dragged.
    #[must_use]
    pub fn is_rough(&self) -> bool {
        self.rough
    }

    fn count(&self) -> Count {
        self.tones.map_or(Count::Chosen, Count::Exactly)
    }

    /// Groups of colours that name tones that are one; it leaves out what is not a colour: saving reports it.
    fn alike(&self) -> Vec<Vec<LabD65>> {
        let groups = groups_in(self.alike.as_deref().unwrap_or_default());
        let colours =
            groups.map(|group| group.filter_map(|text| parse_colour(text).ok()).collect());
        colours
            .filter(|group: &Vec<LabD65>| group.len() > 1)
            .collect()
    }
}

/// A question about where one tone is seen.
#[derive(Debug, Deserialize)]
pub struct AskPieces {
    #[serde(flatten)]
    of: AskTones,
    /// Its place in the list of tones.
    tone: usize,
}

/// A question about mixes.
#[derive(Debug, Deserialize)]
pub struct AskRecipes {
    colours: Vec<[f64; 3]>,
    /// Something is being dragged: mixes of few paints will do.
    #[serde(default)]
    quick: bool,
}

#[derive(Debug, Serialize)]
struct JoinedAnswer {
    hex: String,
    share: f64,
}

#[derive(Debug, Serialize)]
struct ToneAnswer {
    lab: [f64; 3],
    hex: String,
    share: f64,
    name: &'static str,
    role: &'static str,
    /// The tone whose shade it is, or may be.
    shade_of: Option<usize>,
    /// Whether it is not painted, for the lamps cast it.
    left_to_lamps: bool,
    /// What it was before it was joined.
    joined: Vec<JoinedAnswer>,
    /// Places of the groups that name it.
    named_by: Vec<usize>,
    planned: [f64; 3],
    planned_hex: String,
}

/// What was counted in the parts of a surface.
#[derive(Default)]
struct Taken {
    parts: Vec<Part>,
    blown_out: f64,
    crushed: f64,
    /// From where the first photo was taken, and whether it was wet there.
    from: Option<Metres>,
    wet: bool,
    /// What must be as it was for colours to be sorted as they were.
    whose: String,
}

impl Desk {
    /// The tones of a surface as drawn.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn tones(
        &self,
        ask: &AskTones,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        if let Some(like) = &ask.like {
            return self.tones_like(ask, like);
        }
        let taken = self.taken(ask, lane)?;
        // What moves is answered once begun, or nothing would be seen of a swift drag.
        if !ask.rough && lane.is_stale(number) {
            return Err(Refused::Stale);
        }
        let bins: Vec<Bin> = match taken.parts.as_slice() {
            [one] => one.bins.clone(),
            [] => return Err(Refused::of_problem(&TonesError::NoPixels)),
            several => together(several).parts.concat(),
        };
        let alike = ask.alike();
        let how = (ask.count(), &alike[..]);
        let whose = taken.whose.clone();
        let (tones, maps, coarse) = if ask.rough {
            let tones = lane.follow.tones(whose, &bins, how);
            (
                tones.map_err(|e| Refused::of_problem(&e))?,
                Vec::new(),
                Vec::new(),
            )
        } else {
            let sorted = lane.follow.tones_anew(whose, &bins, how);
            let sorted = sorted.map_err(|e| Refused::of_problem(&e))?;
            let maps = |side| {
                if ask.map {
                    self.tone_maps(&ask.parts, &taken.parts, &sorted, side)
                } else {
                    Ok(Vec::new())
                }
            };
            let (fine, coarse) = (maps(MAP_SIDE)?, maps(BESIDE_SIDE)?);
            (sorted.tones, fine, coarse)
        };
        Ok(json!({
            "tones": self.tone_answers(ask, &taken, &tones),
            "maps": told_maps(&ask.parts, &maps),
            "two": two_in(&ask.parts, &coarse, &tones),
            "not_found": not_found(&tones),
            "blown_out": taken.blown_out,
            "crushed": taken.crushed,
        }))
    }

    /// The pieces in which a tone of a surface is seen, as outlines on the photos: what may be left out of it, or be a
    /// surface of its own.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn pieces(
        &self,
        ask: &AskPieces,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        let taken = self.taken(&ask.of, lane)?;
        let bins: Vec<Bin> = match taken.parts.as_slice() {
            [one] => one.bins.clone(),
            several => together(several).parts.concat(),
        };
        let alike = ask.of.alike();
        let sorted = lane
            .follow
            .tones_anew(taken.whose.clone(), &bins, (ask.of.count(), &alike))
            .map_err(|e| Refused::of_problem(&e))?;
        let pieces = self.pieces_of(&ask.of.parts, &taken.parts, &sorted, ask.tone)?;
        Ok(json!({ "pieces": pieces }))
    }

    /// The tones of a surface without a photo.
    fn tones_like(&self, ask: &AskTones, like: &DrawnLike) -> Result<Value, Refused> {
        let state = like.state().ok_or_else(|| {
            Refused::words(format!("found no measured material \"{}\"", like.from))
        })?;
        let tones = self.tone_answers(ask, &Taken::default(), &tones_like(&state));
        Ok(json!({ "tones": tones, "blown_out": 0.0, "crushed": 0.0 }))
    }

    fn taken(&self, ask: &AskTones, lane: &QuestionLane) -> Result<Taken, Refused> {
        let mut taken = Taken {
            parts: Vec::new(),
            blown_out: 0.0,
            crushed: 0.0,
            from: None,
            wet: false,
            whose: format!("{} {:?} {:?}", ask.surface, ask.tones, ask.alike),
        };
        for (at, part) in ask.parts.iter().enumerate() {
            let region = part
                .region()
                .map_err(|e: RegionError| Refused::of_problem(&e))?;
            let counted = self.with_photo(&part.photo, |loaded, source| {
                if at == 0 {
                    (taken.from, taken.wet) = (source.from, source.wet);
                }
                let _ = write!(taken.whose, "\n{} {:?}", source.file, loaded.light());
                let counted = if ask.rough {
                    lane.follow.counted(at, &source.file, loaded, &region)
                } else if ask.count() == Count::Chosen {
                    bins_for(&loaded.picture, &region, Count::Chosen)
                } else {
                    loaded.tiles.counted(&loaded.picture, &region)
                };
                (counted, loaded.report.uncertainty)
            })?;
            let (counted, uncertainty) = counted;
            if counted.bins.is_empty() {
                return Err(Refused::of_problem(&TonesError::NoPixels));
            }
            taken.blown_out = taken.blown_out.max(counted.blown_out);
            taken.crushed = taken.crushed.max(counted.crushed);
            taken.parts.push(Part {
                bins: counted.bins,
                uncertainty,
            });
        }
        Ok(taken)
    }

    fn tone_answers(&self, ask: &AskTones, taken: &Taken, tones: &Tones) -> Vec<ToneAnswer> {
        let opened = self.opened();
        let scene = &opened.scene;
        let wish = match ask.shade.as_deref() {
            Some("join") => Some(ShadeWish::Join),
            Some("keep") => Some(ShadeWish::Keep),
            Some("ask") => Some(ShadeWish::Ask),
            _ => None,
        };
        let eye = SeenFrom {
            scale: scene.scale,
            view: scene.view,
            from: taken.from,
        };
        let told = |tone: &crate::tones::Tone| {
            let dry = if taken.wet {
                dried(tone.colour).colour
            } else {
                tone.colour
            };
            let mut planned = moved(dry, &scene.scale_colour, &eye);
            if !scene.visibility_stated {
                planned = planned.with_haze_left(dry).0;
            }
            let planned = planned.colour;
            ToneAnswer {
                lab: lab(tone.colour),
                hex: tone.colour.to_srgb8().to_string(),
                share: tone.share.value(),
                name: tone.name,
                role: tone.role.word(),
                shade_of: tone.shade_of.as_ref().map(|shade| shade.lit),
                left_to_lamps: tone
                    .shade_of
                    .as_ref()
                    .is_some_and(|shade| is_left_to_lamps(wish, shade)),
                joined: tone
                    .joined
                    .iter()
                    .map(|part| JoinedAnswer {
                        hex: part.colour.to_srgb8().to_string(),
                        share: part.share.value(),
                    })
                    .collect(),
                named_by: tone.named_by.clone(),
                planned: lab(planned),
                planned_hex: planned.to_srgb8().to_string(),
            }
        };
        tones.tones.iter().map(told).collect()
    }

    /// The soundest mix for each colour.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn recipes(
        &self,
        ask: &AskRecipes,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        let paints = self.paints();
        let shelf = (paints.as_ref().as_ref()).map_err(Refused::words)?.shelf();
        if ask.colours.len() > MOST_COLOURS || ask.colours.iter().flatten().any(|v| !v.is_finite())
        {
            return Err(Refused::words("found something that is not a colour"));
        }
        let mut search = Search::default();
        if ask.quick {
            search.most_paints = QUICK_PAINTS;
        }
        let found: Vec<Option<Value>> = ask
            .colours
            .par_iter()
            .map(|[l, a, b]| {
                if lane.is_stale(number) {
                    return None;
                }
                let target = LabD65 {
                    l: *l,
                    a: *a,
                    b: *b,
                };
                Some(recipe(shelf, target, &search))
            })
            .collect();
        let recipes: Option<Vec<Value>> = found.into_iter().collect();
        recipes
            .map(|recipes| json!({ "recipes": recipes }))
            .ok_or(Refused::Stale)
    }
}

/// Joined tones that are not all there: the colours named, and those without a tone.
fn not_found(tones: &Tones) -> Vec<Value> {
    let codes = |colours: &[LabD65]| -> Vec<String> {
        let codes = colours.iter().map(|colour| colour.to_srgb8().to_string());
        codes.collect()
    };
    let told = tones.not_found.iter();
    told.map(|of| json!({ "named": codes(&of.named), "missing": codes(&of.missing) }))
        .collect()
}

fn recipe(shelf: &Shelf, target: LabD65, search: &Search) -> Value {
    let found = shelf.recipes_near(target, search);
    let Some(first) = found.first() else {
        return Value::Null;
    };
    let parts: Vec<Value> = first
        .parts
        .iter()
        .map(|(at, parts)| json!({ "name": shelf[*at].name, "parts": parts }))
        .collect();
    json!({
        "paints": parts,
        "hex": first.colour.to_srgb8().to_string(),
        "de2000": first.difference.0,
        "uncertainty": first.uncertainty.0,
        "words": Closeness::of_difference(first.difference).words(),
    })
}
