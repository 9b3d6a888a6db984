//! What can be fitted: residuals with names.

use std::collections::BTreeMap;
use std::fmt::Display;

use bathkin_numerics::least_squares::Residuals;

/// A model with data: residuals, their derivatives, and the names of its parameters.
///
/// Residuals are (calculated - observed)/sigma. Where sigma is known to a common factor only, see
/// [`Scale::Estimated`](crate::options::Scale).
pub trait ResidualModel: Residuals<Error: Display + Send> + Sync {
    /// Names of the parameters, in their order.
    fn names(&self) -> &[String];

    /// The case a row belongs to: rows of one run or log are drawn together by the bootstrap. By default
    /// each row is its own.
    fn case_of(&self, row: usize) -> usize {
        row
    }
}

/// The rows of every case, cases in the order of their labels.
pub(crate) fn cases<M: ResidualModel>(model: &M) -> Vec<Vec<usize>> {
    let mut rows = BTreeMap::<usize, Vec<usize>>::new();
    for row in 0..model.rows() {
        rows.entry(model.case_of(row)).or_default().push(row);
    }
    rows.into_values().collect()
}

/// A model whose observations were shifted: residuals less `by`.
pub(crate) struct Shifted<'a, M> {
    pub model: &'a M,
    pub by: Vec<f64>,
}

impl<M: ResidualModel> Residuals for Shifted<'_, M> {
    type Error = M::Error;

    fn parameters(&self) -> usize {
        self.model.parameters()
    }

    fn rows(&self) -> usize {
        self.model.rows()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        self.model.residuals(at, residuals)?;
        residuals.iter_mut().zip(&self.by).for_each(|(residual, by)| *residual -= by);
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        self.model.linearise(at, residuals, jacobian)?;
        residuals.iter_mut().zip(&self.by).for_each(|(residual, by)| *residual -= by);
        Ok(())
    }
}

/// A model of some of the rows, each as often as it is named.
pub(crate) struct Rows<'a, M> {
    pub model: &'a M,
    pub rows: Vec<usize>,
}

impl<M: ResidualModel> Residuals for Rows<'_, M> {
    type Error = M::Error;

    fn parameters(&self) -> usize {
        self.model.parameters()
    }

    fn rows(&self) -> usize {
        self.rows.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Self::Error> {
        let mut all = vec![0.0; self.model.rows()];
        self.model.residuals(at, &mut all)?;
        residuals.iter_mut().zip(&self.rows).for_each(|(residual, row)| *residual = all[*row]);
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Self::Error> {
        let columns = self.parameters();
        let mut all = vec![0.0; self.model.rows()];
        let mut all_rows = vec![0.0; self.model.rows() * columns];
        self.model.linearise(at, &mut all, &mut all_rows)?;
        for (place, row) in self.rows.iter().enumerate() {
            residuals[place] = all[*row];
            jacobian[place * columns..][..columns].copy_from_slice(&all_rows[row * columns..][..columns]);
        }
        Ok(())
    }
}
