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
/// By epsilon constraints: one goal is optimised while the other is at least (at most) a level. Levels halve the widest gap
/// of the curve so far, in shares of what the ends differ by, on the goal that differs more across it: a curve that is steep
/// has as many points there. Each search begins with all that was tried before it, and the points are chosen at the end among
/// everything that was tried. Source: Y. Y. Haimes, L. S. Lasdon, D. A. Wismer, IEEE Transactions on Systems, Man, and
/// Cybernetics SMC-1 (1971) 296-297.
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
    let mut levels: Vec<Level> = Vec::new();
    let mut halved: Vec<(usize, usize)> = Vec::new();
    while levels.len() + 2 < count && !search.stopped {
        let places = places(&resolved, &search, &levels);
        let Some((gap, level)) = widest_gap(&resolved, &search, &places, &halved) else { break };
        halved.push(gap);
        search.improve(&resolved.problem(level.goal, [level.limit]), Effort { starts: 2, restarts: 1 });
        levels.push(level);
    }
    let end = |goal, search: &mut _| told(&resolved, &lives, search, goal, asked.seed, BY);
    let ends = vec![end(0, &mut search)?, end(1, &mut search)?];
    let places = places(&resolved, &search, &levels);
    let points =
        places.into_iter().filter_map(|place| point(&resolved, &lives, &search.tried[place])).collect();
    let all: Vec<&Tried<NoAnswer>> = search.tried.iter().collect();
    let attempts = attempts(&resolved, &resolved.problem(0, []), &all);
    Ok(TradeOff { feasible: ends[0].feasible, complete: !search.stopped, ends, points, attempts })
}

/// A goal to optimise while the other is held to a level.
#[derive(Debug, Clone, Copy)]
struct Level {
    goal: usize,
    limit: Limit,
}

impl Level {
    /// One goal, while the other one is at least as good as this.
    fn new(resolved: &Resolved, goal: usize, bound: f64) -> Self {
        let held = resolved.goals[1 - goal];
        Level { goal, limit: Limit { output: held.output, at_least: held.most, bound } }
    }
}

/// Places of the points of the curve, from the best of the first goal to that of the second; none without a point within all
/// limits. An end is the best that the other goal can be there.
fn places(resolved: &Resolved, search: &Search<'_>, levels: &[Level]) -> Vec<usize> {
    let met = |problem: Problem| {
        let place = problem.best(&search.tried)?;
        search.tried[place].found.as_ref().is_ok_and(|found| problem.is_met(found)).then_some(place)
    };
    let end = |goal: usize| {
        let best = met(resolved.problem(goal, []))?;
        let value = search.tried[best].found.as_ref().ok()?[resolved.goals[goal].output];
        Some(Level::new(resolved, 1 - goal, value))
    };
    let ends = [end(0), end(1)].into_iter().flatten();
    let all = ends.chain(levels.iter().copied());
    let mut places: Vec<usize> =
        all.filter_map(|level| met(resolved.problem(level.goal, [level.limit]))).collect();
    let second = |place: &usize| match &search.tried[*place].found {
        Ok(found) => resolved.problem(1, []).merit(found),
        Err(_) => f64::NAN,
    };
    places.sort_by(|one, other| second(other).total_cmp(&second(one)).then(one.cmp(other)));
    places.dedup();
    places
}

/// The neighbours that lie widest apart and were not halved yet, and the level that halves them.
fn widest_gap(
    resolved: &Resolved,
    search: &Search<'_>,
    places: &[usize],
    halved: &[(usize, usize)],
) -> Option<((usize, usize), Level)> {
    let values = |place: usize| -> Option<[f64; 2]> {
        let found = search.tried[place].found.as_ref().ok()?;
        Some([0, 1].map(|goal| found[resolved.goals[goal].output]))
    };
    let (first, last) = (values(*places.first()?)?, values(*places.last()?)?);
    let gaps = places.windows(2).map(|pair| (pair[0], pair[1])).filter(|gap| !halved.contains(gap));
    let with_size = gaps.filter_map(|gap| {
        let (from, to) = (values(gap.0)?, values(gap.1)?);
        let shares = [0, 1].map(|goal| ((to[goal] - from[goal]) / (last[goal] - first[goal])).abs());
        // What is held is the goal that differs more, so that both halves are there to be found.
        let held = usize::from(shares[1] >= shares[0]);
        let level = Level::new(resolved, 1 - held, 0.5 * (from[held] + to[held]));
        Some((shares[0].hypot(shares[1]), gap, level)).filter(|(size, ..)| size.is_finite() && *size > 0.0)
    });
    let (_, gap, level) = with_size.reduce(|widest, one| if one.0 > widest.0 { one } else { widest })?;
    Some((gap, level))
}

/// A point of the curve.
fn point(resolved: &Resolved, lives: &Lives<'_>, tried: &Tried<NoAnswer>) -> Option<TradeOffPoint> {
    let found = tried.found.as_ref().ok()?;
    let points = &resolved.points;
    let outputs = points.outputs.iter().map(|output| output.name.clone());
    Some(TradeOffPoint {
        values: points.paths.iter().cloned().zip(resolved.values(&tried.point)).collect(),
        outputs: outputs.zip(found.iter().copied()).collect(),
        first_limit: lives.first_limit(found),
    })
}
