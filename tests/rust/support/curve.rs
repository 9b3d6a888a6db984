//! A curve y(x) with a table, for tests of fits.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::ResidualModel;
use num_dual::Dual64;

/// (y calculated - y)/sigma with the derivatives of `function` by dual numbers.
#[derive(Clone)]
pub struct Curve {
    pub x: Vec<f64>,
    pub y: Vec<f64>,
    pub sigma: Vec<f64>,
    pub names: Vec<String>,
    pub function: fn(&[Dual64], f64) -> Dual64,
}

impl Curve {
    pub fn new(names: &[&str], x: &[f64], y: &[f64], function: fn(&[Dual64], f64) -> Dual64) -> Self {
        Curve {
            x: x.to_vec(),
            y: y.to_vec(),
            sigma: vec![1.0; x.len()],
            names: names.iter().map(|&name| name.to_owned()).collect(),
            function,
        }
    }

    pub fn line(x: &[f64], y: &[f64]) -> Self {
        Curve::new(&["intercept", "slope"], x, y, |b, x| b[0] + b[1] * x)
    }

    /// Value and derivatives at x.
    pub fn at(&self, b: &[f64], x: f64) -> (f64, Vec<f64>) {
        let along = |column: usize| {
            let of = |(i, b): (usize, &f64)| Dual64::new(*b, if i == column { 1.0 } else { 0.0 });
            let b: Vec<Dual64> = b.iter().enumerate().map(of).collect();
            (self.function)(&b, x)
        };
        (along(b.len()).re, (0..b.len()).map(|column| along(column).eps).collect())
    }
}

impl Residuals for Curve {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        self.names.len()
    }

    fn rows(&self) -> usize {
        self.x.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        for (row, residual) in residuals.iter_mut().enumerate() {
            *residual = (self.at(at, self.x[row]).0 - self.y[row]) / self.sigma[row];
        }
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        for row in 0..self.x.len() {
            let (value, slopes) = self.at(at, self.x[row]);
            residuals[row] = (value - self.y[row]) / self.sigma[row];
            for (column, slope) in slopes.iter().enumerate() {
                jacobian[row * at.len() + column] = slope / self.sigma[row];
            }
        }
        Ok(())
    }
}

impl ResidualModel for Curve {
    fn names(&self) -> &[String] {
        &self.names
    }
}
