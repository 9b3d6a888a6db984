//! The search for the best point, and what is known about it.

use std::collections::BTreeMap;

use bathkin_statistics::optimise::{Nearby, Optimiser, Problem, Tried};

use crate::error::{Error, Result};
use crate::recipe::Recipe;
use crate::stop::Stop;
use crate::study::ensemble::output::refuse;
use crate::study::optimise::request::{Asked, Resolved, Varied, own_value};
use crate::study::optimise::response::{Lives, NoAnswer, Report};
use crate::study::optimise::result::{
    Attempts, FailedPoint, Optimisation, OptimumGoal, OptimumLimit, OptimumNumber, SAME,
};

/// Failed points that are kept with their values; all are counted.
const MOST_FAILURES: usize = 100;
/// A bound is touched within this part of the range.
const TOUCHES: f64 = 1e-3;

/// Best numbers of a recipe for the first goal under the limits. `report` hears how many points are done.
///
/// The same seed gives the same bits for any number of threads.
///
/// ```
/// use bathkin::study::optimise::{Aim, Asked, Band, Varied, optimise};
/// use bathkin::{Recipe, Stop};
///
/// let recipe = Recipe::built_in("nickel-acid")?;
/// let asked = Asked {
///     vary: vec![Varied { path: "operation.temperature_c".to_owned(), low: 80.0, high: 94.0 }],
///     aims: vec![Aim { output: "make_up.phosphorus_wt_pct".to_owned(), most: true }],
///     limits: vec![Band { name: "make_up.deposition_um_h".to_owned(), low: Some(12.0), high: None }],
///     outputs: Vec::new(),
///     points: 16,
///     starts: 2,
///     restarts: 1,
///     seed: 0,
/// };
/// let best = optimise(&recipe, &asked, &Stop::default(), &|_| true)?;
/// assert!(best.feasible && best.limits[0].met);
/// # Ok::<(), bathkin::Error>(())
/// ```
///
/// # Errors
/// As [`Asked`] is refused; [`Error::Recipe`] when no point can be computed, [`Error::Stopped`] when none was.
pub fn optimise(recipe: &Recipe, asked: &Asked, stop: &Stop, report: Report<'_>) -> Result<Optimisation> {
    const BY: &str = "optimise";
    let mut resolved = asked.resolved(recipe, BY)?;
    resolved.points = resolved.points.heeding(stop);
    let lives = Lives::new(&resolved, BY, report)?;
    let mut search = begun(&resolved, &lives, asked, BY)?;
    let problem = resolved.problem(0, []);
    search.improve(&problem, resolved.effort);
    told(&resolved, &lives, &mut search, 0, asked.seed, BY)
}

/// A search whose points are lives.
pub(super) type Search<'a> = Optimiser<'a, Lives<'a>>;

/// The first look over the box, the recipe's own point before it.
pub(super) fn begun<'a>(
    resolved: &Resolved,
    lives: &'a Lives<'a>,
    asked: &Asked,
    by: &str,
) -> Result<Search<'a>> {
    let refused = |error: bathkin_statistics::FitError| {
        refuse(by, "vary", format!("{} numbers", resolved.vary.len()), error.to_string())
    };
    let mut search = Optimiser::new(lives, resolved.vary.len(), asked.seed).map_err(refused)?;
    search.try_points(resolved.own.iter().cloned().collect());
    search.explore(asked.points);
    Ok(search)
}

/// What a search came to for one of the goals.
pub(super) fn told<'a>(
    resolved: &Resolved,
    lives: &Lives<'a>,
    search: &mut Search<'a>,
    goal: usize,
    seed: u64,
    by: &str,
) -> Result<Optimisation> {
    let problem = resolved.problem(goal, []);
    let Some(best) = problem.best(&search.tried) else { return Err(no_answer(search, by)) };
    let point = search.tried[best].point.clone();
    let found = search.tried[best].found.clone().unwrap_or_default();
    let (nearby, neighbours) = if search.stopped { Default::default() } else { search.nearby(&point) };
    let all: Vec<&Tried<NoAnswer>> = search.tried.iter().chain(&neighbours).collect();
    let at_recipe = match &resolved.own {
        Some(_) => search.tried.first().and_then(|own| own.found.clone().ok()),
        None => resolved.points.at_recipe().ok().map(|(values, _)| values),
    };
    let here = Here { resolved, found: &found, nearby: &nearby, at_recipe: at_recipe.as_deref() };
    let limits = (0..resolved.limits.len()).map(|place| here.limit(&problem, place, &all)).collect();
    let goal_here = here.goal(&problem);
    let outputs = &resolved.points.outputs;
    let mut optimum = Optimisation {
        feasible: problem.is_met(&found),
        complete: !search.stopped,
        numbers: here.numbers(&problem, &point, &all, goal_here.scatter.unwrap_or(0.0))?,
        goal: goal_here,
        limits,
        outputs: outputs.iter().zip(&found).map(|(output, value)| (output.name.clone(), *value)).collect(),
        first_limit: lives.first_limit(&found),
        attempts: attempts(resolved, &problem, &all),
        seed,
        flags: Vec::new(),
    };
    optimum.flags = optimum.doubts(by);
    Ok(optimum)
}

/// The best point, and what is known about it.
struct Here<'a> {
    resolved: &'a Resolved,
    found: &'a [f64],
    nearby: &'a [Option<Nearby>],
    at_recipe: Option<&'a [f64]>,
}

impl Here<'_> {
    fn scatter(&self, output: usize) -> Option<f64> {
        self.nearby.get(output).copied().flatten().map(|nearby| nearby.scatter)
    }

    fn own(&self, output: usize) -> Option<f64> {
        self.at_recipe.map(|values| values[output]).filter(|value| value.is_finite())
    }

    fn unit(&self, output: usize) -> Result<String> {
        let points = &self.resolved.points;
        Ok(points.outputs[output].unit(&points.recipe().model()?.tank))
    }

    fn goal(&self, problem: &Problem) -> OptimumGoal {
        let output = problem.goal.output;
        OptimumGoal {
            output: self.resolved.points.outputs[output].name.clone(),
            most: problem.goal.most,
            unit: self.unit(output).unwrap_or_default(),
            value: self.found[output],
            scatter: self.scatter(output),
            smooth: self.nearby.get(output).copied().flatten().map(|nearby| nearby.smooth),
            at_recipe: self.own(output),
        }
    }

    fn limit(&self, problem: &Problem, place: usize, all: &[&Tried<NoAnswer>]) -> OptimumLimit {
        let limit = &problem.limits[place];
        let (output, margin) = (limit.output, limit.margin(self.found));
        let better = problem.merit(self.found) - SAME * self.scatter(problem.goal.output).unwrap_or(0.0);
        let breaks_it_alone = |found: &Vec<f64>| {
            let mut kept = problem
                .limits
                .iter()
                .enumerate()
                .map(|(other, one)| (other == place) != (one.margin(found) >= 0.0));
            kept.all(|as_asked| as_asked)
        };
        let binds = all
            .iter()
            .filter_map(|one| one.found.as_ref().ok())
            .any(|found| breaks_it_alone(found) && problem.merit(found) < better);
        OptimumLimit {
            output: self.resolved.points.outputs[output].name.clone(),
            at_least: limit.at_least,
            bound: limit.bound,
            unit: self.unit(output).unwrap_or_default(),
            value: self.found[output],
            margin,
            scatter: self.scatter(output),
            met: margin >= 0.0,
            binds,
            at_recipe: self.own(output),
        }
    }

    fn numbers(
        &self,
        problem: &Problem,
        point: &[f64],
        all: &[&Tried<NoAnswer>],
        scatter: f64,
    ) -> Result<Vec<OptimumNumber>> {
        let model = self.resolved.points.recipe().model()?;
        let good = problem.merit(self.found) + SAME * scatter;
        let as_good = |one: &&&Tried<NoAnswer>| {
            one.found.as_ref().is_ok_and(|found| problem.is_met(found) && problem.merit(found) <= good)
        };
        let as_good: Vec<&[f64]> = all.iter().filter(as_good).map(|one| one.point.as_slice()).collect();
        let value = |place: usize, point: &[f64]| self.resolved.values(point).nth(place).unwrap_or(f64::NAN);
        let number = |(place, one): (usize, &Varied)| {
            let here = value(place, point);
            let ends = as_good.iter().fold((here, here), |(low, high), other| {
                let there = value(place, other);
                (low.min(there), high.max(there))
            });
            let touches = match point[place] {
                part if part <= TOUCHES => Some("low"),
                part if part >= 1.0 - TOUCHES => Some("high"),
                _ => None,
            };
            OptimumNumber {
                path: one.path.clone(),
                value: here,
                low: one.low,
                high: one.high,
                touches: touches.map(str::to_owned),
                as_good_low: ends.0,
                as_good_high: ends.1,
                at_recipe: own_value(model, &one.path),
            }
        };
        Ok(self.resolved.vary.iter().enumerate().map(number).collect())
    }
}

/// What was tried, for a problem that says what is feasible.
pub(super) fn attempts(resolved: &Resolved, problem: &Problem, all: &[&Tried<NoAnswer>]) -> Attempts {
    let points = &resolved.points;
    let mut names = points.paths.clone();
    names.extend(points.outputs.iter().map(|output| output.name.clone()));
    names.push("feasible".to_owned());
    let mut columns: Vec<(String, Vec<f64>)> = names.into_iter().map(|name| (name, Vec::new())).collect();
    let (mut failed_by_code, mut failures) = (BTreeMap::new(), Vec::new());
    for one in all {
        match &one.found {
            Ok(found) => {
                let met = if problem.is_met(found) { 1.0 } else { 0.0 };
                let outputs = found.iter().take(points.outputs.len()).copied();
                let row = resolved.values(&one.point).chain(outputs).chain([met]);
                columns.iter_mut().zip(row).for_each(|((_, column), value)| column.push(value));
            }
            Err(NoAnswer { code, reason }) => {
                *failed_by_code.entry(code.clone()).or_default() += 1;
                if failures.len() < MOST_FAILURES {
                    let values = points.paths.iter().cloned().zip(resolved.values(&one.point)).collect();
                    failures.push(FailedPoint { values, code: code.clone(), reason: reason.clone() });
                }
            }
        }
    }
    let feasible = columns.last().map_or(0, |(_, met)| met.iter().filter(|met| **met > 0.0).count());
    Attempts {
        points: all.len(),
        feasible,
        failed: failed_by_code.values().sum(),
        failed_by_code,
        failures,
        columns,
    }
}

/// No point has an answer.
fn no_answer(search: &Search<'_>, by: &str) -> Error {
    match search.tried.iter().find_map(|one| one.found.as_ref().err()) {
        Some(first) => {
            let count = format!("{} points", search.tried.len());
            refuse(
                by,
                "vary",
                count,
                format!("at least one that can be computed; the first failed: {}", first.reason),
            )
        }
        None => Error::Stopped,
    }
}
