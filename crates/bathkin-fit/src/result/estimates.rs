//! Estimates in the recipe's own numbers.

use bathkin::document::Dependence;
use bathkin_statistics::parameter::Parameter;
use schemars::JsonSchema;
use serde::Serialize;

use crate::objective::free::ParameterScale;
use crate::result::half_width::{Uncertain, half_width, interval, only};

/// A fitted number of the recipe.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct PathEstimate {
    /// Its path; with the label behind `@` where it is grouped, and `start.<column>@<file>` for what a
    /// bath held at the start of a log.
    pub path: String,
    /// Value.
    pub value: f64,
    /// Standard error, to first order, or `None`.
    pub standard_error: Option<f64>,
    /// 95 % interval: symmetric in the logarithm where `scale` is `log`.
    pub interval95: Option<[f64; 2]>,
    /// Degrees of freedom of that interval: of Student's t; none where it is normal, and where there is none.
    pub degrees_of_freedom: Option<f64>,
    /// `ok`; `not_determined` where zero lies in the interval of an energy, an order or an exponent; or the code
    /// of why there is no uncertainty.
    pub status: &'static str,
    /// The scale it was fitted on.
    pub scale: ParameterScale,
    /// Value in the recipe.
    pub start: f64,
}

impl PathEstimate {
    /// Its path, whatever label it is grouped by.
    pub fn whole_path(&self) -> &str {
        self.path.split('@').next().unwrap_or(&self.path)
    }
}

/// Status of a number whose interval holds zero.
pub(crate) const HOLDS_ZERO: &str = "not_determined";

/// Whether the interval of an energy, an order or an exponent holds zero, where heat or the concentration would
/// not matter, without being known to lie close to it. Potentials, pH and temperatures have no such zero.
///
/// Close is what changes a rate by less than a tenth: by 5 kJ/mol it changes 5 % between 80 and 90 degC, by an order
/// of 0.1 7 % where a concentration doubles.
fn may_not_matter(dependence: Option<Dependence>, interval: Option<[f64; 2]>) -> bool {
    let close = match dependence {
        Some(Dependence::Temperature) => 5.0,
        Some(Dependence::Ph | Dependence::Order | Dependence::Exponent) => 0.1,
        None => return false,
    };
    interval.is_some_and(|[low, high]| low <= 0.0 && 0.0 <= high && high.max(-low) > close)
}

pub(crate) fn estimates(made_of: &Uncertain<'_>) -> Vec<PathEstimate> {
    let &Uncertain { fit, model, .. } = made_of;
    let start = model.start();
    let of = |(place, parameter): (usize, &Parameter)| {
        let scale = model.free[place].scale;
        let value = scale.outside(parameter.value);
        let interval95 = interval(made_of, place, 0.95);
        let freedom = interval95.and_then(|_| half_width(made_of, &only(fit, place), 0.95));
        let nothing =
            scale == ParameterScale::Linear && may_not_matter(model.free[place].dependence, interval95);
        PathEstimate {
            path: parameter.name.clone(),
            value,
            standard_error: parameter.standard_error.map(|error| match scale {
                ParameterScale::Log => value * error,
                ParameterScale::Linear => error,
            }),
            interval95,
            degrees_of_freedom: freedom.map(|of| of.freedom).filter(|freedom| freedom.is_finite()),
            status: if nothing { HOLDS_ZERO } else { parameter.determination.code() },
            scale,
            start: scale.outside(start[place]),
        }
    };
    fit.parameters.iter().enumerate().map(of).collect()
}
