//! Rows that lie off what the others say, and what of the data the model misses, as remarks.
//!
//! Outlying rows are judged first, and what the model misses without them ([`LinearModel::examine`]): residuals
//! against each setting of coupons, as a line and as a parabola (of the temperature, in 1/T); residuals of a log
//! against those of the row before. p is multiplied by the number of these tests (Bonferroni), but for the
//! curvature in 1/T where an activation energy is fitted, which is that of a plain table.

use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::document::Dependence;

use crate::data::cases::Kind;
use crate::data::runs::AREA;
use crate::data::runs::TIME;
use crate::report::assumptions::TEMPERATURE;
use crate::report::sentences::data::OfData;
use crate::report::sentences::misfit::Misfit;
use crate::report::thresholds::MAY_MISS;
use crate::report::thresholds::OUTLYING;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin_statistics::linear_model::{Outlier, Term, Test};
use bathkin_statistics::quantiles::two_sided_tail;

/// What a term is about.
enum About {
    /// A setting, with the power of it.
    Setting { name: String, power: i32 },
    /// 1/T squared, with an activation energy free.
    Curvature,
    /// The row before, in a sheet.
    Before { sheet: usize },
}

struct Asked {
    about: About,
    column: usize,
    term: Term,
}

/// Remarks, and the outlying rows.
pub(crate) fn misfit(made: &Solution) -> (Vec<Remark>, Vec<usize>) {
    if !made.has_scatter() {
        return Default::default();
    }
    let linear = made.linear_model();
    let mut asked = against_settings(made, linear.rows());
    asked.extend(against_the_row_before(made, linear.rows(), &[]));
    let terms: Vec<Term> = asked.iter().map(|one| one.term.clone()).collect();
    let mut examined = linear.examine(&terms, OUTLYING);
    let out: Vec<usize> = examined.outliers.iter().map(|one| one.row).collect();
    if !out.is_empty() {
        // The row before an outlier is before the row behind it.
        let again = against_the_row_before(made, linear.rows(), &out);
        let first = asked.len() - again.len();
        for (place, one) in again.into_iter().enumerate() {
            examined.terms[first + place] = linear.without(&out).test(&one.term);
            asked[first + place] = one;
        }
    }
    for (one, test) in asked.iter().zip(&mut examined.terms) {
        *test = test.map(|test| between_groups(made, &one.term, test));
    }
    let mut found = outlying(made, &examined.outliers);
    let count = examined.terms.iter().flatten().count() as f64;
    for (one, test) in asked.iter().zip(&examined.terms) {
        found.extend(test.and_then(|test| missed(made, one, test, count)));
    }
    (found, out)
}

/// A test with the degrees of freedom that its term has where runs belong to groups: one that differs between groups alone is
/// tested by the scatter of groups.
fn between_groups(made: &Solution, term: &Term, test: Test) -> Test {
    let freedom = made.mixed.as_ref().and_then(|mixed| mixed.freedom_of_term(&term.values));
    let p_value = freedom.and_then(|freedom| two_sided_tail(test.t, Some(freedom)));
    Test { p_value: p_value.unwrap_or(test.p_value), ..test }
}

fn outlying(made: &Solution, outliers: &[Outlier]) -> Vec<Remark> {
    let of = |one: &Outlier| {
        let row = &made.model.rows[one.row];
        OfData::Outlier {
            file: made.data[row.sheet].sheet().file.clone(),
            row: row.row,
            column: made.model.columns[row.column].name.clone(),
            value: row.observed.value,
            deviations: one.t.abs(),
            side: if one.t < 0.0 { "above" } else { "below" },
            p_value: one.p_value,
        }
        .into()
    };
    outliers.iter().map(of).collect()
}

/// How far one of the terms is needed, of so many.
fn missed(made: &Solution, one: &Asked, test: Test, count: f64) -> Option<Remark> {
    let column = made.model.columns[one.column].name.clone();
    let (t, p_value) = (test.t.abs(), (count * test.p_value).min(1.0));
    let (remark, p_value): (Remark, f64) = match &one.about {
        // Residuals are counted the other way round.
        About::Curvature => {
            let p_value = test.p_value;
            (Misfit::Curved { of: column, t: -test.t, p_value }.into(), p_value)
        }
        About::Setting { name, power: 1 } => {
            (Misfit::Trend { column, setting: name.clone(), t, p_value }.into(), p_value)
        }
        About::Setting { name, .. } => {
            (Misfit::Bend { column, setting: name.clone(), t, p_value }.into(), p_value)
        }
        // Values that jump from one side to the other are odd, but no misfit of the model.
        About::Before { .. } if test.t < 0.0 => return None,
        About::Before { sheet } => {
            let file = made.data[*sheet].sheet().file.clone();
            let correlation = correlation(made, one);
            (Misfit::Sequence { column, file, correlation, p_value }.into(), p_value)
        }
    };
    (p_value < MAY_MISS).then_some(remark)
}

/// Σ r r_before / Σ r².
fn correlation(made: &Solution, one: &Asked) -> f64 {
    let pairs = made.residuals().iter().zip(&one.term.values);
    let (along, squares) = pairs
        .filter(|(_, before)| **before != 0.0)
        .fold((0.0, 0.0), |sum, (own, before)| (sum.0 + own * before, sum.1 + before * before));
    along / squares
}

/// Terms in every setting of coupons that varies, of each column measured on them.
fn against_settings(made: &Solution, rows: usize) -> Vec<Asked> {
    let mut names: Vec<(&str, &str)> = Vec::new();
    for (_, setting) in &made.model.settings {
        if names.iter().all(|(_, path)| *path != setting.path) {
            names.push((&setting.column, &setting.path));
        }
    }
    let mut found = Vec::new();
    for column in 0..made.model.columns.len() {
        for (name, path) in &names {
            let inverse = *path == TEMPERATURE;
            let of = |row: usize| {
                let value = made.model.cases[made.model.rows[row].case].setting(path)?;
                Some(if inverse { -1.0 / (value + ZERO_CELSIUS_K) } else { value })
            };
            found.extend(powers(made, rows, (column, name, inverse), &of));
        }
        for name in [TIME, AREA] {
            let of = |row: usize| {
                let row = &made.model.rows[row];
                let coupon = matches!(made.model.cases[row.case].kind, Kind::Coupon(_));
                made.data[row.sheet].sheet().cell(name, row.place).filter(|_| coupon)
            };
            found.extend(powers(made, rows, (column, name, false), &of));
        }
    }
    found
}

/// A line and a parabola in a setting; nothing where it does not vary, or a row has none.
fn powers(
    made: &Solution,
    all_rows: usize,
    (column, name, temperature): (usize, &str, bool),
    of: &dyn Fn(usize) -> Option<f64>,
) -> Vec<Asked> {
    let rows: Vec<usize> =
        (0..made.model.rows.len()).filter(|row| made.model.rows[*row].column == column).collect();
    let Some(values) = rows.iter().map(|row| of(*row)).collect::<Option<Vec<f64>>>() else {
        return Vec::new();
    };
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half = 0.5 * (high - low);
    let mut distinct = values.clone();
    distinct.sort_by(f64::total_cmp);
    distinct.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * half);
    let energy = made.model.free.iter().any(|one| one.dependence == Some(Dependence::Temperature));
    let mut found = Vec::new();
    for power in 1..=2 {
        // A parabola through two places, or a line through one, is no test.
        if distinct.len() <= usize::try_from(power).unwrap_or(0) {
            continue;
        }
        let mut term = Term { values: vec![0.0; all_rows], group: made.group(column) };
        for (row, value) in rows.iter().zip(&values) {
            let centred = (value - 0.5 * (low + high)) / half;
            term.values[*row] = made.by_logarithm(*row) * centred.powi(power);
        }
        let curvature = temperature && energy && power == 2;
        let about =
            if curvature { About::Curvature } else { About::Setting { name: name.to_owned(), power } };
        found.push(Asked { about, column, term });
    }
    found
}

/// The residual of the row before, of every column of every log; rows that are left out are before none.
fn against_the_row_before(made: &Solution, all_rows: usize, out: &[usize]) -> Vec<Asked> {
    // With fewer nothing that follows anything can be seen.
    const LEAST: usize = 6;
    let residuals = made.residuals();
    let mut found = Vec::new();
    for sheet in 0..made.data.len() {
        for column in 0..made.model.columns.len() {
            let of = |row: &usize| {
                let one = &made.model.rows[*row];
                let logged = matches!(made.model.cases[one.case].kind, Kind::Log(_));
                one.sheet == sheet
                    && one.column == column
                    && logged
                    && !one.observed.below
                    && !out.contains(row)
            };
            let rows: Vec<usize> = (0..residuals.len()).filter(of).collect();
            if rows.len() + out.len() < LEAST {
                continue;
            }
            let mut term = Term { values: vec![0.0; all_rows], group: made.group(column) };
            for pair in rows.windows(2) {
                term.values[pair[1]] = residuals[pair[0]];
            }
            found.push(Asked { about: About::Before { sheet }, column, term });
        }
    }
    found
}
