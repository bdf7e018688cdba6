//! Depth: a hillside in bands from the layout's edge to the backscene.
//!
//! In: where each band lies on the model and how far it was from the camera. Out: the distance each band stands for,
//! the air between it and the eye, the haze of their photo as all bands show it ([`read_air`]), and the colour of a
//! band without as much of that haze as is certain ([`without_haze`]). It knows nothing of scenes and photographs.

mod clear;
mod haze;

pub use clear::{Cleared, without_haze};
pub use haze::{Haze, PhotoAir, SeenBand, read_air};

use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::scale_colour::{
    AirNote, Moved, ScaleColour, ScaleRule, customary_white, thickness, through_more_air,
    with_white_paint,
};
use crate::units::{Metres, Millimetres, ScaleRatio};

/// Where a band lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lies {
    /// How far behind the front edge it lies on the model; `None` is unknown.
    pub model_depth: Option<Millimetres>,
    /// Its own scale, where perspective is forced.
    pub scale: Option<ScaleRatio>,
    /// Camera to it.
    pub from: Option<Metres>,
}

/// A band as the eye over the layout has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedBand {
    /// The full-size distance it stands for.
    pub distance: Metres,
    /// The scale it is built to.
    pub scale: ScaleRatio,
    /// Camera to it.
    pub from: Option<Metres>,
}

/// The distance each band stands for, in the order given: the eye's distance at the scene's scale, then each stretch of
/// depth at the scale of the band it leads to. A band without a depth stands where the one before it does. Our choice.
#[must_use]
pub fn placed(bands: &[Lies], scale: ScaleRatio, view: Millimetres) -> Vec<PlacedBand> {
    let mut distance = scale.full_size(view).value();
    let mut depth = 0.0;
    bands
        .iter()
        .map(|band| {
            let own = band.scale.unwrap_or(scale);
            let to = band.model_depth.map_or(depth, Millimetres::value);
            distance = (distance + (to - depth) / 1000.0 * own.n()).max(0.0);
            depth = to;
            PlacedBand {
                distance: Metres::new(distance).unwrap_or_else(|_| scale.full_size(view)),
                scale: own,
                from: band.from,
            }
        })
        .collect()
}

/// A colour of a band, moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MovedInDepth {
    /// The colour to paint, and what was done about the air.
    pub moved: Moved,
    /// How far the colour may be off because of the photo's haze, in addition to the photo's own uncertainty.
    pub doubt: DeltaE00,
}

/// Moves a colour of a band by the scene's rule. Under `air` the photo's haze is taken out as far as it is known, and
/// the air that the band stands behind is laid over what is left; by custom the band's own scale counts.
#[must_use]
pub fn moved_in_depth(
    colour: LabD65,
    settings: &ScaleColour,
    band: &PlacedBand,
    photo: &PhotoAir,
) -> MovedInDepth {
    let plain = |out: LabD65, note, doubt| MovedInDepth {
        moved: Moved {
            colour: out,
            by: delta_e00(colour, out),
            note,
        },
        doubt,
    };
    match settings.rule {
        ScaleRule::None => plain(colour, AirNote::Added, DeltaE00(0.0)),
        ScaleRule::Customary => plain(
            with_white_paint(colour.into(), customary_white(band.scale)).into(),
            AirNote::Added,
            DeltaE00(0.0),
        ),
        ScaleRule::Air => {
            let cleared = band.from.map_or_else(
                || Cleared::untouched(colour),
                |from| without_haze(colour, from, photo),
            );
            let wanted = thickness(band.distance.value(), settings.visibility);
            let through = |colour| through_more_air(colour, settings.air, wanted).0;
            let out = through(cleared.colour);
            // Air laid over the band hides doubt as it hides colour.
            let hidden = delta_e00(out, through(cleared.doubtful)).0;
            plain(out, cleared.note, DeltaE00(hidden))
        }
    }
}
