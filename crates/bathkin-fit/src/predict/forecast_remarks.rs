//! What limits a forecast.

use crate::data::logs::columns::TIME;
use crate::data::sheet::Data;
use crate::error::DataError;
use crate::predict::dates::{MadeUp, moment};
use crate::predict::forecast_result::{Forecast, ForecastOptions};
use crate::predict::held::HeldNumber;
use crate::predict::spread::Spread;
use crate::recipe_fit::RecipeFit;
use crate::report::sentences::ahead::OfForecast;
use bathkin::Remark;

/// What limits a forecast, then the remarks of its fit.
pub(crate) fn remarks(
    ahead: &Forecast,
    fit: &RecipeFit,
    options: &ForecastOptions,
) -> Result<Vec<Remark>, DataError> {
    let mut found = Vec::new();
    if fit.misfit().next().is_some() {
        found.push(OfForecast::DespiteMisfit {});
    }
    found.push(OfForecast::FromMakeUp {});
    if ahead.failed > 0 {
        let (failed, lives, first) = (ahead.failed, ahead.draws, ahead.first_failure.as_ref());
        let first = first.map(|first| first.text.clone());
        found.push(OfForecast::Failed { failed, lives, first });
    }
    if ahead.beyond > 0 {
        let (lives, longest_clock_h) = (ahead.draws, ahead.longest_clock_h);
        found.push(OfForecast::NoLimit { lives_without_limit: ahead.beyond, lives, longest_clock_h });
    }
    if let Some((made_up, start_s)) = options.made_up.as_ref().zip(options.log_start_s) {
        if made_up.at_s > start_s {
            let (made_up, log_start) = (moment(made_up.at_s), moment(start_s));
            found.push(OfForecast::MadeUpLate { made_up, log_start });
        }
        found.extend(past(fit, made_up, start_s, &ahead.dump.clock_h)?);
    }
    found.extend(narrow(&ahead.dump.clock_h, ahead.held_numbers.first()));
    if !ahead.held.is_empty() {
        found.push(OfForecast::Held { paths: ahead.held.clone() });
    }
    Ok(found.into_iter().map(Remark::from).chain(fit.remarks.iter().cloned()).collect())
}

/// Dates of the dump that the only log has lived through already.
fn past(
    fit: &RecipeFit,
    made_up: &MadeUp,
    start_s: f64,
    hours: &Spread,
) -> Result<Option<OfForecast>, DataError> {
    let mut logs = fit.data.iter().filter_map(|data| match data {
        Data::Log(log) => log.column(TIME),
        Data::Runs(_) => None,
    });
    let (Some(times_h), None) = (logs.next(), logs.next()) else { return Ok(None) };
    let times = || times_h.iter().copied().flatten();
    let last_h = times().fold(f64::NEG_INFINITY, f64::max) - times().fold(f64::INFINITY, f64::min);
    let end_s = start_s + 3600.0 * last_h;
    let by_the_log = MadeUp { zone: String::new(), ..made_up.clone() };
    let (mut ends, mut dates) = (Vec::new(), Vec::new());
    for (name, hours) in [("P10", hours.p10), ("P50", hours.p50), ("P90", hours.p90)] {
        let Some(hours) = hours.filter(|hours| made_up.at_s + 3600.0 * hours < end_s) else { continue };
        ends.push(name.to_owned());
        dates.push(by_the_log.day_after(hours)?);
    }
    Ok((!ends.is_empty()).then(|| OfForecast::Past { ends, dates, log_end: moment(end_s) }))
}

/// Whether one number that was held moves the dump by more than the spread.
fn narrow(hours: &Spread, held: Option<&HeldNumber>) -> Option<OfForecast> {
    let (held, spread_h) = (held?, hours.p90? - hours.p10?);
    let more = held.moved.is_none_or(|moved| moved.abs() > spread_h);
    more.then(|| OfForecast::Narrow { spread_h, path: held.path.clone(), moved_h: held.moved })
}
