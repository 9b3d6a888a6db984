//! The fitted recipe, and the record of the fit that goes with it.

use bathkin::Recipe;
use bathkin::model::{FitRecord, FittedTie};

use crate::data::digest::digest;
use crate::data::error_model::ErrorModel;
use crate::error::{DataError, RequestProblem};
use crate::objective::free::{ParameterScale, Target};
use crate::result::estimates::PathEstimate;
use crate::result::solution::Solution;
use bathkin_statistics::Scale;

impl Solution {
    /// The recipe with the fitted numbers, each of kind `fitted` and with its source; `data` names what they
    /// were fitted to. Its table `[fit]` is the [`Solution::record`]. Of a grouped parameter it gets the
    /// one whose label `labels` names, (column, label).
    ///
    /// # Errors
    /// [`DataError::Request`] for a number with several values and no label that says which, and for a label that
    /// no number has; [`DataError::Recipe`] when the text of the recipe cannot be written again.
    pub fn fitted_recipe(&self, data: &str, labels: &[(String, String)]) -> Result<Recipe, DataError> {
        self.check_labels(labels)?;
        let of = |estimate: &PathEstimate| {
            let uncertainty = match (estimate.standard_error, estimate.status) {
                (Some(error), _) if (1e-3..1e4).contains(&error) => format!("standard error {error:.4}"),
                (Some(error), _) => format!("standard error {error:.2e}"),
                (None, status) => format!("no uncertainty: {status}"),
            };
            let values = self.model.rows.len();
            format!("fitted to {values} values of {data}, {uncertainty}")
        };
        let mut numbers = Vec::new();
        for (estimate, free) in self.estimates.iter().zip(&self.model.free) {
            // A recipe has one number at a path.
            let meant = free.group.as_ref().is_none_or(|group| labels.contains(group));
            for target in free.targets.iter().filter(|_| meant) {
                if let Target::Path { path, factor } = target {
                    numbers.push((path.clone(), factor * estimate.value, of(estimate)));
                }
            }
        }
        Ok(self.recipe.with_fitted(&numbers, Some(&self.record()))?)
    }

    /// Refuses labels that leave a number open, or that nothing has.
    fn check_labels(&self, labels: &[(String, String)]) -> Result<(), DataError> {
        let groups = || self.model.free.iter().filter_map(|free| free.group.as_ref());
        let of = |column: &str| -> Vec<String> {
            let mut found: Vec<String> = Vec::new();
            for (_, label) in groups().filter(|(known, _)| known == column) {
                if !found.contains(label) {
                    found.push(label.clone());
                }
            }
            found
        };
        for (place, (column, label)) in labels.iter().enumerate() {
            let (known, column) = (of(column), column.clone());
            if labels[..place].iter().any(|(before, _)| *before == column) {
                return Err(RequestProblem::TwoLabels { column }.into());
            }
            if known.is_empty() {
                let known = groups().map(|(column, _)| column.clone()).collect();
                return Err(RequestProblem::NotGroupedBy { column, known }.into());
            }
            if !known.contains(label) {
                return Err(RequestProblem::UnknownLabel { column, label: label.clone(), known }.into());
            }
        }
        let open = |(column, _): &&(String, String)| !labels.iter().any(|(named, _)| named == column);
        let Some((column, _)) = groups().find(open) else { return Ok(()) };
        let grouped =
            self.model.free.iter().find(|free| free.group.as_ref().is_some_and(|(by, _)| by == column));
        let path = grouped.map_or("", |free| free.name.split('@').next().unwrap_or(&free.name)).to_owned();
        Err(RequestProblem::LabelNeeded { path, column: column.clone(), known: of(column) }.into())
    }

    /// What came out of which data, and how sure it is together: what draws of the numbers need.
    pub fn record(&self) -> FitRecord {
        let fit = &self.fit;
        let count = self.estimates.len();
        let ties = self.estimates.iter().zip(&self.model.free).flat_map(|(estimate, free)| {
            let to = &estimate.path;
            let tied = free.targets.iter().filter_map(move |target| match target {
                Target::Path { path, factor } if path != to => {
                    Some(FittedTie { path: path.clone(), to: to.clone(), factor: *factor })
                }
                _ => None,
            });
            tied.filter(|_| free.group.is_none())
        });
        FitRecord {
            data: self.data.iter().map(|data| data.sheet().file.clone()).collect(),
            digest: digest(&self.data),
            values: self.model.rows.len(),
            error_model: (0..self.model.columns.len()).map(|column| self.words(column)).collect(),
            degrees_of_freedom: self.freedom_of_draws(),
            paths: self.estimates.iter().map(|estimate| estimate.path.clone()).collect(),
            by_logarithm: self.estimates.iter().map(|of| of.scale == ParameterScale::Log).collect(),
            estimates: self.estimates.iter().map(|estimate| estimate.value).collect(),
            ties: ties.collect(),
            covariance: (0..count).map(|a| (0..count).map(|b| fit.covariance[(a, b)]).collect()).collect(),
        }
    }

    /// Of all numbers together; with groups those of the number that has fewest, since draws have one Student's t.
    fn freedom_of_draws(&self) -> Option<usize> {
        if self.mixed.is_some() {
            let of = |estimate: &PathEstimate| estimate.degrees_of_freedom.map(|freedom| freedom as usize);
            return self.estimates.iter().filter_map(of).min();
        }
        (self.fit.options.scale == Scale::Estimated).then_some(self.fit.degrees_of_freedom)
    }

    /// The errors of a column, of the size that was found.
    fn words(&self, place: usize) -> String {
        let column = &self.model.columns[place];
        let size = column.size * self.fit.variance.unwrap_or(1.0).sqrt();
        let name = &column.name;
        match column.errors {
            _ if self.model.has_own_sigmas(place) => format!("{name}: its own sigmas times {size:.4e}"),
            ErrorModel::Absolute { sigma } => format!("{name}: absolute {:.4e}", size * sigma),
            ErrorModel::Relative { sigma } => format!("{name}: relative {:.4e}", size * sigma),
            ErrorModel::Mixed { absolute, relative } => {
                format!("{name}: absolute {:.4e} and relative {:.4e}", size * absolute, size * relative)
            }
        }
    }
}
