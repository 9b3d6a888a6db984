//! What tests a fit and what does not, as remarks.

use bathkin_numerics::least_squares::Loss;

use crate::data::cases::Kind;
use crate::data::rows::Row;
use crate::report::sentences::data::OfData;
use crate::result::solution::Solution;
use bathkin::Remark;
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
        Some((format!("{file} row {}, {column}", of.row), distance))
    });
    let (places, cooks_distances): (Vec<String>, Vec<f64>) = far.unzip();
    (!places.is_empty()).then(|| OfData::Influential { places, cooks_distances }.into())
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
    (!rows.is_empty() && made.fit.degrees_of_freedom > 0).then(|| OfData::Untested { places: rows }.into())
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
        return Some(OfData::NoScatter {}.into());
    }
    let linear = made.options.loss == Loss::Linear;
    // Absolute sigmas are one size for all, which outlying rows do not estimate.
    let (squares, freedom) = made.linear_model().scatter(outliers, 0);
    let chance = chi_squared_tail(squares, freedom.round() as usize)?;
    let size = (squares / freedom).sqrt();
    (stated && linear && chance < UNLIKELY)
        .then(|| OfData::SigmasSmall { times: size, probability: chance }.into())
}
