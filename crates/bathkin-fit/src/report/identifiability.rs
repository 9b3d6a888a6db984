//! What runs do not determine, as remarks.

use crate::data::cases::Kind;
use crate::data::error_model::ErrorModel;
use crate::estimate::prior::PriorWeight;
use crate::estimate::search::is_on_ridge;
use crate::format::number;
use crate::objective::free::{FreeParameter, ParameterScale};
use crate::report::sentences::estimates::OfEstimates;
use crate::report::sentences::misfit::Misfit;
use crate::report::thresholds::{MAY_MISS, PLAUSIBLE_KJ_MOL};
use crate::result::estimates::HOLDS_ZERO;
use crate::result::solution::Solution;
use bathkin::Remark;
use bathkin::document::Dependence;
use bathkin::tank::Quantity;
use bathkin_statistics::combinations::{Coordinate, DeterminedCombination, determined_combinations};
use bathkin_statistics::parameter::Determination;

/// Settings whose span decides whether a kind of number can be determined: (kind, path of the
/// setting, its unit, what the number is called, span below which it is not determined, span below which it is weakly).
const SPANS: [(Dependence, &str, &str, &str, f64, f64); 2] = [
    (Dependence::Temperature, "operation.temperature_c", "degC", "activation energy", 5.0, 15.0),
    (Dependence::Ph, "operation.ph", "pH", "pH order", 0.1, 0.3),
];

/// The test against replicates, where there is scatter to test by.
pub(crate) fn lack_of_fit(made: &Solution) -> Option<Remark> {
    let test = made.lack_of_fit.filter(|test| test.p_value < MAY_MISS && made.has_scatter())?;
    Some(Misfit::LackOfFit { f_ratio: test.f_ratio, p_value: test.p_value }.into())
}

/// How much of an estimate is the prior's, and priors at odds with the data.
pub(crate) fn priors(made: &Solution) -> Vec<Remark> {
    const AT_ODDS: f64 = 2.0;
    // Part that is the data's: with less they say nothing, and the difference is rounding over rounding.
    const OF_DATA: f64 = 1e-6;
    let mut found = Vec::new();
    for PriorWeight { path, mean, standard_deviation, weight, deviations } in
        made.prior_weights.iter().cloned()
    {
        found.push(OfEstimates::Prior { path: path.clone(), mean, standard_deviation, weight }.into());
        // Of the difference between prior and data, which a strong prior hides in the estimate.
        let apart = deviations.abs() / (1.0 - weight).sqrt();
        if 1.0 - weight > OF_DATA && apart > AT_ODDS {
            found.push(OfEstimates::PriorAtOdds { path, mean, deviations: apart }.into());
        }
    }
    found
}

pub(crate) fn spans(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    for (kind, path, unit, called, least, enough) in SPANS {
        let of_kind = made.model.free.iter().zip(&made.estimates);
        let of_kind = of_kind.filter(|(free, _)| free.dependence == Some(kind));
        // A grouped parameter rests on the runs of its label; of what is not grouped, the first.
        let mut whole = false;
        for (free, estimate) in of_kind {
            if free.group.is_none() && std::mem::replace(&mut whole, true) {
                continue;
            }
            let cases = &made.model.cases;
            let ruled = made.model.rows.iter().filter(|row| free.rules(row.case, &cases[row.case].labels));
            // Along a log temperature and pH vary.
            let Some(values) =
                ruled.map(|row| made.model.cases[row.case].setting(path)).collect::<Option<Vec<f64>>>()
            else {
                continue;
            };
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let span = (values.into_iter().fold(f64::NEG_INFINITY, f64::max) - low).max(0.0);
            if span < enough {
                found.push(
                    OfEstimates::Narrow {
                        label: free.group.as_ref().map(|(_, label)| label.clone()),
                        span,
                        unit,
                        number: called,
                        how: if span < least { "not" } else { "weakly" },
                        interval95: estimate.interval95,
                    }
                    .into(),
                );
            }
        }
    }
    found
}

/// Orders of what all fresh baths hold alike: only depletion, if anything, determines them.
pub(crate) fn not_varied(made: &Solution) -> Vec<Remark> {
    const ALIKE: f64 = 1.05;
    let mut found = Vec::new();
    for (free, estimate) in made.model.free.iter().zip(&made.estimates) {
        let order = (free.dependence == Some(Dependence::Order)).then(|| estimate.whole_path());
        let Some((_, component)) = order.and_then(|path| path.rsplit_once('.')) else { continue };
        let Some((low, high)) = span_of(made, component).filter(|(low, high)| *high <= ALIKE * low) else {
            continue;
        };
        found.push(
            OfEstimates::NotVaried {
                path: estimate.path.clone(),
                component: component.to_owned(),
                low_mol_l: low,
                high_mol_l: high,
                has_interval: estimate.interval95.is_some(),
            }
            .into(),
        );
    }
    found
}

/// Least and largest total of a component in the fresh baths of coupons, mol/L; `None` for what is no
/// component, and with a log, along which it varies.
fn span_of(made: &Solution, component: &str) -> Option<(f64, f64)> {
    let total = |case: &crate::data::cases::Case| {
        let Kind::Coupon(coupon) = &case.kind else { return None };
        let model = coupon.recipe.model().ok()?;
        let slot = model.tank.bath.equilibrium.component_names().iter().position(|name| name == component)?;
        Some(model.fresh_totals_mol_l[slot])
    };
    let totals: Vec<f64> = made.model.cases.iter().map(total).collect::<Option<_>>()?;
    Some((totals.iter().copied().fold(f64::INFINITY, f64::min), totals.into_iter().fold(0.0, f64::max)))
}

/// Parameters that the data do not determine: those whose interval holds zero where zero means that a setting does not
/// matter, and those known to a factor of e or worse where it does not.
pub(crate) fn weak(made: &Solution) -> Vec<Remark> {
    const OF_LOG: f64 = 1.0;
    let mut found = Vec::new();
    for (estimate, parameter) in made.estimates.iter().zip(&made.fit.parameters) {
        let (Some(error), Some(interval95)) = (parameter.standard_error, estimate.interval95) else {
            continue;
        };
        let (path, value) = (estimate.path.clone(), estimate.value);
        if estimate.status == HOLDS_ZERO {
            found.push(OfEstimates::HoldsZero { path, value, interval95 }.into());
        } else if estimate.scale == ParameterScale::Log && error > OF_LOG {
            found.push(OfEstimates::Weak { path, value, interval95 }.into());
        }
    }
    found
}

/// Numbers without an uncertainty, with the reason.
pub(crate) fn open(made: &Solution) -> Vec<Remark> {
    let mut found = Vec::new();
    let with = |why: Determination| -> Vec<&str> {
        let of = made.fit.parameters.iter().filter(|parameter| parameter.determination == why);
        of.map(|parameter| parameter.name.as_str()).collect()
    };
    let mut say = |remark: OfEstimates| found.push(remark.into());
    if made.fit.degrees_of_freedom == 0 {
        say(OfEstimates::NoFreedom {});
    }
    if is_on_ridge(&made.fit) {
        say(OfEstimates::Ridge {});
    }
    for path in with(Determination::NoInfluence) {
        let estimate = made.estimates.iter().find(|estimate| estimate.path == path);
        let stayed = estimate.is_none_or(|of| (of.value - of.start).abs() <= 1e-6 * of.start.abs());
        say(OfEstimates::NoInfluence { path: path.to_owned(), stayed });
    }
    for path in with(Determination::AtBound) {
        say(OfEstimates::AtBound { path: path.to_owned() });
    }
    for combination in &made.fit.undetermined {
        let first = combination.change.first().map_or(1.0, |(_, change)| *change);
        let part = |(path, change): &(String, f64)| {
            let place = made.fit.parameters.iter().position(|parameter| &parameter.name == path);
            let by = change / first;
            match place.map(|place| made.model.free[place].scale) {
                Some(ParameterScale::Log) => format!("ln {path} by {by:.3}"),
                _ => format!("{path} by {by:.3}"),
            }
        };
        say(OfEstimates::Combination { changes: combination.change.iter().map(part).collect() });
    }
    let combinations = determined_together(made);
    if !combinations.is_empty() {
        say(OfEstimates::Determined { combinations });
    }
    found
}

/// What is determined of parameters that are not determined alone.
fn determined_together(made: &Solution) -> Vec<String> {
    const SHOWN: usize = 4;
    let coordinate = |number: &FreeParameter| match number.scale {
        ParameterScale::Log => Coordinate::Logarithmic,
        ParameterScale::Linear => Coordinate::Linear,
    };
    let coordinates: Vec<Coordinate> = made.model.free.iter().map(coordinate).collect();
    let Ok(found) = determined_combinations(&made.fit, &coordinates) else { return Vec::new() };
    let one = |of: &DeterminedCombination| match of.standard_error {
        Some(error) => format!("{} = {} +- {}", of.text, number(of.value, 4), number(error, 2)),
        None => format!("{} = {}", of.text, number(of.value, 4)),
    };
    let mut parts: Vec<String> = found.determined.iter().take(SHOWN).map(one).collect();
    let more = found.determined.len().saturating_sub(SHOWN) + found.unnamed;
    if more > 0 && !parts.is_empty() {
        parts.push(format!("{more} more"));
    }
    parts
}

pub(crate) fn correlated(made: &Solution) -> Vec<Remark> {
    const CLOSE: f64 = 0.99;
    let mut found = Vec::new();
    for b in 0..made.estimates.len() {
        for a in 0..b {
            let Some(value) = made.fit.correlation(a, b).filter(|value| value.abs() > CLOSE) else {
                continue;
            };
            let (first, second) = (made.estimates[a].path.clone(), made.estimates[b].path.clone());
            found.push(OfEstimates::Correlated { first, second, correlation: value }.into());
        }
    }
    found
}

/// Values outside what the recipe's author vouches for, and energies that no bath has.
pub(crate) fn out_of_range(made: &Solution) -> Vec<Remark> {
    // Beyond this a slip in a unit is likelier than a bath so unlike its recipe.
    const FAR: f64 = 5.0;
    let mut found = Vec::new();
    for (free, estimate) in made.model.free.iter().zip(&made.estimates) {
        let times = estimate.value / estimate.start;
        // An interval that reaches the recipe's neighbourhood is uncertain, and no slip of a unit.
        let [low, high] = estimate.interval95.unwrap_or([estimate.value; 2]);
        let far = low > FAR * estimate.start || high < estimate.start / FAR;
        if estimate.scale == ParameterScale::Log
            && far
            && estimate.status != Determination::NoInfluence.code()
        {
            found.push(OfEstimates::Far { path: estimate.path.clone(), times }.into());
        }
        let range = made.recipe.document().get(estimate.whole_path()).and_then(|entry| entry.range);
        if let Some((low, high)) = range.filter(|(low, high)| !(*low..=*high).contains(&estimate.value)) {
            let (path, value) = (estimate.path.clone(), estimate.value);
            found.push(OfEstimates::Outside { path, value, low, high }.into());
        }
        let energy = free.dependence == Some(Dependence::Temperature);
        let (least, most) = PLAUSIBLE_KJ_MOL;
        if energy && (high < least || low > most) {
            let (path, value) = (estimate.path.clone(), estimate.value);
            found.push(OfEstimates::Implausible { path, value }.into());
        }
    }
    found
}

/// Whether relative and absolute errors give different answers.
pub(crate) fn errors_matter(made: &Solution) -> Option<Remark> {
    let other = made.other_errors.as_ref()?;
    let (mut paths, mut values, mut others) = (Vec::new(), Vec::new(), Vec::new());
    for (place, estimate) in made.estimates.iter().enumerate() {
        let parameter = &made.fit.parameters[place];
        let apart = (other.values()[place] - parameter.value).abs();
        let Some(error) = parameter.standard_error.filter(|_| made.is_determined(place)) else { continue };
        if apart > error {
            paths.push(estimate.path.clone());
            values.push(estimate.value);
            others.push(estimate.scale.outside(other.values()[place]));
        }
    }
    let absolute = made.model.columns.iter().any(|column| {
        Quantity::of_coupon(&column.name).is_some() && matches!(column.errors, ErrorModel::Absolute { .. })
    });
    let (own, other) = if absolute { ("absolute", "relative") } else { ("relative", "absolute") };
    (!paths.is_empty()).then(|| OfEstimates::ErrorModel { own, other, paths, values, others }.into())
}
