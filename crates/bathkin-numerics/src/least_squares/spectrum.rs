//! What the data can tell apart: singular values and directions of the scaled Jacobian.

use nalgebra::{DMatrix, DVector};

/// Singular value decomposition of J with its columns divided by their norms, J D⁻¹ = U S Vᵀ, over some of
/// the parameters.
///
/// A singular value near zero means that a combination of parameters, in the proportions of its column
/// of V, changes the residuals hardly at all. Scaling makes this a statement about the data and not
/// about units.
#[derive(Debug, Clone)]
pub struct Spectrum {
    /// Parameters that take part, by index.
    pub columns: Vec<usize>,
    /// Parameters left out because no residual depends on them.
    pub no_influence: Vec<usize>,
    /// Norms that their columns of J are divided by.
    pub norms: Vec<f64>,
    /// Singular values, largest first.
    pub singular_values: Vec<f64>,
    /// How many of them count as above zero.
    pub rank: usize,
    parameters: usize,
    left: DMatrix<f64>,
    right: DMatrix<f64>,
}

/// A combination of parameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    /// Its singular value as part of the largest.
    pub relative_singular_value: f64,
    /// Unit vector over all parameters, each counted in units of 1/(norm of its column of J).
    pub scaled: Vec<f64>,
    /// The same in the units of the parameters: moving along it changes nothing in the residuals.
    pub parameters: Vec<f64>,
}

impl Spectrum {
    /// Of the columns of `jacobian` named in `columns`; singular values below `rank_tolerance` times the
    /// largest count as zero, and a column that is not zero as no shorter than `least_norm`.
    pub fn of(jacobian: &DMatrix<f64>, columns: &[usize], rank_tolerance: f64, least_norm: f64) -> Self {
        let norm = |column: usize| jacobian.column(column).norm();
        let (columns, no_influence): (Vec<_>, Vec<_>) = columns.iter().partition(|c| norm(**c) > 0.0);
        let norms: Vec<f64> = columns.iter().map(|column| norm(*column).max(least_norm)).collect();
        let scaled = DMatrix::from_fn(jacobian.nrows(), columns.len(), |row, place| {
            jacobian[(row, columns[place])] / norms[place]
        });
        let (left, singular_values, right) = decompose(scaled);
        let largest = singular_values.first().copied().unwrap_or(0.0);
        let rank = singular_values.iter().filter(|s| **s > rank_tolerance * largest).count();
        Spectrum {
            columns,
            no_influence,
            norms,
            singular_values,
            rank,
            parameters: jacobian.ncols(),
            left,
            right,
        }
    }

    /// Largest over smallest singular value; infinite without full rank to rounding.
    pub fn condition(&self) -> f64 {
        let largest = self.singular_values.first().copied().unwrap_or(1.0);
        if self.singular_values.len() < self.columns.len() {
            return f64::INFINITY;
        }
        largest / self.singular_values.last().copied().unwrap_or(1.0)
    }

    /// (JᵀJ)⁻¹ over all parameters, zero in rows and columns that take no part; over the directions that
    /// count as determined when the rank is not full.
    pub fn inverse_normal_matrix(&self) -> DMatrix<f64> {
        let mut inverse = DMatrix::zeros(self.parameters, self.parameters);
        for k in 0..self.rank {
            let weight = self.singular_values[k].powi(-2);
            for (a, row) in self.columns.iter().enumerate() {
                for (b, column) in self.columns.iter().enumerate() {
                    inverse[(*row, *column)] +=
                        weight * self.right[(a, k)] / self.norms[a] * self.right[(b, k)] / self.norms[b];
                }
            }
        }
        inverse
    }

    /// gᵀ(JᵀJ)⁻¹g over the determined directions: the variance, in units of that of the residuals, of a value
    /// with the derivatives g by the parameters.
    pub fn spread(&self, gradient: &[f64]) -> f64 {
        let g = DVector::from_row_slice(gradient);
        (self.inverse_normal_matrix() * &g).dot(&g)
    }

    /// Part of g, 0-1, that lies along combinations the residuals do not depend on, each parameter counted
    /// in units of 1/(norm of its column of J). Parameters without influence are left out.
    pub fn undetermined_part(&self, gradient: &[f64]) -> f64 {
        let along = |null: &Direction| null.parameters.iter().zip(gradient).map(|(v, g)| v * g).sum::<f64>();
        let open: f64 = self.null_directions().iter().map(|null| along(null).powi(2)).sum();
        let of = self.columns.iter().zip(&self.norms);
        let whole: f64 = of.map(|(i, norm)| (gradient[*i] / norm).powi(2)).sum();
        if whole > 0.0 { (open / whole).sqrt() } else { 0.0 }
    }

    /// R of few rows with RᵀR = JᵀJ over all parameters: J turned, without its rows.
    pub fn factor(&self) -> DMatrix<f64> {
        let mut factor = DMatrix::zeros(self.singular_values.len(), self.parameters);
        for (k, value) in self.singular_values.iter().enumerate() {
            for (place, column) in self.columns.iter().enumerate() {
                factor[(k, *column)] = value * self.right[(place, k)] * self.norms[place];
            }
        }
        factor
    }

    /// Orthonormal columns that span those of J, in the order of the singular values that count.
    pub fn basis(&self) -> DMatrix<f64> {
        self.left.columns(0, self.rank).into_owned()
    }

    /// Derivatives by the coordinates along [`Spectrum::basis`] of a value with the derivatives g by the parameters.
    pub fn along(&self, gradient: &[f64]) -> Vec<f64> {
        let by = |k: usize| {
            let of = self.columns.iter().zip(&self.norms).enumerate();
            let sum: f64 = of.map(|(place, (i, norm))| self.right[(place, k)] * gradient[*i] / norm).sum();
            sum / self.singular_values[k]
        };
        (0..self.rank).map(by).collect()
    }

    /// Diagonal of the hat matrix J (JᵀJ)⁻¹ Jᵀ: how far each row determines its own fitted value.
    pub fn leverage(&self) -> Vec<f64> {
        let row = |row: usize| (0..self.rank).map(|k| self.left[(row, k)].powi(2)).sum::<f64>().min(1.0);
        (0..self.left.nrows()).map(row).collect()
    }

    /// The linear least-squares solution of min ‖J x - y‖ over the determined directions.
    pub fn solve(&self, y: &[f64]) -> Vec<f64> {
        let c = self.left.tr_mul(&DVector::from_row_slice(y));
        let mut x = vec![0.0; self.parameters];
        for k in 0..self.rank {
            for (place, column) in self.columns.iter().enumerate() {
                x[*column] += self.right[(place, k)] * c[k] / self.singular_values[k] / self.norms[place];
            }
        }
        x
    }

    /// Combinations the residuals do not depend on, within the rank tolerance.
    pub fn null_directions(&self) -> Vec<Direction> {
        let largest = self.singular_values.first().copied().unwrap_or(1.0);
        (self.rank..self.columns.len())
            .map(|k| {
                let mut scaled = vec![0.0; self.parameters];
                let mut parameters = vec![0.0; self.parameters];
                for (place, column) in self.columns.iter().enumerate() {
                    scaled[*column] = self.right[(place, k)];
                    parameters[*column] = self.right[(place, k)] / self.norms[place];
                }
                let value = self.singular_values.get(k).copied().unwrap_or(0.0);
                Direction { relative_singular_value: value / largest, scaled, parameters }
            })
            .collect()
    }
}

/// (U, S, V) with V square: rows of zeros stand in where there are fewer rows than columns, so that
/// every direction has its singular value.
fn decompose(a: DMatrix<f64>) -> (DMatrix<f64>, Vec<f64>, DMatrix<f64>) {
    let (rows, columns) = a.shape();
    if columns == 0 || rows == 0 {
        return (DMatrix::zeros(rows, 0), Vec::new(), DMatrix::zeros(0, 0));
    }
    let tall = if rows < columns { a.resize_vertically(columns, 0.0) } else { a };
    // The small triangle carries the singular values; the tall factor is orthogonal.
    let qr = tall.qr();
    let svd = qr.r().svd(true, true);
    let left = qr.q() * svd.u.unwrap_or_else(|| DMatrix::identity(columns, columns));
    let right = svd.v_t.map_or_else(|| DMatrix::identity(columns, columns), |v_t| v_t.transpose());
    (left.rows(0, rows).into_owned(), svd.singular_values.iter().copied().collect(), right)
}
