//! The Arrhenius fit in k itself, with errors of one size in its unit, beside the one in ln k.
//!
//! The two differ where the errors decide: ln k weighs every row alike, k the fast ones most. With S the sum
//! of squares of each, their greatest likelihoods are
//!
//! ln L = -(n/2) ln(S_ln/n) - Σ ln k (relative), ln L = -(n/2) ln(S_k/n) (absolute),
//!
//! for the same rows and the same number of parameters, so that the criteria of Akaike differ by -2 ln L alone.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use schemars::JsonSchema;
use serde::Serialize;

use bathkin_statistics::FitOptions;
use bathkin_statistics::fit::fit;
use bathkin_statistics::residual_model::ResidualModel;

/// The fit in k itself.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct DirectFit {
    /// Ea, kJ/mol.
    pub activation_energy_kj_mol: f64,
    /// Its standard error; `None` without a degree of freedom.
    pub standard_error: Option<f64>,
    /// k at the reference temperature, in the unit of the data.
    pub k_ref: f64,
    /// ln A.
    pub ln_a: f64,
    /// Criterion of Akaike of absolute errors less that of relative ones; positive where the scatter is relative.
    /// `None` where a fit meets its rows exactly.
    pub aic_absolute_less_relative: Option<f64>,
}

/// k = k_ref exp(Ea x), x = -(1/T - 1/T_ref)/R in mol/kJ; k in units of its largest value.
struct Direct<'a> {
    names: Vec<String>,
    x: &'a [f64],
    k: Vec<f64>,
}

impl Residuals for Direct<'_> {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        2
    }

    fn rows(&self) -> usize {
        self.k.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        for (residual, (x, k)) in residuals.iter_mut().zip(self.x.iter().zip(&self.k)) {
            *residual = (at[0] + at[1] * x).exp() - k;
        }
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        self.residuals(at, residuals)?;
        for (row, x) in self.x.iter().enumerate() {
            let k = (at[0] + at[1] * x).exp();
            jacobian[2 * row..][..2].copy_from_slice(&[k, k * x]);
        }
        Ok(())
    }
}

impl ResidualModel for Direct<'_> {
    fn names(&self) -> &[String] {
        &self.names
    }
}

/// Fits k itself from the estimates in ln k, (ln k_ref, Ea in kJ/mol); `lever` is Ea's part in ln A per kJ/mol.
/// `None` where the search finds no minimum.
pub(crate) fn fit_direct(
    x: &[f64],
    ln_k: &[f64],
    start: (f64, f64),
    squares_of_logarithms: f64,
    lever: f64,
) -> Option<DirectFit> {
    let largest = ln_k.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let model = Direct {
        names: ["ln_k_ref", "activation_energy_kj_mol"].map(str::to_owned).to_vec(),
        x,
        k: ln_k.iter().map(|ln_k| (ln_k - largest).exp()).collect(),
    };
    let found = fit(&model, &[start.0 - largest, start.1], &FitOptions::default()).ok()?;
    let (ln_k_ref, energy) = (found.values()[0] + largest, found.values()[1]);
    let rows = ln_k.len() as f64;
    let absolute = rows * (found.sum_of_squares() / rows).ln();
    let relative = rows * (squares_of_logarithms / rows).ln()
        + 2.0 * ln_k.iter().map(|ln_k| ln_k - largest).sum::<f64>();
    let difference = absolute - relative;
    Some(DirectFit {
        activation_energy_kj_mol: energy,
        standard_error: found.parameters[1].standard_error,
        k_ref: ln_k_ref.exp(),
        ln_a: ln_k_ref + lever * energy,
        aic_absolute_less_relative: difference.is_finite().then_some(difference),
    })
}
