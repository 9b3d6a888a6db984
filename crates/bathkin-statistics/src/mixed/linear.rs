//! Residuals and slopes about a point, as sums over groups.

use bathkin_numerics::least_squares::Spectrum;
use nalgebra::{DMatrix, DVector};

use crate::mixed::error::GroupingError;
use crate::mixed::grouping::Grouping;
use crate::options::Scale;

/// The linear approximation r + J δ about a point, J in an orthonormal basis Q of its columns and r off them.
///
/// Everything at given ratios follows from Mᵀz and zᵀz of each of the finest groups and from MᵀM, M = [Q r]: an evaluation
/// of the likelihood does not see the rows.
#[derive(Debug, Clone)]
pub(crate) struct Linear {
    /// Q, with r in its last column.
    pub columns: DMatrix<f64>,
    /// z of each row.
    pub weights: Vec<f64>,
    pub grouping: Grouping,
    /// The coarse group of every fine one.
    pub parents: Vec<usize>,
    /// MᵀM.
    pub square: DMatrix<f64>,
    /// Mᵀz of the finest groups, one behind the other.
    pub moments: Vec<f64>,
    /// zᵀz of the finest groups.
    pub sizes: Vec<f64>,
    /// ln|JᵀJ|.
    pub ln_scale: f64,
    spectrum: Spectrum,
}

impl Linear {
    /// About a point; `columns` are those of J that count as free.
    pub fn about(
        residuals: &[f64],
        jacobian: &DMatrix<f64>,
        columns: &[usize],
        rank_tolerance: f64,
        least_norm: f64,
        (grouping, weights): (&Grouping, &[f64]),
    ) -> Self {
        let spectrum = Spectrum::of(jacobian, columns, rank_tolerance, least_norm);
        let basis = spectrum.basis();
        let raw = DVector::from_row_slice(residuals);
        let off = &raw - &basis * basis.tr_mul(&raw);
        let rank = basis.ncols();
        let mut columns = basis.insert_column(rank, 0.0);
        columns.set_column(rank, &off);
        Linear::of(columns, spectrum, (grouping, weights))
    }

    /// Of an orthonormal basis with residuals in its last column.
    fn of(columns: DMatrix<f64>, spectrum: Spectrum, (grouping, weights): (&Grouping, &[f64])) -> Self {
        let width = columns.ncols();
        let finest = grouping.finest();
        let mut moments = vec![0.0; finest.groups.len() * width];
        let mut sizes = vec![0.0; finest.groups.len()];
        for (row, group) in finest.of_row.iter().enumerate() {
            sizes[*group] += weights[row] * weights[row];
            for (place, moment) in moments[group * width..][..width].iter_mut().enumerate() {
                *moment += columns[(row, place)] * weights[row];
            }
        }
        let ln_of = |values: &[f64]| 2.0 * values.iter().map(|value| value.ln()).sum::<f64>();
        Linear {
            square: columns.tr_mul(&columns),
            columns,
            weights: weights.to_vec(),
            grouping: grouping.clone(),
            parents: grouping.parents(),
            moments,
            sizes,
            ln_scale: ln_of(&spectrum.singular_values[..spectrum.rank]) + ln_of(&spectrum.norms),
            spectrum,
        }
    }

    /// With a further column in the basis, what is new of a term; `None` where nothing is.
    pub fn with_term(&self, term: &[f64]) -> Option<Self> {
        // Part of the term that is not in the columns already.
        const NEW: f64 = 1e-6;
        let rank = self.rank();
        let term = DVector::from_row_slice(&term[..self.rows()]);
        let basis = self.columns.columns(0, rank);
        let new = &term - basis * basis.tr_mul(&term);
        let size = new.norm();
        if size.is_nan() || size <= NEW * term.norm() {
            return None;
        }
        let mut columns = self.columns.clone().insert_column(rank, 0.0);
        columns.set_column(rank, &(new / size));
        let along = columns.column(rank).dot(&columns.column(rank + 1));
        let left = columns.column(rank + 1) - columns.column(rank) * along;
        columns.set_column(rank + 1, &left);
        Some(Linear::of(columns, self.spectrum.clone(), (&self.grouping, &self.weights)))
    }

    /// Rows.
    pub fn rows(&self) -> usize {
        self.columns.nrows()
    }

    /// Determined numbers.
    pub fn rank(&self) -> usize {
        self.columns.ncols() - 1
    }

    /// A ratio of variances at which groups differ as rows do.
    pub fn usual_ratio(&self) -> f64 {
        self.rows() as f64 / self.weights.iter().map(|z| z * z).sum::<f64>()
    }

    /// The derivatives of a value by the coordinates along Q.
    pub fn along(&self, gradient: &[f64]) -> DVector<f64> {
        DVector::from_vec(self.spectrum.along(gradient))
    }

    /// Refuses data in which no variance between, or none within, is left to be estimated.
    pub fn check(&self, scale: Scale) -> Result<(), GroupingError> {
        let mut columns = self.columns.columns(0, self.rank()).into_owned();
        let mut before = self.rank();
        for level in self.grouping.levels() {
            let mut of_groups = DMatrix::zeros(self.rows(), level.groups.len());
            for (row, group) in level.of_row.iter().enumerate() {
                of_groups[(row, *group)] = self.weights[row];
            }
            columns = joined(&columns, &of_groups);
            let rank = rank(&columns);
            let (label, parameters) = (level.label.clone(), self.rank());
            if rank <= before {
                return Err(GroupingError::NothingBetween { label, parameters });
            }
            before = rank;
        }
        if before >= self.rows() && scale == Scale::Estimated {
            let finest = self.grouping.finest();
            return Err(GroupingError::NothingWithin {
                label: finest.label.clone(),
                rows: self.rows(),
                groups: finest.groups.len(),
                parameters: self.rank(),
            });
        }
        Ok(())
    }
}

/// Columns side by side.
pub(crate) fn joined(left: &DMatrix<f64>, right: &DMatrix<f64>) -> DMatrix<f64> {
    let mut all = DMatrix::zeros(left.nrows(), left.ncols() + right.ncols());
    all.columns_mut(0, left.ncols()).copy_from(left);
    all.columns_mut(left.ncols(), right.ncols()).copy_from(right);
    all
}

/// Rank of columns, each counted as of norm one.
fn rank(columns: &DMatrix<f64>) -> usize {
    const TOLERANCE: f64 = 1e-6;
    let all: Vec<usize> = (0..columns.ncols()).collect();
    Spectrum::of(columns, &all, TOLERANCE, 0.0).rank
}
