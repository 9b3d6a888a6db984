//! Runs under the same settings: copies of one, and some that conflict, as remarks.
//!
//! Of m replicates of a column the squares about their mean, S_g, are what no model of the settings explains. They
//! are held against all other squares of the column, S - S_g, with ν - (m - 1) degrees of freedom:
//!
//! F = [S_g/(m - 1)] / [(S - S_g)/(ν - m + 1)],
//!
//! exact for linear models, times the number of such groups (Bonferroni); χ² = S_g where the sigmas are absolute.

use std::collections::BTreeMap;

use crate::data::cases::Kind;
use crate::data::digest::digest;
use crate::data::sheet::Data;
use crate::estimate::error_scale::degrees_of_freedom;
use crate::report::sentences::data::OfData;
use crate::report::thresholds::MAY_MISS;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin_statistics::Scale;
use bathkin_statistics::quantiles::{chi_squared_tail, f_tail};

/// Rows of runs that repeat another one in every number.
pub(crate) fn copied(made: &Solution) -> Option<Remark> {
    // A run may be repeated to the last digit by chance; so many are copies, whatever they are called.
    const MANY: usize = 3;
    let mut seen = BTreeMap::new();
    let (mut pairs, mut all_alike) = (Vec::new(), false);
    let digests: Vec<String> = made.data.iter().map(|data| digest(std::slice::from_ref(data))).collect();
    for (sheet, data) in made.data.iter().enumerate() {
        let Data::Runs(runs) = data else { continue };
        // A whole sheet that is there twice is reported as such.
        if digests[..sheet].contains(&digests[sheet]) {
            continue;
        }
        let measured =
            |place: usize| made.model.rows.iter().any(|row| (row.sheet, row.place) == (sheet, place));
        for place in (0..runs.rows.len()).filter(|place| measured(*place)) {
            let number =
                |(name, cells): &(String, Vec<Option<f64>>)| (name.clone(), cells[place].map(f64::to_bits));
            let numbers: Vec<_> = runs.columns.iter().map(number).collect();
            let words: Vec<&str> = runs.labels.iter().map(|(_, cells)| cells[place].as_str()).collect();
            let name = format!("{} row {}", runs.file, runs.rows[place]);
            match seen.get(&numbers) {
                Some((before, known)) => {
                    all_alike |= *known == words;
                    pairs.push((name, String::clone(before)));
                }
                None => {
                    seen.insert(numbers, (name, words));
                }
            }
        }
    }
    let named = pairs.len() >= MANY || all_alike;
    let (places, of) = pairs.into_iter().unzip();
    named.then(|| OfData::Copied { places, of }.into())
}

/// Runs under the same settings that differ by more than the errors of the others explain, or by more than any
/// coupon does.
pub(crate) fn conflicting(made: &Solution) -> Vec<Remark> {
    // Estimated: twice what careless coupons differ by.
    const FACTOR: f64 = 1.25;
    if !made.has_scatter() {
        return Vec::new();
    }
    let mut groups = BTreeMap::<(usize, usize), Vec<usize>>::new();
    for (place, row) in made.model.rows.iter().enumerate() {
        if matches!(made.model.cases[row.case].kind, Kind::Coupon(_)) && !row.observed.below {
            groups.entry((row.case, row.value)).or_default().push(place);
        }
    }
    groups.retain(|_, rows| rows.len() > 1);
    let residuals = made.residuals();
    let freedom = degrees_of_freedom(&made.model, &made.leverage());
    let squares = |rows: &mut dyn Iterator<Item = usize>| rows.map(|row| residuals[row].powi(2)).sum::<f64>();
    let mut found = Vec::new();
    for rows in groups.values() {
        let column = made.model.rows[rows[0]].column;
        let mean = rows.iter().map(|row| residuals[*row]).sum::<f64>() / rows.len() as f64;
        let own: f64 = rows.iter().map(|row| (residuals[*row] - mean).powi(2)).sum();
        let more = rows.len() - 1;
        let p_value = if made.fit.options.scale == Scale::Known {
            chi_squared_tail(own, more)
        } else {
            let mut of_column = (0..residuals.len()).filter(|row| made.model.rows[*row].column == column);
            // Rounded down: what parameters that several columns determine took from this one is a part of a row.
            let rest = (freedom[column] + 1e-6 - more as f64).floor().max(0.0) as usize;
            let others = squares(&mut of_column) - own;
            (rest > 0 && others > 0.0)
                .then(|| f_tail(own / more as f64 / (others / rest as f64), more, rest))
                .flatten()
        };
        let p_value = p_value.map(|p| (p * groups.len() as f64).min(1.0));
        let values = || rows.iter().map(|row| made.model.rows[*row].observed.value);
        let (low, high) =
            (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
        let unlikely = p_value.filter(|p| *p < MAY_MISS);
        if unlikely.is_none() && !(low > 0.0 && high > FACTOR * low) {
            continue;
        }
        found.push(
            OfData::Conflict {
                file: made.data[made.model.rows[rows[0]].sheet].sheet().file.clone(),
                rows: rows.iter().map(|row| made.model.rows[*row].row).collect(),
                column: made.model.columns[column].name.clone(),
                low,
                high,
                p_value: unlikely,
            }
            .into(),
        );
    }
    found
}
