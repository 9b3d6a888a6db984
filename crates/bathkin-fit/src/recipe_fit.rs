//! A fit of a recipe to data: what it found, and what is to be said of it.

use std::ops::Deref;

use bathkin::Recipe;

use crate::data::sheet::Data;
use crate::error::DataError;
use crate::estimate::fitting::minimum;
use crate::estimate::options::RecipeFitOptions;
use crate::report::remarks::remarks;
use crate::result::solution::Solution;
use crate::stop::unless_asked;
use bathkin::Remark;

/// Codes of remarks that say that the model misses the data.
const MISFIT: [&str; 6] =
    ["misfit", "curved", "autocorrelated", "lack-of-fit", "errors-large", "sigmas-too-small"];

/// A fit of a recipe to data; it reads as its solution.
#[derive(Debug, Clone)]
pub struct RecipeFit {
    /// What it found.
    pub solution: Solution,
    /// What the data do not determine, what was assumed, and what to do about it.
    pub remarks: Vec<Remark>,
}

impl Deref for RecipeFit {
    type Target = Solution;

    fn deref(&self) -> &Solution {
        &self.solution
    }
}

/// Fits the free paths of a recipe to data, from the recipe's numbers.
///
/// # Errors
/// [`DataError`]: a cell, column or path that cannot be used; bounds that do not hold the start; no
/// convergence; [`FitError::Stopped`](bathkin_statistics::FitError::Stopped).
///
/// ```
/// use bathkin::Recipe;
/// use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, Sheet, fit_recipe};
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
/// let specification = FitSpecification { free: free.to_vec(), ..FitSpecification::default() };
/// let options = RecipeFitOptions { specification, ..RecipeFitOptions::default() };
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
    fit_from(recipe, data, options, &[])
}

fn fit_from(
    recipe: &Recipe,
    data: &[Data],
    options: &RecipeFitOptions,
    starts: &[(String, f64)],
) -> Result<RecipeFit, DataError> {
    let solved = minimum(recipe, data, options, starts)
        .and_then(|fitted| Solution::new(recipe, data, options, fitted));
    let solution = unless_asked(&options.stop, solved)?;
    let remarks = remarks(&solution);
    Ok(RecipeFit { solution, remarks })
}

impl RecipeFit {
    /// The same specification on the data of this fit and more of them, started from its estimates.
    ///
    /// What the fit was asked for stays, its priors too. New logs bring starts of their own.
    ///
    /// # Errors
    /// As [`fit_recipe`].
    pub fn updated(&self, more: &[Data]) -> Result<RecipeFit, DataError> {
        let data: Vec<Data> = self.data.iter().chain(more).cloned().collect();
        let starts: Vec<(String, f64)> =
            self.estimates.iter().map(|one| (one.path.clone(), one.value)).collect();
        fit_from(&self.recipe, &data, &self.options, &starts)
    }

    /// Remarks that say that the model misses the data, so that what it predicts is wrong beyond its intervals.
    pub fn misfit(&self) -> impl Iterator<Item = &Remark> {
        self.remarks.iter().filter(|remark| MISFIT.contains(&remark.code))
    }
}
