//! What is known of a number of the recipe before the data.

use bathkin::Recipe;
use bathkin::error::Place;
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{DataError, Part, SpecificationProblem};
use crate::objective::free::ParameterScale;
use crate::objective::residuals::RecipeModel;
use crate::objective::specification::number_at;
use bathkin_statistics::distribution::Distribution;
use bathkin_statistics::priors::NormalPrior;

/// A number as it was known before, in the unit of the recipe.
///
/// A number that is fitted as it is has a normal prior. One that is fitted on a log scale
/// ([`bathkin::Model::scale_of`]) has a lognormal one: its logarithm is normal about ln(mean) with the standard
/// deviation sd/mean, so that "known to 10 %" is `standard_deviation = 0.1 * mean`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prior {
    /// A free path; of a number grouped by labels, all of its values. `path@label` and
    /// `start.<column>@<file>` mean one alone.
    pub path: String,
    /// Mean; the median where the number is fitted on a log scale.
    pub mean: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
}

impl Prior {
    /// The prior that a recipe itself gives of one of its numbers.
    ///
    /// Of a number that was fitted ([`Recipe::fit_record`]) and not changed since, the estimate with its
    /// standard error. Of any other its `range` as plus and minus two standard deviations, about 95 %: about
    /// the middle (low + high)/2 with (high - low)/4, or in the logarithm, √(low high) with ln(high/low)/4 of
    /// it, where the number is fitted so. The covariance with other fitted numbers is left out.
    ///
    /// # Errors
    /// [`DataError`]: no such number; neither a fitted value nor a range; a range without width, or of a
    /// number that is fitted on a log scale one that reaches zero.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin_fit::estimate::Prior;
    ///
    /// // range = [35, 95] in the recipe.
    /// let recipe = Recipe::built_in("nickel-acid")?;
    /// let prior = Prior::from_recipe(&recipe, "deposition.activation_energy_kj_mol")?;
    /// assert_eq!((prior.mean, prior.standard_deviation), (65.0, 15.0));
    /// # Ok::<(), bathkin_fit::DataError>(())
    /// ```
    pub fn from_recipe(recipe: &Recipe, path: &str) -> Result<Prior, DataError> {
        let value = number_at(recipe, path)?;
        let made =
            |mean: f64, standard_deviation: f64| Prior { path: path.to_owned(), mean, standard_deviation };
        if let Some((estimate, error)) = recipe.fit_record()?.and_then(|record| record.standard_error(path))
            && (value - estimate).abs() <= 1e-9 * estimate.abs()
        {
            return Ok(made(estimate, error));
        }
        let entry = recipe.document().get(path);
        let place = entry.map_or_else(Place::default, |entry| entry.place.clone());
        let refuse = |found: String, expected: &str| bathkin::Error::Recipe {
            place: place.clone(),
            key: path.to_owned(),
            value: found,
            expected: expected.to_owned(),
            hint: Some("a prior may be given as mean and standard deviation".to_owned()),
        };
        let Some((low, high)) = entry.and_then(|entry| entry.range) else {
            return Err(refuse(
                value.to_string(),
                "a fitted number, or one with a range, to make a prior of",
            )
            .into());
        };
        let scale = recipe.model()?.scale_of(path, value);
        if low >= high || (scale == ParameterScale::Log && low <= 0.0) {
            let expected = "a range with a width, and above zero for a number fitted on a log scale";
            return Err(refuse(format!("{low} to {high}"), expected).into());
        }
        Ok(match scale {
            ParameterScale::Linear => made(0.5 * (low + high), 0.25 * (high - low)),
            ParameterScale::Log => {
                let mean = (low * high).sqrt();
                made(mean, 0.25 * mean * (high / low).ln())
            }
        })
    }

    /// What draws of it come from: normal, or lognormal where the number is fitted on a log scale.
    ///
    /// # Errors
    /// [`DataError`]: no such number, a standard deviation that is not above zero, a mean that is not above zero on a log
    /// scale.
    pub fn distribution(&self, recipe: &Recipe) -> Result<Distribution, DataError> {
        let Prior { path, mean, standard_deviation: sd } = self;
        let scale = recipe.model()?.scale_of(path, number_at(recipe, path)?);
        let found = match scale {
            ParameterScale::Linear => Distribution::named("normal", &[*mean, *sd]),
            ParameterScale::Log => Distribution::named("lognormal", &[*mean, sd / mean]),
        };
        let expected = "a finite mean, above zero on a log scale, and a standard deviation above zero";
        found.ok_or_else(|| {
            let (path, mean, standard_deviation) = (path.clone(), *mean, *sd);
            SpecificationProblem::Prior { path, mean, standard_deviation, expected }.into()
        })
    }
}

/// The weight of a prior in an estimate.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct PriorWeight {
    /// The number.
    pub path: String,
    /// Mean of the prior, in the recipe's unit.
    pub mean: f64,
    /// Its standard deviation, in the recipe's unit.
    pub standard_deviation: f64,
    /// Prior weight: how far the prior, and not the data, determines the number, 0 not at all, 1 alone.
    pub weight: f64,
    /// How far the estimate lies from the mean, in standard deviations of the prior.
    pub deviations: f64,
}

/// Priors on the scales of the fit.
pub(crate) fn normal_priors(model: &RecipeModel, priors: &[Prior]) -> Result<Vec<NormalPrior>, DataError> {
    let bad = |prior: &Prior, expected| {
        let Prior { path, mean, standard_deviation } = prior.clone();
        Err(SpecificationProblem::Prior { path, mean, standard_deviation, expected }.into())
    };
    let mut found: Vec<NormalPrior> = Vec::new();
    for prior in priors {
        let Prior { path, mean, standard_deviation } = prior;
        if !(*standard_deviation > 0.0 && standard_deviation.is_finite() && mean.is_finite()) {
            return bad(prior, "a finite mean, and a standard deviation above zero");
        }
        let places = model.places_of(path);
        if places.is_empty() {
            return Err(model.not_free(Part::Priors, path));
        }
        for parameter in places {
            if found.iter().any(|known| known.parameter == parameter) {
                return Err(SpecificationProblem::TwoPriors { path: path.clone() }.into());
            }
            let scale = model.free[parameter].scale;
            let (mean, sd) = match scale {
                ParameterScale::Linear => (*mean, *standard_deviation),
                ParameterScale::Log if *mean > 0.0 => (mean.ln(), standard_deviation / mean),
                ParameterScale::Log => {
                    return bad(prior, "a mean above zero for a parameter fitted on a log scale");
                }
            };
            found.push(NormalPrior { parameter, mean, sd });
        }
    }
    Ok(found)
}

/// The weights of priors in estimates, in the recipe's numbers.
pub(crate) fn weights(
    model: &RecipeModel,
    priors: &[NormalPrior],
    weights: &[f64],
    at: &[f64],
) -> Vec<PriorWeight> {
    let of = |(prior, weight): (&NormalPrior, &f64)| {
        let number = &model.free[prior.parameter];
        let mean = number.scale.outside(prior.mean);
        PriorWeight {
            path: number.name.clone(),
            mean,
            standard_deviation: match number.scale {
                ParameterScale::Log => mean * prior.sd,
                ParameterScale::Linear => prior.sd,
            },
            weight: *weight,
            deviations: (at[prior.parameter] - prior.mean) / prior.sd,
        }
    };
    priors.iter().zip(weights).map(of).collect()
}
