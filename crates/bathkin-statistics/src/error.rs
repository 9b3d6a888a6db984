//! What is wrong with data or arguments, and where: every sentence of this crate.

use bathkin_numerics::short;
use thiserror::Error;

use crate::mixed::error::GroupingError;
use crate::options::Scale;
use crate::parameter::Determination;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// Two columns differ in length.
    #[error("{first} has {first_rows} rows and {second} has {second_rows}")]
    Length {
        /// Name of the first column.
        first: &'static str,
        /// Its rows.
        first_rows: usize,
        /// Name of the second column.
        second: &'static str,
        /// Its rows.
        second_rows: usize,
    },
    /// A value cannot be used.
    #[error("row {row}, {column} = {}: expected {expected}", short(*.value))]
    Value {
        /// Row, counted from 1.
        row: usize,
        /// Column.
        column: &'static str,
        /// Value.
        value: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// An argument cannot be used.
    #[error("{name} = {}: expected {expected}", short(*.value))]
    Argument {
        /// Its name.
        name: &'static str,
        /// Its value.
        value: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// Too few of something, or too many.
    #[error("{given} {of}: expected {}", range(*.least, *.most))]
    Count {
        /// What is counted.
        of: &'static str,
        /// How many there are.
        given: usize,
        /// The fewest that would do.
        least: usize,
        /// The most, where there is a limit.
        most: Option<usize>,
    },
    /// A residual, a derivative or a value is NaN or infinite.
    #[error("{what} {place} is not finite")]
    NotFinite {
        /// What it is.
        what: &'static str,
        /// Its place, from 0.
        place: usize,
    },
    /// There is no parameter at this place.
    #[error("there is no parameter {place}: there are {count}, counted from 0")]
    NoParameter {
        /// The place.
        place: usize,
        /// How many parameters there are.
        count: usize,
    },
    /// A parameter with equal bounds.
    #[error("{name} is held by its bounds")]
    HeldByBounds {
        /// Its name.
        name: String,
    },
    /// A value depends on what the data do not determine.
    #[error("the value depends on {}, {}", names.join(", "), determination.code())]
    Depends {
        /// The parameters.
        names: Vec<String>,
        /// Why they are not determined.
        determination: Determination,
    },
    /// A robust loss, which is no likelihood.
    #[error("{method} needs the linear loss: a robust one is no likelihood")]
    RobustLoss {
        /// What was asked for.
        method: &'static str,
    },
    /// No residual degree of freedom, or rows that are met exactly.
    #[error("no residual degree of freedom or no scatter is left for {method}")]
    NoScatter {
        /// What was asked for.
        method: &'static str,
    },
    /// No two rows are replicates.
    #[error("no two of {rows} rows are replicates: lack of fit cannot be tested")]
    NoReplicates {
        /// How many rows there are.
        rows: usize,
    },
    /// No more groups of replicates than determined parameters.
    #[error("{groups} groups of replicates for {parameters} parameters: lack of fit cannot be tested")]
    FewGroups {
        /// Groups.
        groups: usize,
        /// Determined parameters.
        parameters: usize,
    },
    /// Replicates without any scatter.
    #[error("the replicates agree exactly: lack of fit cannot be tested")]
    ReplicatesAgree,
    /// Fits of other rows, which no criterion compares.
    #[error("{first} was fitted to {first_rows} rows and {other} to {other_rows}: expected the same rows")]
    OtherRows {
        /// The first model.
        first: String,
        /// Its rows.
        first_rows: usize,
        /// The other model.
        other: String,
        /// Its rows.
        other_rows: usize,
    },
    /// Fits of another value in a row, or with another sigma.
    #[error(
        "row {row}: {first} has {} with sigma {} and {other} has {} with sigma {}: expected the same rows",
        of_first.0, of_first.1, of_other.0, of_other.1
    )]
    OtherRow {
        /// Row, counted from 1.
        row: usize,
        /// The first model.
        first: String,
        /// Its value and sigma.
        of_first: (f64, f64),
        /// The other model.
        other: String,
        /// Its value and sigma.
        of_other: (f64, f64),
    },
    /// Fits of which one has absolute sigmas and the other has not.
    #[error("the scale of {first} is {} and that of {other} {}: expected the same", scale.code(), of_other.code())]
    OtherScale {
        /// The first model.
        first: String,
        /// Its scale.
        scale: Scale,
        /// The other model.
        other: String,
        /// Its scale.
        of_other: Scale,
    },
    /// A combination of parameters that are all known already.
    #[error("the combination has no free parameter: there is nothing to learn about it")]
    NothingToLearn,
    /// None of several fits succeeded.
    #[error("none of {count} {of} succeeded")]
    AllFailed {
        /// What they are.
        of: &'static str,
        /// How many.
        count: usize,
    },
    /// The model cannot be evaluated at the start.
    #[error("the fit cannot start: {cause}")]
    ModelFails {
        /// The model's own error.
        cause: String,
    },
    /// Labels that make no random effect.
    #[error(transparent)]
    Grouping(#[from] GroupingError),
    /// It was asked to stop.
    #[error("stopped before it ended")]
    Stopped,
    /// The search ended without a minimum.
    #[error("the fit did not converge ({reason}) in {evaluations} evaluations; it stopped at {parameters:?}")]
    NotConverged {
        /// Code of [`Termination`](bathkin_numerics::least_squares::Termination).
        reason: &'static str,
        /// Evaluations of the model.
        evaluations: usize,
        /// How many of them the model refused.
        failures: usize,
        /// The best parameters seen.
        parameters: Vec<f64>,
    },
}

fn range(least: usize, most: Option<usize>) -> String {
    match most {
        Some(most) => format!("{least} to {most}"),
        None => format!("at least {least}"),
    }
}
