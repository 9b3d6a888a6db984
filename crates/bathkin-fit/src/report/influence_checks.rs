//! What tests a fit and what does not, in words and codes.

use bathkin_numerics::least_squares::Loss;

use crate::data::cases::Kind;
use crate::data::rows::Row;
use crate::format::number;
use crate::report::remark::Remark;
use crate::result::solution::Solution;
use bathkin_statistics::Scale;
use bathkin_statistics::influence::INFLUENTIAL;
use bathkin_statistics::quantiles::chi_squared_tail;

pub(crate) fn tested(made: &Solution, outliers: &[usize]) -> Vec<Remark> {
    [influential(made), alone(made), scatter(made, outliers)].into_iter().flatten().collect()
}

/// Influential observations.
fn influential(made: &Solution) -> Option<Remark> {
    let far = made.influence().into_iter().zip(&made.model.rows).filter_map(|(row, of)| {
        let distance = row.cooks_distance.filter(|distance| *distance > INFLUENTIAL)?;
        let file = &made.data[of.sheet].sheet().file;
        let column = &made.model.columns[of.column].name;
        Some(format!("{file} row {}, {column} (Cook's distance {distance:.1})", of.row))
    });
    let rows: Vec<String> = far.collect();
    let text = format!("{} dominates the estimates: check it, and fit without it", rows.join("; "));
    (!rows.is_empty()).then_some(Remark { code: "influential", text })
}

/// Rows that are met whatever their value, so that nothing tests them.
fn alone(made: &Solution) -> Option<Remark> {
    const WHOLE: f64 = 1.0 - 1e-6;
    let met = made.influence().into_iter().zip(&made.model.rows).filter(|(row, _)| row.leverage > WHOLE);
    let start = |of: &Row| made.data[of.sheet].sheet().rows.first() == Some(&of.row);
    let logged = |of: &Row| matches!(made.model.cases[of.case].kind, Kind::Log(_));
    // The first row of a log fixes what the bath held, and that may be all it does.
    let rows: Vec<String> = met
        .filter(|(_, of)| !(logged(of) && start(of)))
        .map(|(_, of)| format!("{} row {}", made.data[of.sheet].sheet().file, of.row))
        .collect();
    let text = format!(
        "{} alone determines part of the estimates (leverage 1) and is met whatever its value: repeat it",
        rows.join(", ")
    );
    (!rows.is_empty() && made.fit.degrees_of_freedom > 0).then_some(Remark { code: "untested-row", text })
}

/// Scatter that is none, or far from absolute sigmas.
fn scatter(made: &Solution, outliers: &[usize]) -> Option<Remark> {
    const UNLIKELY: f64 = 1e-3;
    let freedom = made.fit.degrees_of_freedom;
    if freedom == 0 || !made.priors.is_empty() || made.is_censored() {
        return None;
    }
    let stated = made.fit.options.scale == Scale::Known;
    if !made.has_scatter() {
        let text = "the model meets every value to rounding: computed values have no errors, and standard errors and \
                    criteria say nothing of measured ones";
        return Some(Remark { code: "no-scatter", text: text.to_owned() });
    }
    let linear = made.options.loss == Loss::Linear;
    // Absolute sigmas are one size for all, which outlying rows do not estimate.
    let (squares, freedom) = made.linear_model().scatter(outliers, 0);
    let chance = chi_squared_tail(squares, freedom.round() as usize)?;
    let size = (squares / freedom).sqrt();
    (stated && linear && chance < UNLIKELY).then(|| Remark {
        code: "sigmas-too-small",
        text: format!(
            "residuals are {} times the absolute sigmas (chance {chance:.0e}): the sigmas are too small or the \
             model misses the data, and the intervals are too narrow",
            number(size, 3)
        ),
    })
}
