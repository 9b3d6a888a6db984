//! Several recipes, or several choices of free numbers, fitted to the same data.

use bathkin::Recipe;
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::rows::Column;
use crate::data::sheet::Data;
use crate::error::{DataError, RequestProblem};
use crate::estimate::options::RecipeFitOptions;
use crate::objective::residuals::RecipeModel;
use crate::recipe_fit::{RecipeFit, fit_recipe};
use crate::report::sentences::ahead::OfModels;
use bathkin::Remark;
use bathkin_statistics::Scale;
use bathkin_statistics::cross_validation::{Folds, cross_validate_counting};
use bathkin_statistics::fit::{Fit, fit};
use bathkin_statistics::progress::{Counter, Done};
use bathkin_statistics::ranking::{Candidate, RankedModel, Support, rank};

/// A model to be compared: a name, a recipe, and what is free in it.
#[derive(Debug, Clone)]
pub struct CandidateModel {
    /// What it is called.
    pub name: String,
    /// Recipe.
    pub recipe: Recipe,
    /// How it is fitted.
    pub options: RecipeFitOptions,
}

/// Models side by side.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ModelComparison {
    /// The table, the smallest AICc first.
    pub ranked: Vec<RankedModel>,
    /// Candidates that cannot be ranked, by name, and why.
    #[serde(serialize_with = "bathkin::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, Remark>")]
    pub refused: Vec<(String, Remark)>,
    /// What it comes to.
    pub remarks: Vec<Remark>,
    /// The fits behind the table, in the order of the candidates; each with the sizes of errors of its own.
    #[serde(skip)]
    pub fits: Vec<(String, RecipeFit)>,
}

/// Fits every candidate to the data and ranks them by AICc ([`rank`]); where `folds` are asked for, also by how
/// well each predicts what is left out of it.
///
/// Criteria can be compared where the sigmas are the same. Where sizes of errors are estimated for several
/// columns, all candidates are fitted once more with the sizes that the one with the most determined numbers
/// found, and a common factor of them all is estimated for each: the most flexible (global) model estimates
/// the error variance
/// (K. P. Burnham and D. R. Anderson, *Model Selection and Multimodel Inference*, 2nd ed., Springer 2002,
/// section 2.5, on the global model).
///
/// A candidate that cannot be fitted or compared stands in `refused`: other rows, another error model, priors, a
/// robust loss, or values below a limit among errors of unknown size.
///
/// # Errors
/// [`DataError`] when no candidate is left, with the reason of the first one.
///
/// ```
/// use bathkin::Recipe;
/// use bathkin_fit::predict::{CandidateModel, compare};
/// use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, Sheet};
///
/// let runs = Sheet {
///     file: "example".to_owned(),
///     rows: vec![1, 2, 3, 4, 5, 6],
///     columns: vec![
///         ("temperature_c".to_owned(), [70.0, 75.0, 80.0, 84.0, 88.0, 92.0].map(Some).to_vec()),
///         ("deposition_um_h".to_owned(), [5.9, 8.1, 11.3, 14.4, 18.9, 23.8].map(Some).to_vec()),
///     ],
///     ..Sheet::default()
/// };
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let candidate = |name: &str, free: &[&str]| CandidateModel {
///     name: name.to_owned(),
///     recipe: recipe.clone(),
///     options: RecipeFitOptions {
///         specification: FitSpecification { free: free.iter().map(|path| path.to_string()).collect(), ..FitSpecification::default() },
///         ..RecipeFitOptions::default()
///     },
/// };
/// let rate = "deposition.rate_mol_m2_s";
/// let candidates = [candidate("rate", &[rate]), candidate("both", &[rate, "deposition.activation_energy_kj_mol"])];
/// let found = compare(&candidates, &[Data::Runs(runs)], None)?;
/// assert_eq!(found.ranked.len(), 2);
/// # Ok::<(), bathkin_fit::DataError>(())
/// ```
pub fn compare(
    candidates: &[CandidateModel],
    data: &[Data],
    folds: Option<Folds>,
) -> Result<ModelComparison, DataError> {
    compare_reporting(candidates, data, folds, &|_| {})
}

/// The same, reporting how many fits are done: one of each candidate, one of each part left out.
///
/// # Errors
/// As [`compare`].
pub fn compare_reporting(
    candidates: &[CandidateModel],
    data: &[Data],
    folds: Option<Folds>,
    done: Done,
) -> Result<ModelComparison, DataError> {
    let counter = Counter::new(done);
    let mut refused: Vec<(String, Remark)> = Vec::new();
    let mut refuse = |name: &str, why: &DataError| refused.push((name.to_owned(), why.remark()));
    let mut fits: Vec<(String, RecipeFit)> = Vec::new();
    for CandidateModel { name, recipe, options } in candidates {
        let found = fit_recipe(recipe, data, options);
        counter.one_more();
        match found.and_then(|found| comparable(fits.first(), &found).map(|()| found)) {
            Ok(found) => fits.push((name.clone(), found)),
            Err(why) => refuse(name, &why),
        }
    }
    // The last of equals comes out of max_by_key.
    let rank_of = |fit: &RecipeFit| fit.fit.minimum.spectrum.rank;
    let columns =
        fits.iter().rev().max_by_key(|(_, fit)| rank_of(fit)).map(|(_, fit)| fit.model.columns.clone());
    let mut alike = Vec::new();
    for (name, found) in &fits {
        match with_sizes(found, columns.as_deref().unwrap_or_default()) {
            Ok((model, fit)) => alike.push((name.as_str(), model, fit, None)),
            Err(error) => refuse(name, &error),
        }
    }
    let mut remarks = Vec::new();
    for (name, model, fit, predicted) in &mut alike {
        let Some(folds) = folds else { continue };
        match cross_validate_counting(model, fit, folds, &counter) {
            Ok(found) => {
                let lost = found.failed + found.undetermined;
                *predicted = Some(found.rms);
                if lost > 0 {
                    let (model, parts) = ((*name).to_owned(), found.fits);
                    remarks.push(OfModels::PartsLost { model, lost, parts }.into());
                }
            }
            Err(error) => {
                let (model, why) = ((*name).to_owned(), error.to_string());
                remarks.push(OfModels::NoParts { model, why }.into());
            }
        }
    }
    let rows: Vec<Vec<(f64, f64)>> = alike.iter().map(|(_, model, ..)| rows_of(model)).collect();
    let lines: Vec<Candidate> = alike
        .iter()
        .zip(&rows)
        .map(|((name, _, fit, predicted), rows)| Candidate {
            name,
            fit,
            rows,
            cross_validation_rms: *predicted,
        })
        .collect();
    if lines.is_empty() {
        let first = refused.into_iter().next();
        return Err(RequestProblem::NothingToCompare { first }.into());
    }
    let ranked = rank(&lines)?;
    remarks.splice(0..0, verdict(&ranked).into_iter().chain(predicts_better(&ranked)));
    Ok(ModelComparison { ranked, refused, remarks, fits })
}

/// Whether a fit may stand beside the first one.
fn comparable(first: Option<&(String, RecipeFit)>, found: &RecipeFit) -> Result<(), DataError> {
    if found.mixed.is_some() {
        return Err(RequestProblem::ComparedWithGroups.into());
    }
    if found.criteria().is_none() {
        return Err(RequestProblem::NoCriterion.into());
    }
    let Some((name, first)) = first else { return Ok(()) };
    let same = |a: &Column, b: &Column| a.name == b.name && a.errors == b.errors;
    let columns = (&first.model.columns, &found.model.columns);
    if columns.0.len() != columns.1.len() || !columns.0.iter().zip(columns.1).all(|(a, b)| same(a, b)) {
        return Err(
            RequestProblem::FittedToOther { what: "columns or error models", first: name.clone() }.into()
        );
    }
    if rows_of(&first.model).len() != rows_of(&found.model).len() {
        return Err(RequestProblem::FittedToOther { what: "rows", first: name.clone() }.into());
    }
    if first.options.scale != found.options.scale {
        return Err(RequestProblem::OtherScale { first: name.clone() }.into());
    }
    Ok(())
}

/// A candidate with the sizes of errors that all share.
fn with_sizes(found: &RecipeFit, columns: &[Column]) -> Result<(RecipeModel, Fit), DataError> {
    if found.options.scale == Scale::Known || columns == found.model.columns {
        return Ok((found.model.clone(), found.fit.clone()));
    }
    let model = found.model.with_columns(columns.to_vec());
    let fit = fit(&model, found.fit.values(), &found.fit.options)?;
    Ok((model, fit))
}

/// Observation and sigma of every row, by which candidates are known to have the same.
fn rows_of(model: &RecipeModel) -> Vec<(f64, f64)> {
    let of = |row: &crate::data::rows::Row| {
        let column = &model.columns[row.column];
        (row.observed.value, column.size * column.errors.sigma(row.observed))
    };
    model.rows.iter().map(of).collect()
}

/// Where what is left out is predicted clearly better by another model than the one with the smallest AICc.
fn predicts_better(ranked: &[RankedModel]) -> Option<Remark> {
    const CLEARLY: f64 = 0.9;
    let best = ranked.first().filter(|_| ranked.iter().all(|line| line.aicc.is_some()))?;
    let own = best.cross_validation_rms?;
    let predicted = ranked.iter().filter_map(|line| line.cross_validation_rms.map(|rms| (line, rms)));
    let (other, rms) =
        predicted.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, rms)| *rms < CLEARLY * own)?;
    let (model, best) = (other.name.clone(), best.name.clone());
    Some(OfModels::PredictsBetter { model, rms, best, rms_of_best: own }.into())
}

/// What the table comes to.
fn verdict(ranked: &[RankedModel]) -> Option<Remark> {
    let named = |of: fn(&&RankedModel) -> bool| -> Vec<String> {
        ranked.iter().filter(of).map(|line| line.name.clone()).collect()
    };
    let alike = named(|line| line.support == Support::CannotBeToldApart);
    if !alike.is_empty() {
        return Some(OfModels::Alike { models: alike }.into());
    }
    let too_few = named(|line| line.aicc.is_none());
    if !too_few.is_empty() {
        let chi_squared = ranked.iter().map(|line| line.chi_squared).collect();
        let all_models = named(|_| true);
        return Some(OfModels::FewRows { models: too_few, all_models, chi_squared }.into());
    }
    let best = ranked.iter().find(|line| line.support == Support::Best)?;
    let aicc_less_next = ranked.iter().filter_map(|line| line.delta).find(|delta| *delta > 0.0);
    Some(OfModels::Best { model: best.name.clone(), aicc_less_next }.into())
}
