//! What is kept of a stream of numbers that is not kept: count, mean, standard deviation, ends, quantiles, a histogram.
//!
//! All parts merge: however a stream was split, and in whatever order its parts come together, the bits are the same.
//! Sums are exact ([`crate::exact_sum`]). Quantiles come from counts in cells that grow by the factor γ = (1 + α)/(1 - α),
//! so that a quantile is off by at most the part α of itself: C. Masson, J. E. Rim and H. K. Lee, *DDSketch*, Proceedings
//! of the VLDB Endowment 12 (2019) 2195-2205.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::exact_sum::ExactSum;

/// α: the greatest relative error of a quantile.
pub const QUANTILE_ERROR: f64 = 1e-4;

/// Numbers nearer to zero than this count as zero in quantiles.
const ZERO: f64 = 1e-300;

/// What is known of a stream of numbers. Memory goes with the number of cells, at most 1e4·ln(greatest/least)/2 of each sign.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// Numbers that are not finite: there is no such value.
    pub missing: u64,
    count: u64,
    least: f64,
    greatest: f64,
    /// Sums of x - s and of (x - s)², s a number they are expected to be near.
    near: f64,
    sum: ExactSum,
    squares: ExactSum,
    /// Counts by cell; of a negative number that of its size.
    positive: BTreeMap<i32, u64>,
    negative: BTreeMap<i32, u64>,
    zeros: u64,
}

impl Summary {
    /// Of no numbers yet, which are expected near another one, which must be the same in all parts that are merged.
    pub fn near(expected: f64) -> Self {
        Summary {
            missing: 0,
            count: 0,
            least: f64::INFINITY,
            greatest: f64::NEG_INFINITY,
            near: if expected.is_finite() { expected } else { 0.0 },
            sum: ExactSum::default(),
            squares: ExactSum::default(),
            positive: BTreeMap::new(),
            negative: BTreeMap::new(),
            zeros: 0,
        }
    }

    /// Takes a number.
    pub fn add(&mut self, value: f64) {
        if !value.is_finite() {
            self.missing += 1;
            return;
        }
        self.count += 1;
        self.least = self.least.min(value);
        self.greatest = self.greatest.max(value);
        let off = value - self.near;
        self.sum.add(off);
        self.squares.add(off * off);
        if value.abs() < ZERO {
            self.zeros += 1;
        } else {
            let side = if value > 0.0 { &mut self.positive } else { &mut self.negative };
            *side.entry(cell(value.abs())).or_default() += 1;
        }
    }

    /// Takes all that another part has taken.
    pub fn merge(&mut self, other: &Summary) {
        self.missing += other.missing;
        self.count += other.count;
        self.least = self.least.min(other.least);
        self.greatest = self.greatest.max(other.greatest);
        self.sum.merge(&other.sum);
        self.squares.merge(&other.squares);
        self.zeros += other.zeros;
        let pairs = [(&mut self.positive, &other.positive), (&mut self.negative, &other.negative)];
        for (mine, theirs) in pairs {
            theirs.iter().for_each(|(cell, count)| *mine.entry(*cell).or_default() += count);
        }
    }

    /// Finite numbers so far.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Their mean; none without any.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.near + self.sum.value() / self.count as f64)
    }

    /// Their standard deviation, by n - 1; none of fewer than two.
    pub fn standard_deviation(&self) -> Option<f64> {
        let n = self.count as f64;
        let sum = self.sum.value();
        let variance = (self.squares.value() - sum * sum / n) / (n - 1.0);
        (self.count > 1).then(|| variance.max(0.0).sqrt())
    }

    /// The least and the greatest.
    pub fn ends(&self) -> Option<(f64, f64)> {
        (self.count > 0).then_some((self.least, self.greatest))
    }

    /// The value below which a part of them lies, to [`QUANTILE_ERROR`] of itself.
    ///
    /// ```
    /// use bathkin_statistics::streaming::{QUANTILE_ERROR, Summary};
    ///
    /// let mut summary = Summary::near(500.0);
    /// (0..=1000).for_each(|number| summary.add(f64::from(number)));
    /// assert_eq!(summary.mean(), Some(500.0));
    /// assert!((summary.quantile(0.9).expect("there are numbers") / 900.0 - 1.0).abs() <= QUANTILE_ERROR);
    /// ```
    pub fn quantile(&self, part: f64) -> Option<f64> {
        let (least, greatest) = self.ends()?;
        let rank = (part * (self.count - 1) as f64).round() as u64;
        let mut below = 0;
        let found = self.cells().find(|(_, count)| {
            below += count;
            below > rank
        });
        found.map(|(value, _)| value.clamp(least, greatest))
    }

    /// Counts between equal steps from the least to the greatest value, with the edges; a cell of the quantiles lies
    /// whole in one of them.
    pub fn histogram(&self, bins: usize) -> Option<(Vec<f64>, Vec<u64>)> {
        let (least, greatest) = self.ends()?;
        let width = (greatest - least) / bins as f64;
        let mut counts = vec![0; bins];
        for (value, count) in self.cells() {
            let place = if width > 0.0 { ((value - least) / width).max(0.0) as usize } else { 0 };
            counts[place.min(bins - 1)] += count;
        }
        Some(((0..=bins).map(|edge| least + width * edge as f64).collect(), counts))
    }

    /// A value and a count of each cell, from the least.
    fn cells(&self) -> impl Iterator<Item = (f64, u64)> + '_ {
        let negative = self.negative.iter().rev().map(|(cell, count)| (-middle(*cell), *count));
        let zeros = (self.zeros > 0).then_some((0.0, self.zeros));
        let positive = self.positive.iter().map(|(cell, count)| (middle(*cell), *count));
        negative.chain(zeros).chain(positive)
    }
}

/// ln γ.
fn step() -> f64 {
    2.0 * QUANTILE_ERROR.atanh()
}

/// The cell i of a positive number x, γⁱ⁻¹ < x ≤ γⁱ.
fn cell(value: f64) -> i32 {
    (value.ln() / step()).ceil() as i32
}

/// 2γⁱ/(γ + 1), from which both ends of the cell differ by the same part.
fn middle(cell: i32) -> f64 {
    let step = step();
    (f64::from(cell) * step).exp() * 2.0 / (step.exp() + 1.0)
}
