//! Sentences on what follows from a fit: models side by side, next runs, forecasts.

use crate::format::brief;

remarks! {
    /// What is to be said of models side by side.
    OfModels;

    "cannot-be-told-apart", Alike { models: Vec<String> } => format!(
        "{} cannot be told apart by these data (AICc within 2): take the one with fewer numbers, or make runs in which \
         they differ",
        models.join(" and ")
    );

    "too-few-rows", FewRows { models: Vec<String>, all_models: Vec<String>, chi_squared: Vec<f64> } => {
        let squares: Vec<String> =
            all_models.iter().zip(&chi_squared).map(|(name, squares)| format!("{name} {squares:.3e}")).collect();
        format!(
            "{}: too few rows for an AICc, so nothing is said against it; sums of squares: {}: make more runs before you \
             choose",
            models.join(" and "),
            squares.join(", ")
        )
    };

    "best", Best { model: String, aicc_less_next: Option<f64> } => match aicc_less_next {
        Some(delta) => format!("{model} is the best of these (AICc lower by {delta:.1} than the next)"),
        None => format!("{model} is alone: nothing to compare it with"),
    };

    "predicts-better", PredictsBetter { model: String, rms: f64, best: String, rms_of_best: f64 } => format!(
        "{model} predicts what is left out better than {best} (rms {rms:.3} against {rms_of_best:.3} sigmas), though its \
         AICc is larger: AICc is severe with few rows, so make more runs before you choose"
    );

    "not-predicted", PartsLost { model: String, lost: usize, parts: usize } =>
        format!("{model}: {lost} of {parts} left-out parts are not predicted");

    "not-predicted", NoParts { model: String, why: String } => format!("{model}: {why}");
}

remarks! {
    /// What is to be said of the next runs.
    OfNextRuns;

    "candidate-left-out", LeftOut { candidate: usize, why: String } => format!("candidate {candidate} left out: {why}");

    "no-repeats", NoRepeats {} =>
        "no settings are chosen twice: allow it with at_most where repeats may be more informative, and replicates are \
         needed to test the model";
}

remarks! {
    /// What is to be said of draws of a posterior.
    OfPosterior;

    "weights-not-trusted", NotTrusted { pareto_k: f64, largest_trusted_k: f64, effective: f64, points: usize } => format!(
        "the weights have too heavy a tail (Pareto k = {pareto_k:.2}, at most {largest_trusted_k:.2} is trusted; {points} points \
         are worth {effective:.0}): the posterior is far from a bell about the estimates, so take a chain, fit.sample()"
    );

    "few-effective", FewEffective { effective: f64, asked: usize, points: usize } => format!(
        "{points} points are worth {effective:.0} independent draws where {asked} were asked for: allow more points"
    );
}

remarks! {
    /// What limits a forecast.
    OfForecast;

    "despite-misfit", DespiteMisfit {} =>
        "the model misses the data, and the forecast was asked for all the same: do not plan by it";

    "from-make-up", FromMakeUp {} =>
        "every simulated bath starts from a fresh make-up, not where the log ends";

    "lives-failed", Failed { failed: usize, lives: usize, first: Option<String> } => format!(
        "{failed} of {lives} lives failed, and the spread is too narrow: {}", first.as_deref().unwrap_or("-")
    );

    "no-limit", NoLimit { lives_without_limit: usize, lives: usize, longest_clock_h: f64 } =>
        format!("{lives_without_limit} of {lives} lives reach no limit in {longest_clock_h:.0} h");

    "made-up-late", MadeUpLate { made_up: String, log_start: String } =>
        format!("made up {made_up}, after the log begins, {log_start}");

    "past", Past { ends: Vec<String>, dates: Vec<String>, log_end: String } => {
        let past: Vec<String> = ends.iter().zip(&dates).map(|(end, date)| format!("{end} ({date})")).collect();
        format!(
            "{} of the dump is past: the log goes on to {log_end}, so that this bath has outlived it; limits, make-up or \
             made_up are not those of the log",
            past.join(", ")
        )
    };

    "spread-of-fitted-only", Narrow { spread_h: f64, path: String, moved_h: Option<f64> } => format!(
        "P10 to P90 are {} h apart, and 10 % more of {path}, which was held, moves the dump {}: the spread is that of \
         the fitted numbers alone",
        brief(spread_h, 2),
        moved_h.map_or("to no dump at all".to_owned(), |hours| format!("by {} h", signed(hours, 3)))
    );

    "held", Held { paths: Vec<String> } =>
        format!("no uncertainty is known of {}: the spread is too narrow", paths.join(", "));
}

fn signed(value: f64, digits: usize) -> String {
    format!("{}{}", if value < 0.0 { "" } else { "+" }, brief(value, digits))
}
