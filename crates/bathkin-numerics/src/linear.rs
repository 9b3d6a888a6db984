//! Small dense linear systems by LU factorisation.

use thiserror::Error;

/// The matrix has no usable pivot in column `pivot` (counted from zero).
///
/// Reported when the largest candidate is exactly zero or not finite. A matrix that is singular
/// only up to rounding passes: a relative threshold would reject sound but badly scaled matrices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the matrix is singular or not finite: no usable pivot in column {pivot}")]
pub struct SingularMatrix {
    /// Column without a usable pivot, counted from zero.
    pub pivot: usize,
}

/// LU factorisation with partial pivoting, `P A = L U`, of a row-major `n × n` matrix.
///
/// The buffers are allocated once and used again for every factorisation. That is the reason for
/// not using nalgebra here: sizes are known only at run time, and its dynamic `LU` takes the
/// matrix by value and so allocates at every call, which shows inside a right-hand side that
/// solves a system of 5 to 20 unknowns thousands of times.
///
/// `A` is the matrix written through [`matrix_mut`](Self::matrix_mut), `P` the row permutation,
/// `L` unit lower triangular and `U` upper triangular; both overwrite `A`.
///
/// ```
/// use bathkin_numerics::Lu;
///
/// let mut lu = Lu::new(2);
/// lu.matrix_mut().copy_from_slice(&[0.0, 2.0, 4.0, 1.0]);
/// lu.factor()?;
/// let mut x = [6.0, 11.0];
/// lu.solve(&mut x);
/// assert_eq!(x, [2.0, 3.0]);
/// # Ok::<(), bathkin_numerics::SingularMatrix>(())
/// ```
#[derive(Debug, Clone)]
pub struct Lu {
    matrix: Vec<f64>,
    // Row exchanged with row i at elimination step i (the LAPACK convention): it lets a right-hand
    // side be permuted in place, forwards or backwards.
    exchanged: Vec<usize>,
    // Inverse pivots: the solves would wait for every division.
    inverses: Vec<f64>,
    n: usize,
}

impl Lu {
    /// Buffers for an `n × n` matrix, filled with zeros.
    pub fn new(n: usize) -> Self {
        Self { matrix: vec![0.0; n * n], exchanged: vec![0; n], inverses: vec![0.0; n], n }
    }

    /// Number of unknowns in use.
    pub fn size(&self) -> usize {
        self.n
    }

    /// Changes the number of unknowns and clears the matrix.
    ///
    /// Allocates only when `n` is larger than every size used before.
    pub fn resize(&mut self, n: usize) {
        if n > self.exchanged.len() {
            self.matrix.resize(n * n, 0.0);
            self.exchanged.resize(n, 0);
            self.inverses.resize(n, 0.0);
        }
        self.n = n;
        self.clear();
    }

    /// The matrix to be filled, row-major, `n * n` entries. After [`factor`](Self::factor) it
    /// holds `L` and `U`.
    pub fn matrix_mut(&mut self) -> &mut [f64] {
        let length = self.n * self.n;
        &mut self.matrix[..length]
    }

    /// Sets every entry to zero.
    pub fn clear(&mut self) {
        self.matrix_mut().fill(0.0);
    }

    /// Factorises the matrix in place.
    ///
    /// # Errors
    ///
    /// [`SingularMatrix`] when a column has no pivot with a finite inverse. The matrix is then
    /// partly overwritten and must be filled again.
    pub fn factor(&mut self) -> Result<(), SingularMatrix> {
        let n = self.n;
        let a = &mut self.matrix[..n * n];
        for k in 0..n {
            let mut row = k;
            let mut largest = a[k * n + k].abs();
            for i in k + 1..n {
                let candidate = a[i * n + k].abs();
                // A NaN must win, or it would stay hidden below the pivot.
                if candidate > largest || candidate.is_nan() {
                    largest = candidate;
                    row = i;
                }
            }
            // The inverse of a zero or subnormal pivot is not finite either.
            if !largest.is_finite() || !largest.recip().is_finite() {
                return Err(SingularMatrix { pivot: k });
            }
            self.exchanged[k] = row;
            // Rows up to k, the pivot row last, and the rows still to be eliminated.
            let (above, below) = a.split_at_mut((k + 1) * n);
            let pivot_row = &mut above[k * n..];
            if row != k {
                let start = (row - k - 1) * n;
                pivot_row.swap_with_slice(&mut below[start..start + n]);
            }
            let inverse = 1.0 / pivot_row[k];
            self.inverses[k] = inverse;
            for other in below.chunks_exact_mut(n) {
                let factor = other[k] * inverse;
                other[k] = factor;
                if factor != 0.0 {
                    for (entry, pivot) in other[k + 1..].iter_mut().zip(&pivot_row[k + 1..]) {
                        *entry -= factor * pivot;
                    }
                }
            }
        }
        Ok(())
    }

    /// Solves `A x = b`; `b` is overwritten by `x`. Needs a successful [`factor`](Self::factor).
    ///
    /// # Panics
    ///
    /// If `b` has fewer than `n` entries; entries beyond `n` are left alone.
    pub fn solve(&self, b: &mut [f64]) {
        let n = self.n;
        let a = &self.matrix[..n * n];
        let b = &mut b[..n];
        for (i, &row) in self.exchanged[..n].iter().enumerate() {
            b.swap(i, row);
        }
        for i in 1..n {
            b[i] -= dot(&a[i * n..i * n + i], &b[..i]);
        }
        for i in (0..n).rev() {
            let row = &a[i * n..(i + 1) * n];
            b[i] = (b[i] - dot(&row[i + 1..], &b[i + 1..])) * self.inverses[i];
        }
    }

    /// Solves `Aᵀ x = b`; `b` is overwritten by `x`. Needs a successful [`factor`](Self::factor).
    ///
    /// From `A = Pᵀ L U` follows `Aᵀ x = Uᵀ Lᵀ P x`.
    ///
    /// # Panics
    ///
    /// If `b` has fewer than `n` entries; entries beyond `n` are left alone.
    pub fn solve_transposed(&self, b: &mut [f64]) {
        let n = self.n;
        let a = &self.matrix[..n * n];
        let b = &mut b[..n];
        // Column-oriented sweeps, so that the rows of the stored matrix are read in order.
        for i in 0..n {
            let row = &a[i * n..(i + 1) * n];
            b[i] *= self.inverses[i];
            let known = b[i];
            for (entry, u) in b[i + 1..].iter_mut().zip(&row[i + 1..]) {
                *entry -= u * known;
            }
        }
        for i in (1..n).rev() {
            let known = b[i];
            for (entry, l) in b[..i].iter_mut().zip(&a[i * n..i * n + i]) {
                *entry -= l * known;
            }
        }
        for (i, &row) in self.exchanged[..n].iter().enumerate().rev() {
            b.swap(i, row);
        }
    }
}

/// Sum of the products of two vectors of one length.
///
/// Four sums side by side: one alone would wait for every addition to end.
pub fn dot(left: &[f64], right: &[f64]) -> f64 {
    debug_assert_eq!(left.len(), right.len());
    let mut sums = [0.0; 4];
    let (left, left_rest) = left.as_chunks::<4>();
    let (right, right_rest) = right.as_chunks::<4>();
    for (l, r) in left.iter().zip(right) {
        for (sum, (l, r)) in sums.iter_mut().zip(l.iter().zip(r)) {
            *sum += l * r;
        }
    }
    let rest: f64 = left_rest.iter().zip(right_rest).map(|(l, r)| l * r).sum();
    (sums[0] + sums[2]) + (sums[1] + sums[3]) + rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    /// Numbers in -1..1 from a linear congruential generator (Knuth's MMIX constants).
    fn uniform(seed: &mut u64) -> f64 {
        *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (*seed >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    // Expected values: nalgebra's LU of the same matrix.
    #[test]
    fn agrees_with_nalgebra_on_random_matrices() {
        let mut seed = 7;
        let mut lu = Lu::new(20);
        for n in (1..=20).chain([3, 20, 1]) {
            for _ in 0..20 {
                lu.resize(n);
                lu.matrix_mut().fill_with(|| uniform(&mut seed));
                let b: Vec<f64> = (0..n).map(|_| uniform(&mut seed)).collect();
                let a = DMatrix::from_row_slice(n, n, lu.matrix_mut());
                lu.factor().unwrap();
                for (matrix, transposed) in [(a.clone(), false), (a.transpose(), true)] {
                    let expected = matrix.lu().solve(&DVector::from_column_slice(&b)).unwrap();
                    let mut x = b.clone();
                    if transposed {
                        lu.solve_transposed(&mut x);
                    } else {
                        lu.solve(&mut x);
                    }
                    // Relative to the largest entry and to 1/condition for the unlucky draws.
                    let condition = a.norm() * a.clone().try_inverse().unwrap().norm();
                    let allowed = 1e-12 * expected.amax() * (condition / 1e3).max(1.0);
                    for i in 0..n {
                        assert!((x[i] - expected[i]).abs() <= allowed, "{n}: {x:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_singular_matrix_names_its_column() {
        let mut lu = Lu::new(2);
        lu.matrix_mut().copy_from_slice(&[1.0, 2.0, 2.0, 4.0]);
        assert_eq!(lu.factor(), Err(SingularMatrix { pivot: 1 }));
        lu.clear();
        assert_eq!(lu.factor(), Err(SingularMatrix { pivot: 0 }));
    }

    #[test]
    fn a_nan_is_never_hidden() {
        for place in 0..9 {
            let mut lu = Lu::new(3);
            let filled = [2.0, 1.0, 0.5, 1.0, 3.0, 1.0, 0.2, 1.0, 4.0];
            lu.matrix_mut().copy_from_slice(&filled);
            lu.matrix_mut()[place] = f64::NAN;
            assert!(lu.factor().is_err(), "{place}");
        }
    }

    #[test]
    fn a_smaller_system_uses_the_same_buffer() {
        let mut lu = Lu::new(5);
        let address = lu.matrix_mut().as_ptr();
        lu.resize(2);
        assert_eq!(lu.size(), 2);
        assert_eq!(lu.matrix_mut().as_ptr(), address);
        assert_eq!(lu.matrix_mut(), [0.0; 4]);
        let mut empty = Lu::new(0);
        assert!(empty.factor().is_ok());
        empty.solve(&mut []);
    }
}
