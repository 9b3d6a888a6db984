//! The posterior of a fit, for samplers.

use bathkin_numerics::least_squares::{Bounds, Loss};

use crate::error::{DataError, RequestProblem};
use crate::objective::free::ParameterScale;
use crate::predict::draws::Source;
use crate::result::solution::Solution;
use bathkin_statistics::Scale;
use bathkin_statistics::error::FitError;
use bathkin_statistics::mixed::Whitened;
use bathkin_statistics::parameter::Determination;
use bathkin_statistics::priors::log_posterior;
use bathkin_statistics::random::Stream;

impl Solution {
    /// Logarithm of the posterior density at numbers of the recipe, up to a constant, for samplers.
    ///
    /// The numbers are those of `estimates`, in order. Negative infinity outside the bounds, where a number
    /// that is fitted on a log scale is not above zero, and where the recipe refuses. The density is over the
    /// recipe's numbers: for each that is fitted on a log scale, the density of the logarithm divided by the
    /// number. So a number without a prior is taken as equally likely anywhere, in its logarithm where it is
    /// fitted so, and the greatest density over the numbers lies a little below the estimate.
    ///
    /// Errors are of the size of the fit where the sigmas are absolute; else a common factor of all sizes is
    /// integrated out ([`log_posterior`]). Effects of groups are integrated out too, with the ratio of the variances that the fit
    /// found. With values below a limit the sizes are those of the fit.
    ///
    /// # Errors
    /// [`DataError`] for more or fewer values than there are estimates, and for a robust loss, which is no
    /// likelihood.
    pub fn log_posterior(&self, values: &[f64]) -> Result<f64, DataError> {
        self.check_loss()?;
        let count = self.estimates.len();
        if values.len() != count {
            let (first_rows, second_rows) = (values.len(), count);
            let (first, second) = ("values", "estimates");
            return Err(FitError::Length { first, first_rows, second, second_rows }.into());
        }
        let scales = self.model.free.iter().map(|number| number.scale);
        let inside: Vec<f64> = scales.zip(values).map(|(scale, value)| scale.inside(*value)).collect();
        Ok(self.ln_posterior_inside(&inside))
    }

    /// The same at the solver's numbers, over the recipe's.
    fn ln_posterior_inside(&self, inside: &[f64]) -> f64 {
        self.over_recipe(self.ln_density_inside(inside), inside)
    }

    /// The logarithm of a density over the solver's numbers, as of one over the recipe's: divided by each number that is
    /// fitted by its logarithm.
    pub(crate) fn over_recipe(&self, ln_density: f64, inside: &[f64]) -> f64 {
        if ln_density == f64::NEG_INFINITY {
            return ln_density;
        }
        let by_logarithm = self.model.free.iter().zip(inside);
        let logarithms = by_logarithm.filter(|(one, _)| one.scale == ParameterScale::Log);
        ln_density - logarithms.map(|(_, value)| value).sum::<f64>()
    }

    /// Logarithm of the posterior density over the solver's numbers.
    pub(crate) fn ln_density_inside(&self, inside: &[f64]) -> f64 {
        let within = self.fit.options.bounds.as_ref().is_none_or(|bounds| holds(bounds, inside));
        if !within || inside.iter().any(|value| !value.is_finite()) {
            return f64::NEG_INFINITY;
        }
        let scale = if self.is_censored() { Scale::Known } else { self.fit.options.scale };
        let density = match &self.mixed {
            Some(mixed) => {
                let of = Whitened { model: &self.model, whitening: &mixed.whitening };
                log_posterior(&of, &self.priors, scale, inside)
            }
            None => log_posterior(&self.model, &self.priors, scale, inside),
        };
        match density {
            Ok(found) if !found.is_nan() => found,
            _ => f64::NEG_INFINITY,
        }
    }

    /// Points to start samplers from: draws about the estimates ([`draws`](crate::predict::draws())), in the recipe's
    /// numbers, where the posterior is above zero. Of a number on a bound they lie inside it, as far as the
    /// data with all others held would let it go.
    ///
    /// # Errors
    /// [`DataError`] where a number is not determined, so that there is no posterior without a prior of it;
    /// where the draws do not hit what the recipe takes; for a robust loss.
    pub fn sampler_start(&self, count: usize, seed: u64) -> Result<Vec<Vec<f64>>, DataError> {
        const TRIES: usize = 100;
        self.check_has_posterior()?;
        let source = Source::of(&self.record())?;
        let one = |draw: usize| {
            let mut random = Stream::new(seed, draw as u64);
            let mut tries = (0..TRIES).map(|_| self.off_bounds(source.draw(&mut random), &mut random));
            let found = tries.find(|point| self.ln_posterior_inside(point).is_finite());
            let none = RequestProblem::NoSamplerStart { tries: TRIES };
            found.map(|point| source.outside(&point)).ok_or(DataError::Request(none))
        };
        (0..count).map(one).collect()
    }

    /// A posterior over all numbers: those that the data leave open have a prior, and errors are those of a likelihood.
    pub(crate) fn check_has_posterior(&self) -> Result<(), DataError> {
        self.check_loss()?;
        let open = |parameter: &&bathkin_statistics::parameter::Parameter| {
            !matches!(parameter.determination, Determination::Ok | Determination::AtBound)
        };
        let Some(open) = self.fit.parameters.iter().find(open) else { return Ok(()) };
        let (path, determination) = (open.name.clone(), open.determination);
        Err(RequestProblem::NoPosterior { path, determination }.into())
    }

    fn check_loss(&self) -> Result<(), DataError> {
        if self.options.loss == Loss::Linear {
            return Ok(());
        }
        Err(FitError::RobustLoss { method: "a posterior" }.into())
    }

    /// How far the data, with all others held, would let a parameter on a bound go.
    pub(crate) fn width_at_bound(&self, place: usize) -> f64 {
        self.fit.variance.unwrap_or(1.0).sqrt() / self.fit.minimum.jacobian.column(place).norm()
    }

    /// Parameters on a bound, shifted inside.
    fn off_bounds(&self, mut point: Vec<f64>, random: &mut Stream) -> Vec<f64> {
        let Some(bounds) = &self.fit.options.bounds else { return point };
        let minimum = &self.fit.minimum;
        for (place, value) in point.iter_mut().enumerate().filter(|(place, _)| minimum.at_bound[*place]) {
            let width = self.width_at_bound(place);
            let (lower, upper) = (bounds.lower[place], bounds.upper[place]);
            let way = if (*value - lower).abs() <= (upper - *value).abs() { 1.0 } else { -1.0 };
            if width.is_finite() {
                *value += way * width * random.normal().abs();
            }
        }
        point
    }
}

fn holds(bounds: &Bounds, point: &[f64]) -> bool {
    let ends = bounds.lower.iter().zip(&bounds.upper);
    point.iter().zip(ends).all(|(value, (lower, upper))| (lower..=upper).contains(&value))
}
