//! The trade-off between two goals.

use bathkin_statistics::optimise::{Effort, Limit, Problem, Tried};
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::recipe::Recipe;
use crate::stop::Stop;
use crate::study::optimise::optimisation::{Search, attempts, begun, told};
use crate::study::optimise::request::{Asked, Resolved};
use crate::study::optimise::response::{Lives, NoAnswer, Report};
use crate::study::optimise::result::{Attempts, Optimisation};

/// What one goal costs of another.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct TradeOff {
    /// Whether a point within all limits was found; without one there is no curve.
    pub feasible: bool,
    /// False when it was ended before it was done: the curve by what was tried until then.
    pub complete: bool,
    /// The best for each goal alone.
    pub ends: Vec<Optimisation>,
    /// The curve, from the best of the first goal to the best of the second.
    pub points: Vec<TradeOffPoint>,
    /// What was tried.
    pub attempts: Attempts,
}

/// A point of a trade-off: nothing tried beats it in one goal without losing in the other.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct TradeOffPoint {
    /// The value of each path.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub values: Vec<(String, f64)>,
    /// Every output.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub outputs: Vec<(String, f64)>,
    /// What ends the life there; none where no life was computed.
    pub first_limit: Option<String>,
}

/// The curve between the first two goals, of `count` points at most.
///
/// By epsilon constraints: the first goal is optimised while the second is at least (at most) a level, for levels evenly
/// between what the two ends have of it. Each search begins with all that was tried before it, and the points are chosen at
/// the end among everything that was tried. Source: Y. Y. Haimes, L. S. Lasdon, D. A. Wismer, IEEE Transactions on Systems,
/// Man, and Cybernetics SMC-1 (1971) 296-297.
///
/// # Errors
/// As [`crate::study::optimise::optimise`].
pub fn trade_off(
    recipe: &Recipe,
    asked: &Asked,
    count: usize,
    stop: &Stop,
    report: Report<'_>,
) -> Result<TradeOff> {
    const BY: &str = "trade_off";
    let mut resolved = asked.resolved(recipe, BY)?;
    resolved.points = resolved.points.heeding(stop);
    let lives = Lives::new(&resolved, BY, report)?;
    let mut search = begun(&resolved, &lives, asked, BY)?;
    for goal in [0, 1] {
        search.improve(&resolved.problem(goal, []), resolved.effort);
    }
    let levels = levels(&resolved, &search, count);
    for level in levels.iter().skip(1).rev().skip(1).rev() {
        search.improve(&resolved.problem(0, [*level]), Effort { starts: 2, restarts: 1 });
    }
    let end = |goal, search: &mut _| told(&resolved, &lives, search, goal, asked.seed, BY);
    let ends = vec![end(0, &mut search)?, end(1, &mut search)?];
    // On the way to the levels better ends may have been found.
    let levels = self::levels(&resolved, &search, count);
    let points = curve(&resolved, &lives, &search.tried, &levels);
    let all: Vec<&Tried<NoAnswer>> = search.tried.iter().collect();
    let attempts = attempts(&resolved, &resolved.problem(0, []), &all);
    Ok(TradeOff { feasible: ends[0].feasible, complete: !search.stopped, ends, points, attempts })
}

/// Limits on the second goal, from what the best of the first has to the best there is; none without a point within all
/// limits.
fn levels(resolved: &Resolved, search: &Search<'_>, count: usize) -> Vec<Limit> {
    let goal = resolved.goals[1];
    let of_best = |problem: Problem| {
        let found = search.tried[problem.best(&search.tried)?].found.as_ref().ok()?;
        problem.is_met(found).then(|| found[goal.output])
    };
    let ends = (of_best(resolved.problem(0, [])), of_best(resolved.problem(1, [])));
    let (Some(from), Some(to)) = ends else { return Vec::new() };
    let part = |k: usize| k as f64 / (count.max(2) - 1) as f64;
    // The ends to the last bit, so that the points they come from are within them.
    let bound = |k: usize| if k + 1 == count { to } else { from + part(k) * (to - from) };
    (0..count).map(|k| Limit { output: goal.output, at_least: goal.most, bound: bound(k) }).collect()
}

/// The best of the first goal at each level, each point once.
fn curve(
    resolved: &Resolved,
    lives: &Lives<'_>,
    tried: &[Tried<NoAnswer>],
    levels: &[Limit],
) -> Vec<TradeOffPoint> {
    let mut places: Vec<usize> =
        levels.iter().filter_map(|level| resolved.problem(0, [*level]).best(tried)).collect();
    places.dedup();
    let point = |place: usize| {
        let found = tried[place].found.as_ref().ok()?;
        let points = &resolved.points;
        Some(TradeOffPoint {
            values: points.paths.iter().cloned().zip(resolved.values(&tried[place].point)).collect(),
            outputs: points
                .outputs
                .iter()
                .map(|output| output.name.clone())
                .zip(found.iter().copied())
                .collect(),
            first_limit: lives.first_limit(found),
        })
    };
    places.into_iter().filter_map(point).collect()
}
