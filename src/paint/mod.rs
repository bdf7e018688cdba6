//! Paint: what a list says of each paint, its reflectance, how it absorbs and scatters, and which paints may be
//! mixed.
//!
//! In: the text of a paint list. Out: a checked [`PaintList`], and from it [`Prepared`] paints whose mixes and films
//! can be predicted. It knows nothing of photographs, scenes and files.

mod advice;
mod called;
mod cells;
mod exponential;
mod film;
mod folded;
mod formula;
mod grid;
mod header;
mod join;
mod kubelka_munk;
mod let_down;
mod line;
mod list;
mod list_error;
mod list_note;
mod make;
mod material;
mod measure;
mod medium;
mod named_table;
mod prepared;
mod reading;
mod reflectance;
mod rows;
mod scatter_list;
mod sheet;
mod sheet_size;
mod shown;
mod table;
mod tidy;
mod values;
mod words;

pub use advice::{ListAdvice, advice};
pub use called::{Called, called};
pub use film::{
    BRUSHED_COAT, DEFAULT_POOL, FILM_OF_A_WASH, FILM_READ_WITHIN, FILM_WITHIN, Film, FilmDoubt,
    Films, Ground, Wash, WashPot, wash_over, within_in_recesses,
};
pub use formula::without_formula;
pub use join::{Contradiction, JoinedList, join};
pub use kubelka_munk::{
    PaintSurface, absorption_over_scattering, endless_layer, endless_layer_slopes, endless_layers,
    film_over, infinite_reflectance,
};
pub use let_down::{
    DISAGREES, Done, Doubtful, ScatteringTold, SeenAs, Sight, scattering_told, which_is_doubtful,
};
pub use list::{
    ColourSource, Finish, LetDown, LetDownColour, ListReading, NotMixed, Opacity, OverCards, Paint,
    PaintEffect, PaintList, ReadNamedFile, parse_spectrum,
};
pub use list_error::ListError;
pub use list_note::ListNote;
pub use make::Make;
pub use material::ScatterMaterial;
pub use medium::{Medium, MixingFamily, medium_meant, over_advice};
pub use named_table::{NamedTable, TableNotWritten};
pub use prepared::{MixtureError, Prepared, opaque_mix, opaque_reflectance};
pub use reflectance::{Reconstructed, reconstruct};
pub use scatter_list::{ColourFrom, Grain, ScatterItem, ScatterList};
pub use table::{ListChange, ListRow, ListWriteError, list_cells, list_text, with_changes};
