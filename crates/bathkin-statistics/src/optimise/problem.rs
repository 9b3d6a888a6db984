//! What is best: a goal, and limits.

use std::cmp::Ordering;

use crate::optimise::sample::Tried;

/// An output that is to be as small, or as great, as can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Goal {
    /// Its place.
    pub output: usize,
    /// Whether it is to be great.
    pub most: bool,
}

/// An output that is to stay on one side of a bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Its place.
    pub output: usize,
    /// Whether it is to be at least the bound.
    pub at_least: bool,
    /// The bound, in the unit of the output.
    pub bound: f64,
}

/// A goal under limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The goal.
    pub goal: Goal,
    /// The limits.
    pub limits: Vec<Limit>,
}

impl Limit {
    /// Distance to the bound, in the unit of the output: zero or more where it is kept.
    pub fn margin(&self, found: &[f64]) -> f64 {
        if self.at_least { found[self.output] - self.bound } else { self.bound - found[self.output] }
    }
}

impl Problem {
    /// The goal as what is to be small.
    pub fn merit(&self, found: &[f64]) -> f64 {
        if self.goal.most { -found[self.goal.output] } else { found[self.goal.output] }
    }

    /// Whether all limits are kept.
    pub fn is_met(&self, found: &[f64]) -> bool {
        self.limits.iter().all(|limit| limit.margin(found) >= 0.0)
    }

    /// How far outputs are beyond the limits: the sum over limits, each in spreads of its output.
    pub fn violation(&self, found: &[f64], spreads: &[f64]) -> f64 {
        self.limits.iter().map(|limit| (-limit.margin(found)).max(0.0) / spreads[limit.output]).sum()
    }

    /// The better one first: less beyond the limits, then the better goal.
    pub fn order(&self, spreads: &[f64], one: &[f64], other: &[f64]) -> Ordering {
        let beyond = |found: &[f64]| self.violation(found, spreads);
        beyond(one).total_cmp(&beyond(other)).then_with(|| self.merit(one).total_cmp(&self.merit(other)))
    }

    /// Places of the points that have answers, the best first; of equal ones the earlier.
    pub fn ranked<F>(&self, tried: &[Tried<F>]) -> Vec<usize> {
        let spreads = spreads(tried);
        let mut places: Vec<usize> = (0..tried.len()).filter(|place| tried[*place].found.is_ok()).collect();
        places.sort_by(|one, other| match (&tried[*one].found, &tried[*other].found) {
            (Ok(one), Ok(other)) => self.order(&spreads, one, other),
            _ => Ordering::Equal,
        });
        places
    }

    /// The place of the best point.
    pub fn best<F>(&self, tried: &[Tried<F>]) -> Option<usize> {
        self.ranked(tried).first().copied()
    }
}

/// How far each output is spread over the points that have it, from the least to the greatest; of one that does not vary its
/// size, or one.
pub fn spreads<F>(tried: &[Tried<F>]) -> Vec<f64> {
    let answers = || tried.iter().filter_map(|one| one.found.as_ref().ok());
    let outputs = answers().next().map_or(0, Vec::len);
    let of_output = |place: usize| {
        let ends = answers().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), found| {
            (low.min(found[place]), high.max(found[place]))
        });
        let (spread, size) = (ends.1 - ends.0, ends.0.abs().max(ends.1.abs()));
        match (spread > 0.0, size > 0.0) {
            (true, _) => spread,
            (false, true) => size,
            (false, false) => 1.0,
        }
    };
    (0..outputs).map(of_output).collect()
}
