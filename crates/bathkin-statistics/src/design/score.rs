//! What a set of rows is worth.

use bathkin_numerics::least_squares::{LeastSquaresOptions, Spectrum};
use nalgebra::DMatrix;

use super::{Aim, Candidate};
use crate::error::FitError;
use crate::fit::{Fit, PART_IN_COMBINATION};
use crate::progress::Stopped;

/// What is known already, what could be added, and the aim.
pub(super) struct Target<'a> {
    /// R with RᵀR = JᵀJ.
    factor: DMatrix<f64>,
    /// Gradients over sigma.
    rows: Vec<Vec<f64>>,
    /// Parameters that lie on no bound.
    columns: Vec<usize>,
    /// Norm of each column over everything, the common measure of sets that do not determine all.
    norms: Vec<f64>,
    rank_tolerance: f64,
    least_norm: f64,
    aim: &'a Aim,
    /// Ends every search for a better set.
    pub stopped: Stopped<'a>,
}

/// The worth of a set: what it determines, then how well.
#[derive(Debug, Clone, Copy)]
pub(super) struct Score {
    determines: f64,
    how_well: f64,
    /// Whether `how_well` is the ln of a variance or of a whole determinant.
    complete: bool,
}

impl Score {
    /// Better by more than rounding.
    pub fn exceeds(&self, other: &Score) -> bool {
        const ROUNDING: f64 = 1e-9;
        let more = self.determines - other.determines;
        if more.abs() > ROUNDING { more > 0.0 } else { self.how_well > other.how_well + ROUNDING }
    }

    /// How much better, where both are of one kind.
    pub fn gain_over(&self, before: &Score) -> Option<f64> {
        (self.complete && before.complete).then_some(self.how_well - before.how_well)
    }
}

impl<'a> Target<'a> {
    pub fn new(
        fit: &Fit,
        candidates: &[Candidate],
        aim: &'a Aim,
        stopped: Stopped<'a>,
    ) -> Result<Self, FitError> {
        let spectrum = &fit.minimum.spectrum;
        let mut columns: Vec<usize> =
            spectrum.columns.iter().chain(&spectrum.no_influence).copied().collect();
        columns.sort_unstable();
        if let Aim::Combination(coefficients) = aim
            && columns.iter().all(|column| coefficients[*column] == 0.0)
        {
            return Err(FitError::NothingToLearn);
        }
        let divided = |one: &Candidate| one.gradient.iter().map(|slope| slope / one.sigma).collect();
        let rows: Vec<Vec<f64>> = candidates.iter().map(divided).collect();
        let factor = spectrum.factor();
        let norm = |i: usize| {
            let of_rows: f64 = rows.iter().map(|row| row[i] * row[i]).sum();
            (factor.column(i).norm_squared() + of_rows).sqrt()
        };
        let norms = (0..factor.ncols()).map(norm).collect();
        let LeastSquaresOptions { rank_tolerance, least_norm, .. } = fit.options.solver;
        Ok(Target { factor, rows, columns, norms, rank_tolerance, least_norm, aim, stopped })
    }

    /// R with the rows named below it.
    fn stacked(&self, rows: &[usize]) -> DMatrix<f64> {
        let known = self.factor.nrows();
        DMatrix::from_fn(known + rows.len(), self.factor.ncols(), |row, column| {
            if row < known { self.factor[(row, column)] } else { self.rows[rows[row - known]][column] }
        })
    }

    pub fn information(&self, rows: &[usize]) -> Spectrum {
        Spectrum::of(&self.stacked(rows), &self.columns, self.rank_tolerance, self.least_norm)
    }

    pub fn score(&self, rows: &[usize]) -> Score {
        let information = self.information(rows);
        match self.aim {
            Aim::Determinant => self.determinant(&information, rows),
            Aim::Combination(coefficients) => self.combination(&information, rows, coefficients),
        }
    }

    fn determinant(&self, information: &Spectrum, rows: &[usize]) -> Score {
        let complete = information.rank == self.columns.len();
        let half = if complete {
            let values: f64 = information.singular_values.iter().map(|value| value.ln()).sum();
            let norms = information.columns.iter().zip(&information.norms);
            values + norms.map(|(column, norm)| (norm / self.norms[*column]).ln()).sum::<f64>()
        } else {
            let values = self.in_common_measure(rows).singular_values();
            values.iter().take(information.rank).map(|value| value.ln()).sum()
        };
        Score { determines: information.rank as f64, how_well: 2.0 * half, complete }
    }

    fn combination(&self, information: &Spectrum, rows: &[usize], coefficients: &[f64]) -> Score {
        // Beyond the rounding of the decomposition.
        const OPEN: f64 = 1e-6;
        let unseen = information.no_influence.iter().any(|column| coefficients[*column] != 0.0);
        if !unseen && information.undetermined_part(coefficients) < OPEN {
            let how_well = -information.spread(coefficients).ln();
            return Score { determines: 0.0, how_well, complete: true };
        }
        // The part of c outside the space of the rows; among equals the set that determines more.
        let svd = self.in_common_measure(rows).svd(false, true);
        let c: Vec<f64> = self.columns.iter().map(|i| coefficients[*i] / self.measure(*i)).collect();
        let within = |k: usize| {
            let v_t = svd.v_t.as_ref();
            v_t.map_or(0.0, |v_t| v_t.row(k).iter().zip(&c).map(|(v, c)| v * c).sum::<f64>().powi(2))
        };
        let inside: f64 = (0..information.rank).map(within).sum();
        let whole: f64 = c.iter().map(|c| c * c).sum();
        Score {
            determines: (inside / whole - 1.0).min(0.0),
            how_well: information.rank as f64,
            complete: false,
        }
    }

    fn in_common_measure(&self, rows: &[usize]) -> DMatrix<f64> {
        let stacked = self.stacked(rows);
        DMatrix::from_fn(stacked.nrows(), self.columns.len(), |row, place| {
            stacked[(row, self.columns[place])] / self.measure(self.columns[place])
        })
    }

    fn measure(&self, column: usize) -> f64 {
        if self.norms[column] > 0.0 { self.norms[column] } else { 1.0 }
    }
}

/// √((JᵀJ)⁻¹ᵢᵢ) of each parameter; `None` where it is not determined or not free.
pub(super) fn standard_errors(information: &Spectrum, parameters: usize) -> Vec<Option<f64>> {
    let nulls = information.null_directions();
    let inverse = information.inverse_normal_matrix();
    let of = |i: usize| {
        let free = information.columns.contains(&i);
        let determined = nulls.iter().all(|null| null.scaled[i].abs() <= PART_IN_COMBINATION);
        (free && determined).then(|| inverse[(i, i)].sqrt())
    };
    (0..parameters).map(of).collect()
}
