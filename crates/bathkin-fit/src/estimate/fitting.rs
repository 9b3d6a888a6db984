//! The fit itself: from the recipe's numbers to the minimum, with the sizes of the errors.

use std::collections::HashMap;

use bathkin::Recipe;
use bathkin_numerics::least_squares::{Bounds, LeastSquaresOptions, Loss, Residuals, linear_fit};

use crate::data::error_model::ErrorModel;
use crate::data::runs::Quantity;
use crate::data::sheet::DataError;
use crate::estimate::chord::CHORD;
use crate::estimate::chord::Chord;
use crate::estimate::error_scale::settle;
use crate::estimate::fused_jacobian::FusedJacobian;
use crate::estimate::prior::Prior;
use crate::estimate::prior::normal_priors;
use crate::estimate::prior::shares;
use crate::estimate::starts::best_start;
use crate::estimate::with_priors::fit_with_more;
use crate::objective::question::Data;
use crate::objective::question::Laid;
use crate::objective::question::Question;
use crate::objective::residuals::Column;
use crate::objective::residuals::RecipeModel;
use crate::objective::residuals::Row;
use crate::report::identifiability::messages;
use crate::report::words::number;
use crate::result::recipe_fit::PathEstimate;
use crate::result::recipe_fit::RecipeFit;
use crate::stop::Stop;
use crate::stop::unless_asked;
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::{Fit, fit};
use bathkin_statistics::lack_of_fit::{LackOfFit, lack_of_fit};
use bathkin_statistics::{FitOptions, Scale};

/// How to fit a recipe.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RecipeFitOptions {
    /// What is free, and how errors are distributed.
    pub question: Question,
    /// Whether the sigmas are believed. Where they are not, the residuals tell the size of the errors, for
    /// each column of measured values by itself.
    pub scale: Scale,
    /// (free path, lower, upper) in the recipe's numbers; infinite where there is no bound.
    pub bounds: Vec<(String, f64, f64)>,
    /// What was known of free numbers before, for the linear loss. A prior keeps its meaning whatever the size
    /// of the errors.
    pub priors: Vec<Prior>,
    /// How residuals weigh: a robust loss takes outliers lightly.
    pub loss: Loss,
    /// Its scale, in standard deviations.
    pub loss_scale: Option<f64>,
    /// Further starts about the recipe's numbers; none by default.
    pub starts: usize,
    /// Seed of the starts.
    pub seed: u64,
    /// Asks the fit to stop, and later what is made of it.
    pub stop: Stop,
}

/// Fits the free paths of a recipe to data, from the recipe's numbers.
///
/// # Errors
/// [`DataError`]: a cell, column or path that cannot be used; bounds that do not hold the start; no
/// convergence; [`FitError::Stopped`].
///
/// ```
/// use bathkin::Recipe;
/// use bathkin_fit::estimate::{RecipeFitOptions, fit_recipe};
/// use bathkin_fit::objective::{Data, Question};
/// use bathkin_fit::data::Sheet;
///
/// // Rates of a bath 1.1 times as fast as the recipe says, with an activation energy of its own.
/// let runs = Sheet {
///     file: "example".to_owned(),
///     rows: vec![1, 2, 3],
///     columns: vec![
///         ("temperature_c".to_owned(), vec![Some(80.0), Some(88.0), Some(92.0)]),
///         ("deposition_um_h".to_owned(), vec![Some(11.4), Some(19.2), Some(24.6)]),
///     ],
///     ..Sheet::default()
/// };
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let free = ["deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"].map(str::to_owned);
/// let question = Question { free: free.to_vec(), ..Question::default() };
/// let options = RecipeFitOptions { question, ..RecipeFitOptions::default() };
/// let found = fit_recipe(&recipe, &[Data::Runs(runs)], &options)?;
/// // These rates rise with 68.6 kJ/mol; the law's own energy is higher, for heat frees hydroxide, which blocks the surface.
/// assert!((found.estimates[1].value - 70.7).abs() < 0.5);
/// # Ok::<(), bathkin_fit::DataError>(())
/// ```
pub fn fit_recipe(
    recipe: &Recipe,
    data: &[Data],
    options: &RecipeFitOptions,
) -> Result<RecipeFit, DataError> {
    unless_asked(&options.stop, fit_from(recipe, data, options, &[]))
}

/// Where a search stopped, by name and in the recipe's numbers.
fn named(model: &RecipeModel, error: DataError) -> DataError {
    let DataError::Fit(FitError::NotConverged { reason, evaluations, parameters, .. }) = error else {
        return error;
    };
    let at = model.free.iter().zip(&parameters);
    let at = at.map(|(free, value)| format!("{} = {}", free.name, number(free.scale.outside(*value), 4)));
    let advice = "the data do not tell all of these: free fewer, or give bounds or priors";
    let place = format!("{}; {advice}", at.collect::<Vec<_>>().join(", "));
    FitError::NotConverged { reason, evaluations, parameters, place }.into()
}

/// Part of the sum of squares that ends the search for numbers behind simulations: a last step of at most a
/// thousandth of a standard error, which leaves a tenth of itself.
pub(crate) const CLOSELY: f64 = 1e-9;

/// Part of it that is worth no step: a few ten thousandths of a standard error.
pub(crate) const NEGLIGIBLE: f64 = 1e-10;

/// Differences of carried baths tell directions apart down to this.
const RANK_TOLERANCE: f64 = 1e-7;

/// Relative error of slopes, those from one side too.
const SLOPE_ERROR: f64 = 1e-8;

/// The same from other numbers than the recipe's, by name.
fn fit_from(
    recipe: &Recipe,
    data: &[Data],
    options: &RecipeFitOptions,
    known: &[PathEstimate],
) -> Result<RecipeFit, DataError> {
    let recipe = &recipe.heeding(&options.stop);
    let Laid { mut model, settings } = options.question.lay(recipe, data)?;
    model.stop = options.stop.clone();
    let mut start = model.start();
    for (start, number) in start.iter_mut().zip(&model.free) {
        if let Some(known) = known.iter().find(|known| known.path == number.name) {
            *start = number.scale.inside(known.value);
        }
    }
    // A recipe that does not take a row is told with the row, before any statistics.
    model.values(&start)?;
    let mut of_solver = FitOptions {
        bounds: Some(inside_bounds(&model, &options.bounds, &mut start)?),
        scale: options.scale,
        level: 0.95,
        solver: LeastSquaresOptions {
            // What differences of carried baths are good for.
            resolution: 1e-9,
            rank_tolerance: RANK_TOLERANCE,
            unseen: RANK_TOLERANCE,
            least_norm: SLOPE_ERROR / RANK_TOLERANCE * model.reach(),
            loss: options.loss,
            loss_scale: options.loss_scale.unwrap_or(LeastSquaresOptions::default().loss_scale),
            ..LeastSquaresOptions::default()
        },
    };
    let mut of_starts = None;
    if options.starts > 0 {
        let (best, message) = best_start(&model, start, &of_solver, options.starts, options.seed)?;
        start = best;
        of_starts = Some(message);
    }
    let priors = normal_priors(&model, &options.priors)?;
    if model.rows.len() + priors.len() < model.free.len() {
        let what = format!("{} measured values for {} free numbers", model.rows.len(), model.free.len());
        return Err(DataError::Column { file: data[0].sheet().file.clone(), what });
    }
    let censored = model.below().any(|below| below);
    let more = !priors.is_empty() || censored;
    let (found, prior_shares) = if more {
        let found = fit_with_more(&mut model, &priors, start, &mut of_solver);
        let found = found.map_err(|error| named(&model, error))?;
        let told = shares(&model, &priors, &found.prior_shares, found.fit.values());
        (found.fit, told)
    } else {
        let found = fit_with_sizes(&mut model, start, &mut of_solver);
        (found.map_err(|error| named(&model, error))?, Vec::new())
    };
    model.pin(found.values())?;
    let calculated = model.calculated(found.values())?;
    // A test of the data alone, and of values that were found.
    let lack_of_fit = priors.is_empty().then(|| replicates(&model, &found)).flatten();
    let other = if more { None } else { other_errors(&model, &found) };
    let mut made = RecipeFit {
        recipe: recipe.clone(),
        data: data.to_vec(),
        options: options.clone(),
        settings,
        estimates: Vec::new(),
        calculated,
        lack_of_fit,
        priors,
        prior_shares,
        messages: Vec::new(),
        model,
        fit: found,
    };
    made.estimates = made.estimates()?;
    made.messages = messages(&made, other.as_ref());
    made.messages.extend(of_starts);
    Ok(made)
}

impl RecipeFit {
    /// The same question on the data of this fit and more of them, started from its estimates.
    ///
    /// What the fit was asked for stays, its priors too. New logs bring starts of their own.
    ///
    /// # Errors
    /// As [`fit_recipe`].
    pub fn updated(&self, more: &[Data]) -> Result<RecipeFit, DataError> {
        let data: Vec<Data> = self.data.iter().chain(more).cloned().collect();
        unless_asked(&self.options.stop, fit_from(&self.recipe, &data, &self.options, &self.estimates))
    }
}

/// The fit with errors of the size that the residuals of each column tell.
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
    let told = options.scale == Scale::Known || model.columns.len() == 1;
    if told && !model.simulates() {
        return fit_to_the_edge(model, start, options);
    }
    let mut way = model.one_sided();
    let exactly = options.solver.decrease_tolerance;
    options.solver.decrease_tolerance = if told { CLOSELY } else { AT_FIRST };
    let mut found = fit_to_the_edge(&way, start, options)?;
    let none = Bounds::none(found.values().len());
    for _ in 0..if told { 0 } else { ROUNDS } {
        let settled = settle(&way, &found, options.bounds.as_ref().unwrap_or(&none));
        for (column, size) in model.columns.iter_mut().zip(&settled.sizes) {
            column.size *= size;
        }
        way.columns.clone_from(&model.columns);
        let moved = settled.moved();
        options.solver.decrease_tolerance = if moved < SETTLED { CLOSELY } else { NEARLY };
        // On a ridge the straight model leads where the recipe does not go.
        let next = if way.values(&settled.parameters).is_ok() {
            settled.parameters
        } else {
            found.values().to_vec()
        };
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

/// The fit; where it runs against the edge of what the recipe takes, that edge becomes a bound.
///
/// A search that is lost on a ridge, a direction that these data hardly see, is made again without steps along the
/// weakest directions, and with those as not determined: what lies along them stays where it began.
fn fit_to_the_edge(model: &RecipeModel, start: Vec<f64>, options: &mut FitOptions) -> Result<Fit, DataError> {
    // Parts of the largest singular value, the scaled slopes being of norm one.
    const WEAK: [f64; 3] = [1e-3, 1e-2, 1e-1];
    let search = |options: &mut FitOptions| {
        to_the_edge(model, start.clone(), options, |start, options| {
            fit(&FusedJacobian(model), start, options)
        })
    };
    let before = options.clone();
    let found = search(options);
    if !matches!(found, Err(DataError::Fit(FitError::NotConverged { .. }))) {
        return found;
    }
    for weak in WEAK {
        let mut along_none = before.clone();
        (along_none.solver.unseen, along_none.solver.rank_tolerance) = (weak, weak);
        if let Ok(settled) = search(&mut along_none) {
            *options = along_none;
            return Ok(settled);
        }
    }
    found
}

/// Whether a fit went without some directions to find an end.
pub(crate) fn is_on_ridge(found: &Fit) -> bool {
    found.options.solver.rank_tolerance > RANK_TOLERANCE && !found.undetermined.is_empty()
}

/// The same for any way to fit from a start.
pub(crate) fn to_the_edge<T>(
    model: &RecipeModel,
    start: Vec<f64>,
    options: &mut FitOptions,
    fit: impl Fn(&[f64], &FitOptions) -> Result<T, FitError>,
) -> Result<T, DataError> {
    // Well inside the last step before the edge, well beyond rounding.
    const OUTWARDS: f64 = 1e-6;
    let mut start = start;
    loop {
        let stopped = match fit(&start, options) {
            Ok(found) => return Ok(found),
            Err(stopped) => stopped,
        };
        let (FitError::NotConverged { parameters, .. }, Some(bounds)) = (&stopped, &mut options.bounds)
        else {
            return Err(stopped.into());
        };
        let mut edges = 0;
        for (place, value) in parameters.iter().enumerate() {
            for (side, bound) in [(-1.0, &mut bounds.lower[place]), (1.0, &mut bounds.upper[place])] {
                let mut beyond = parameters.clone();
                beyond[place] += side * OUTWARDS * value.abs().max(model.free[place].size);
                if bound.is_infinite() && model.values(&beyond).is_err() {
                    *bound = *value;
                    edges += 1;
                }
            }
        }
        if edges == 0 {
            return Err(stopped.into());
        }
        start.clone_from(parameters);
    }
}

/// Bounds as the solver counts, which the recipe's numbers must hold; starts from elsewhere are moved inside.
fn inside_bounds(
    model: &RecipeModel,
    given: &[(String, f64, f64)],
    from: &mut [f64],
) -> Result<Bounds, DataError> {
    let mut bounds = Bounds::none(model.free.len());
    let start = model.start();
    let refuse = |what: String| DataError::Column { file: "bounds".to_owned(), what };
    for (path, lower, upper) in given {
        let places = model.places_of(path);
        if places.is_empty() {
            return Err(refuse(format!("{path} is not free")));
        }
        for place in places {
            let scale = model.free[place].scale;
            let value = scale.outside(start[place]);
            // The logarithm and back may be off by rounding where a bound is the start.
            let slack = 1e-12 * value.abs();
            let holds = *lower - slack <= value && value <= *upper + slack && lower <= upper;
            if !holds {
                return Err(refuse(format!("{path}: the recipe's {value} is not within {lower} to {upper}")));
            }
            bounds.lower[place] = scale.inside(*lower).min(start[place]);
            bounds.upper[place] = scale.inside(*upper).max(start[place]);
            from[place] = from[place].clamp(bounds.lower[place], bounds.upper[place]);
        }
    }
    Ok(bounds)
}

/// The test against replicates: the same value of the same case, and the same sigma. Values below a limit are
/// none.
fn replicates(model: &RecipeModel, found: &Fit) -> Option<LackOfFit> {
    let key = |row: &Row| (row.case, row.value, row.observed.sigma.map(f64::to_bits));
    let read: Vec<usize> =
        (0..model.rows.len()).filter(|number| !model.rows[*number].observed.below).collect();
    let keys: Vec<_> = read.iter().map(|number| key(&model.rows[*number])).collect();
    let mut first = HashMap::new();
    let groups: Vec<usize> =
        keys.iter().enumerate().map(|(place, key)| *first.entry(*key).or_insert(place)).collect();
    let mut of_read = found.clone();
    of_read.minimum.residuals = read.iter().map(|number| found.minimum.residuals[*number]).collect();
    lack_of_fit(&of_read, &groups).ok()
}

/// The fit with relative errors of coupons where it had absolute ones, and the other way round; none where
/// nobody has to choose.
fn other_errors(model: &RecipeModel, found: &Fit) -> Option<Fit> {
    let turned = |column: &Column| -> Column {
        let errors = match column.errors {
            _ if !Quantity::names(&column.name) => column.errors,
            ErrorModel::Relative { .. } => ErrorModel::Absolute { sigma: 1.0 },
            ErrorModel::Absolute { .. } => ErrorModel::Relative { sigma: 1.0 },
            mixed @ ErrorModel::Mixed { .. } => mixed,
        };
        Column { errors, size: 1.0, ..column.clone() }
    };
    let columns: Vec<Column> = model.columns.iter().map(turned).collect();
    let same = columns.iter().zip(&model.columns).all(|(a, b)| a.errors == b.errors);
    let positive = model.rows.iter().all(|row| row.observed.value > 0.0);
    if same || !positive || model.has_sigma() || found.options.solver.loss != Loss::Linear {
        return None;
    }
    let mut model = model.with_columns(columns);
    if !differ(&mut model, found)? {
        return None;
    }
    let mut options = FitOptions { scale: Scale::Estimated, ..found.options.clone() };
    // It is told with four digits, and by how much it differs in standard errors.
    options.solver.decrease_tolerance = 1e-7;
    options.solver.resolution = CHORD;
    // Slopes follow the values until those stay.
    const ROUNDS: usize = 6;
    const STILL: f64 = 1e-2;
    let mut other = found.clone();
    for _ in 0..ROUNDS {
        let next = fit(&Chord::about(&model, other.values()).ok()?, other.values(), &options).ok()?;
        let moved = next.parameters.iter().zip(other.values()).any(|(parameter, before)| {
            parameter.standard_error.is_some_and(|error| (parameter.value - before).abs() > STILL * error)
        });
        other = next;
        if !moved {
            break;
        }
    }
    Some(other)
}

/// Whether a step on the straight model about a fit moves any number by most of its standard error; gives
/// each column the size it has there. `None` where the step cannot be told.
fn differ(model: &mut RecipeModel, found: &Fit) -> Option<bool> {
    const MOST: f64 = 0.7;
    let (rows, parameters) = (model.rows(), model.parameters());
    let (mut residuals, mut jacobian) = (vec![0.0; rows], vec![0.0; rows * parameters]);
    // Kept from the fit: nothing is computed anew.
    model.linearise(found.values(), &mut residuals, &mut jacobian).ok()?;
    let size = |column: usize| {
        let of_column = model.rows.iter().zip(&residuals).filter(|(row, _)| row.column == column);
        let (count, squares) = of_column.fold((0.0, 0.0), |(count, sum), (_, r)| (count + 1.0, sum + r * r));
        (squares / count).sqrt()
    };
    let sizes: Vec<f64> = (0..model.columns.len()).map(size).collect();
    // Residuals of rounding weigh nothing: divided by them, slopes overflow.
    if sizes.iter().any(|size| *size <= f64::EPSILON) {
        return None;
    }
    let weighed = |row: usize, value: f64| value / sizes[model.rows[row].column];
    let free: Vec<usize> =
        (0..parameters).filter(|place| found.parameters[*place].standard_error.is_some()).collect();
    let slopes: Vec<Vec<f64>> = free
        .iter()
        .map(|place| (0..rows).map(|row| weighed(row, jacobian[row * parameters + place])).collect())
        .collect();
    let wanted: Vec<f64> = (0..rows).map(|row| weighed(row, -residuals[row])).collect();
    let line = linear_fit(&slopes, &wanted)?;
    let far = free.iter().zip(&line.values).any(|(place, by)| {
        found.parameters[*place].standard_error.is_some_and(|error| by.abs() > MOST * error)
    });
    for (column, size) in model.columns.iter_mut().zip(sizes) {
        column.size *= size;
    }
    Some(far)
}
