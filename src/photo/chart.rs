//! A photographed colour chart: the correction that brings its patches to their published colours.

use super::light::{ChartFit, LightCorrection, root_terms};
use super::light_error::{LightError, MOST_BLOWN_OUT};
use super::picture::Picture;
use super::reference::IDENTITY;
use super::sample::mean_light;
use super::witness::{log_light, spread};
use crate::colour::{D65_WHITE, DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::linear::{
    Matrix3, Normal3, inverse, least_squares, product, scaled, square_to_corners, sum, times,
};
use crate::region::{Outline, Region};
use std::sync::LazyLock;

/// Patches of the chart, row by row, by their places: chromaticity and luminance under D50.
///
/// `McCamy`, Marcus and Davidson 1976 defined the chart; these are the later published values of the 2005
/// reference, as carried by the Python package colour-science 0.4.7 (BSD-3-Clause). Charts differ by batch.
const CHART: &str = include_str!("chart24.csv");

/// The chart's patches as linear sRGB, adapted from D50 to D65 (Bradford).
static CHART_LIGHT: LazyLock<Vec<LinearSrgb>> = LazyLock::new(|| {
    CHART
        .lines()
        .skip(1)
        .filter_map(|line| {
            let cells: Vec<&str> = line.rsplitn(4, ',').collect();
            let [luminance, y, x, _] = cells[..] else {
                return None;
            };
            let (x, y, luminance): (f64, f64, f64) =
                (x.parse().ok()?, y.parse().ok()?, luminance.parse().ok()?);
            let xyz = [x / y * luminance, luminance, (1.0 - x - y) / y * luminance];
            Some(Xyz::from_array(times(&d50_to_d65(), &xyz)).to_linear_srgb())
        })
        .collect()
});

/// Bradford adaptation.
///
/// # Source
/// Lam 1985; the linear form of ICC.1:2022, annex E.
fn d50_to_d65() -> Matrix3 {
    const BRADFORD: Matrix3 = [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ];
    let d50 = [0.3457 / 0.3585, 1.0, (1.0 - 0.3457 - 0.3585) / 0.3585];
    let (from, to) = (
        times(&BRADFORD, &d50),
        times(&BRADFORD, &D65_WHITE.as_array()),
    );
    let mut scaled = BRADFORD;
    for (row, (to, from)) in scaled.iter_mut().zip(to.iter().zip(from)) {
        for v in row.iter_mut() {
            *v *= to / from;
        }
    }
    product(&inverse(&BRADFORD).unwrap_or(IDENTITY), &scaled)
}

/// Columns and rows of the chart.
const GRID: (usize, usize) = (6, 4);
/// Part of a patch that is read, about its middle.
const INNER: f64 = 0.4;
/// Patches from here on are grey.
const FIRST_GREY: usize = 18;
/// The patch that shows the exposure: neutral 5.
const MIDDLE_GREY: usize = 21;
/// A worse fit is no chart. Our choice.
const WORST_FIT: f64 = 12.0;

/// What a photographed chart shows.
pub(super) struct ChartSeen {
    /// What brings its patches to their colours.
    pub(super) correction: LightCorrection,
    /// How well.
    pub(super) fit: ChartFit,
    /// The logarithms of the photo's gains by its greys, or by all patches where no grey is left.
    pub(super) gains: Normal3,
}

/// The correction that a photographed chart gives.
///
/// # Errors
/// [`LightError`] where the corners hold no chart, or one that is blown out.
pub(super) fn by_chart(
    picture: &Picture,
    corners: &[[f64; 2]; 4],
) -> Result<ChartSeen, LightError> {
    let map = square_to_corners(corners).ok_or(LightError::UnusableCorners)?;
    let mut seen = Vec::new();
    #[expect(clippy::cast_precision_loss, reason = "six columns, four rows")]
    for patch in 0..GRID.0 * GRID.1 {
        let (column, row) = ((patch % GRID.0) as f64 + 0.5, (patch / GRID.0) as f64 + 0.5);
        let reach = INNER / 2.0;
        let corner =
            |dx: f64, dy: f64| map((column + dx) / GRID.0 as f64, (row + dy) / GRID.1 as f64);
        let outline = Outline::new(vec![
            corner(-reach, -reach),
            corner(reach, -reach),
            corner(reach, reach),
            corner(-reach, reach),
        ])
        .map_err(|_| LightError::UnusableCorners)?;
        let region = Region {
            outline,
            leave_out: Vec::new(),
        };
        let patch = mean_light(picture, &region).ok_or(LightError::UnusableCorners)?;
        // A patch that is blown out tells nothing about the light.
        seen.push((patch.clipped_share < 0.1).then_some(patch.light));
    }
    let blown_out = seen.iter().filter(|patch| patch.is_none()).count();
    if blown_out > MOST_BLOWN_OUT {
        return Err(LightError::BlownOutChart { blown_out });
    }
    let (correction, fit) = fit_chart(&seen);
    if fit.left_out.0 > WORST_FIT {
        return Err(LightError::NotAChart {
            left_out: fit.left_out.0,
            limit: WORST_FIT,
        });
    }
    Ok(ChartSeen {
        correction,
        fit,
        gains: gains_of(&seen),
    })
}

/// The least that the gains by a chart may be off: exposure, colour. Our choice, as for a grey card.
const CHART_GAINS: (f64, f64) = (0.05, 0.015);

fn gains_of(patches: &[Option<LinearSrgb>]) -> Normal3 {
    let from = |first: usize| -> Vec<[f64; 3]> {
        (first..=MIDDLE_GREY)
            .filter_map(|patch| {
                let (seen, known) = (log_light(patches[patch]?), log_light(CHART_LIGHT[patch]));
                Some(std::array::from_fn(|i| seen[i] - known[i]))
            })
            .collect()
    };
    let mut said = from(FIRST_GREY);
    if said.len() < 2 {
        said = from(0);
    }
    #[expect(clippy::cast_precision_loss, reason = "two dozen patches at most")]
    let count = said.len().max(1) as f64;
    let mean: [f64; 3] =
        std::array::from_fn(|i| said.iter().map(|gains| gains[i]).sum::<f64>() / count);
    let scatter: Matrix3 = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let both = said.iter().map(|g| (g[i] - mean[i]) * (g[j] - mean[j]));
            both.sum::<f64>() / (count - 1.0).max(1.0)
        })
    });
    let (exposure, colour) = CHART_GAINS;
    Normal3 {
        mean,
        covariance: sum(
            &spread(exposure, colour, colour),
            &scaled(&scatter, 1.0 / count),
        ),
    }
}

/// Fits both forms to the patches and keeps the one that better predicts patches left out of its fit.
fn fit_chart(patches: &[Option<LinearSrgb>]) -> (LightCorrection, ChartFit) {
    let usable: Vec<(usize, LinearSrgb)> = patches
        .iter()
        .enumerate()
        .filter_map(|(i, patch)| patch.map(|light| (i, light)))
        .collect();
    let seen: Vec<LinearSrgb> = usable.iter().map(|(_, light)| *light).collect();
    let wanted: Vec<LinearSrgb> = usable.iter().map(|(i, _)| CHART_LIGHT[*i]).collect();
    let linear = |out: Option<usize>| {
        let rows: Vec<[f64; 3]> = seen.iter().map(|l| [l.r, l.g, l.b]).collect();
        LightCorrection::Linear(fitted_light(&rows, &wanted, out))
    };
    let root = |out: Option<usize>| {
        let rows: Vec<[f64; 6]> = seen.iter().map(|l| root_terms(*l)).collect();
        LightCorrection::RootPolynomial(fitted_light(&rows, &wanted, out))
    };
    let left_out = |fit: &dyn Fn(Option<usize>) -> LightCorrection| {
        mean((0..seen.len()).map(|out| miss(&fit(Some(out)), seen[out], wanted[out])))
    };
    let (by_linear, by_root) = (left_out(&linear), left_out(&root));
    let root_polynomial = by_root < by_linear;
    let best = if root_polynomial {
        root(None)
    } else {
        linear(None)
    };
    // Exposure is not the light's colour: before is told at the exposure that makes a middle grey right.
    let middle = usable
        .iter()
        .position(|(i, _)| *i == MIDDLE_GREY)
        .unwrap_or(seen.len() - 1);
    let exposure = Xyz::from(wanted[middle]).y / Xyz::from(seen[middle]).y.max(1e-6);
    let only_exposed = LightCorrection::Linear(std::array::from_fn(|i| {
        std::array::from_fn(|j| if i == j { exposure } else { 0.0 })
    }));
    let over = |correction: &LightCorrection, from: usize| {
        let patches = (0..seen.len()).filter(|i| usable[*i].0 >= from);
        DeltaE00(mean(patches.map(|i| miss(correction, seen[i], wanted[i]))))
    };
    let fit = ChartFit {
        root_polynomial,
        patches: seen.len(),
        before: over(&only_exposed, 0),
        after: over(&best, 0),
        left_out: DeltaE00(by_linear.min(by_root)),
        greys_before: over(&only_exposed, FIRST_GREY),
        greys_after: over(&best, FIRST_GREY),
    };
    (best, fit)
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
    sum / count
}

fn miss(correction: &LightCorrection, seen: LinearSrgb, wanted: LinearSrgb) -> f64 {
    let got = Xyz::from(correction.apply(seen)).clamped();
    delta_e00(LabD65::from(got), LabD65::from(wanted)).0
}

/// Least squares of the wanted light over the terms, each patch weighted by one over its brightness, so that dark
/// patches count as the eye counts them. `left_out` names a patch that takes no part.
fn fitted_light<const N: usize>(
    terms: &[[f64; N]],
    wanted: &[LinearSrgb],
    left_out: Option<usize>,
) -> [[f64; N]; 3] {
    let patches = terms.iter().zip(wanted).enumerate();
    let rows = patches
        .filter(|(i, _)| left_out != Some(*i))
        .map(|(_, (row, light))| {
            let weight = ((light.r + light.g + light.b) / 3.0 + 0.02).powi(-2);
            (*row, [light.r, light.g, light.b], weight)
        });
    least_squares(rows, [1e-9; N]).unwrap_or([[0.0; N]; 3])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_seen_as_published_needs_no_correction() {
        let (_, fit) = fit_chart(&CHART_LIGHT.iter().map(|l| Some(*l)).collect::<Vec<_>>());
        assert_eq!(CHART_LIGHT.len(), 24);
        assert!(fit.after.0 < 1e-6 && fit.left_out.0 < 1e-3, "{fit:?}");
    }
}
