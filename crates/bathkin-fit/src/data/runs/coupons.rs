//! Runs as cases: one for each set of conditions, with the values measured under it.

use std::collections::HashMap;
use std::sync::Arc;

use bathkin::Recipe;
use bathkin::document::Value;
use rayon::prelude::*;

use crate::data::cases::{Case, Coupon, Kind};
use crate::data::collected::Collected;
use crate::data::error_model::Observation;
use crate::data::runs::columns::{AREA, SIGMA, TIME};
use crate::data::runs::reach_ph::reach_ph;
use crate::data::runs::setting::Setting;
use crate::data::runs::settings::{check_size, settings};
use crate::data::sheet::Sheet;
use crate::error::{DataError, SheetProblem};
use bathkin::tank::Quantity;

/// What a row of runs sets: bits of the settings, time and area, quantity, labels.
type Key = (Vec<Option<u64>>, Option<u64>, Option<u64>, usize, Vec<(String, String)>);

/// Most sets of conditions in a sheet: each has a recipe of its own in memory.
const MOST_CASES: usize = 10_000;

/// Adds runs to what is collected; gives what their columns set.
///
/// `groups` are the columns that free parameters are grouped by; a column that only does that sets nothing.
pub(crate) fn collect(
    recipe: &Recipe,
    runs: &Sheet,
    groups: &[String],
    into: &mut Collected,
) -> Result<Vec<Setting>, DataError> {
    runs.check_runs()?;
    // Every case is this recipe at other numbers: what they share is read once.
    recipe.model()?;
    let settings = settings(recipe, runs, groups)?;
    for setting in &settings {
        check_size(recipe, runs, setting)?;
    }
    let (sheet, first_case) = (into.sheets, into.cases.len());
    into.sheets += 1;
    let mut known: HashMap<Key, usize> = HashMap::new();
    for run in 0..runs.rows.len() {
        let Some((quantity, value, below)) = runs.observed(run)? else { continue };
        let column = quantity.own_name();
        let minutes = runs.cell(TIME, run);
        let area_m2 = runs.cell(AREA, run).map(|cm2| cm2 * 1e-4);
        if minutes.is_none() && quantity != Quantity::DEPOSITION_UM_H {
            return Err(runs.refuse(run, TIME, &format!("the time of a run with {column}")));
        }
        if area_m2.is_none() && quantity == Quantity::MASS_GAIN_MG {
            return Err(runs.refuse(run, AREA, &format!("the area of a run with {column}")));
        }
        let sigma = runs.cell(SIGMA, run);
        if sigma.is_none() && runs.column(SIGMA).is_some() {
            return Err(runs.refuse(run, SIGMA, "a number above zero in every measured run"));
        }
        let mut labels = Vec::new();
        for group in groups {
            let Some(label) = runs.label(group, run) else {
                return Err(runs.refuse(
                    run,
                    group,
                    "a label in every measured run: numbers are grouped by it",
                ));
            };
            labels.push((group.clone(), label));
        }
        let set: Vec<Option<f64>> = settings.iter().map(|setting| runs.cell(&setting.column, run)).collect();
        // The recipe's value would be as good as invented: the others of the column were set otherwise.
        if let Some(empty) = set.iter().position(Option::is_none) {
            let row = runs.rows[run];
            let expected = format!(
                "a number in every measured run, for what is fitted depends on it: fill it in, or drop the row \
                 (runs.drop({row}), --drop {}:{row}) or the column",
                runs.file
            );
            return Err(runs.refuse(run, &settings[empty].column, &expected));
        }
        let place = Quantity::of_coupons().iter().position(|known| *known == quantity).unwrap_or(0);
        let bits = |cell: &Option<f64>| cell.map(|number| (number + 0.0).to_bits());
        let key = (set.iter().map(bits).collect(), bits(&minutes), bits(&area_m2), place, labels);
        let case = if let Some(known) = known.get(&key) {
            *known
        } else {
            if known.len() == MOST_CASES {
                return Err(runs.problem(SheetProblem::ManyConditions { most: MOST_CASES }));
            }
            let with = |recipe: Recipe, (setting, value): (&Setting, &Option<f64>)| match value {
                Some(value) => recipe.with(
                    &setting.path,
                    Value::Number(value * setting.factor),
                    &format!("{}: row {}, {}", runs.file, runs.rows[run], setting.column),
                ),
                None => recipe,
            };
            let recipe = settings.iter().zip(&set).fold(recipe.clone(), with);
            let place = format!("{}: row {}", runs.file, runs.rows[run]);
            into.cases.push(Case {
                kind: Kind::Coupon(Coupon {
                    recipe,
                    minutes,
                    area_m2,
                    quantity,
                    ph_by: None,
                    fresh: Arc::default(),
                }),
                labels: key.4.clone(),
                place,
            });
            let next = known.len();
            *known.entry(key).or_insert(next)
        };
        let observed = Observation { value, sigma, below };
        let refuse = |expected: &str| runs.refuse(run, column, expected);
        into.observe(
            column,
            quantity,
            (first_case + case, 0),
            observed,
            (sheet, run, runs.rows[run]),
            &refuse,
        )?;
    }
    into.cases[first_case..].par_iter_mut().for_each(|case| {
        if let Kind::Coupon(coupon) = &mut case.kind {
            (coupon.recipe, coupon.ph_by) = reach_ph(recipe, coupon.recipe.clone(), &case.place);
        }
    });
    Ok(settings)
}
