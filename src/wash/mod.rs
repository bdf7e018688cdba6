//! Washes: which paints, how thin and in how many passes, so that flats and recesses come near their wanted colours at
//! once over a known base.
//!
//! In: a base, wanted colours and prepared paints. Out: a [`Laying`]: one wash, a pin wash alone, or a filter with a
//! pin wash where one film cannot do both. The model is [`crate::paint::WashPot`]. It knows nothing of photographs,
//! lists and scenes; it names paints by their place in the given slice.
//!
//! Six numbers are wanted and about four can be chosen, so it finds a wash by its colours, never by its recipe:
//! several mixes lie within a unit of each other, and the thickness in recesses (the pool) is given, not found.
//! [`Ambiguity`] says how far that goes.

mod films;
mod narrow;
mod passed;
mod solve;
mod target;
mod thickness;
mod tried;

pub use films::{FilmReading, LaidFilm, LaidFilms};
pub use narrow::worth_stirring;
pub use solve::{
    AS_NEAR, Ambiguity, Laying, NoWash, ONE_FILM_WITHIN, WantedWash, WashPaint, WashPaints,
    WashRecipe, WashSearch, WayOfLaying, solve, solve_film, solve_film_from, solve_from,
};
pub use target::{
    DEFAULT_DARKER, LIGHT_IN_RECESSES, MOST_DARKER, ShadeTaken, default_recess, with_grime,
    without_shade,
};
pub use thickness::{FilmSeen, film_seen};
