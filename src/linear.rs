//! Small dense systems of linear equations, normal distributions of three numbers, maps of a plane, and the hull of
//! points in it.

use serde::{Deserialize, Serialize};

/// Solves `matrix · x = right` for several right-hand sides at once. Both are used up. Gives `None` when the matrix is
/// singular to working precision or holds a value that is no number.
#[must_use]
pub fn solve<const N: usize, const M: usize>(
    matrix: &mut [[f64; N]; N],
    mut right: [[f64; M]; N],
) -> Option<[[f64; M]; N]> {
    eliminate(matrix, &mut right).then_some(right)
}

/// Solves a system of any size, its right-hand side being the last column. Gives `None` as [`solve`] does.
#[must_use]
pub fn eliminated(rows: &mut [Vec<f64>]) -> Option<Vec<f64>> {
    let count = rows.len();
    let mut right: Vec<[f64; 1]> = rows.iter().map(|row| [row[count]]).collect();
    eliminate(rows, &mut right).then(|| right.into_iter().map(|[value]| value).collect())
}

/// Gaussian elimination with partial pivoting, in place: the right-hand sides become the solutions. False if there is
/// no solution.
#[inline]
fn eliminate<A, B>(matrix: &mut [A], right: &mut [B]) -> bool
where
    A: AsRef<[f64]> + AsMut<[f64]>,
    B: AsRef<[f64]> + AsMut<[f64]>,
{
    let count = matrix.len();
    for column in 0..count {
        let size = |row: usize| matrix[row].as_ref()[column].abs();
        let Some(pivot) = (column..count).max_by(|a, b| size(*a).total_cmp(&size(*b))) else {
            return false;
        };
        if size(pivot).is_nan() || size(pivot) < 1e-300 {
            return false;
        }
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        let (upper, lower) = matrix.split_at_mut(column + 1);
        let (upper_right, lower_right) = right.split_at_mut(column + 1);
        let (top, top_right) = (upper[column].as_ref(), upper_right[column].as_ref());
        for (row, row_right) in lower.iter_mut().zip(lower_right) {
            let row = row.as_mut();
            let factor = row[column] / top[column];
            if factor == 0.0 {
                continue;
            }
            for (value, above) in row.iter_mut().zip(top).skip(column) {
                *value -= factor * above;
            }
            for (value, above) in row_right.as_mut().iter_mut().zip(top_right) {
                *value -= factor * above;
            }
        }
    }
    for row in (0..count).rev() {
        let (upper, solved) = right.split_at_mut(row + 1);
        let factors = matrix[row].as_ref();
        for (side, value) in upper[row].as_mut().iter_mut().enumerate() {
            let rest: f64 = (row + 1..count)
                .map(|k| factors[k] * solved[k - row - 1].as_ref()[side])
                .sum();
            *value = (*value - rest) / factors[row];
        }
    }
    right.iter().flat_map(AsRef::as_ref).all(|v| v.is_finite())
}

/// Least squares by the normal equations: for each of `M` wanted values the `N` factors whose sum of products with the row
/// comes nearest to it, each row counting by its weight. `held` is added to the diagonal: it keeps small what only
/// few rows support. Gives `None` as [`solve`] does.
#[must_use]
pub fn least_squares<const N: usize, const M: usize>(
    rows: impl IntoIterator<Item = ([f64; N], [f64; M], f64)>,
    held: [f64; N],
) -> Option<[[f64; N]; M]> {
    let mut normal = [[0.0; N]; N];
    let mut right = [[0.0; M]; N];
    for (row, wanted, weight) in rows {
        for a in 0..N {
            for b in 0..N {
                normal[a][b] += weight * row[a] * row[b];
            }
            for c in 0..M {
                right[a][c] += weight * row[a] * wanted[c];
            }
        }
    }
    for (at, row) in normal.iter_mut().enumerate() {
        row[at] += held[at];
    }
    let solved = solve(&mut normal, right)?;
    Some(std::array::from_fn(|c| {
        std::array::from_fn(|n| solved[n][c])
    }))
}

/// The projective map of the unit square onto four corners (upper left, upper right, lower right, lower left).
///
/// # Source
/// Heckbert 1989, *Fundamentals of texture mapping and image warping*, section 2.2.3.
#[must_use]
pub fn square_to_corners(corners: &[[f64; 2]; 4]) -> Option<impl Fn(f64, f64) -> [f64; 2] + use<>> {
    let [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = *corners;
    let (sx, sy) = (x0 - x1 + x2 - x3, y0 - y1 + y2 - y3);
    let (dx1, dx2, dy1, dy2) = (x1 - x2, x3 - x2, y1 - y2, y3 - y2);
    let det = dx1 * dy2 - dx2 * dy1;
    if det.abs() < 1e-9 {
        return None;
    }
    let g = (sx * dy2 - dx2 * sy) / det;
    let h = (dx1 * sy - sx * dy1) / det;
    let (a, b, d, e) = (
        x1 - x0 + g * x1,
        x3 - x0 + h * x3,
        y1 - y0 + g * y1,
        y3 - y0 + h * y3,
    );
    Some(move |u: f64, v: f64| {
        let w = g * u + h * v + 1.0;
        [(a * u + b * v + x0) / w, (d * u + e * v + y0) / w]
    })
}

/// Convex hull of points in a plane, by the monotone chain: its corners in order, counter-clockwise.
///
/// # Source
/// Andrew 1979, *Another efficient algorithm for convex hulls in two dimensions*.
#[must_use]
pub fn convex_hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let turn = |o: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
    };
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while chain.len() > 1
                && turn(chain[chain.len() - 2], chain[chain.len() - 1], point) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

/// Area within an outline (shoelace formula).
#[must_use]
pub fn area_within(outline: &[[f64; 2]]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum::<f64>()
        .abs()
        / 2.0
}

/// True when a point lies inside a convex outline or on it; an outline of fewer than three points holds none.
#[must_use]
pub fn is_within(outline: &[[f64; 2]], point: [f64; 2]) -> bool {
    let next = outline.iter().cycle().skip(1);
    outline.len() > 2
        && outline.iter().zip(next).all(|(a, b)| {
            (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) >= -1e-9
        })
}

/// A 3 × 3 matrix, row by row.
pub type Matrix3 = [[f64; 3]; 3];

/// The inverse; `None` when there is none.
#[must_use]
pub fn inverse(matrix: &Matrix3) -> Option<Matrix3> {
    solve(
        &mut matrix.clone(),
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    )
}

/// The product of two matrices.
#[must_use]
pub fn product(a: &Matrix3, b: &Matrix3) -> Matrix3 {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// The scalar product.
#[must_use]
pub fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// A matrix times a vector.
#[must_use]
pub fn times<const N: usize>(matrix: &[[f64; N]; 3], v: &[f64; N]) -> [f64; 3] {
    matrix.map(|row| dot(&row, v))
}

/// A normal distribution of three numbers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Normal3 {
    /// Its mean.
    pub mean: [f64; 3],
    /// Its covariance.
    pub covariance: Matrix3,
}

impl Normal3 {
    /// This distribution with more covariance.
    #[must_use]
    pub fn widened(&self, by: &Matrix3) -> Self {
        Self {
            mean: self.mean,
            covariance: sum(&self.covariance, by),
        }
    }

    /// What two independent accounts of the same three numbers say together, and the natural logarithm of how well
    /// they agree (the density of their difference). `None` where the sum of the covariances has no inverse.
    #[must_use]
    pub fn and(&self, other: &Self) -> Option<(f64, Self)> {
        let total = sum(&self.covariance, &other.covariance);
        let back = inverse(&total)?;
        let apart: [f64; 3] = std::array::from_fn(|i| other.mean[i] - self.mean[i]);
        let gain = product(&self.covariance, &back);
        let moved = times(&gain, &apart);
        let kept = product(&gain, &self.covariance);
        let joint = Self {
            mean: std::array::from_fn(|i| self.mean[i] + moved[i]),
            covariance: std::array::from_fn(|i| {
                std::array::from_fn(|j| {
                    // Both halves, so that rounding leaves it symmetric.
                    f64::midpoint(
                        self.covariance[i][j] - kept[i][j],
                        self.covariance[j][i] - kept[j][i],
                    )
                })
            }),
        };
        let agreement = -0.5
            * (dot(&apart, &times(&back, &apart))
                + determinant(&total).max(f64::MIN_POSITIVE).ln()
                + 3.0 * std::f64::consts::TAU.ln());
        agreement.is_finite().then_some((agreement, joint))
    }

    /// Squared distance of a point from the mean, in standard deviations (Mahalanobis).
    #[must_use]
    pub fn distance_squared(&self, point: &[f64; 3]) -> f64 {
        let apart: [f64; 3] = std::array::from_fn(|i| point[i] - self.mean[i]);
        inverse(&self.covariance).map_or(f64::INFINITY, |back| dot(&apart, &times(&back, &apart)))
    }

    /// Six points of equal weight that have this mean and this covariance.
    ///
    /// # Source
    /// Julier and Uhlmann 1997, *A new extension of the Kalman filter to nonlinear systems*, with no point in the middle.
    #[must_use]
    pub fn sigma_points(&self) -> [[f64; 3]; 6] {
        let root = lower_root(&self.covariance);
        std::array::from_fn(|k| {
            let side = if k % 2 == 0 { 3.0_f64 } else { -3.0 };
            let step = side.signum() * side.abs().sqrt();
            std::array::from_fn(|i| self.mean[i] + step * root[i][k / 2])
        })
    }
}

/// The lower triangle L with L · Lᵀ = the matrix (Cholesky); what rounding made negative counts as nothing.
fn lower_root(m: &Matrix3) -> Matrix3 {
    let root = |v: f64| v.max(0.0).sqrt();
    let over = |v: f64, by: f64| if by > 0.0 { v / by } else { 0.0 };
    let a = root(m[0][0]);
    let b = over(m[1][0], a);
    let c = root(m[1][1] - b * b);
    let d = over(m[2][0], a);
    let e = over(m[2][1] - d * b, c);
    let f = root(m[2][2] - d * d - e * e);
    [[a, 0.0, 0.0], [b, c, 0.0], [d, e, f]]
}

/// The sum of two matrices.
#[must_use]
pub fn sum(a: &Matrix3, b: &Matrix3) -> Matrix3 {
    std::array::from_fn(|i| std::array::from_fn(|j| a[i][j] + b[i][j]))
}

/// A matrix times a number.
#[must_use]
pub fn scaled(matrix: &Matrix3, by: f64) -> Matrix3 {
    matrix.map(|row| row.map(|v| v * by))
}

/// The matrix v · vᵀ.
#[must_use]
pub fn outer(v: &[f64; 3]) -> Matrix3 {
    std::array::from_fn(|i| std::array::from_fn(|j| v[i] * v[j]))
}

/// What a place of a matrix is multiplied by in its determinant.
fn cofactor(m: &Matrix3, i: usize, j: usize) -> f64 {
    let (a, b, c, d) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
    m[a][c] * m[b][d] - m[a][d] * m[b][c]
}

fn determinant(m: &Matrix3) -> f64 {
    (0..3).map(|j| m[0][j] * cofactor(m, 0, j)).sum()
}

/// The inverse and the determinant of a covariance, by cofactors: many are wanted where bells are fitted. `None` where the
/// determinant is not above 0.
#[must_use]
pub fn inverse_and_determinant(covariance: &Matrix3) -> Option<(Matrix3, f64)> {
    let determinant = determinant(covariance);
    (determinant > 0.0).then(|| {
        let inverse = std::array::from_fn(|i| {
            std::array::from_fn(|j| cofactor(covariance, j, i) / determinant)
        });
        (inverse, determinant)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sigma_points_have_the_mean_and_covariance() {
        let normal = Normal3 {
            mean: [0.5, -1.0, 2.0],
            covariance: [[0.5, 0.2, 0.1], [0.2, 0.4, 0.15], [0.1, 0.15, 0.3]],
        };
        let points = normal.sigma_points();
        for i in 0..3 {
            let mean = points.iter().map(|p| p[i]).sum::<f64>() / 6.0;
            assert!((mean - normal.mean[i]).abs() < 1e-12);
            for j in 0..3 {
                let both = |p: &[f64; 3]| (p[i] - normal.mean[i]) * (p[j] - normal.mean[j]);
                let covariance = points.iter().map(both).sum::<f64>() / 6.0;
                assert!((covariance - normal.covariance[i][j]).abs() < 1e-12);
            }
        }
    }

    /// Two accounts of equal weight meet half-way, with half the variance: the textbook case.
    #[test]
    fn two_equal_accounts_meet_half_way() {
        let one = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let at = |v: f64| Normal3 {
            mean: [v; 3],
            covariance: one,
        };
        let (agreement, joint) = at(0.0).and(&at(2.0)).unwrap();
        assert!((joint.mean[1] - 1.0).abs() < 1e-12);
        assert!((joint.covariance[2][2] - 0.5).abs() < 1e-12);
        let density = (1.0 / (4.0 * std::f64::consts::PI)).powf(1.5) * (-3.0_f64).exp();
        assert!((agreement - density.ln()).abs() < 1e-12);
        assert!((at(0.0).distance_squared(&[1.0, 1.0, 0.0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_system_of_any_size_is_solved() {
        let mut rows = vec![vec![0.0, 2.0, 8.0], vec![3.0, 1.0, 10.0]];
        assert_eq!(eliminated(&mut rows), Some(vec![2.0, 4.0]));
        assert_eq!(eliminated(&mut [vec![0.0, 1.0]]), None);
        assert_eq!(eliminated(&mut []), Some(vec![]));
    }

    #[test]
    fn the_projective_map_meets_its_corners() {
        let corners = [[0.1, 0.2], [0.9, 0.25], [0.8, 0.9], [0.15, 0.8]];
        let map = square_to_corners(&corners).unwrap();
        for ((u, v), corner) in [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
            .into_iter()
            .zip(corners)
        {
            let [x, y] = map(u, v);
            assert!((x - corner[0]).abs() < 1e-12 && (y - corner[1]).abs() < 1e-12);
        }
    }

    #[test]
    fn an_inverse_undoes_its_matrix() {
        let matrix = [[0.0, 2.0, 1.0], [1.0, -1.0, 0.5], [3.0, 0.0, 4.0]];
        let one = product(&matrix, &inverse(&matrix).unwrap());
        for (i, row) in one.iter().enumerate() {
            for (j, v) in row.iter().enumerate() {
                assert!((v - if i == j { 1.0 } else { 0.0 }).abs() < 1e-14);
            }
        }
    }

    /// By elimination and by cofactors; the determinant by hand: 4 (3 · 2 - 1) - 2 (2 · 2 - 0) = 12.
    #[test]
    fn both_ways_to_an_inverse_agree() {
        let covariance = [[4.0, 2.0, 0.0], [2.0, 3.0, 1.0], [0.0, 1.0, 2.0]];
        let (by_cofactors, determinant) = inverse_and_determinant(&covariance).unwrap();
        let by_elimination = inverse(&covariance).unwrap();
        for (one, other) in by_cofactors
            .iter()
            .flatten()
            .zip(by_elimination.iter().flatten())
        {
            assert!((one - other).abs() < 1e-15, "{one} {other}");
        }
        assert!((determinant - 12.0).abs() < 1e-15);
        assert!(inverse_and_determinant(&[[0.0; 3]; 3]).is_none());
        assert!(inverse_and_determinant(&[[f64::NAN; 3]; 3]).is_none());
    }

    #[test]
    fn a_singular_matrix_has_no_solution() {
        assert!(
            inverse(&[[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 0.0, 1.0]])
                .is_none_or(|m| m[0][0].abs() > 1e12)
        );
        assert!(inverse(&[[f64::NAN; 3]; 3]).is_none());
        assert!(inverse(&[[0.0; 3]; 3]).is_none());
    }

    #[test]
    fn a_hull_keeps_the_corners_only() {
        let hull = convex_hull(vec![
            [0.0, 0.0],
            [2.0, 0.0],
            [1.0, 0.5],
            [2.0, 2.0],
            [0.0, 2.0],
        ]);
        assert_eq!(hull.len(), 4);
        assert!((area_within(&hull) - 4.0).abs() < 1e-12);
        assert!(is_within(&hull, [1.0, 1.0]) && !is_within(&hull, [2.1, 1.0]));
        assert!(!hull.contains(&[1.0, 0.5]));
    }

    #[test]
    fn least_squares_find_a_line_and_count_rows_by_weight() {
        // y = 2 + 3 x at three places, and one far-off row of weight 0.
        let rows = [
            (0.0, 2.0, 1.0),
            (1.0, 5.0, 1.0),
            (2.0, 8.0, 0.5),
            (1.0, 100.0, 0.0),
        ];
        let rows = rows.map(|(x, y, weight)| ([1.0, x], [y, -y], weight));
        let [up, down] = least_squares(rows, [0.0; 2]).unwrap();
        for (found, wanted) in up.iter().chain(&down).zip([2.0, 3.0, -2.0, -3.0]) {
            assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
        }
        // Of a mean over rows of weights 1 and 3, by hand: (1 + 3 · 5) / 4.
        let mean = least_squares([([1.0], [1.0], 1.0), ([1.0], [5.0], 3.0)], [0.0]);
        assert!((mean.unwrap()[0][0] - 4.0).abs() < 1e-12);
        assert!(least_squares([([1.0, 1.0], [1.0], 1.0)], [0.0; 2]).is_none());
    }
}
