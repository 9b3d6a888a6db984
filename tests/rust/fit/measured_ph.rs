//! A fit of a log whose measured pH is followed. Producer of the truths: `support/jittering.rs`.

use bathkin_fit::{Data, RecipeFitOptions, fit_recipe};

use support::fits::{RATE, asked, has};
use support::jittering::{LN_RATE, hours, recipe};

/// Asked: the rate constant within its 95 % interval and to 3 % where the pH is followed; a bath held at 4.80 that is compared with what
/// was read comes out more than 10 % too fast.
#[test]
fn a_fit_finds_the_rate_of_a_bath_whose_ph_jitters() {
    let (log, _) = hours(40);
    let fitted = |ph: &str| {
        let options = RecipeFitOptions { specification: asked(&[RATE]), ..RecipeFitOptions::default() };
        let found = fit_recipe(&recipe(ph), &[Data::Log(log.clone())], &options).expect("a fit");
        let parameters = recipe(ph).model().expect("a model").parameters();
        let of_recipe =
            parameters.iter().find(|one| one.path == RATE).and_then(|one| one.value).expect("a number");
        let rate = found.estimates.iter().find(|one| one.path == RATE).expect("the rate").clone();
        let interval = rate.interval95.expect("an interval");
        (found, [interval[0], rate.value, interval[1]].map(|value| (value / of_recipe).ln()))
    };
    let (followed, [low, value, high]) = fitted("as measured");
    assert!(low < LN_RATE && LN_RATE < high && (value - LN_RATE).abs() < 0.03, "{low} {value} {high}");
    has(&followed, "log-ph", "follows its readings");
    assert!(followed.estimates.iter().all(|one| !one.path.contains("start.ph")), "{:?}", followed.estimates);
    let (_, [_, value, _]) = fitted("compared");
    assert!(value - LN_RATE > 0.10, "{value}");
}
