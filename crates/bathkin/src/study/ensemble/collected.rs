//! What the chunks of an ensemble come to: columns, or what is kept of them where they would be too long.

use std::collections::BTreeMap;
use std::ops::Range;

use bathkin_statistics::quantiles::of_ordered;
use bathkin_statistics::streaming::Summary;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::study::ensemble::output::Output;
use crate::study::ensemble::plan::{Chunk, EnsemblePlan, Failure};
use crate::study::ensemble::record::{taken, with_checksum};
use crate::study::ensemble::run::chunks;

/// Failed members that are kept with their values where members are not kept; all are counted.
const MOST_FAILED: usize = 1000;

/// A member that failed.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct FailedMember {
    /// Its number, from 0.
    pub member: u64,
    /// The value of each path.
    #[serde(serialize_with = "crate::named::as_map")]
    #[schemars(with = "std::collections::BTreeMap<String, f64>")]
    pub values: Vec<(String, f64)>,
    /// The kind of error, for programs.
    pub code: String,
    /// Why, in words.
    pub reason: String,
}

/// How an output is spread over the members.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct OutputStatistics {
    /// Name of the output.
    pub output: String,
    /// Unit; empty for a pure number.
    pub unit: String,
    /// Its value by the recipe's own numbers; none where that life fails.
    pub at_recipe: Option<f64>,
    /// Members that have it.
    pub count: u64,
    /// Members that did not fail and do not have it, such as lives that end before.
    pub missing: u64,
    /// Mean.
    pub mean: Option<f64>,
    /// Standard deviation, by the members less one.
    pub standard_deviation: Option<f64>,
    /// Least value.
    pub least: Option<f64>,
    /// Greatest value.
    pub greatest: Option<f64>,
}

/// What has been computed of an ensemble.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Collected {
    /// The members asked for.
    members: Range<u64>,
    /// The first member that is not collected.
    next: u64,
    /// Chunks that were done before an earlier one.
    waiting: BTreeMap<u64, Chunk>,
    /// What the recipe's own numbers come to, and its first limit.
    at_recipe: Option<(Vec<f64>, Option<String>)>,
    /// Columns of the members, where they are kept.
    columns: Option<Vec<Vec<f64>>>,
    /// First limit of each, by its place in `limits`.
    first_limits: Vec<u16>,
    limits: Vec<String>,
    limit_counts: Vec<u64>,
    summaries: Vec<Summary>,
    failed: Vec<Failure>,
    failed_by_code: BTreeMap<String, u64>,
}

impl Collected {
    /// Nothing yet of some members of a plan; `keep` each of them, or what they come to.
    pub fn new(plan: &EnsemblePlan, members: Range<u64>, keep: bool) -> Self {
        Collected {
            next: members.start,
            members,
            waiting: BTreeMap::new(),
            at_recipe: None,
            columns: keep.then(|| vec![Vec::new(); plan.points.outputs.len()]),
            first_limits: Vec::new(),
            limits: Vec::new(),
            limit_counts: Vec::new(),
            summaries: Vec::new(),
            failed: Vec::new(),
            failed_by_code: BTreeMap::new(),
        }
    }

    /// What the recipe's own numbers come to, about which members are expected to lie.
    fn begin(&mut self, plan: &EnsemblePlan) {
        self.at_recipe = plan.at_recipe().ok();
        let near = |place: usize| self.at_recipe.as_ref().map_or(0.0, |(values, _)| values[place]);
        self.summaries = (0..plan.points.outputs.len()).map(|place| Summary::near(near(place))).collect();
    }

    /// As bytes, for [`Collected::of_bytes`].
    pub fn bytes(&self) -> Vec<u8> {
        with_checksum(self)
    }

    /// What [`Collected::bytes`] made; `None` of anything else.
    pub fn of_bytes(mut bytes: &[u8]) -> Option<Self> {
        taken(&mut bytes).flatten()
    }

    /// Takes a chunk, in whatever order they come; one that is known already is left.
    pub fn take(&mut self, plan: &EnsemblePlan, chunk: Chunk) {
        if self.summaries.is_empty() {
            self.begin(plan);
        }
        if chunk.members().start >= self.next && chunk.members().end <= self.members.end {
            self.waiting.insert(chunk.from, chunk);
        }
        while let Some(chunk) = self.waiting.remove(&self.next) {
            self.next = chunk.members().end;
            self.append(chunk);
        }
    }

    fn append(&mut self, chunk: Chunk) {
        let failed: Vec<u64> = chunk.failed.iter().map(|failure| failure.member).collect();
        for (place, member) in chunk.members().enumerate() {
            if failed.contains(&member) {
                continue;
            }
            for (summary, column) in self.summaries.iter_mut().zip(&chunk.columns) {
                summary.add(column[place]);
            }
        }
        for limit in &chunk.limits {
            let known = self.limits.iter().position(|known| known == limit);
            let place = known.unwrap_or_else(|| {
                self.limits.push(limit.clone());
                self.limit_counts.push(0);
                self.limits.len() - 1
            });
            self.limit_counts[place] += 1;
            if self.columns.is_some() {
                self.first_limits.push(place as u16);
            }
        }
        for failure in chunk.failed {
            *self.failed_by_code.entry(failure.code.clone()).or_default() += 1;
            if self.columns.is_some() || self.failed.len() < MOST_FAILED {
                self.failed.push(failure);
            }
        }
        if let Some(columns) = &mut self.columns {
            columns.iter_mut().zip(chunk.columns).for_each(|(all, part)| all.extend(part));
        }
    }

    /// The members asked for.
    pub fn members(&self) -> Range<u64> {
        self.members.clone()
    }

    /// Members that are done, from the first one on without a gap.
    pub fn done(&self) -> u64 {
        self.next - self.members.start
    }

    /// What is still to be computed, a part for each chunk.
    pub fn missing(&self) -> Vec<Range<u64>> {
        chunks(self.next..self.members.end).filter(|part| !self.waiting.contains_key(&part.start)).collect()
    }

    /// Columns of the members that are done; none where they are not kept.
    pub fn columns(&self) -> Option<&[Vec<f64>]> {
        self.columns.as_deref()
    }

    /// First limit of each member as a place among [`Collected::limits`]; empty where members are not kept.
    pub fn first_limits(&self) -> &[u16] {
        &self.first_limits
    }

    /// First limits with how many lives each ended, in the order in which they turned up; empty for failed members.
    pub fn limits(&self) -> impl Iterator<Item = (&str, u64)> {
        self.limits.iter().map(String::as_str).zip(self.limit_counts.iter().copied())
    }

    /// How many members failed, by the kind of error.
    pub fn failures(&self) -> &BTreeMap<String, u64> {
        &self.failed_by_code
    }

    /// The first limit by the recipe's own numbers.
    pub fn limit_at_recipe(&self) -> Option<&str> {
        self.at_recipe.as_ref()?.1.as_deref()
    }

    /// The failed members, of an ensemble that is not kept the first thousand.
    pub fn failed(&self, plan: &EnsemblePlan) -> Vec<FailedMember> {
        let member = |failure: &Failure| FailedMember {
            member: failure.member,
            values: plan.points.paths.iter().cloned().zip(plan.design.values(failure.member)).collect(),
            code: failure.code.clone(),
            reason: failure.text.clone(),
        };
        self.failed.iter().map(member).collect()
    }

    /// How each output that is a number is spread.
    pub fn statistics(&self, plan: &EnsemblePlan) -> Vec<OutputStatistics> {
        let tank = plan.recipe().model().ok().map(|model| &model.tank);
        let numbers = plan.points.outputs.iter().enumerate().filter(|(_, output)| !output.is_limit());
        let one = |(place, output): (usize, &Output)| {
            let summary = self.summaries.get(place)?;
            Some(OutputStatistics {
                output: output.name.clone(),
                unit: tank.map_or_else(String::new, |tank| output.unit(tank)),
                at_recipe: self.at_recipe.as_ref().map(|(values, _)| values[place]).filter(|x| x.is_finite()),
                count: summary.count(),
                missing: summary.missing,
                mean: summary.mean(),
                standard_deviation: summary.standard_deviation(),
                least: summary.ends().map(|ends| ends.0),
                greatest: summary.ends().map(|ends| ends.1),
            })
        };
        numbers.filter_map(one).collect()
    }

    /// Values below which parts of the members lie, for an output by its place: exact where members are kept, else
    /// to [`bathkin_statistics::streaming::QUANTILE_ERROR`]. Members that do not have it are left out.
    pub fn quantiles(&self, output: usize, parts: &[f64]) -> Vec<Option<f64>> {
        let Some(columns) = &self.columns else {
            return parts.iter().map(|part| self.summaries.get(output)?.quantile(*part)).collect();
        };
        let mut values: Vec<f64> =
            columns[output].iter().copied().filter(|value| value.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        parts.iter().map(|part| (!values.is_empty()).then(|| of_ordered(&values, *part))).collect()
    }

    /// Edges and counts of a histogram of an output by its place; none without a value.
    pub fn histogram(&self, output: usize, bins: usize) -> Option<(Vec<f64>, Vec<u64>)> {
        self.summaries.get(output)?.histogram(bins)
    }
}
