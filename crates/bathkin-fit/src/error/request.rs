//! What a fit cannot answer.

use bathkin::Remark;
use bathkin_statistics::parameter::Determination;
use thiserror::Error;

/// Why a fit cannot answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RequestProblem {
    /// Two labels of one column, where a recipe has one number.
    #[error("{column} has two labels: expected one")]
    TwoLabels {
        /// The column.
        column: String,
    },
    /// A label of a column that nothing is grouped by.
    #[error("no parameter has a value for each {column}: grouped by are {}", known.join(", "))]
    NotGroupedBy {
        /// The column.
        column: String,
        /// Columns that parameters are grouped by.
        known: Vec<String>,
    },
    /// A label that no row has.
    #[error("no {column} is called {label}: there are {}", known.join(", "))]
    UnknownLabel {
        /// The column.
        column: String,
        /// The label.
        label: String,
        /// Labels that there are.
        known: Vec<String>,
    },
    /// A grouped parameter, of which a recipe has one.
    #[error(
        "{path} has a value for each {column}, and a recipe has one number there: say which {column}, one of {}",
        known.join(", ")
    )]
    LabelNeeded {
        /// The path.
        path: String,
        /// The column.
        column: String,
        /// Labels that there are.
        known: Vec<String>,
    },
    /// A value of one group, where no group is known.
    #[error("{path} is one of several: a recipe has one number there")]
    OneOfSeveral {
        /// The path, with its label.
        path: String,
    },
    /// A sheet that is no log.
    #[error("sheet {sheet} is no log: there are {sheets} sheets, counted from 0")]
    NoLog {
        /// Which sheet.
        sheet: usize,
        /// How many there are.
        sheets: usize,
    },
    /// Priors, which no data could have changed.
    #[error("a fit with priors is not repeated on drawn data: sample its posterior")]
    BootstrapWithPriors,
    /// Random effects, which are drawn with their groups.
    #[error(
        "a fit with groups is not repeated on drawn data: its intervals allow for few groups already; ask for profiles"
    )]
    BootstrapWithGroups,
    /// Candidates with random effects.
    #[error(
        "models with groups are not ranked side by side: compare them without group, or their fits by bic"
    )]
    ComparedWithGroups,
    /// Values below a limit, which have no residual.
    #[error("{values} values below a limit have no residual to draw: draw cases")]
    NoResiduals {
        /// How many.
        values: usize,
    },
    /// A profile that cannot be followed.
    #[error("the profile of {path} fails at {at}: {why}")]
    ProfileFails {
        /// The path.
        path: String,
        /// The value, in the recipe's unit.
        at: f64,
        /// Why.
        why: String,
    },
    /// A profile along which the fit is better than at its minimum.
    #[error(
        "the profile of {path} finds a better fit, with the sum of squares {sum_of_squares}: start again from {}",
        listed(at)
    )]
    BetterMinimum {
        /// The path.
        path: String,
        /// The better parameters, by name, in the recipe's units.
        at: Vec<(String, f64)>,
        /// Their sum of squares.
        sum_of_squares: f64,
    },
    /// A parameter without a posterior.
    #[error("{path} has no posterior, {}: give it a prior, or do not free it", determination.code())]
    NoPosterior {
        /// The path.
        path: String,
        /// Why it is not determined.
        determination: Determination,
    },
    /// No draw about the estimates is inside the bounds and what the recipe takes.
    #[error("none of {tries} draws about the estimates is inside what the recipe and the bounds allow")]
    NoSamplerStart {
        /// How many were tried.
        tries: usize,
    },
    /// A covariance that no parameters can have.
    #[error("fit.covariance has the negative eigenvalue {eigenvalue}: no parameters vary so")]
    Covariance {
        /// The least eigenvalue of the correlations.
        eigenvalue: f64,
    },
    /// Nothing known of the errors of a further run.
    #[error(
        "the data have no coupons, or coupons with a sigma each, so nothing is known of the errors of a further run: \
         give relative_sigma"
    )]
    RelativeSigmaNeeded,
    /// Errors of a further run that the fit knows already.
    #[error("relative_sigma = {given}: the errors of a run are those of the fit: leave it out")]
    RelativeSigmaKnown {
        /// What was given.
        given: f64,
    },
    /// A candidate model without information criterion.
    #[error(
        "priors, a robust loss, or values below a limit among errors of unknown size: no information criterion"
    )]
    NoCriterion,
    /// A candidate model that was fitted to something else than the one it should stand beside.
    #[error("other {what} than {first}")]
    FittedToOther {
        /// Columns or error models, or rows.
        what: &'static str,
        /// The first of the candidates.
        first: String,
    },
    /// A candidate model whose errors are known where those of the one beside it are estimated, or the other way round.
    #[error("its sigmas are absolute and those of {first} are not, or the other way round")]
    OtherScale {
        /// The first of the candidates.
        first: String,
    },
    /// No candidate model left to compare.
    #[error("no model to compare{}", first.as_ref().map_or(String::new(), |(name, why)| format!(": {name}: {}", why.text)))]
    NothingToCompare {
        /// The first that was refused, and why.
        first: Option<(String, Remark)>,
    },
    /// A date after the last there is.
    #[error("made_up = {made_up}: the dump is after the last date there is, 9999-12-31")]
    AfterLastDate {
        /// When the bath was made up.
        made_up: String,
    },
    /// A row to accept that has no finding.
    #[error("{file}: row {row} has no finding to accept: {}", rows_with(with_findings))]
    NothingToAccept {
        /// The log.
        file: String,
        /// The row.
        row: usize,
        /// Rows that have one.
        with_findings: Vec<usize>,
    },
    /// A forecast from rows that a log does not have.
    #[error("{file}: cannot forecast from {rows} rows: expected 2 to {all}")]
    CutOutside {
        /// The log.
        file: String,
        /// Rows asked for.
        rows: usize,
        /// Rows there are.
        all: usize,
    },
    /// A backtest of a bath that reaches no limit, where nobody says when it was dumped.
    #[error("{file}: the bath reaches no limit: say when it was dumped")]
    NoDump {
        /// The log.
        file: String,
    },
    /// No life at a draw of the parameters succeeded.
    #[error("none of {count} simulated bath lives, sampled from the fit, succeeded{}", why.as_ref().map_or(String::new(), |why| format!(": {}", why.text)))]
    NoLife {
        /// How many were asked for.
        count: usize,
        /// Why the first failed.
        why: Option<Remark>,
    },
}

fn listed(at: &[(String, f64)]) -> String {
    at.iter().map(|(name, value)| format!("{name} = {value:.6e}")).collect::<Vec<_>>().join(", ")
}

fn rows_with(rows: &[usize]) -> String {
    if rows.is_empty() {
        return "no row has one".to_owned();
    }
    format!("rows with one are {}", rows.iter().map(usize::to_string).collect::<Vec<_>>().join(", "))
}
