//! Whether a label that nobody named explains scatter.
//!
//! With the rows of the linear approximation, p determined numbers and r further ones when every group is off by itself,
//!
//! F = [(S - S_g)/r]/[S_g/(n - p - r)],
//!
//! S the sum of squares with the groups alike and S_g that with each off by itself, z as for random effects. Exact for linear
//! models with normal errors, whatever the variance between: under "no difference" it has the F distribution. Source: S. R.
//! Searle, G. Casella and C. E. McCulloch, *Variance Components*, Wiley 1992, chapter 5.

use nalgebra::{DMatrix, DVector};

use bathkin_numerics::least_squares::Spectrum;

use crate::fit::Fit;
use crate::mixed::linear::joined;
use crate::quantiles::f_tail;

/// The test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelTest {
    /// F.
    pub f_ratio: f64,
    /// r.
    pub between: usize,
    /// n - p - r.
    pub within: usize,
    /// Probability of a larger F, were no group off.
    pub p_value: f64,
}

/// The test of a label on a fit; `group` has the group of each row, `None` where it has none, `weights` are z. `None` where
/// the groups tell nothing that the parameters do not, or leave no scatter within.
pub fn label_test(fit: &Fit, group: &[Option<usize>], weights: &[f64]) -> Option<LabelTest> {
    const TOLERANCE: f64 = 1e-6;
    let rows: Vec<usize> = (0..group.len()).filter(|row| group[*row].is_some()).collect();
    let minimum = &fit.minimum;
    let columns = &minimum.spectrum.columns;
    let slopes =
        DMatrix::from_fn(rows.len(), columns.len(), |row, at| minimum.jacobian[(rows[row], columns[at])]);
    let count = group.iter().flatten().max()? + 1;
    let mut of_groups = DMatrix::zeros(rows.len(), count);
    for (place, row) in rows.iter().enumerate() {
        of_groups[(place, group[*row]?)] = weights[*row];
    }
    let residuals = DVector::from_fn(rows.len(), |row, _| minimum.residuals[rows[row]]);
    let left = |columns: &DMatrix<f64>| {
        let all: Vec<usize> = (0..columns.ncols()).collect();
        let basis = Spectrum::of(columns, &all, TOLERANCE, 0.0).basis();
        let along = basis.tr_mul(&residuals);
        (basis.ncols(), (&residuals - basis * along).norm_squared())
    };
    let (parameters, alike) = left(&slopes);
    let (all, apart) = left(&joined(&slopes, &of_groups));
    let between = all - parameters;
    let within = rows.len().checked_sub(all).filter(|within| *within > 0)?;
    if between == 0 || apart <= 0.0 {
        return None;
    }
    let f_ratio = (alike - apart).max(0.0) / between as f64 / (apart / within as f64);
    let p_value = f_tail(f_ratio, between, within).filter(|p| p.is_finite())?;
    Some(LabelTest { f_ratio, between, within, p_value })
}
