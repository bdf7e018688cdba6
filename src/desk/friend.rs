//! A schedule from a friend: solves it again for the paints of this layout.

use super::desk::Desk;
use super::refused::Refused;
use crate::mix::Search;
use crate::plan::{Kit, Wishes};
use crate::report::{View, plan_file, schedule_html};
use crate::share::{
    MOST_BYTES, Relation, compare, looks_received, read_plan, received, surface_words,
};
use crate::work::{Meter, Timings};
use serde_json::{Value, json};
use std::time::Duration;

/// What a schedule from elsewhere may take before it is refused. Our choice.
const STRANGERS_MAY_TAKE: Duration = Duration::from_secs(20);

/// The page of a received plan for other paints, and the message about it. Of the kit, paints and scatter count.
///
/// # Errors
/// [`Refused`] if it is not a schedule, or needs too much work.
pub fn solved_again(
    name: &str,
    bytes: &[u8],
    kit: &Kit<'_>,
    date: &str,
) -> Result<(String, Value), Refused> {
    if bytes.len() as u64 > MOST_BYTES || !looks_received(bytes) {
        return Err(Refused::words(format!(
            "found that \"{name}\" is not a schedule, expected the schedule.html or plan.json of a friend"
        )));
    }
    let theirs = read_plan(name, bytes).map_err(|faults| Refused::faults(&faults))?;
    let rebuilt = received(&theirs).map_err(|fault| Refused::words(fault.to_string()))?;
    // A few bytes that stay for as long as the program runs, one a schedule that is dropped in.
    let meter: &'static Meter = Box::leak(Box::new(Meter::new(Some(STRANGERS_MAY_TAKE))));
    let wishes = Wishes::from(Search {
        meter: Some(meter),
        ..Search::default()
    });
    let title = rebuilt.toned.layout.title.clone();
    let paints = kit.paints.paints().len();
    let solved = rebuilt.planned(kit, &wishes, &Timings::default());
    if meter.stopped().is_some() {
        return Err(Refused::words(format!(
            "found that \"{name}\" asks for more work than {} s, expected less",
            STRANGERS_MAY_TAKE.as_secs()
        )));
    }
    let mut data = plan_file(&solved, date);
    let comparison = compare(&theirs, &data, Relation::AnotherBuilder);
    let near: Vec<Value> = comparison
        .surfaces
        .iter()
        .map(|surface| json!({ "name": surface.name, "words": surface_words(surface) }))
        .collect();
    let view = View::new(&solved, date).held_against(&comparison);
    data.compared = Some(comparison);
    let page = schedule_html(&view, &data).map_err(|e| Refused::words(e.to_string()))?;
    let told = json!({ "title": title, "paints": paints, "near": near });
    Ok((page, told))
}

impl Desk {
    /// The page of a friend's schedule for this layout's paints, and the message about it.
    ///
    /// # Errors
    /// [`Refused`] if it is not a schedule, or needs too much work.
    pub fn friend(&self, name: &str, bytes: &[u8], date: &str) -> Result<(String, Value), Refused> {
        let paints = self.paints();
        let listed = paints.as_ref().as_ref().map_err(Refused::words)?;
        let scatter = self.scatter(&self.opened().scene)?;
        let kit = Kit {
            scatter: scatter.as_ref(),
            ..Kit::new(&listed.list, listed.shelf())
        };
        solved_again(name, bytes, &kit, date)
    }
}
