//! The fit itself: from the recipe's numbers to the minimum, with the sizes of the errors.

use bathkin::Recipe;
use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions};
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::Fit;
use bathkin_statistics::mixed::Mixed;
use bathkin_statistics::priors::NormalPrior;
use bathkin_statistics::{FitOptions, Scale};

use crate::data::sheet::Data;
use crate::error::{DataError, SpecificationProblem};
use crate::estimate::bounds::{bounds_of, start_of};
use crate::estimate::error_scale::settle;
use crate::estimate::grouped::{fit_with_groups, grouping};
use crate::estimate::options::RecipeFitOptions;
use crate::estimate::other_errors::other_errors;
use crate::estimate::prior::{PriorWeight, normal_priors, weights};
use crate::estimate::search::{CLOSELY, NEGLIGIBLE, RANK_TOLERANCE, fit_to_the_edge};
use crate::estimate::starts::{StartsTried, best_start};
use crate::estimate::with_priors::fit_with_more;
use crate::objective::accuracy::FINE;
use crate::objective::free::FreeParameter;
use crate::objective::residuals::RecipeModel;

/// Relative error of slopes, those from one side too.
const SLOPE_ERROR: f64 = 1e-8;
/// Relative error of what is calculated: that of the integration.
const VALUE_ERROR: f64 = FINE;

/// Where a search stopped, by name and in the recipe's numbers, and what the recipe refused last.
fn named(model: &RecipeModel, error: DataError) -> DataError {
    let DataError::Fit(FitError::NotConverged { reason, evaluations, parameters, .. }) = error else {
        return error;
    };
    let outside = |(free, value): (&FreeParameter, &f64)| (free.name.clone(), free.scale.outside(*value));
    let at = model.free.iter().zip(&parameters).map(outside).collect();
    DataError::NotConverged { reason, evaluations, at, refusal: model.last_refusal().map(Box::new) }
}

/// What the search found, before anything is made of it.
pub(crate) struct Fitted {
    pub model: RecipeModel,
    pub fit: Fit,
    /// The random effects, of which `fit` has the estimates.
    pub mixed: Option<Mixed>,
    pub priors: Vec<NormalPrior>,
    pub prior_weights: Vec<PriorWeight>,
    /// Further starts, where some were asked for.
    pub starts: Option<StartsTried>,
    /// The fit with the other error model, where it may differ.
    pub other_errors: Option<Fit>,
}

/// The minimum, from the recipe's numbers, or from estimates of an earlier fit, (name, value).
pub(crate) fn minimum(
    recipe: &Recipe,
    data: &[Data],
    options: &RecipeFitOptions,
    estimates: &[(String, f64)],
) -> Result<Fitted, DataError> {
    let recipe = &recipe.heeding(&options.stop);
    let mut model = options.specification.build(recipe, data)?;
    model.stop = options.stop.clone();
    let groups = grouping(&model, options)?;
    let mut start = start_of(&model, options)?;
    let bounds = bounds_of(&model, options, &start)?;
    for (place, free) in model.free.iter().enumerate() {
        if let Some((_, value)) = estimates.iter().find(|(name, _)| *name == free.name) {
            start[place] = free.scale.inside(*value).clamp(bounds.lower[place], bounds.upper[place]);
        }
    }
    // A recipe that does not take a row is refused with the row, before any statistics.
    model.values(&start)?;
    let mut of_solver = FitOptions {
        bounds: Some(bounds),
        scale: options.scale,
        level: 0.95,
        solver: LeastSquaresOptions {
            // What differences of carried baths are good for.
            resolution: 1e-9,
            residual_error: VALUE_ERROR * model.reach(),
            rank_tolerance: RANK_TOLERANCE,
            unseen: RANK_TOLERANCE,
            least_norm: SLOPE_ERROR / RANK_TOLERANCE * model.reach(),
            loss: options.loss,
            loss_scale: options.loss_scale.unwrap_or(LeastSquaresOptions::default().loss_scale),
            ..LeastSquaresOptions::default()
        },
    };
    let mut starts = None;
    if options.starts > 0 {
        let (best, tried) = best_start(&model, start, &of_solver, options.starts, options.seed)?;
        start = best;
        starts = Some(tried);
    }
    let priors = normal_priors(&model, &options.priors)?;
    if model.rows.len() + priors.len() < model.free.len() {
        let (values, priors, free) = (model.rows.len(), priors.len(), model.free.len());
        return Err(SpecificationProblem::FewValues { values, priors, free }.into());
    }
    let censored = model.below().any(|below| below);
    let more = !priors.is_empty() || censored;
    let (plain, prior_weights) = if more {
        let found = fit_with_more(&mut model, &priors, start, &mut of_solver);
        let found = found.map_err(|error| named(&model, error))?;
        let weights = weights(&model, &priors, &found.prior_weights, found.fit.values());
        (found.fit, weights)
    } else {
        let found = fit_with_sizes(&mut model, start, &mut of_solver);
        (found.map_err(|error| named(&model, error))?, Vec::new())
    };
    let (fit, mixed) = match groups {
        Some(groups) => {
            let found = fit_with_groups(&model, &groups, plain, &mut of_solver);
            let found = found.map_err(|error| named(&model, error))?;
            (found.fit.clone(), Some(found))
        }
        None => (plain, None),
    };
    model.pin(fit.values())?;
    let other_errors = if more || mixed.is_some() { None } else { other_errors(&model, &fit) };
    Ok(Fitted { model, fit, mixed, priors, prior_weights, starts, other_errors })
}

/// The fit with the error variance of each column estimated from its residuals.
///
/// The way to the minimum goes by slopes from one side; the last word has the fine ones.
fn fit_with_sizes(
    model: &mut RecipeModel,
    start: Vec<f64>,
    options: &mut FitOptions,
) -> Result<Fit, DataError> {
    const ROUNDS: usize = 10;
    const SETTLED: f64 = 3e-3;
    // Parts of the sum of squares while the sizes are not known at all, and while they move.
    const AT_FIRST: f64 = 1e-4;
    const NEARLY: f64 = 1e-5;
    let settled = options.scale == Scale::Known || model.columns.len() == 1;
    if settled && !model.simulates() {
        return fit_to_the_edge(model, start, options);
    }
    let mut way = model.one_sided();
    let exactly = options.solver.decrease_tolerance;
    options.solver.decrease_tolerance = if settled { CLOSELY } else { AT_FIRST };
    let mut found = fit_to_the_edge(&way, start, options)?;
    let none = Bounds::none(found.values().len());
    for _ in 0..if settled { 0 } else { ROUNDS } {
        let next = settle(&way, &found, options.bounds.as_ref().unwrap_or(&none));
        for (column, size) in model.columns.iter_mut().zip(&next.sizes) {
            column.size *= size;
        }
        way.columns.clone_from(&model.columns);
        let moved = next.moved();
        options.solver.decrease_tolerance = if moved < SETTLED { CLOSELY } else { NEARLY };
        // On a ridge the linear model leads where the recipe does not go.
        let next =
            if way.values(&next.parameters).is_ok() { next.parameters } else { found.values().to_vec() };
        found = fit_to_the_edge(&way, next, options)?;
        if moved < SETTLED {
            break;
        }
    }
    if model.simulates() {
        options.solver.decrease_tolerance = CLOSELY;
        options.solver.negligible_decrease = NEGLIGIBLE;
    } else {
        options.solver.decrease_tolerance = exactly;
    }
    fit_to_the_edge(model, found.values().to_vec(), options)
}
