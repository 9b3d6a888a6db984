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
/// `L` unit lower triangular and `U` upper triangular.
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
    // `L` and `U` row by row, each row filled up with zeros to whole lanes: no loop has a remainder.
    factors: Vec<Lanes>,
    // Row exchanged with row i at elimination step i (the LAPACK convention): it lets a right-hand
    // side be permuted in place, forwards or backwards.
    exchanged: Vec<usize>,
    // Inverse pivots: the solves would wait for every division.
    inverses: Vec<f64>,
    // Memory of an elimination and of the solves.
    scratch: [Vec<Lanes>; 2],
    n: usize,
}

/// Numbers side by side.
const WIDTH: usize = 4;
type Lanes = [f64; WIDTH];

/// The same code for each of the usual widths, which the compiler then knows: no loop over lanes is left.
macro_rules! for_width {
    ($width:ident, $code:expr) => {
        match $width {
            1 => {
                let $width = 1;
                $code
            }
            2 => {
                let $width = 2;
                $code
            }
            3 => {
                let $width = 3;
                $code
            }
            4 => {
                let $width = 4;
                $code
            }
            5 => {
                let $width = 5;
                $code
            }
            6 => {
                let $width = 6;
                $code
            }
            7 => {
                let $width = 7;
                $code
            }
            8 => {
                let $width = 8;
                $code
            }
            _ => $code,
        }
    };
}

/// Sum of the products of two rows.
#[inline]
fn dot_lanes(left: &[Lanes], right: &[Lanes]) -> f64 {
    let mut sums = [0.0; WIDTH];
    for (l, r) in left.iter().zip(right) {
        for ((sum, l), r) in sums.iter_mut().zip(l).zip(r) {
            *sum += l * r;
        }
    }
    (sums[0] + sums[2]) + (sums[1] + sums[3])
}

/// Adds so many times a row to another.
#[inline]
fn add_lanes(target: &mut [Lanes], source: &[Lanes], times: f64) {
    for (target, source) in target.iter_mut().zip(source) {
        for (target, source) in target.iter_mut().zip(source) {
            *target += times * source;
        }
    }
}

impl Lu {
    /// Buffers for an `n × n` matrix, filled with zeros.
    pub fn new(n: usize) -> Self {
        let width = n.div_ceil(WIDTH);
        let row = || vec![[0.0; WIDTH]; width];
        Self {
            matrix: vec![0.0; n * n],
            factors: vec![[0.0; WIDTH]; n * width],
            exchanged: vec![0; n],
            inverses: vec![0.0; n],
            scratch: [row(), row()],
            n,
        }
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
            *self = Self::new(n);
        }
        self.n = n;
        self.clear();
    }

    /// The matrix to be filled, row-major, `n * n` entries. [`factor`](Self::factor) leaves it as it is.
    pub fn matrix_mut(&mut self) -> &mut [f64] {
        let length = self.n * self.n;
        &mut self.matrix[..length]
    }

    /// Sets every entry to zero.
    pub fn clear(&mut self) {
        self.matrix_mut().fill(0.0);
    }

    /// Factorises the matrix.
    ///
    /// # Errors
    ///
    /// [`SingularMatrix`] when a column has no pivot with a finite inverse.
    pub fn factor(&mut self) -> Result<(), SingularMatrix> {
        let width = self.n.div_ceil(WIDTH);
        for_width!(width, self.factor_of(width))
    }

    #[inline(always)]
    fn factor_of(&mut self, width: usize) -> Result<(), SingularMatrix> {
        let n = self.n;
        if n == 0 {
            return Ok(());
        }
        let factors = &mut self.factors[..n * width];
        for (row, given) in factors.chunks_exact_mut(width).zip(self.matrix.chunks_exact(n)) {
            row[width - 1] = [0.0; WIDTH];
            row.as_flattened_mut()[..n].copy_from_slice(given);
        }
        let right = &mut self.scratch[0][..width];
        for k in 0..n {
            let (lane, place) = (k / WIDTH, k % WIDTH);
            let mut row = k;
            let mut largest = 0.0;
            for (i, candidate) in factors[k * width..].chunks_exact(width).enumerate() {
                let candidate = candidate[lane][place].abs();
                // A NaN must win, or it would stay hidden below the pivot.
                if candidate > largest || candidate.is_nan() {
                    largest = candidate;
                    row = k + i;
                }
            }
            // The inverse of a zero or subnormal pivot is not finite either.
            if !largest.is_finite() || !largest.recip().is_finite() {
                return Err(SingularMatrix { pivot: k });
            }
            self.exchanged[k] = row;
            // Rows up to k, the pivot row last, and the rows still to be eliminated.
            let (above, below) = factors.split_at_mut((k + 1) * width);
            let pivot_row = &mut above[k * width..];
            if row != k {
                let start = (row - k - 1) * width;
                pivot_row.swap_with_slice(&mut below[start..start + width]);
            }
            let inverse = 1.0 / pivot_row[lane][place];
            self.inverses[k] = inverse;
            // Without what stands up to the pivot, where `L` is kept in the rows below.
            right.copy_from_slice(pivot_row);
            right.as_flattened_mut()[..=k].fill(0.0);
            for other in below.chunks_exact_mut(width) {
                let factor = other[lane][place] * inverse;
                other[lane][place] = factor;
                if factor != 0.0 {
                    add_lanes(other, right, -factor);
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
    pub fn solve(&mut self, b: &mut [f64]) {
        let width = self.n.div_ceil(WIDTH);
        for_width!(width, self.solve_of(width, b));
    }

    #[inline(always)]
    fn solve_of(&mut self, width: usize, b: &mut [f64]) {
        let n = self.n;
        if n == 0 {
            return;
        }
        let b = &mut b[..n];
        for (i, &row) in self.exchanged[..n].iter().enumerate() {
            b.swap(i, row);
        }
        // What is not known yet is zero, so that whole rows can be multiplied.
        let [below, x] = &mut self.scratch;
        let (below, x) = (&mut below[..width], &mut x[..width]);
        below.fill([0.0; WIDTH]);
        x.fill([0.0; WIDTH]);
        let rows = self.factors[..n * width].chunks_exact(width);
        for (i, (row, value)) in rows.clone().zip(&*b).enumerate() {
            below[i / WIDTH][i % WIDTH] = value - dot_lanes(row, below);
        }
        for (i, (row, inverse)) in rows.zip(&self.inverses[..n]).enumerate().rev() {
            let (lane, place) = (i / WIDTH, i % WIDTH);
            x[lane][place] = (below[lane][place] - dot_lanes(row, x)) * inverse;
        }
        b.copy_from_slice(&x.as_flattened()[..n]);
    }

    /// Solves `Aᵀ x = b`; `b` is overwritten by `x`. Needs a successful [`factor`](Self::factor).
    ///
    /// From `A = Pᵀ L U` follows `Aᵀ x = Uᵀ Lᵀ P x`.
    ///
    /// # Panics
    ///
    /// If `b` has fewer than `n` entries; entries beyond `n` are left alone.
    pub fn solve_transposed(&mut self, b: &mut [f64]) {
        let n = self.n;
        let width = n.div_ceil(WIDTH);
        let b = &mut b[..n];
        // Column-oriented sweeps, so that the rows of the stored matrix are read in order; what the sums hold of unknowns
        // that are known already is of no use any more.
        let [upper, lower] = &mut self.scratch;
        let (upper, lower) = (&mut upper[..width], &mut lower[..width]);
        upper.fill([0.0; WIDTH]);
        lower.fill([0.0; WIDTH]);
        let row = |i: usize| &self.factors[i * width..(i + 1) * width];
        for (i, value) in b.iter_mut().enumerate() {
            *value = (*value - upper[i / WIDTH][i % WIDTH]) * self.inverses[i];
            add_lanes(upper, row(i), *value);
        }
        for (i, value) in b.iter_mut().enumerate().rev() {
            *value -= lower[i / WIDTH][i % WIDTH];
            add_lanes(lower, row(i), *value);
        }
        for (i, &row) in self.exchanged[..n].iter().enumerate().rev() {
            b.swap(i, row);
        }
    }
}

/// Sum of the products of two vectors of one length.
///
/// Four sums side by side: one alone would wait for every addition to end.
#[inline]
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
