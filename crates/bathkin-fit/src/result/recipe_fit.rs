//! Answers of a fit in the recipe's own numbers.

use bathkin::Recipe;
use bathkin_numerics::least_squares::Loss;
use serde::Serialize;

use crate::arrhenius::Message;
use crate::data::runs::Setting;
use crate::data::sheet::DataError;
use crate::estimate::chord::CHORD;
use crate::estimate::chord::Chord;
use crate::estimate::fitting::RecipeFitOptions;
use crate::estimate::prior::PriorShare;
use crate::objective::free::ParameterScale;
use crate::objective::question::Data;
use crate::objective::residuals::RecipeModel;
use crate::stop::unless_asked;
use bathkin_statistics::Scale;
use bathkin_statistics::bootstrap::{Bootstrap, BootstrapOptions, Resampling, bootstrap_reporting};
use bathkin_statistics::criteria::{Criteria, criteria};
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::{Determination, Fit};
use bathkin_statistics::influence::{Influence, influence};
use bathkin_statistics::lack_of_fit::LackOfFit;
use bathkin_statistics::priors::{NormalPrior, WithPriors};
use bathkin_statistics::profile::{ProfileEnd, profile_interval};
use bathkin_statistics::progress::Done;

/// A fitted number of the recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PathEstimate {
    /// Its path; with the label behind `@` where a column parts it, and `start.<column>@<file>` for what a
    /// bath held at the start of a log.
    pub path: String,
    /// Value.
    pub value: f64,
    /// Standard error, to first order, or `None`.
    pub standard_error: Option<f64>,
    /// 95 % interval: straight in the logarithm where `scale` is `log`.
    pub interval95: Option<[f64; 2]>,
    /// `ok`; `not_determined` where zero lies in the interval of an energy, an order or an exponent; or the code
    /// of why there is no uncertainty.
    pub status: &'static str,
    /// How it was moved.
    pub scale: ParameterScale,
    /// Value in the recipe.
    pub start: f64,
}

/// A fit of a recipe to data.
#[derive(Debug, Clone)]
pub struct RecipeFit {
    /// The recipe the fit started from.
    pub recipe: Recipe,
    /// What it was fitted to.
    pub data: Vec<Data>,
    /// How.
    pub options: RecipeFitOptions,
    /// (sheet, what a column of it sets).
    pub(crate) settings: Vec<(usize, Setting)>,
    /// Its residuals.
    pub model: RecipeModel,
    /// The statistics, in the solver's numbers (logarithms where the scale says so). With priors, their rows
    /// stand behind those of the data: see [`RecipeFit::residuals`].
    pub fit: Fit,
    /// Estimates in the recipe's numbers.
    pub estimates: Vec<PathEstimate>,
    /// Calculated value of every measured one.
    pub calculated: Vec<f64>,
    /// The test against replicates, where there are any.
    pub lack_of_fit: Option<LackOfFit>,
    /// Priors, as the solver counts.
    pub(crate) priors: Vec<NormalPrior>,
    /// What priors had to say in the estimates, one for each.
    pub prior_shares: Vec<PriorShare>,
    /// What to think of when using this.
    pub messages: Vec<Message>,
}

/// Status of a number whose interval holds zero.
pub(crate) const HOLDS_ZERO: &str = "not_determined";

/// Whether the interval of an energy, an order or an exponent holds zero, where heat or the concentration would
/// not matter, without being known to lie close to it. Potentials, pH and temperatures have no such zero.
///
/// Close is what moves a rate by less than a tenth: by 5 kJ/mol it moves 5 % between 80 and 90 degC, by an order
/// of 0.1 7 % where a concentration doubles.
fn may_not_matter(path: &str, interval: Option<[f64; 2]>) -> bool {
    let last = path.split('@').next().unwrap_or(path).rsplit('.').next().unwrap_or(path);
    let close = match last {
        "activation_energy_kj_mol" => 5.0,
        _ if path.contains("order") || last.ends_with("exponent") => 0.1,
        _ => return false,
    };
    interval.is_some_and(|[low, high]| low <= 0.0 && 0.0 <= high && high.max(-low) > close)
}

impl RecipeFit {
    pub(crate) fn estimates(&self) -> Result<Vec<PathEstimate>, DataError> {
        let start = self.model.start();
        let of = |(place, parameter): (usize, &bathkin_statistics::fit::Parameter)| {
            let scale = self.model.free[place].scale;
            let value = scale.outside(parameter.value);
            let interval95 = self.interval(place, 0.95)?;
            let nothing = scale == ParameterScale::Linear && may_not_matter(&parameter.name, interval95);
            Ok(PathEstimate {
                path: parameter.name.clone(),
                value,
                standard_error: parameter.standard_error.map(|error| match scale {
                    ParameterScale::Log => value * error,
                    ParameterScale::Linear => error,
                }),
                interval95,
                status: if nothing { HOLDS_ZERO } else { parameter.determination.code() },
                scale,
                start: scale.outside(start[place]),
            })
        };
        self.fit.parameters.iter().enumerate().map(of).collect()
    }

    fn place_of(
        &self,
        place: usize,
    ) -> Result<(ParameterScale, &bathkin_statistics::fit::Parameter), DataError> {
        let number = self.model.free.get(place);
        number
            .zip(self.fit.parameters.get(place))
            .map(|(number, parameter)| (number.scale, parameter))
            .ok_or_else(|| DataError::Fit(FitError::Undetermined(format!("there is no parameter {place}"))))
    }

    /// Derivatives of one of the numbers by all.
    pub(crate) fn only(&self, place: usize) -> Vec<f64> {
        (0..self.fit.parameters.len()).map(|i| if i == place { 1.0 } else { 0.0 }).collect()
    }

    /// Interval of an estimate at a level, from its standard error; `None` where it has none. With several sizes
    /// of errors told by the residuals, and with priors, it is as wide as few residuals deserve.
    ///
    /// # Errors
    /// [`FitError::Undetermined`] for a place or level that does not exist.
    pub fn interval(&self, place: usize, level: f64) -> Result<Option<[f64; 2]>, DataError> {
        check_level(level)?;
        let (scale, parameter) = self.place_of(place)?;
        let quantile = parameter.standard_error.and_then(|_| self.quantile(&self.only(place), level));
        let around = bathkin_statistics::fit::interval(parameter.value, parameter.standard_error, quantile);
        Ok(around.map(|ends| ends.map(|end| scale.outside(end))))
    }

    /// Ends of the profile-likelihood interval at a level; `None` on a side that the runs leave open.
    ///
    /// # Errors
    /// As [`profile_interval`], and where a fit along the profile does not succeed.
    pub fn profile(&self, place: usize, level: f64) -> Result<[Option<f64>; 2], DataError> {
        check_level(level)?;
        let (scale, parameter) = self.place_of(place)?;
        let at_level = self.with_quantile(&self.only(place), level);
        let found = profile_interval(&self.with_priors()?, &at_level, place).map_err(DataError::from);
        let found = unless_asked(&self.options.stop, found)?;
        let end = |end: ProfileEnd| match end {
            ProfileEnd::Failed { at, why } => Err(DataError::Fit(FitError::Undetermined(format!(
                "the profile of {} fails at {}: {why}",
                parameter.name,
                scale.outside(at)
            )))),
            ProfileEnd::BetterMinimum { .. } => Err(DataError::Fit(FitError::Undetermined(format!(
                "the profile of {} finds a better fit: start again from other numbers",
                parameter.name
            )))),
            other => Ok(other.value().map(|at| scale.outside(at))),
        };
        Ok([end(found.lower)?, end(found.upper)?])
    }

    /// The fit repeated on data that could have come instead; draws, deviations and intervals are of the
    /// recipe's numbers. It goes by the slopes of the fit itself: leaving out how they curve on the way costs a
    /// few hundredths of a standard error.
    ///
    /// # Errors
    /// As [`bootstrap`](bathkin_statistics::bootstrap::bootstrap); with priors, which no data could have changed; with values below a limit where
    /// residuals are drawn, as those have none.
    pub fn bootstrap(&self, options: &BootstrapOptions) -> Result<Bootstrap, DataError> {
        self.bootstrap_reporting(options, &|_| {})
    }

    /// The same, telling how many replicates are done.
    ///
    /// # Errors
    /// As [`RecipeFit::bootstrap`].
    pub fn bootstrap_reporting(
        &self,
        options: &BootstrapOptions,
        done: Done,
    ) -> Result<Bootstrap, DataError> {
        let refuse = |what: &str| Err(FitError::Undetermined(what.to_owned()).into());
        if !self.priors.is_empty() {
            return refuse("a fit with priors is not repeated on drawn data: sample its posterior");
        }
        if options.resampling == Resampling::Residuals && self.is_censored() {
            return refuse("values below a limit have no residual to draw: draw cases");
        }
        let mut coarser = self.fit.clone();
        coarser.options.solver.decrease_tolerance = 1e-8;
        coarser.options.solver.resolution = CHORD;
        let chord = Chord::about(&self.model, self.fit.values())?;
        let found = bootstrap_reporting(&chord, &coarser, options, done).map_err(DataError::from);
        let found = unless_asked(&self.options.stop, found)?;
        let outside = |place: usize, value| self.model.free[place].scale.outside(value);
        Ok(found.seen_from(self.fit.options.level, outside))
    }

    /// Correlations, row by row; `None` where one of the two has no standard error.
    pub fn correlation(&self) -> Vec<Vec<Option<f64>>> {
        let all = 0..self.fit.parameters.len();
        all.clone().map(|a| all.clone().map(|b| self.fit.correlation(a, b)).collect()).collect()
    }

    /// Residuals of the measured values, in standard deviations before the size of the errors of the fit as a
    /// whole.
    pub fn residuals(&self) -> &[f64] {
        &self.fit.minimum.residuals[..self.model.rows.len()]
    }

    /// Leverage, standardised residual and Cook's distance of every measured value.
    pub fn influence(&self) -> Vec<Influence> {
        let mut found = influence(&self.fit);
        found.truncate(self.model.rows.len());
        found
    }

    /// Information criteria; `None` with priors, with a robust loss, and with values below a limit among errors
    /// of a size that is not known: theirs is no likelihood of the data alone.
    pub fn criteria(&self) -> Option<Criteria> {
        let known = self.fit.options.scale == Scale::Known;
        let of_data = self.priors.is_empty() && self.options.loss == Loss::Linear;
        (of_data && (known || !self.is_censored())).then(|| criteria(&self.fit))
    }

    /// Standard deviation of the residuals in the sigmas they were divided by: √(S/ν), whether those are believed or
    /// not; `None` without a degree of freedom.
    pub fn scatter(&self) -> Option<f64> {
        let freedom = self.fit.degrees_of_freedom;
        (freedom > 0).then(|| (self.fit.sum_of_squares() / freedom as f64).sqrt())
    }

    /// Whether any value is only known to be below a limit.
    pub(crate) fn is_censored(&self) -> bool {
        self.model.below().any(|below| below)
    }

    /// The residuals with the rows of the priors behind them.
    pub(crate) fn with_priors(&self) -> Result<WithPriors<'_, RecipeModel>, DataError> {
        Ok(WithPriors::new(&self.model, &self.priors, 1.0)?)
    }

    /// Whether an estimate has an uncertainty.
    pub(crate) fn is_determined(&self, place: usize) -> bool {
        self.fit.parameters[place].determination == Determination::Ok
    }
}

fn check_level(level: f64) -> Result<(), DataError> {
    if level > 0.0 && level < 1.0 {
        return Ok(());
    }
    Err(FitError::Undetermined(format!("level = {level}: expected a probability between 0 and 1")).into())
}
