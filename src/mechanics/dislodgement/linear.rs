//! Systems of six equations.

// Rows and columns read plainer by index, and six by six is within bounds by the type.
#![allow(clippy::needless_range_loop)]

/// Six numbers: a motion or a wrench.
pub(crate) type Six = [f64; 6];

/// A symmetric matrix, or the lower factor of one; the upper triangle is not used.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Matrix([Six; 6]);

pub(crate) fn dot(one: &Six, other: &Six) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

/// Adds `factor * row` to `sum`.
pub(crate) fn add(sum: &mut Six, factor: f64, row: &Six) {
    for (total, value) in sum.iter_mut().zip(row) {
        *total += factor * value;
    }
}

pub(crate) fn length(vector: &Six) -> f64 {
    dot(vector, vector).sqrt()
}

impl Matrix {
    pub(crate) const ZERO: Matrix = Matrix([[0.0; 6]; 6]);

    /// Takes the lower triangle of rows.
    pub(crate) fn lower(rows: [Six; 6]) -> Matrix {
        Matrix(rows)
    }

    /// Adds `factor * other`.
    pub(crate) fn add_matrix(&mut self, factor: f64, other: &Matrix) {
        for (row, other) in self.0.iter_mut().zip(&other.0) {
            add(row, factor, other);
        }
    }

    pub(crate) fn trace(&self) -> f64 {
        (0..6).map(|i| self.0[i][i]).sum()
    }

    /// Returns `xᵀ M x`.
    pub(crate) fn worth(&self, x: &Six) -> f64 {
        let mut sum = 0.0;
        for i in 0..6 {
            for j in 0..i {
                sum += 2.0 * x[i] * self.0[i][j] * x[j];
            }
            sum += x[i] * self.0[i][i] * x[i];
        }
        sum
    }

    /// Adds `factor * row rowᵀ`.
    pub(crate) fn add(&mut self, factor: f64, row: &Six) {
        for i in 0..6 {
            let scaled = factor * row[i];
            for j in 0..=i {
                self.0[i][j] += scaled * row[j];
            }
        }
    }

    /// Adds three times `factor * row rowᵀ`.
    #[inline]
    pub(crate) fn add_three(&mut self, factors: [f64; 3], rows: [&Six; 3]) {
        for i in 0..6 {
            let scaled = [
                factors[0] * rows[0][i],
                factors[1] * rows[1][i],
                factors[2] * rows[2][i],
            ];
            // Whole rows: the upper triangle is not used, but pairs go faster than single numbers.
            for j in 0..6 {
                self.0[i][j] +=
                    scaled[0] * rows[0][j] + scaled[1] * rows[1][j] + scaled[2] * rows[2][j];
            }
        }
    }

    /// Returns the Cholesky factor, none unless the matrix is clearly positive definite.
    pub(crate) fn factor(&self) -> Option<Factor> {
        self.factor_with(|pivot, diagonal| (pivot > 1e-14 * diagonal).then_some(pivot))
    }

    /// Returns the Cholesky factor of a matrix known to be positive definite, with pivots that rounding has eaten put at
    /// their least; none when it is no numbers. Whoever uses it checks what comes of it.
    pub(crate) fn factor_propped(&self) -> Option<Factor> {
        self.factor_with(|pivot, diagonal| {
            let propped = pivot.max(1e-15 * diagonal);
            (pivot.is_finite() && propped > 0.0).then_some(propped)
        })
    }

    fn factor_with(&self, pivot: impl Fn(f64, f64) -> Option<f64>) -> Option<Factor> {
        let mut lower = self.0;
        for i in 0..6 {
            for j in 0..=i {
                let mut sum = lower[i][j];
                for k in 0..j {
                    sum -= lower[i][k] * lower[j][k];
                }
                lower[i][j] = if i == j {
                    1.0 / pivot(sum, self.0[i][i])?.sqrt()
                } else {
                    sum * lower[j][j]
                };
            }
        }
        Some(Factor(lower))
    }
}

/// The lower triangle L of a matrix `L Lᵀ`, with one over each number on the diagonal.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Factor([Six; 6]);

impl Factor {
    /// Returns `L⁻¹ x`.
    pub(crate) fn forward(&self, x: &Six) -> Six {
        let mut out = *x;
        for i in 0..6 {
            for j in 0..i {
                out[i] -= self.0[i][j] * out[j];
            }
            out[i] *= self.0[i][i];
        }
        out
    }

    /// Returns `L⁻ᵀ x`.
    pub(crate) fn backward(&self, x: &Six) -> Six {
        let mut out = *x;
        for i in (0..6).rev() {
            for j in i + 1..6 {
                out[i] -= self.0[j][i] * out[j];
            }
            out[i] *= self.0[i][i];
        }
        out
    }

    pub(crate) fn solve(&self, x: &Six) -> Six {
        self.backward(&self.forward(x))
    }

    /// Returns a bound on the largest stretch of the inverse matrix: the Frobenius norm of `L⁻¹`, squared.
    pub(crate) fn inverse_bound(&self) -> f64 {
        (0..6)
            .map(|column| {
                let mut unit = [0.0; 6];
                unit[column] = 1.0;
                let image = self.forward(&unit);
                dot(&image, &image)
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The solution put back into the equations.
    #[test]
    fn solves() {
        let mut matrix = Matrix::ZERO;
        for k in 0..6 {
            let mut row = [0.3; 6];
            row[k] = 2.0 + k as f64;
            matrix.add(1.5, &row);
        }
        let right = [1.0, -2.0, 3.0, 0.5, 0.0, 4.0];
        let found = matrix.factor().unwrap().solve(&right);
        for i in 0..6 {
            let sum: f64 = (0..6)
                .map(|j| matrix.0[i.max(j)][i.min(j)] * found[j])
                .sum();
            assert!((sum - right[i]).abs() < 1e-12);
        }
    }

    #[test]
    fn a_singular_matrix_has_no_factor() {
        let mut matrix = Matrix::ZERO;
        for k in 0..5 {
            let mut row = [0.0; 6];
            row[k] = 1.0;
            matrix.add(1.0, &row);
        }
        assert!(matrix.factor().is_none());
    }
}
