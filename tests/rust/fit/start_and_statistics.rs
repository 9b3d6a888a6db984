//! Starts of one's own, many predictions at once, and the statistics of lmfit and statsmodels in closed form.

use std::f64::consts::PI;

use bathkin_fit::data::ErrorModel;
use bathkin_fit::{Data, FitSpecification, RecipeFit, RecipeFitOptions};
use bathkin_statistics::Scale;

use support::fits::{ENERGY, RATE, asked, close, fitted, of, rates};

const CELSIUS: [f64; 6] = [72.0, 77.0, 81.0, 85.0, 88.0, 92.0];
const UM_H: [f64; 6] = [6.6, 9.1, 11.9, 15.6, 18.6, 24.3];

fn data() -> [Data; 1] {
    [rates(&CELSIUS, &UM_H)]
}

fn with(errors: ErrorModel, scale: Scale) -> RecipeFit {
    let specification = FitSpecification { errors: Some(errors), ..asked(&[RATE, ENERGY]) };
    fitted(&data(), RecipeFitOptions { scale, ..of(specification) })
}

/// Σ ln of the density of each value, y of standard deviation σ y in ln y, from observed and calculated ones.
#[test]
fn the_likelihood_of_absolute_sigmas_is_that_of_its_densities() {
    let sigma = 0.02;
    let found = with(ErrorModel::Relative { sigma }, Scale::Known);
    let density = |one: &bathkin_fit::result::Measured| {
        let r = (one.observed / one.calculated).ln() / sigma;
        -0.5 * r * r - (sigma * one.observed).ln() - 0.5 * (2.0 * PI).ln()
    };
    let llf: f64 = found.measured().iter().map(density).sum();
    let statistics = found.statistics();
    close(statistics.llf.expect("one"), llf, 1e-10, "llf");
    // k = 2.
    close(statistics.aic.expect("one"), 4.0 - 2.0 * llf, 1e-10, "aic");
    close(statistics.bic.expect("one"), 2.0 * 6.0_f64.ln() - 2.0 * llf, 1e-10, "bic");
    assert_eq!((statistics.ndata, statistics.nvarys, statistics.nfree), (6, 2, 4));
    close(statistics.redchi.expect("one"), statistics.chisqr / 4.0, 1e-14, "redchi");
    assert_eq!(statistics.nfev, found.fit.minimum.evaluations);
}

/// -n/2 [ln(2π S/n) + 1] in um/h, as statsmodels has it for least squares; k = 2 and the variance.
#[test]
fn the_likelihood_of_estimated_errors_is_that_of_least_squares() {
    let found = with(ErrorModel::Absolute { sigma: 1.0 }, Scale::Estimated);
    let squares: f64 = found.measured().iter().map(|one| (one.observed - one.calculated).powi(2)).sum();
    let llf = -3.0 * ((2.0 * PI * squares / 6.0).ln() + 1.0);
    let statistics = found.statistics();
    close(statistics.chisqr, squares, 1e-12, "chisqr");
    close(statistics.llf.expect("one"), llf, 1e-10, "llf");
    close(statistics.aic.expect("one"), 6.0 - 2.0 * llf, 1e-10, "aic");
    close(statistics.bic.expect("one"), 3.0 * 6.0_f64.ln() - 2.0 * llf, 1e-10, "bic");
    // The same model with stated sigmas ten times as large has the same likelihood of the same values.
    let larger = with(ErrorModel::Absolute { sigma: 10.0 }, Scale::Estimated).statistics();
    close(larger.llf.expect("one"), llf, 1e-9, "llf with another unit of sigma");
}

/// Variances on the diagonal, and the correlation between, in the units of the recipe.
#[test]
fn the_covariance_is_in_the_units_of_the_recipe() {
    let found = with(ErrorModel::Relative { sigma: 0.02 }, Scale::Known);
    let covar = found.covar();
    let error = |place: usize| found.estimates[place].standard_error.expect("one");
    for (place, row) in covar.iter().enumerate() {
        close(row[place].expect("one"), error(place).powi(2), 1e-12, "variance");
    }
    let correlation = found.correlation()[0][1].expect("one");
    close(covar[0][1].expect("one"), correlation * error(0) * error(1), 1e-12, "covariance");
    assert_eq!(covar[0][1], covar[1][0]);
}

#[test]
fn a_start_of_ones_own_leads_to_the_same_minimum() {
    let from_recipe = fitted(&data(), of(asked(&[RATE, ENERGY])));
    let start = vec![(ENERGY.to_owned(), 40.0), (RATE.to_owned(), 3.0 * from_recipe.estimates[0].value)];
    let own = fitted(&data(), RecipeFitOptions { start, ..of(asked(&[RATE, ENERGY])) });
    for (one, other) in from_recipe.estimates.iter().zip(&own.estimates) {
        close(other.value, one.value, 1e-6, &one.path);
        // What the recipe says stays what it says.
        assert_eq!(other.start, one.start);
    }
}

#[test]
fn many_predictions_are_those_of_each() {
    let found = fitted(&data(), of(asked(&[RATE, ENERGY])));
    let rows: Vec<_> = [75.0, 90.0].map(|celsius| vec![("temperature_c".to_owned(), celsius)]).to_vec();
    let all = found.predict_rows(&rows).expect("predictions");
    for (one, row) in all.iter().zip(&rows) {
        assert_eq!(one, &found.predict(row).expect("a prediction"));
    }
}
