//! Tones: the few colours a builder sees in a surface, with the share of its area that each covers.
//!
//! In: a picture and a region of it. Out: [`Tones`], sorted by share, the same for the same input. It refuses to know
//! of paint, scale and files.
//!
//! The way: a colour histogram of 6 bits a channel that keeps the true mean of each bin; profile and colour conversion
//! a bin, not a pixel. If the user gives a number: weighted k-means in Oklab with a and b doubled. Otherwise the
//! program looks at a region twice. From afar, in small blocks, tones are heaps of colour that stand apart; if these
//! do not explain the colours, the fewest groups that do. From near, grain is smoothed, blurred borders do not count
//! and joints have their own colour; here tones get their colours, and new ones are added until nearly everything
//! lies within a painter's tolerance of its tone. Then it separates light and shade of one material from two
//! materials, and gives each tone its name and role.

mod choose;
mod count;
mod describe;
mod follow;
mod group;
mod sort;
mod space;
mod together;
mod tone;

pub use choose::joined::{JoinedTone, NotFound};
pub use choose::making::{ChoiceStep, MOST_CHOSEN, StepTaken};
pub use count::afar::{bins_and_windows, bins_for};
pub use count::histogram::{Bin, Counted, bins_of};
pub use count::near::mixed_share;
pub use describe::map::{ColourGrid, PANEL, ToneMap, map_of, map_sheet, mixed_panel};
pub use describe::shade::{Likeness, ShadeOf, ShadingLine, likeness, shading_line};
pub use describe::side_by_side::{Side, SideBySide, side_by_side};
pub use describe::variety::{TENTH, Variety, WindowColours, Wish};
pub use describe::whereabouts::{Third, Whereabouts};
pub use follow::region::Moving;
pub use follow::sorted_colours::SortedColours;
pub use follow::tiles::Tiles;
pub use group::k_means::{Clustering, Grouped, group};
pub use group::rounds::WeightedColour;
pub use sort::{curve, sorted, sorted_to_hold, tones_of, tones_of_bins};
pub use together::{Part, PartNote, Together, together};
pub use tone::{Count, MOST_TONES, Role, Sorted, Tone, Tones, TonesError};
