//! The picture before and after a wash, painted from what the survey of the photos kept.

use crate::colour::{LabD65, LinearSrgb, Xyz};
use crate::photo::{FilmColours, PictureOf, Recesses, SmallJpeg, SmallPicture, clean_and_dirtied};
use crate::plan::{Pictures, SurfacePlan};

/// Two states of one picture. A prediction, to be labelled so.
#[derive(Debug, Clone)]
pub(in crate::report) struct BeforeAfter {
    /// Clean.
    pub(in crate::report) before: SmallJpeg,
    /// Under the wash.
    pub(in crate::report) after: SmallJpeg,
    /// What they are painted on.
    pub(in crate::report) shown: PictureOf,
}

fn linear(colour: LabD65) -> LinearSrgb {
    Xyz::from(colour).to_linear_srgb()
}

/// The wash of a surface, or the dark wash of its rock, on its photo; `None` where nothing is washed or no photo shows it.
pub(in crate::report) fn before_after(
    surface: &SurfacePlan,
    pictures: Pictures,
) -> Option<BeforeAfter> {
    let wash = surface.dirt.washes().next()?;
    let relief = pictures.shown(surface.wanted.relief.as_ref())?;
    let rock = surface.dirt.rock.as_ref();
    let light = rock.and_then(|rock| rock.steps.last());
    picture(
        relief,
        wash.base,
        &wash.ramp,
        light.map(|step| step.planned),
    )
}

/// Lays the colours of a film, from flats to recesses, over a picture. `None` when it cannot be encoded.
fn picture(
    on: &(SmallPicture, PictureOf),
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
