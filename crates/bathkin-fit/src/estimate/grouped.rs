//! Fits whose runs belong to batches, beakers or days: random effects of one label, or two nested ones.
//!
//! An effect acts as errors do: on the logarithm of what was measured where errors are relative, so that a batch plates so much
//! faster whatever the settings, else on the value itself. Estimates and variances are those of [`mixed`].

use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::error::FitError;
use bathkin_statistics::fit::{Fit, fit};
use bathkin_statistics::mixed::{Grouping, Likelihood, Mixed, Whitened, mixed};
use bathkin_statistics::{FitOptions, Scale};

use crate::data::cases::Kind;
use crate::error::{DataError, SpecificationProblem};
use crate::estimate::fused_jacobian::FusedJacobian;
use crate::estimate::options::RecipeFitOptions;
use crate::estimate::search::to_the_edge;
use crate::objective::residuals::RecipeModel;

/// The runs by the labels of `columns`; `None` without any.
///
/// # Errors
/// [`DataError`]: a log among the data, priors, a robust loss, values below a limit, several measured columns of estimated or
/// absolute errors, and as [`Grouping::new`].
pub(crate) fn grouping(
    model: &RecipeModel,
    options: &RecipeFitOptions,
) -> Result<Option<Grouping>, DataError> {
    let columns = &options.specification.group;
    if columns.is_empty() {
        return Ok(None);
    }
    let labels = || columns.clone();
    let beside = |beside: &'static str, instead: &'static str| {
        DataError::from(SpecificationProblem::GroupBeside { labels: labels(), beside, instead })
    };
    if let Some(log) = model.cases.iter().find(|case| matches!(case.kind, Kind::Log(_))) {
        let (place, column) = (log.place.clone(), columns[0].clone());
        return Err(SpecificationProblem::GroupOfLog { place, column }.into());
    }
    if !options.priors.is_empty() {
        return Err(beside("priors", "leave them out, or hold these numbers"));
    }
    if options.loss != Loss::Linear {
        return Err(beside("a robust loss", "take the linear one, and drop rows that are outlying"));
    }
    if model.below().any(|below| below) {
        return Err(beside("values below a limit of detection", "drop these rows, or leave the group out"));
    }
    let shared = options.scale == Scale::Known && model.columns.iter().all(|one| one.errors.is_logarithmic());
    if model.columns.len() > 1 && !shared {
        let columns = model.columns.iter().map(|column| column.name.clone()).collect();
        return Err(SpecificationProblem::GroupOverColumns { labels: labels(), columns }.into());
    }
    let of = |column: &String| -> (String, Vec<String>) {
        let label = |row: &crate::data::rows::Row| {
            let of_case = model.cases[row.case].labels.iter().find(|(known, _)| known == column);
            of_case.map_or(String::new(), |(_, label)| label.clone())
        };
        (column.clone(), model.rows.iter().map(label).collect())
    };
    let rows: Vec<(String, Vec<String>)> = columns.iter().map(of).collect();
    Ok(Some(Grouping::new(&rows).map_err(FitError::from)?))
}

/// The fit with random effects, from the one without.
pub(crate) fn fit_with_groups(
    model: &RecipeModel,
    grouping: &Grouping,
    plain: Fit,
    options: &mut FitOptions,
) -> Result<Mixed, DataError> {
    let weights = model.effect_weights();
    let search = FusedJacobian(model);
    mixed(model, (grouping, &weights), plain, Likelihood::Restricted, |whitening, start| {
        to_the_edge(model, start.to_vec(), options, |start, options| {
            fit(&Whitened { model: &search, whitening }, start, options)
        })
    })
}
