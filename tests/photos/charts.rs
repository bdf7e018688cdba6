//! Charts: photographs of a 24-patch colour chart, corrected by it.
//!
//! Patch values: `McCamy`, Marcus and Davidson 1976 and the later published reference, as carried by colour-science 0.4.7.

use super::read;
use hillwash::photo::{ChartFit, CorrectedBy, KnownLight, LightError};

/// Corners in pixels of 1034 × 688, outside patches 1, 6, 24, 19, as the photographs' own notes give them.
const CHARTS: [(&str, [[f64; 2]; 4]); 2] = [
    (
        "chart24-on-chair-daylight-warm.jpg",
        [
            [275.8, 165.0],
            [772.7, 181.1],
            [758.4, 505.5],
            [268.7, 489.2],
        ],
    ),
    (
        "chart24-on-wall-lamp-orange.jpg",
        [
            [492.6, 263.7],
            [876.2, 279.1],
            [862.1, 539.4],
            [480.6, 508.1],
        ],
    ),
];

/// Acceptance of the photo work: mean difference of patches left out of the fit.
const LEFT_OUT: f64 = 4.0;

fn fractions(corners: [[f64; 2]; 4]) -> [[f64; 2]; 4] {
    corners.map(|[x, y]| [x / 1034.0, y / 688.0])
}

fn fitted(name: &str, corners: [[f64; 2]; 4]) -> Result<(ChartFit, f64), LightError> {
    let mut picture = read(name).unwrap().value;
    let report = picture.correct(&KnownLight::Chart(corners))?;
    match report.by {
        CorrectedBy::Chart(fit) => Ok((fit, report.uncertainty.0)),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_chart_mends_its_photo() {
    for (name, corners) in CHARTS {
        let (fit, uncertainty) = fitted(name, fractions(corners)).unwrap();
        println!(
            "{name}: before {:.1}, after {:.1}, left out {:.1}; greys {:.1} to {:.1}; {}; stated {uncertainty:.1}",
            fit.before.0,
            fit.after.0,
            fit.left_out.0,
            fit.greys_before.0,
            fit.greys_after.0,
            if fit.root_polynomial {
                "root-polynomial"
            } else {
                "linear"
            },
        );
        assert!(fit.left_out.0 <= LEFT_OUT, "{name}");
        assert!(fit.before.0 > 3.0 * fit.after.0, "{name}: a large factor");
        assert!(
            fit.greys_before.0 > 2.0 * fit.greys_after.0,
            "{name}: greys"
        );
        assert!(
            uncertainty >= fit.left_out.0 && uncertainty >= 3.0,
            "{name}"
        );
    }
}

#[test]
fn corners_in_the_wrong_order_are_refused() {
    let (name, corners) = CHARTS[0];
    let [a, b, c, d] = fractions(corners);
    for turned in [[c, d, a, b], [b, a, d, c]] {
        assert!(matches!(
            fitted(name, turned),
            Err(LightError::NotAChart { .. })
        ));
    }
    assert!(fitted(name, [a, a, a, a]).is_err());
}
