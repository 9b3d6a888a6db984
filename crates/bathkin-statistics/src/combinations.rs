//! Names for what is determined where single parameters are not: sums, differences, products, ratios.
//!
//! Along a direction v of [`Spectrum::null_directions`](bathkin_numerics::least_squares::Spectrum) the
//! residuals stand still. A value with the derivatives g by the parameters is determined when g is
//! orthogonal to every v, and then has the standard error s √(gᵀ(JᵀJ)⁻¹g). Simple forms of two and three of
//! the parameters that are not determined alone are tried one by one.
//!
//! A statement about the neighbourhood of the minimum. Where two parameters are equal, their sum and their
//! product have the same direction, and both are named.

use nalgebra::DVector;
use serde::Serialize;

use crate::error::FitError;
use crate::fit::{Fit, interval};
use crate::parameter::Determination;

/// The scale on which a parameter is fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Coordinate {
    /// As it is.
    #[default]
    Linear,
    /// By its natural logarithm: the parameter itself is exp of the solver's.
    Logarithmic,
}

/// How parameters are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// ± p ± q ...
    Sum,
    /// p^±1 q^±1 ...
    Product,
}

/// A combination that the data determine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeterminedCombination {
    /// As one writes it: `p + q`, `p - q`, `p * q`, `p / q`.
    pub text: String,
    /// Sum or product.
    pub form: Form,
    /// Parameters that take part, each with its sign in a sum or its exponent in a product, 1 or -1.
    pub parts: Vec<(String, i32)>,
    /// Its value, of the parameters themselves also where they are fitted on a log scale.
    pub value: f64,
    /// Its standard error; `None` without a degree of freedom.
    pub standard_error: Option<f64>,
    /// Its interval at the level of the fit.
    pub interval: Option<[f64; 2]>,
}

/// What is determined of the parameters that are not determined alone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combinations {
    /// The combinations that were found, pairs first.
    pub determined: Vec<DeterminedCombination>,
    /// Independent combinations that are determined as well and have none of the simple forms.
    pub unnamed: usize,
}

/// Simple combinations of the undetermined parameters of a fit that are determined.
///
/// `coordinates` has the scale of every parameter; an empty slice means linear. A form
/// counts as determined when no more than 1e-4 of its gradient lies along the undetermined directions, each
/// parameter in units of 1/(norm of its column of J). Triples are named only where pairs do not imply them
/// already. A parameter on a bound counts as known, one without influence takes no part.
///
/// # Errors
/// [`FitError::Length`] when `coordinates` is neither empty nor of the length of the parameters.
///
/// ```
/// use bathkin_statistics::combinations::determined_combinations;
/// use bathkin_statistics::{FitOptions, ResidualModel, fit};
/// use bathkin_numerics::least_squares::Residuals;
/// use std::convert::Infallible;
///
/// /// y = p q t: only the product can be known.
/// struct Product {
///     names: Vec<String>,
/// }
///
/// const TABLE: [(f64, f64); 3] = [(1.0, 6.1), (2.0, 11.9), (3.0, 18.0)];
///
/// impl Residuals for Product {
///     type Error = Infallible;
///     fn parameters(&self) -> usize { 2 }
///     fn rows(&self) -> usize { 3 }
///     fn residuals(&self, at: &[f64], f: &mut [f64]) -> Result<(), Infallible> {
///         self.linearise(at, f, &mut [0.0; 6])
///     }
///     fn linearise(&self, at: &[f64], f: &mut [f64], j: &mut [f64]) -> Result<(), Infallible> {
///         for (row, (t, y)) in TABLE.iter().enumerate() {
///             f[row] = at[0] * at[1] * t - y;
///             j[2 * row..2 * row + 2].copy_from_slice(&[at[1] * t, at[0] * t]);
///         }
///         Ok(())
///     }
/// }
///
/// impl ResidualModel for Product {
///     fn names(&self) -> &[String] { &self.names }
/// }
///
/// let model = Product { names: vec!["p".to_owned(), "q".to_owned()] };
/// let found = fit(&model, &[1.0, 2.0], &FitOptions::default())?;
/// let together = determined_combinations(&found, &[])?;
/// assert_eq!(together.determined[0].text, "p * q");
/// // Σ t y / Σ t² = 83.9/14.
/// assert!((together.determined[0].value - 83.9 / 14.0).abs() < 1e-9);
/// # Ok::<(), bathkin_statistics::FitError>(())
/// ```
pub fn determined_combinations(fit: &Fit, coordinates: &[Coordinate]) -> Result<Combinations, FitError> {
    let count = fit.parameters.len();
    if !coordinates.is_empty() && coordinates.len() != count {
        return Err(FitError::Length {
            first: "coordinates",
            first_rows: coordinates.len(),
            second: "parameters",
            second_rows: count,
        });
    }
    let logarithmic = |i: usize| coordinates.get(i) == Some(&Coordinate::Logarithmic);
    let value = |i: usize| if logarithmic(i) { fit.values()[i].exp() } else { fit.values()[i] };
    let open: Vec<Part> = (0..count)
        .filter(|i| fit.parameters[*i].determination == Determination::RankDeficient)
        .map(|i| Part { index: i, value: value(i), slope: if logarithmic(i) { value(i) } else { 1.0 } })
        .collect();
    let mut search = Search { fit, determined: Vec::new(), basis: Vec::new() };
    for a in 0..open.len() {
        for b in a + 1..open.len() {
            search.try_signs(&[open[a], open[b]]);
        }
    }
    for a in 0..open.len() {
        for b in a + 1..open.len() {
            for c in b + 1..open.len() {
                search.try_signs(&[open[a], open[b], open[c]]);
            }
        }
    }
    // Among the open parameters every direction that is not undetermined is determined.
    let all = open.len().saturating_sub(fit.minimum.spectrum.null_directions().len());
    Ok(Combinations { unnamed: all.saturating_sub(search.basis.len()), determined: search.determined })
}

/// A parameter that is not determined alone: its own value and its derivative by the solver's.
#[derive(Clone, Copy)]
struct Part {
    index: usize,
    value: f64,
    slope: f64,
}

struct Search<'a> {
    fit: &'a Fit,
    determined: Vec<DeterminedCombination>,
    /// Orthonormal; spans the gradients of what was named, in scaled parameters.
    basis: Vec<DVector<f64>>,
}

impl Search<'_> {
    /// Both forms with every choice of signs, the first one positive.
    fn try_signs(&mut self, parts: &[Part]) {
        for form in [Form::Sum, Form::Product] {
            for choice in 0..1_u32 << (parts.len() - 1) {
                let sign = |place: usize| if place > 0 && choice >> (place - 1) & 1 == 1 { -1 } else { 1 };
                let signs: Vec<i32> = (0..parts.len()).map(sign).collect();
                self.try_one(form, parts, &signs);
            }
        }
    }

    fn try_one(&mut self, form: Form, parts: &[Part], signs: &[i32]) {
        // As far as an undetermined direction is known behind a simulation.
        const ORTHOGONAL: f64 = 1e-4;
        let signed = || parts.iter().zip(signs).map(|(part, sign)| (part, f64::from(*sign)));
        let value: f64 = match form {
            Form::Sum => signed().map(|(part, sign)| sign * part.value).sum(),
            Form::Product => signed().map(|(part, sign)| part.value.powf(sign)).product(),
        };
        let mut gradient = vec![0.0; self.fit.parameters.len()];
        for (part, sign) in signed() {
            gradient[part.index] = sign
                * match form {
                    Form::Sum => part.slope,
                    Form::Product => value / part.value * part.slope,
                };
        }
        // A product with a zero in it has no gradient along the others.
        let usable = parts.iter().all(|part| gradient[part.index].is_normal());
        if !usable || self.fit.minimum.spectrum.undetermined_part(&gradient) > ORTHOGONAL {
            return;
        }
        if !self.extends_basis(&gradient) && parts.len() > 2 {
            return;
        }
        let variance = self.fit.factor().map(|factor| factor * self.fit.minimum.spectrum.spread(&gradient));
        let standard_error = variance.map(f64::sqrt);
        let names: Vec<&str> = parts.iter().map(|p| self.fit.parameters[p.index].name.as_str()).collect();
        let joined = names[1..].iter().zip(&signs[1..]).map(|(name, sign)| match (form, *sign > 0) {
            (Form::Sum, true) => format!(" + {name}"),
            (Form::Sum, false) => format!(" - {name}"),
            (Form::Product, true) => format!(" * {name}"),
            (Form::Product, false) => format!(" / {name}"),
        });
        self.determined.push(DeterminedCombination {
            text: std::iter::once(names[0].to_owned()).chain(joined).collect(),
            form,
            parts: names.iter().map(|name| (*name).to_owned()).zip(signs.iter().copied()).collect(),
            value,
            standard_error,
            interval: interval(value, standard_error, self.fit.quantile()),
        });
    }

    /// Whether a gradient is independent of those named so far; it is then added to the basis.
    fn extends_basis(&mut self, gradient: &[f64]) -> bool {
        let spectrum = &self.fit.minimum.spectrum;
        let scaled = spectrum.columns.iter().zip(&spectrum.norms).map(|(i, norm)| gradient[*i] / norm);
        let mut left = DVector::from_iterator(spectrum.columns.len(), scaled);
        left /= left.norm();
        for known in &self.basis {
            let along = left.dot(known);
            left.axpy(-along, known, 1.0);
        }
        let length = left.norm();
        let new = length > 1e-3;
        if new {
            self.basis.push(left / length);
        }
        new
    }
}
