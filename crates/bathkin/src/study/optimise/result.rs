//! The best point that was found, and how far it is to be believed.

use std::collections::BTreeMap;

use bathkin_numerics::short;
use schemars::JsonSchema;
use serde::Serialize;

use crate::flag::Flag;

/// Best numbers of a recipe for a goal under limits.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Optimisation {
    /// Whether a point within all limits was found; if not, this is the one that is least beyond them.
    pub feasible: bool,
    /// False when it was ended before it was done: the best until then.
    pub complete: bool,
    /// The goal.
    pub goal: OptimumGoal,
    /// The numbers that were varied.
    pub numbers: Vec<OptimumNumber>,
    /// How each limit stands.
    pub limits: Vec<OptimumLimit>,
    /// Every output at the best point.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub outputs: Vec<(String, f64)>,
    /// What ends the life there; none where no life was computed.
    pub first_limit: Option<String>,
    /// What was tried.
    pub attempts: Attempts,
    /// Seed of the points.
    pub seed: u64,
    /// Warnings that go with it.
    pub flags: Vec<Flag>,
}

/// The goal of an optimum.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct OptimumGoal {
    /// Name of the output.
    pub output: String,
    /// Whether it was to be as great as can be, not as small.
    pub most: bool,
    /// Unit; empty for a pure number.
    pub unit: String,
    /// Its value.
    pub value: f64,
    /// Standard deviation, in its unit, for changes up to a hundredth of the ranges, beside what goes smoothly: doses and
    /// stops come whole. None with too few neighbours that have an answer.
    pub scatter: Option<f64>,
    /// The smooth course at the best point, through its neighbours.
    pub smooth: Option<f64>,
    /// Its value by the recipe's own numbers; none where that life fails.
    pub at_recipe: Option<f64>,
}

/// A number that was varied.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct OptimumNumber {
    /// Path.
    pub path: String,
    /// Its best value.
    pub value: f64,
    /// Least value that was allowed.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// The bound that the best value lies on, `low` or `high`; none inside.
    pub touches: Option<String>,
    /// Least value among the points within all limits whose goal is as good, to twice the scatter.
    pub as_good_low: f64,
    /// Greatest of those.
    pub as_good_high: f64,
    /// The recipe's own value; none where it has none.
    pub at_recipe: Option<f64>,
}

/// How a limit stands at an optimum.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct OptimumLimit {
    /// Name of the output.
    pub output: String,
    /// Whether it is to be at least the bound, not at most.
    pub at_least: bool,
    /// The bound.
    pub bound: f64,
    /// Unit; empty for a pure number.
    pub unit: String,
    /// Its value.
    pub value: f64,
    /// Distance to the bound: below zero where the limit is broken.
    pub margin: f64,
    /// Standard deviation of the value for changes up to a hundredth of the ranges: a margin below it is none.
    pub scatter: Option<f64>,
    /// Whether the limit is kept.
    pub met: bool,
    /// Whether it stands in the way of a better goal: a point that was tried breaks it alone and has a goal that is better by
    /// more than twice the scatter.
    pub binds: bool,
    /// Its value by the recipe's own numbers; none where that life fails.
    pub at_recipe: Option<f64>,
}

/// What was tried.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Attempts {
    /// Points, the neighbours of the best one too.
    pub points: usize,
    /// Points within all limits.
    pub feasible: usize,
    /// Points that failed.
    pub failed: usize,
    /// Points that failed, by the kind of error.
    pub failed_by_code: BTreeMap<String, usize>,
    /// The first hundred that failed.
    pub failures: Vec<FailedPoint>,
    /// The points that have answers: a column for each path and output, and `feasible`, one or zero.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, Vec<f64>>")]
    pub columns: Vec<(String, Vec<f64>)>,
}

/// A point that failed.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct FailedPoint {
    /// The value of each path.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub values: Vec<(String, f64)>,
    /// The kind of error, for programs.
    pub code: String,
    /// Why, in words.
    pub reason: String,
}

/// Goals within so many scatters are the same.
pub(super) const SAME: f64 = 2.0;
/// A part of the goal below which nothing is said: what the smooth course leaves of a bend is less.
const MATTERS: f64 = 1e-4;

impl Optimisation {
    /// What is to be said of it; `by` is the call.
    pub(super) fn doubts(&self, by: &str) -> Vec<Flag> {
        let mut flags = Vec::new();
        let mut flag = |part: &str, what: String| flags.push(Flag { r#where: format!("{by}{part}"), what });
        if !self.complete {
            flag("", format!("ended after {} points: the best until then", self.attempts.points));
        }
        if !self.feasible {
            let broken = self.limits.iter().filter(|limit| !limit.met).map(OptimumLimit::told);
            let broken: Vec<String> = broken.collect();
            let told = "no point within all limits was found: this one is least beyond them";
            flag(".infeasible", format!("{told}, with {}", broken.join(", ")));
        }
        if self.attempts.failed > 0 {
            let first = self.attempts.failures.first().map_or("", |first| first.reason.as_str());
            let counts = format!("{} of {} points failed", self.attempts.failed, self.attempts.points);
            flag(".failed", format!("{counts} and are left out; the first: {first}"));
        }
        if let Some((better, scatter)) = self.goal.beyond_smooth() {
            let goal = &self.goal;
            let told = format!("{} = {} is better by {}", goal.output, short(goal.value), short(better));
            let times = short((10.0 * better / scatter).round() / 10.0);
            let luck = "a part of it is how doses and stops fall there";
            flag(
                ".scatter",
                format!("{told} than the smooth course about it, {times} times its scatter: {luck}"),
            );
        }
        if self.first_limit.as_deref() == Some("none") {
            flag(
                ".no-limit",
                "the life reached no limit: it counts with the time it was followed for".to_owned(),
            );
        }
        flags
    }
}

impl OptimumGoal {
    /// How much better it is than the smooth course about it, and its scatter, where that is more than scatter and matters.
    fn beyond_smooth(&self) -> Option<(f64, f64)> {
        let (smooth, scatter) = (self.smooth?, self.scatter?);
        let better = if self.most { self.value - smooth } else { smooth - self.value };
        (better > SAME * scatter && better > MATTERS * self.value.abs()).then_some((better, scatter))
    }
}

impl OptimumLimit {
    /// A limit with its value, in words.
    fn told(&self) -> String {
        let side = if self.at_least { "at least" } else { "at most" };
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        let (value, bound) = (short(self.value), short(self.bound));
        format!("{} = {value}{unit} where {side} {bound} is asked", self.output)
    }
}
