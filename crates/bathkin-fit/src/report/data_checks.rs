//! What in the data is implausible, most often a column in another unit, as remarks.

use crate::data::cases::Kind;
use crate::data::digest::digest;
use crate::data::error_model::ErrorModel;
use crate::data::logs::columns::TIME;
use crate::data::rows::Column;
use crate::data::sheet::{Data, Sheet};
use crate::objective::free::Target;
use crate::report::sentences::data::OfData;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::tank::Quantity;
use bathkin_statistics::Scale;
use bathkin_statistics::quantiles::chi_squared_tail;

pub(crate) fn implausible(made: &Solution, outliers: &[usize]) -> Vec<Remark> {
    let mut found = twice(made);
    found.extend(outside_range(made));
    found.extend(far_starts(made));
    found.extend(large_additions(made));
    found.extend(errors_unlike(made, outliers));
    found
}

/// The same numbers handed over twice, or with a prior that was fitted to them.
fn twice(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    let of = |data: &Data| digest(std::slice::from_ref(data));
    let digests: Vec<String> = made.data.iter().map(of).collect();
    for (place, own) in digests.iter().enumerate() {
        if let Some(before) = digests[..place].iter().position(|known| known == own) {
            let (first, second) = (&made.data[before].sheet().file, &made.data[place].sheet().file);
            let (first, second) = (first.clone(), second.clone());
            found.push(OfData::SameSheet { first, second }.into());
        }
    }
    for (place, data) in made.data.iter().enumerate() {
        for (before, known) in made.data[..place].iter().enumerate() {
            let (Data::Log(first), Data::Log(second)) = (known, data) else { continue };
            let rows = rows_of_both(first, second);
            if digests[before] != digests[place] && !rows.is_empty() {
                let (first, second) = (first.file.clone(), second.file.clone());
                found.push(OfData::SameRows { first, second, rows }.into());
            }
        }
    }
    let fitted_before = made.recipe.fit_record().ok().flatten();
    if fitted_before.is_some_and(|record| !made.priors.is_empty() && record.digest == digest(&made.data)) {
        found.push(OfData::FittedBefore {}.into());
    }
    found
}

/// Rows of the second log that the first has too: at the same time by their dates, with the same numbers.
fn rows_of_both(first: &Sheet, second: &Sheet) -> Vec<usize> {
    /// Times are written to the minute at best.
    const SAME_S: f64 = 1.0;
    let times = |log: &Sheet| -> Option<Vec<Option<f64>>> {
        let (start_s, hours) = (log.start_s?, log.column(TIME)?);
        let begun = hours.iter().flatten().next()?;
        Some(hours.iter().map(|hour| hour.map(|hour| start_s + SECONDS_PER_HOUR * (hour - begun))).collect())
    };
    let (Some(of_first), Some(of_second)) = (times(first), times(second)) else { return Vec::new() };
    let both: Vec<_> = second
        .columns
        .iter()
        .filter(|(name, _)| name != TIME)
        .filter_map(|(name, cells)| Some((first.column(name)?, cells)))
        .collect();
    let same = |(row, time_s): (usize, &Option<f64>)| {
        let at = of_first
            .iter()
            .position(|known| matches!((known, time_s), (Some(a), Some(b)) if (a - b).abs() < SAME_S))?;
        let known =
            both.iter().filter(|(first, second)| first[at].is_some() && second[row].is_some()).count();
        (known > 1 && both.iter().all(|(first, second)| first[at] == second[row])).then_some(second.rows[row])
    };
    of_second.iter().enumerate().filter_map(same).collect()
}

/// Settings of runs outside what the recipe's author vouches for.
fn outside_range(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    for (sheet, setting) in &made.model.settings {
        let runs = made.data[*sheet].sheet();
        let range = made.recipe.document().get(&setting.path).and_then(|entry| entry.range);
        let (Some((low, high)), Some(cells)) = (range, runs.column(&setting.column)) else { continue };
        let values = || cells.iter().flatten().map(|cell| cell * setting.factor);
        // What is converted may miss an end by rounding.
        let slack = 1e-9 * high.abs();
        let outside: Vec<f64> =
            values().filter(|value| !(low - slack..=high + slack).contains(value)).collect();
        let Some(farthest) =
            outside.iter().copied().max_by(|a, b| (a - low).abs().total_cmp(&(b - low).abs()))
        else {
            continue;
        };
        let (file, column, path) = (runs.file.clone(), setting.column.clone(), setting.path.clone());
        let (outside, runs) = (outside.len(), values().count());
        found.push(OfData::Setting { file, column, path, farthest, low, high, outside, runs }.into());
    }
    found
}

/// Baths that start with many times what the make-up has, or a small part of it.
fn far_starts(made: &Solution) -> Vec<Remark> {
    const FAR: f64 = 3.0;
    let mut found = Vec::new();
    for (free, estimate) in made.model.free.iter().zip(&made.estimates) {
        let [Target::Start { case, place }] = free.targets.as_slice() else { continue };
        let Kind::Log(log) = &made.model.cases[*case].kind else { continue };
        let Some(made_up) = log.made_up(*place) else { continue };
        let times = estimate.value / made_up;
        if !(1.0 / FAR..=FAR).contains(&times) {
            let (path, value) = (estimate.path.clone(), estimate.value);
            found.push(OfData::Start { path, value, make_up: made_up }.into());
        }
    }
    found
}

/// Additions that a tank can hardly take.
fn large_additions(made: &Solution) -> Vec<Remark> {
    // Of the volume of the tank, in one addition.
    const PART: f64 = 0.5;
    let mut found = Vec::new();
    for case in &made.model.cases {
        let Kind::Log(log) = &case.kind else { continue };
        let Some((row, litres, tank)) = log.largest_addition() else { continue };
        if litres > PART * tank {
            let rows = made.data.iter().find_map(|data| match data {
                Data::Log(sheet) if sheet.file == case.place => sheet.rows.get(row),
                _ => None,
            });
            let (file, row) = (case.place.clone(), rows.copied().unwrap_or(row + 1));
            found.push(OfData::Addition { file, row, volume_l: litres, tank_l: tank }.into());
        }
    }
    found
}

/// Columns that scatter far more than their stated errors, and far less, without outlying rows.
fn errors_unlike(made: &Solution, outliers: &[usize]) -> Vec<Remark> {
    // Estimated: nobody states his errors closer than that.
    const LARGE: f64 = 3.0;
    const SMALL: f64 = 0.1;
    // By chance once in a thousand.
    const UNLIKELY: f64 = 1e-3;
    if made.fit.options.scale == Scale::Known || !made.has_scatter() {
        return Vec::new();
    }
    let linear = made.linear_model();
    let of = |(place, column): (usize, &Column)| {
        if !states_errors(made, place, column) {
            return None;
        }
        let (squares, freedom) = linear.scatter(outliers, made.group(place));
        let squares = squares * column.size.powi(2);
        let times = (squares / freedom).sqrt();
        let above = chi_squared_tail(squares, freedom.round() as usize)?;
        let column = column.name.clone();
        if times > LARGE && above < UNLIKELY {
            return Some(OfData::ErrorsLarge { column, times }.into());
        }
        (times < SMALL && 1.0 - above < UNLIKELY).then(|| OfData::ErrorsSmall { column, times }.into())
    };
    made.model.columns.iter().enumerate().filter_map(of).collect()
}

/// Whether anybody says how large the errors of a column are: a reading of a log has usual ones, what was measured
/// on coupons those of the specification.
fn states_errors(made: &Solution, place: usize, column: &Column) -> bool {
    let asked = &made.options.specification;
    let unstated = |errors: ErrorModel| errors == ErrorModel::Relative { sigma: 1.0 };
    Quantity::of_coupon(&column.name).is_none()
        || made.model.has_own_sigmas(place)
        || asked.column_errors.iter().any(|(name, _)| *name == column.name)
        || asked
            .errors
            .is_some_and(|errors| !unstated(errors) && errors != ErrorModel::Absolute { sigma: 1.0 })
}
