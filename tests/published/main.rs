//! The library against numbers that were published, or computed, outside it.
//!
//! One file a subject. The numbers lie in `data/`, each file headed by its source and by what it cannot show. Every
//! check gathers all rows that miss and names them.

mod cases;
mod ciede2000;
mod colour_vision;
mod illuminants;
mod kubelka_munk;
mod lamps;
mod misses;
mod mixing_cases;
mod munsell;
mod names;
mod srgb;
mod table;
mod visibility;
