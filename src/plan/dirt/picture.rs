//! The picture before and after a wash.

use crate::colour::{LabD65, LinearSrgb, Xyz};
use crate::photo::{FilmColours, Recesses, Shown, SmallJpeg, SmallPicture, clean_and_dirtied};

/// Two states of one picture. A prediction, to be labelled so.
#[derive(Debug, Clone)]
pub struct BeforeAfter {
    /// Clean.
    pub before: SmallJpeg,
    /// Under the wash.
    pub after: SmallJpeg,
    /// What they are painted on.
    pub shown: Shown,
}

fn linear(colour: LabD65) -> LinearSrgb {
    Xyz::from(colour).to_linear_srgb()
}

/// Lays the colours of a film, from flats to recesses, over a picture. `None` when it cannot be encoded.
pub(super) fn picture(
    on: &(SmallPicture, Shown),
    base: LabD65,
    ramp: &[LabD65],
    edges: Option<LabD65>,
) -> Option<BeforeAfter> {
    let (flat, recess) = (ramp.first()?, ramp.last()?);
    let recesses = if recess.l > flat.l {
        Recesses::Pale
    } else {
        Recesses::Dark
    };
    let laid = FilmColours {
        base: linear(base),
        films: ramp.iter().map(|colour| linear(*colour)).collect(),
        edges: edges.map(linear),
    };
    let [before, after] = clean_and_dirtied(&on.0, on.1, recesses, &laid).ok()?;
    Some(BeforeAfter {
        before,
        after,
        shown: on.1,
    })
}
