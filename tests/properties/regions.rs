//! Which pixels count, against a plain test of every pixel's centre.

use crate::cases;
use hillwash::region::{Outline, Region};
use proptest::prelude::*;

/// A centre so near to a side may be counted to either side of it.
const ON_THE_LINE: f64 = 1e-12;

type Triangle = [[f64; 2]; 3];

/// Corners anywhere, and corners on the edges and centres of the pixels of small pictures.
fn triangle() -> impl Strategy<Value = Triangle> {
    let fraction = prop_oneof![
        2 => 0.0..=1.0_f64,
        1 => (0..=24_u8).prop_map(|n| f64::from(n) / 24.0),
    ];
    let point = [fraction.clone(), fraction];
    [point.clone(), point.clone(), point]
}

/// Where a point lies: on the left of all sides, or on the right of all, is inside.
#[derive(Debug, PartialEq)]
enum Place {
    Inside,
    Outside,
    OnTheLine,
}

fn place_of([x, y]: [f64; 2], [a, b, c]: &Triangle) -> Place {
    let side = |[ax, ay]: [f64; 2], [bx, by]: [f64; 2]| (bx - ax) * (y - ay) - (by - ay) * (x - ax);
    let sides = [side(*a, *b), side(*b, *c), side(*c, *a)];
    let left = sides.iter().all(|s| *s > ON_THE_LINE);
    let right = sides.iter().all(|s| *s < -ON_THE_LINE);
    let on_left = sides.iter().all(|s| *s >= -ON_THE_LINE);
    let on_right = sides.iter().all(|s| *s <= ON_THE_LINE);
    if left || right {
        Place::Inside
    } else if on_left || on_right {
        Place::OnTheLine
    } else {
        Place::Outside
    }
}

fn centre(at: usize, count: usize) -> f64 {
    let whole = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    (whole(at) + 0.5) / whole(count)
}

proptest! {
    #![proptest_config(cases(4000))]

    #[test]
    fn the_pixels_that_count_are_those_whose_centres_lie_inside(
        outline in triangle(),
        left_out in prop::collection::vec(triangle(), 0..3),
        width in 1..14_usize,
        height in 1..14_usize,
    ) {
        let Ok(checked) = Outline::new(outline.to_vec()) else { return Ok(()) };
        let holes: Vec<(Triangle, Outline)> = left_out
            .iter()
            .filter_map(|hole| Outline::new(hole.to_vec()).ok().map(|checked| (*hole, checked)))
            .collect();
        let region = Region {
            outline: checked,
            leave_out: holes.iter().map(|(_, checked)| checked.clone()).collect(),
        };
        let (mut counted, mut inside, mut undecided) = (0, 0, 0);
        for row in 0..height {
            let runs = region.runs(row, width, height);
            prop_assert!(runs.iter().all(|run| run.start < run.end && run.end <= width), "{runs:?}");
            prop_assert!(runs.windows(2).all(|pair| pair[0].end <= pair[1].start), "{runs:?}");
            counted += runs.iter().map(ExactSizeIterator::len).sum::<usize>();
            for column in 0..width {
                let at = [centre(column, width), centre(row, height)];
                let of_outline = place_of(at, &outline);
                let of_holes: Vec<Place> = holes.iter().map(|(hole, _)| place_of(at, hole)).collect();
                let outside = of_outline == Place::Outside || of_holes.contains(&Place::Inside);
                if outside {
                    prop_assert!(!runs.iter().any(|run| run.contains(&column)), "row {row}, column {column}: {runs:?}");
                } else if of_outline == Place::OnTheLine || of_holes.contains(&Place::OnTheLine) {
                    undecided += 1;
                } else {
                    inside += 1;
                    prop_assert!(runs.iter().any(|run| run.contains(&column)), "row {row}, column {column}: {runs:?}");
                }
            }
        }
        prop_assert!((inside..=inside + undecided).contains(&counted), "{counted} counted, {inside} inside");
    }

    #[test]
    fn any_points_are_an_outline_with_an_area_or_are_refused(
        points in prop::collection::vec(
            prop_oneof![3 => [0.0..=1.0_f64, 0.0..=1.0_f64], 1 => [any::<f64>(), any::<f64>()]],
            0..8,
        ),
        row in 0..40_usize,
        width in 0..30_usize,
        height in 0..30_usize,
    ) {
        if let Ok(outline) = Outline::new(points) {
            prop_assert!(outline.area() > 0.0 && outline.area() <= 1.0, "{outline:?}");
            prop_assert!(outline.bounds().iter().all(|v| (0.0..=1.0).contains(v)), "{outline:?}");
            let region = Region { outline, leave_out: vec![Outline::whole()] };
            prop_assert!(region.runs(row.min(height), width, height).is_empty(), "all of it is left out");
        }
    }
}
