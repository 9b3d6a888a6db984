//! Quantiles of lives.

use std::collections::BTreeMap;

use bathkin_statistics::quantiles::of_ordered;
use schemars::JsonSchema;
use serde::Serialize;

/// What one, five and nine of ten lives lie below; none where that many outlive the longest.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Spread {
    /// One of ten.
    pub p10: Option<f64>,
    /// The median.
    pub p50: Option<f64>,
    /// Nine of ten.
    pub p90: Option<f64>,
}

impl Spread {
    /// Of the ends of lives; infinite ones outlive the longest.
    pub(crate) fn of(mut ends: Vec<f64>) -> Self {
        ends.sort_by(f64::total_cmp);
        let at = |part| (!ends.is_empty()).then(|| of_ordered(&ends, part)).filter(|end| end.is_finite());
        Spread { p10: at(0.1), p50: at(0.5), p90: at(0.9) }
    }
}

/// How often each limit comes first, the likeliest first.
pub(crate) fn first_limits<'a>(limits: impl IntoIterator<Item = &'a str>) -> Vec<(String, f64)> {
    let mut counts = BTreeMap::<&str, usize>::new();
    limits.into_iter().for_each(|limit| *counts.entry(limit).or_default() += 1);
    let all = counts.values().sum::<usize>() as f64;
    let part = |(limit, count): (&str, usize)| (limit.to_owned(), count as f64 / all);
    let mut found: Vec<(String, f64)> = counts.into_iter().map(part).collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found
}

/// Days that one, five and nine of ten lives end by. None where that many outlive the longest, or nothing is known of
/// the make-up.
#[derive(Debug, Clone, PartialEq, Default, JsonSchema, Serialize)]
pub struct DateSpread {
    /// One of ten.
    pub p10: Option<String>,
    /// The median.
    pub p50: Option<String>,
    /// Nine of ten.
    pub p90: Option<String>,
}
