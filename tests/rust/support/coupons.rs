//! Coupon runs that the tests fit to the power-law recipe.

use bathkin::Recipe;
use bathkin::constants::ZERO_CELSIUS_K;
use bathkin_fit::data::ErrorModel;
use bathkin_fit::fit_recipe;
use bathkin_fit::{Data, DataError, FitSpecification, RecipeFit, RecipeFitOptions, Sheet};

use crate::fits::{sheet, some};
use crate::recipes::power_law;

// Case F02 of a published course exercise: five temperatures, K, and rate constants.
pub const F02_T: [f64; 5] = [313.0, 319.0, 323.0, 328.0, 333.0];
pub const F02_K: [f64; 5] = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717];

pub fn runs(columns: &[(&str, &[f64])]) -> Sheet {
    sheet("runs.csv", columns.iter().map(|(name, cells)| (*name, some(cells))).collect())
}

pub fn fit_runs(
    recipe: &Recipe,
    runs: &Sheet,
    free: &[String],
    options: &RecipeFitOptions,
) -> Result<RecipeFit, DataError> {
    let mut options = options.clone();
    options.specification.free = free.to_vec();
    fit_recipe(recipe, &[Data::Runs(runs.clone())], &options)
}

pub fn absolute() -> FitSpecification {
    FitSpecification { errors: Some(ErrorModel::Absolute { sigma: 1.0 }), ..FitSpecification::default() }
}

pub fn free(paths: &[&str]) -> Vec<String> {
    paths.iter().map(|path| (*path).to_owned()).collect()
}

pub fn fitted(runs: &Sheet, paths: &[&str], options: &RecipeFitOptions) -> RecipeFit {
    fit_runs(&power_law(), runs, &free(paths), options).expect("a fit")
}

/// F02 as rates of a bath: K to degC, rate constants to um/h by a factor that must not matter.
pub fn f02(factor: f64) -> Sheet {
    let celsius = F02_T.map(|kelvin| kelvin - ZERO_CELSIUS_K);
    runs(&[("temperature_c", &celsius), ("deposition_um_h", &F02_K.map(|k| k * factor))])
}
