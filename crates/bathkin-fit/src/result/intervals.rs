//! Intervals of estimates, from standard errors and from the profile likelihood.

use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::Fit;
use bathkin_statistics::mixed::Whitened;
use bathkin_statistics::parameter::Parameter;
use bathkin_statistics::profile::{ProfileEnd, profile_interval};

use crate::error::{DataError, RequestProblem};
use crate::objective::free::{FreeParameter, ParameterScale};
use crate::result::half_width::{Uncertain, half_width, interval, only};
use crate::result::solution::Solution;
use crate::stop::unless_asked;

impl Solution {
    /// What its intervals are made of.
    fn uncertain(&self) -> Uncertain<'_> {
        let has_priors = !self.priors.is_empty();
        Uncertain { fit: &self.fit, model: &self.model, mixed: self.mixed.as_ref(), has_priors }
    }

    /// Half-width of the interval of a value with these derivatives, in its standard errors; `None` without a
    /// degree of freedom.
    pub(crate) fn quantile(&self, gradient: &[f64], level: f64) -> Option<f64> {
        half_width(&self.uncertain(), gradient, level).map(|of| of.quantile)
    }

    /// The fit with that half-width for its bands and profiles.
    pub(crate) fn with_quantile(&self, gradient: &[f64], level: f64) -> Fit {
        let mut fit = self.fit.clone();
        fit.options.level = level;
        fit.own_quantile = self.quantile(gradient, level);
        fit
    }

    /// Interval of an estimate at a level, from its standard error; `None` where it has none. With several
    /// estimated error variances, with priors, and with groups, it is Satterthwaite's.
    ///
    /// # Errors
    /// [`FitError`] for a place or level that does not exist.
    pub fn interval(&self, place: usize, level: f64) -> Result<Option<[f64; 2]>, DataError> {
        check_level(level)?;
        self.place_of(place)?;
        Ok(interval(&self.uncertain(), place, level))
    }

    /// Ends of the profile-likelihood interval at a level; `None` on a side that the runs leave open. With groups the
    /// variances stay those of the fit.
    ///
    /// # Errors
    /// As [`profile_interval`], and where a fit along the profile does not succeed.
    pub fn profile(&self, place: usize, level: f64) -> Result<[Option<f64>; 2], DataError> {
        check_level(level)?;
        let (scale, parameter) = self.place_of(place)?;
        let at_level = self.with_quantile(&only(&self.fit, place), level);
        let found = match &self.mixed {
            Some(of) => {
                profile_interval(&Whitened { model: &self.model, whitening: &of.whitening }, &at_level, place)
            }
            None => profile_interval(&self.with_priors()?, &at_level, place),
        };
        let found = found.map_err(DataError::from);
        let found = unless_asked(&self.options.stop, found)?;
        let end = |end: ProfileEnd| match end {
            ProfileEnd::Failed { at, why } => {
                let (path, at) = (parameter.name.clone(), scale.outside(at));
                Err(DataError::Request(RequestProblem::ProfileFails { path, at, why }))
            }
            ProfileEnd::BetterMinimum { parameters, sum_of_squares } => {
                let outside =
                    |(free, value): (&FreeParameter, &f64)| (free.name.clone(), free.scale.outside(*value));
                let at = self.model.free.iter().zip(&parameters).map(outside).collect();
                Err(RequestProblem::BetterMinimum { path: parameter.name.clone(), at, sum_of_squares }.into())
            }
            other => Ok(other.value().map(|at| scale.outside(at))),
        };
        Ok([end(found.lower)?, end(found.upper)?])
    }

    fn place_of(&self, place: usize) -> Result<(ParameterScale, &Parameter), DataError> {
        let number = self.model.free.get(place);
        number
            .zip(self.fit.parameters.get(place))
            .map(|(number, parameter)| (number.scale, parameter))
            .ok_or(DataError::Fit(FitError::NoParameter { place, count: self.model.free.len() }))
    }
}

fn check_level(level: f64) -> Result<(), DataError> {
    if level > 0.0 && level < 1.0 {
        return Ok(());
    }
    let expected = "a probability between 0 and 1";
    Err(FitError::Argument { name: "level", value: level, expected }.into())
}
