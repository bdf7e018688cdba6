//! A material that the user rubs on a photo: the outline of what is like it.

use super::alike::{Stroke, rubbed};
use super::desk::Desk;
use super::lane::QuestionLane;
use super::refused::Refused;
use crate::colour::plain_name;
use serde::Deserialize;
use serde_json::{Value, json};

/// Most points of a rub.
const MOST_POINTS: usize = 20_000;

/// A rub so far.
#[derive(Debug, Deserialize)]
pub struct AskRub {
    photo: String,
    strokes: Vec<Stroke>,
    /// How far alike reaches; 1 is the usual way.
    #[serde(default = "usual")]
    reach: f64,
}

fn usual() -> f64 {
    1.0
}

impl Desk {
    /// The outline of the rubbed thing, and its colour.
    ///
    /// # Errors
    /// [`Refused`]; also when the rub means nothing.
    pub fn rub(&self, ask: &AskRub, lane: &QuestionLane, number: u64) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        let points = ask.strokes.iter().flat_map(|stroke| &stroke.points);
        if points.clone().count() > MOST_POINTS {
            return Err(Refused::words(
                "found a rub that is too long, expected a shorter one",
            ));
        }
        if points.flatten().any(|v| !(0.0..=1.0).contains(v)) || !ask.reach.is_finite() {
            return Err(Refused::words("found a rub outside the photo"));
        }
        let found = self.with_photo(&ask.photo, |loaded, _| {
            rubbed(&loaded.picture, &ask.strokes, ask.reach)
        })?;
        let found = found
            .ok_or_else(|| Refused::words("found nothing like what you rubbed: rub more of it"))?;
        Ok(json!({
            "outline": found.region.outline,
            "leave_out": found.region.leave_out,
            "hex": found.colour.to_srgb8().to_string(),
            "name": plain_name(found.colour),
            "spread": found.spread,
        }))
    }
}
