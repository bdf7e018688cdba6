//! Photographs of real brick, stone, roofs and hillsides in; a colour schedule for a scale layout out.
//!
//! The flow, one direction only:
//!
//! ```text
//! scene file ─┐
//! photos ─────┤→ photo (decode, turn, profile) → region → tones (group, share, name)
//! paint list ─┘→ paint (reflectance, K and S, medium)         ↓
//!                                                     scale_colour
//!                                                             ↓
//!                                   mix (opaque recipes in whole parts)
//!                                                             ↓
//!                  plan (surfaces, pots, quantities, shopping, order of work, cautions)
//!                                                             ↓
//!                                report (HTML, JSON, CSV) · files
//! ```
//!
//! | module | in → out |
//! |---|---|
//! | [`problem`] | how anything that went wrong is told |
//! | [`work`] | long work that is watched |
//! | [`units`] | text with units → lengths, areas, volumes, scales |
//! | [`linear`] | small systems of equations |
//! | [`colour`] | spectra, CIE XYZ, CIELAB, Oklab, sRGB, CIEDE2000, names |
//! | [`materials`] | a name → a measured outdoor material |
//! | [`region`] | outlines → runs of pixels |
//! | [`photo`] | bytes → an upright picture with a known encoding |
//! | [`paint`] | list text → paints, and how they mix and lie as films |
//! | [`card`] | a photographed card of paints → the colour of each cell |
//! | [`tones`] | a picture and a region → the few colours a builder sees |
//! | [`scale_colour`] | a colour and a viewing distance → the colour to paint |
//! | [`lamps`] | a lamp and reflectances → colours under it |
//! | [`wet`] | the colour of a wet surface → its dry one |
//! | [`depth`] | bands of a hillside → the air between |
//! | [`scatter`] | tones and kinds of scatter → a blend |
//! | [`mix`] | a colour and a shelf → recipes, each with its uncertainty |
//! | [`wash`] | a base, wanted flats and recesses, paints → how to wash it |
//! | [`rock`] | the tones of a rock → undercoat, tints, dark wash, light |
//! | [`scene`] | TOML text → a checked scene |
//! | [`plan`] | scene, photos, paints → the plan |
//! | [`patch`] | a photo of a dried patch → how close it came, what to add to the pot |
//! | [`share`] | a plan ↔ `plan.json`; received plans, two plans compared |
//! | [`report`] | the plan → page and data files, as bytes |
//! | [`files`] | paths ↔ bytes; the only reader and writer |
//! | [`desk`] | what the page of a layout asks → answers, and the scene with what was drawn in it |
//! | [`site`] | the page's files, the core for browsers → the page in one file, or a web space's |
//! | [`server`] | the page of a layout, for this machine alone |
//! | [`workshop`] | a scene file and all it names, read; its schedule, written |
//! | `web` | the same page, in a browser alone: built for WebAssembly only |
//!
//! Colours are under D65 for the CIE 1931 2° observer; differences are CIEDE2000.
//!
//! # A schedule, stage by stage
//!
//! Each stage is a complete value that nothing changes later; [`schedule`] makes all of them at once.
//!
//! ```
//! use hillwash::mix::Shelf;
//! use hillwash::paint::PaintList;
//! use hillwash::photo::Limits;
//! use hillwash::plan::{Kit, PhotoBytes, Wishes, sight};
//! use hillwash::scene::{MayName, parse_scene};
//!
//! # fn main() -> Result<(), Vec<Box<dyn hillwash::problem::Explain>>> {
//! # fn all<E: hillwash::problem::Explain + 'static>(faults: Vec<E>) -> Vec<Box<dyn hillwash::problem::Explain>> {
//! #     faults.into_iter().map(|fault| Box::new(fault) as Box<dyn hillwash::problem::Explain>).collect()
//! # }
//! let scene = r##"
//!     title = "A road"
//!     scale = "1:87"
//!     paints = "paints.csv"
//!     [[surface]]
//!     name = "Road"
//!     like = "asphalt road, worn"
//!     area = "90 cm2"
//! "##;
//! let list = "name,hex,medium,opacity\nwhite,#f2f1ec,acrylic,opaque\nblack,#262524,acrylic,opaque\nraw umber,#6b5a41,acrylic,\n";
//! let paints = PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())).map_err(all)?;
//! let shelf = Shelf::new(&paints);
//! let kit = Kit::new(&paints, &shelf);
//! let wishes = Wishes::default();
//! let photos: Vec<Vec<u8>> = Vec::new(); // this scene needs none
//!
//! let scene = parse_scene("scene.toml", scene.as_bytes(), MayName::ItsFolder).map_err(all)?;
//! let sighted = sight(&scene, &photos, &Limits::default()).map_err(all)?;
//! let toned = sighted.toned(&scene, &paints).map_err(all)?;
//! let mixed = toned.mixed(&kit, &wishes);
//! let laid = mixed.laid(&kit, &wishes.search);
//! let plan = laid.planned(kit, &wishes);
//!
//! assert_eq!(plan.surfaces[0].wanted.name, "Road");
//! assert!(!plan.pots.is_empty() && !plan.work.is_empty());
//! # Ok(())
//! # }
//! ```
//!
//! # One colour
//!
//! ```
//! use hillwash::colour::parse_colour;
//! use hillwash::mix::{Search, Shelf};
//! use hillwash::paint::PaintList;
//!
//! let list = "name,hex,medium,opacity\nwhite,#f2f1ec,acrylic,opaque\nraw umber,#6b5a41,acrylic,\n";
//! let paints = PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
//! let shelf = Shelf::new(&paints);
//! let target = parse_colour("#a89a80").unwrap();
//! let best = &shelf.recipes_near(target, &Search::default())[0];
//! assert_eq!(best.parts.len(), 2);
//! ```

pub mod brushed;
pub mod card;
pub mod colour;
pub mod depth;
pub mod desk;
#[cfg(not(target_family = "wasm"))]
pub mod files;
pub mod lamps;
pub mod linear;
pub mod materials;
pub mod mix;
pub mod paint;
pub mod patch;
pub mod photo;
pub mod plan;
pub mod problem;
pub mod region;
pub mod report;
pub mod rock;
pub mod scale_colour;
pub mod scatter;
pub mod scene;
#[cfg(not(target_family = "wasm"))]
pub mod server;
pub mod share;
#[cfg(not(target_family = "wasm"))]
pub mod site;
pub mod tones;
pub mod units;
pub mod wash;
#[cfg(target_family = "wasm")]
pub mod web;
pub mod wet;
pub mod work;
#[cfg(not(target_family = "wasm"))]
pub mod workshop;

pub use plan::{Inputs, schedule};
