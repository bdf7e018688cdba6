//! Small dense systems of linear equations.

/// Solves `matrix · x = right` for several right-hand sides at once, by Gaussian elimination with partial pivoting.
/// Both are used up. Gives `None` when the matrix is singular to working precision or holds a value that is no number.
#[must_use]
pub fn solve<const N: usize, const M: usize>(
    matrix: &mut [[f64; N]; N],
    mut right: [[f64; M]; N],
) -> Option<[[f64; M]; N]> {
    for column in 0..N {
        let pivot = (column..N).max_by(|a, b| {
            matrix[*a][column]
                .abs()
                .total_cmp(&matrix[*b][column].abs())
        })?;
        if matrix[pivot][column].is_nan() || matrix[pivot][column].abs() < 1e-300 {
            return None;
        }
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        let (top, top_right) = (matrix[column], right[column]);
        for row in column + 1..N {
            let factor = matrix[row][column] / top[column];
            if factor == 0.0 {
                continue;
            }
            for (value, above) in matrix[row].iter_mut().zip(top).skip(column) {
                *value -= factor * above;
            }
            for (value, above) in right[row].iter_mut().zip(top_right) {
                *value -= factor * above;
            }
        }
    }
    for row in (0..N).rev() {
        right[row] = std::array::from_fn(|side| {
            let rest: f64 = (row + 1..N).map(|k| matrix[row][k] * right[k][side]).sum();
            (right[row][side] - rest) / matrix[row][row]
        });
    }
    right
        .iter()
        .flatten()
        .all(|v| v.is_finite())
        .then_some(right)
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

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn a_singular_matrix_has_no_solution() {
        assert!(
            inverse(&[[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 0.0, 1.0]])
                .is_none_or(|m| m[0][0].abs() > 1e12)
        );
        assert!(inverse(&[[f64::NAN; 3]; 3]).is_none());
        assert!(inverse(&[[0.0; 3]; 3]).is_none());
    }
}
