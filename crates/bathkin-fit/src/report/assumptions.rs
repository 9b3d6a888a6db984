//! What a fit left out or took from the recipe, as remarks.

use std::collections::HashSet;

use bathkin::document::Value;
use bathkin::life::LoggedPh;
use bathkin::model::LoggedAdditions;
use bathkin::tank::Level;

use crate::data::cases::Kind;
use crate::data::logs::WorkSource;
use crate::data::rows::Column;
use crate::data::sheet::Data;
use crate::estimate::starts::StartsTried;
use crate::objective::specification::number_at;
use crate::report::sentences::assumed::Assumed;
use crate::result::solution::Solution;
use bathkin::Remark;

pub(crate) const TEMPERATURE: &str = "operation.temperature_c";

/// Rows of runs without a measured value, and the temperature where no column has one.
pub(crate) fn left_out(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    for (number, data) in made.data.iter().enumerate() {
        let Data::Runs(runs) = data else { continue };
        let measured: Vec<usize> =
            made.model.rows.iter().filter(|row| row.sheet == number).map(|row| row.place).collect();
        let known: HashSet<usize> = measured.iter().copied().collect();
        let unused: Vec<usize> = (0..runs.rows.len()).filter(|row| !known.contains(row)).collect();
        if !unused.is_empty() {
            let rows = unused.iter().map(|row| runs.rows[*row]).collect();
            found.push(Assumed::NothingMeasured { rows }.into());
        }
        let mut settings = made.model.settings.iter().filter(|(sheet, _)| *sheet == number);
        let of_recipe = number_at(&made.recipe, TEMPERATURE).ok();
        if let Some(temperature_c) = of_recipe.filter(|_| settings.all(|(_, of)| of.path != TEMPERATURE)) {
            found.push(Assumed::Temperature { file: runs.file.clone(), temperature_c }.into());
        }
    }
    found
}

/// Salts that a make-up does not have and rows were given, and rows whose pH the recipe's reagent cannot set.
pub(crate) fn weighed_in(made: &Solution) -> Vec<Remark> {
    let mut found: Vec<Remark> = Vec::new();
    for (_, setting) in &made.model.settings {
        let Some(salt) = &setting.salt else { continue };
        found.push(
            Assumed::Salt {
                column: setting.column.clone(),
                component: salt.component.clone(),
                salt: salt.title.clone(),
            }
            .into(),
        );
    }
    let mut by: Vec<(&str, Vec<usize>)> = Vec::new();
    for row in &made.model.rows {
        let Kind::Coupon(coupon) = &made.model.cases[row.case].kind else { continue };
        let Some(reagent) = &coupon.ph_by else { continue };
        match by.iter_mut().find(|(known, _)| known == reagent) {
            Some((_, rows)) => rows.push(row.row),
            None => by.push((reagent, vec![row.row])),
        }
    }
    let own = match made.recipe.document().get("operation.ph_reagent").map(|entry| &entry.value) {
        Some(Value::Text(own)) => own.as_str(),
        _ => "no reagent",
    };
    found.extend(by.into_iter().map(|(reagent, rows)| {
        let (reagent, reagent_of_recipe) = (reagent.to_owned(), own.to_owned());
        Assumed::PhReagent { rows, reagent, reagent_of_recipe }.into()
    }));
    found
}

/// Values that are only known to be below a limit.
pub(crate) fn below(made: &Solution) -> Vec<Remark> {
    let of = |(place, column): (usize, &Column)| {
        let of_column = || made.model.rows.iter().filter(|row| row.column == place);
        let rows: Vec<usize> = of_column().filter(|row| row.observed.below).map(|row| row.row).collect();
        let all = rows.len() == of_column().count();
        let column = column.name.clone();
        (!rows.is_empty()).then(|| Assumed::Below { rows, column, all_of_column: all }.into())
    };
    made.model.columns.iter().enumerate().filter_map(of).collect()
}

/// What a log does not say, and what was assumed in its place.
pub(crate) fn taken_for_logs(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    for case in &made.model.cases {
        let Kind::Log(log) = &case.kind else { continue };
        let file = || case.place.clone();
        let mut say = |remark: Assumed| found.push(remark.into());
        let fixed = log.starts.iter().map(|start| start.column.clone()).collect();
        match &log.used {
            None => say(Assumed::LogStart { file: file(), fixed }),
            Some(used) => {
                let (column, value) = used.told_by.clone();
                say(Assumed::UsedStart { file: file(), fixed, column, value });
            }
        }
        if !log.calibrated.is_empty() {
            say(Assumed::Calibrated {
                file: file(),
                rows: log.calibrated.iter().map(|row| row + 1).collect(),
            });
        }
        match log.ph {
            LoggedPh::Additions => {}
            LoggedPh::Untold => say(Assumed::LogPh { file: file(), is_pumped: log.ph_is_pumped() }),
            LoggedPh::AsMeasured => say(Assumed::MeasuredPh { file: file() }),
        }
        let Ok(model) = log.recipe.model() else { continue };
        let tank = &model.tank;
        match log.work {
            WorkSource::ByTheLog => {}
            WorkSource::ByRacks => say(Assumed::Racks { file: file() }),
            WorkSource::Nowhere => say(Assumed::NoWork { file: file() }),
        }
        if model.log.additions == LoggedAdditions::SinceTheRowBefore {
            say(Assumed::AdditionsSpread { file: file() });
        }
        if log.water_l > 0.0 && tank.plant.level.kept_l(tank.plant.volume_l).is_some() {
            let holds_level = tank.plant.level == Level::Held;
            say(Assumed::Water { file: file(), holds_level, water_l: log.water_l });
        }
        if tank.operation.programme.idle.is_some() {
            say(Assumed::IdleTemperature { file: file() });
        } else if !log.has_temperature {
            say(Assumed::NoTemperature { file: file() });
        }
        if log.reads_cooled_ph() {
            say(Assumed::CooledPh { file: file() });
        }
        for doubt in &log.doubts {
            say(Assumed::Doubted { file: file(), doubt: doubt.to_string() });
        }
    }
    found
}

/// What further starts led to.
pub(crate) fn further_starts(tried: StartsTried) -> Remark {
    let StartsTried { count, converged, minima, lower } = tried;
    Assumed::FurtherStarts { starts: count, converged, minima, lower }.into()
}
