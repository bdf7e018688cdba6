//! Depth: a hillside in bands from the layout's edge to the backscene.
//!
//! In: where each band lies on the model and how far it was from the camera. Out: the distance each band stands for, the
//! air between it and the eye, and the haze that a photo itself tells. It refuses to know of scenes and photographs.

use crate::colour::{LabD65, Xyz, delta_e00};
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
pub struct Placed {
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
pub fn placed(bands: &[Lies], scale: ScaleRatio, view: Millimetres) -> Vec<Placed> {
    let mut distance = scale.full_size(view).value();
    let mut depth = 0.0;
    bands
        .iter()
        .map(|band| {
            let own = band.scale.unwrap_or(scale);
            let to = band.model_depth.map_or(depth, Millimetres::value);
            distance = (distance + (to - depth) / 1000.0 * own.n()).max(0.0);
            depth = to;
            Placed {
                distance: Metres::new(distance).unwrap_or_else(|_| scale.full_size(view)),
                scale: own,
                from: band.from,
            }
        })
        .collect()
}

/// Moves a colour of a band by the scene's rule: air from where the band stands, the photo's own air, at the visibility
/// of its day, subtracted. By custom the band's own scale counts.
#[must_use]
pub fn moved_in_depth(
    colour: LabD65,
    settings: &ScaleColour,
    band: &Placed,
    photo_visibility: Metres,
) -> Moved {
    let (out, note) = match settings.rule {
        ScaleRule::None => (colour, AirNote::Added),
        ScaleRule::Customary => (
            with_white_paint(colour.into(), customary_white(band.scale)).into(),
            AirNote::Added,
        ),
        ScaleRule::Air => {
            let own = band
                .from
                .map_or(0.0, |from| thickness(from.value(), photo_visibility));
            let wanted = thickness(band.distance.value(), settings.visibility);
            through_more_air(colour, settings.air, wanted - own)
        }
    };
    Moved {
        colour: out,
        by: delta_e00(colour, out),
        note,
    }
}

/// The haze a photo tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Haze {
    /// The visibility of its day.
    pub visibility: Metres,
    /// The nearer of the two distances it was read from.
    pub near: Metres,
    /// The farther.
    pub far: Metres,
}

/// The least visibility that is believed, and the most that matters, metres.
const BELIEVED: [f64; 2] = [200.0, 100_000.0];

/// Reads the haze from the darkest tones of two bands at known distances: shadows are as good as black near by, and what
/// lightens them far off is air. How much nearer to the colour of the air the far shadow has come gives the extinction.
///
/// `None` where the far one is no nearer to the air, the distances are alike, or the result is past belief: then the
/// two are of different stuff, or one is in the sun.
///
/// # Source
/// Koschmieder 1924 for the two distances; that shadows are alike is our assumption.
#[must_use]
pub fn haze_between(near: (LabD65, Metres), far: (LabD65, Metres), air: LabD65) -> Option<Haze> {
    let air = Xyz::from(air);
    let short = |colour: LabD65| air.y - Xyz::from(colour).y;
    let (left_near, left_far) = (short(near.0), short(far.0));
    let length = far.1.value() - near.1.value();
    if length <= 0.0 || left_near <= 0.0 || left_far <= 0.0 || left_far >= left_near {
        return None;
    }
    let extinction = (left_near / left_far).ln() / length;
    // The visibility at which this is the extinction.
    let visibility = thickness(1.0, Metres::new(1.0).ok()?) / extinction;
    (BELIEVED[0]..=BELIEVED[1])
        .contains(&visibility)
        .then_some(Haze {
            visibility: Metres::new(visibility).ok()?,
            near: near.1,
            far: far.1,
        })
}
