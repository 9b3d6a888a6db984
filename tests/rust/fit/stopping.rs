//! Long work on a fit stops when it is asked to, and the fit is as good as before.

use std::thread;
use std::time::Duration;

use bathkin_fit::predict::{DesignOptions, next_runs};
use bathkin_fit::{Data, DataError, RecipeFitOptions, Stop, fit_recipe};
use bathkin_statistics::FitError;
use bathkin_statistics::bootstrap::{BootstrapOptions, Resampling};

use support::fits::{ENERGY, RATE, asked, week};
use support::recipes::power_law;

fn options(stop: &Stop) -> RecipeFitOptions {
    RecipeFitOptions {
        specification: asked(&[RATE, ENERGY]),
        stop: stop.clone(),
        ..RecipeFitOptions::default()
    }
}

#[test]
fn a_bootstrap_that_would_take_long_stops() {
    let stop = Stop::default();
    let data = [Data::Log(week(&power_law(), "log", 12, 0.01, 1))];
    let found = fit_recipe(&power_law(), &data, &options(&stop)).expect("a fit");
    let of = |replicates| BootstrapOptions { replicates, seed: 1, resampling: Resampling::Residuals };
    let stopped = thread::scope(|scope| {
        let work = scope.spawn(|| found.bootstrap(&of(100_000)));
        thread::sleep(Duration::from_millis(200));
        stop.ask();
        work.join().expect("no panic")
    });
    assert!(matches!(stopped, Err(DataError::Fit(FitError::Stopped))), "{stopped:?}");
    stop.take_back();
    assert_eq!(found.bootstrap(&of(4)).expect("a bootstrap").draws.len(), 4);
}

#[test]
fn a_fit_that_is_to_stop_says_so() {
    let stop = Stop::default();
    stop.ask();
    let data = [Data::Log(week(&power_law(), "log", 12, 0.01, 1))];
    let mut starts = options(&stop);
    starts.starts = 1000;
    for options in [options(&stop), starts] {
        let error = fit_recipe(&power_law(), &data, &options).expect_err("stopped");
        assert_eq!(error.to_string(), "stopped before it ended");
    }
}

#[test]
fn a_choice_of_runs_that_is_to_stop_says_so() {
    let stop = Stop::default();
    let data = [Data::Log(week(&power_law(), "log", 12, 0.01, 1))];
    let found = fit_recipe(&power_law(), &data, &options(&stop)).expect("a fit");
    let candidates = [vec![("temperature_c".to_owned(), 80.0)]];
    let options = DesignOptions::default();
    stop.ask();
    let error = next_runs(&found, &candidates, &options).expect_err("stopped");
    assert_eq!(error.to_string(), "stopped before it ended");
    stop.take_back();
    assert_eq!(next_runs(&found, &candidates, &options).expect("a run").runs.len(), 1);
}
