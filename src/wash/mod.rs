//! Washes: which paints, how thin and in how many passes, so that flats and recesses come near their wanted colours at
//! once over a known base.
//!
//! In: a base, wanted colours and prepared paints. Out: a [`Laying`]: one wash, a pin wash alone, or a filter with a
//! pin wash where one film cannot do both. The model is [`crate::paint::WashPot`]. It refuses to know of photographs,
//! lists and scenes; paints are told by their place in the slice that was handed in.
//!
//! Six numbers are wanted and about four can be chosen, so a wash is found by its colours, never by its recipe: several
//! mixes lie within a unit of each other, and thickness in recesses (the pool) is taken, not found. [`Ambiguity`] says
//! how far that goes.

mod films;
mod narrow;
mod solve;
mod target;
mod thickness;

pub use films::{FilmReading, LaidFilm, LaidFilms};
pub use narrow::worth_stirring;
pub use solve::{
    AS_NEAR, Ambiguity, Laying, NoWash, ONE_FILM_WITHIN, WantedWash, WashPaint, WashRecipe,
    WashSearch, WayOfLaying, solve, solve_film,
};
pub use target::{
    DEFAULT_DARKER, LIGHT_IN_RECESSES, MOST_DARKER, ShadeTaken, default_recess, with_grime,
    without_shade,
};
pub use thickness::{FilmSeen, film_seen};
