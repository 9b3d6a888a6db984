//! What is wrong with a fit as it is asked for.

use thiserror::Error;

/// Why free parameters, ties, groups, bounds, starts, priors or errors do not hold together.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SpecificationProblem {
    /// No sheet.
    #[error("no data")]
    NoData,
    /// No free parameter.
    #[error("nothing is free: name the paths to fit")]
    NothingFree,
    /// A path that is named twice.
    #[error("{path} is {} twice", what.word())]
    Twice {
        /// The path.
        path: String,
        /// As what.
        what: Part,
    },
    /// A path that is free and follows another one.
    #[error("{path} is free and tied to {to}")]
    FreeAndTied {
        /// The path.
        path: String,
        /// What it is tied to.
        to: String,
    },
    /// A tie to a path that is not free.
    #[error("{path} is tied to {to}, which is not free: free are {}", free.join(", "))]
    TiedToFixed {
        /// The path.
        path: String,
        /// What it is tied to.
        to: String,
        /// The free paths.
        free: Vec<String>,
    },
    /// A tie without a ratio in the recipe.
    #[error("{path} has no ratio to {to}, which is zero")]
    NoRatio {
        /// The path.
        path: String,
        /// What it is tied to.
        to: String,
    },
    /// Rows without the label that a parameter is grouped by.
    #[error("{place} has no column {column} to group {path} by")]
    NoGroup {
        /// File, and row where it is one.
        place: String,
        /// The column.
        column: String,
        /// The path.
        path: String,
    },
    /// A random effect of a log.
    #[error(
        "{place} has no column {column} to group its rows by: a random effect is one of runs; fit logs without"
    )]
    GroupOfLog {
        /// The log.
        place: String,
        /// The column.
        column: String,
    },
    /// A random effect of the groups that a parameter has a value for each of.
    #[error("{path} has a value for each {column} already: nothing is left for {column} as a random effect")]
    GroupAndPer {
        /// The path.
        path: String,
        /// The column.
        column: String,
    },
    /// A random effect beside something that it cannot be fitted with.
    #[error("a random effect of {} is not fitted beside {beside}: {instead}", labels.join(" and "))]
    GroupBeside {
        /// The columns.
        labels: Vec<String>,
        /// What stands beside it.
        beside: &'static str,
        /// What to do.
        instead: &'static str,
    },
    /// A random effect over several columns of measured values that do not share its unit, or whose errors are estimated.
    #[error(
        "a random effect of {} over {}: expected one column of measured values, or relative errors of known size          (sigma known) in all",
        labels.join(" and "),
        columns.join(", ")
    )]
    GroupOverColumns {
        /// The columns of labels.
        labels: Vec<String>,
        /// The columns of measured values.
        columns: Vec<String>,
    },
    /// Something given for a path that is not free.
    #[error("{}: {path} is not free: free are {}", what.word(), free.join(", "))]
    NotFree {
        /// What was given.
        what: Part,
        /// The path.
        path: String,
        /// The free paths.
        free: Vec<String>,
    },
    /// A start that is none, or outside the bounds.
    #[error("{path}: {from} {value} is not within {lower} to {upper}")]
    OutsideBounds {
        /// The path.
        path: String,
        /// Whose value it is: `the recipe's`, or `the start`.
        from: &'static str,
        /// The value.
        value: f64,
        /// Lower bound.
        lower: f64,
        /// Upper bound.
        upper: f64,
    },
    /// A start that cannot be taken.
    #[error("start of {path} = {value}: expected {expected}")]
    Start {
        /// The path.
        path: String,
        /// The value.
        value: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// A prior that is none.
    #[error("prior of {path} = {mean} +- {standard_deviation}: expected {expected}")]
    Prior {
        /// The path.
        path: String,
        /// Mean.
        mean: f64,
        /// Standard deviation.
        standard_deviation: f64,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// A parameter with two priors.
    #[error("{path} has two priors")]
    TwoPriors {
        /// The path.
        path: String,
    },
    /// Errors of a column that is not there.
    #[error("errors of {column}: measured were {}", measured.join(", "))]
    ErrorsOfNone {
        /// The column.
        column: String,
        /// Columns of measured values.
        measured: Vec<String>,
    },
    /// Fewer measured values, priors included, than free parameters.
    #[error("{values} measured values and {priors} priors for {free} free parameters")]
    FewValues {
        /// Measured values.
        values: usize,
        /// Priors.
        priors: usize,
        /// Free parameters.
        free: usize,
    },
    /// A parameter that the recipe takes at one value alone.
    #[error("{place}: {path} cannot be changed to either side of {at}")]
    NoStep {
        /// File and row.
        place: String,
        /// The path.
        path: String,
        /// The value.
        at: f64,
    },
}

/// A part of what is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Free paths.
    Free,
    /// Ties.
    Tied,
    /// Groups.
    Grouped,
    /// Bounds.
    Bounds,
    /// Starts.
    Start,
    /// Priors.
    Priors,
    /// What further runs aim at.
    Aim,
}

impl Part {
    fn word(self) -> &'static str {
        match self {
            Part::Free => "free",
            Part::Tied => "tied",
            Part::Grouped => "grouped",
            Part::Bounds => "bounds",
            Part::Start => "start",
            Part::Priors => "priors",
            Part::Aim => "aim",
        }
    }
}
