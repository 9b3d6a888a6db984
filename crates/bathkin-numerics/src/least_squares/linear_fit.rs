//! Linear least squares, for straight lines and polynomials.

use nalgebra::DMatrix;

use super::Spectrum;

/// A linear model fitted to y.
#[derive(Debug, Clone)]
pub struct LinearFit {
    /// Coefficients.
    pub values: Vec<f64>,
    /// (XᵀX)⁻¹.
    pub inverse: DMatrix<f64>,
    /// Sum of squared residuals.
    pub sum_of_squares: f64,
}

/// Fits y = X b by columns of X; `None` where X has no full rank to rounding.
///
/// ```
/// use bathkin_numerics::least_squares::linear_fit;
///
/// let line = linear_fit(&[vec![1.0; 3], vec![0.0, 1.0, 2.0]], &[1.0, 3.0, 5.0]).unwrap();
/// assert!((line.values[0] - 1.0).abs() < 1e-14 && (line.values[1] - 2.0).abs() < 1e-14);
/// ```
pub fn linear_fit(columns: &[Vec<f64>], y: &[f64]) -> Option<LinearFit> {
    let x = DMatrix::from_fn(y.len(), columns.len(), |row, column| columns[column][row]);
    let all: Vec<usize> = (0..columns.len()).collect();
    let spectrum = Spectrum::of(&x, &all, f64::EPSILON * y.len() as f64, 0.0);
    if spectrum.rank < columns.len() {
        return None;
    }
    let values = spectrum.solve(y);
    let residual = |row: usize| y[row] - (0..columns.len()).map(|c| x[(row, c)] * values[c]).sum::<f64>();
    let sum_of_squares = (0..y.len()).map(|row| residual(row).powi(2)).sum();
    Some(LinearFit { values, inverse: spectrum.inverse_normal_matrix(), sum_of_squares })
}
