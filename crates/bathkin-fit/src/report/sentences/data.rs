//! Sentences on what is implausible in the data, and on rows that dominate or repeat.

use super::listed;
use crate::format::{number, probability};

remarks! {
    /// What is implausible in the data.
    OfData;

    "data-twice", SameSheet { first: String, second: String } => format!(
        "{second} holds the numbers of {first}: they count twice, and errors are too small"
    );

    "data-twice", SameRows { first: String, second: String, rows: Vec<usize> } => format!(
        "{second}, row {}: {first} has rows of the same time with the same numbers: two logs that overlap, and these rows \
         count twice",
        listed(&rows)
    );

    "data-twice", FittedBefore {} =>
        "the recipe's own numbers were fitted to these data: priors from it count them twice";

    "outside-range", Setting {
        file: String, column: String, path: String, farthest: f64, low: f64, high: f64, outside: usize, runs: usize,
    } => format!(
        "{file}: {column} sets {path} as far as {}, outside the recipe's {low} to {high} ({outside} of {runs} runs): \
         extrapolated",
        number(farthest, 4)
    );

    "start-far", Start { path: String, value: f64, make_up: f64 } => format!(
        "{path} = {}, and the recipe makes the bath up with {}: another bath, or another unit?",
        number(value, 4),
        number(make_up, 4)
    );

    "addition-large", Addition { file: String, row: usize, volume_l: f64, tank_l: f64 } => format!(
        "{file}: row {row}: {} L were added at once to a bath of {} L: another unit?",
        number(volume_l, 4),
        number(tank_l, 4)
    );

    "errors-large", ErrorsLarge { column: String, times: f64 } => format!(
        "the model misses the data in {column}: its scatter is {} times the stated error: another unit, or something \
         that the recipe leaves out",
        number(times, 3)
    );

    "errors-small", ErrorsSmall { column: String, times: f64 } => format!(
        "{column}: its scatter is {} times the stated error: computed or copied values, or errors stated too large",
        number(times, 3)
    );

    "influential", Influential { places: Vec<String>, cooks_distances: Vec<f64> } => {
        let each = places.iter().zip(&cooks_distances);
        let rows: Vec<String> =
            each.map(|(place, distance)| format!("{place} (Cook's distance {distance:.1})")).collect();
        format!("{} dominates the estimates: check it, and fit without it", rows.join("; "))
    };

    "untested-row", Untested { places: Vec<String> } => format!(
        "{} alone determines part of the estimates (leverage 1) and is met whatever its value: repeat it",
        places.join(", ")
    );

    "no-scatter", NoScatter {} =>
        "the model meets every value to rounding: computed values have no errors, and standard errors and criteria say \
         nothing of measured ones";

    "sigmas-too-small", SigmasSmall { times: f64, probability: f64 } => format!(
        "residuals are {} times the absolute sigmas (chance {probability:.0e}): the sigmas are too small or the model \
         misses the data, and the intervals are too narrow",
        number(times, 3)
    );

    "rows-copied", Copied { places: Vec<String>, of: Vec<String> } => {
        let pairs: Vec<String> = places.iter().zip(&of).map(|(place, of)| format!("{place} ({of})")).collect();
        format!(
            "rows that repeat another one (in brackets) in every number: {}. Copies count twice, and errors come out \
             too small: leave them out",
            pairs.join(", ")
        )
    };

    "replicates-conflict", Conflict {
        file: String, rows: Vec<usize>, column: String, low: f64, high: f64, p_value: Option<f64>,
    } => format!(
        "{file} rows {} have the same settings, and {column} from {} to {}{}: they conflict; find out what differed",
        rows.iter().map(usize::to_string).collect::<Vec<_>>().join(", "),
        number(low, 4),
        number(high, 4),
        p_value.map_or(String::new(), |p| format!(" ({})", probability(p)))
    );

    "outlier", Outlier {
        file: String, row: usize, column: String, value: f64, deviations: f64, side: &'static str, p_value: f64,
    } => format!(
        "{file} row {row}, {column} = {} lies {} standard deviations {side} what the other rows say ({}): look at it, \
         and fit without",
        number(value, 4),
        number(deviations, 3),
        probability(p_value)
    );
}
