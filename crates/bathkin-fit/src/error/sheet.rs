//! What is wrong with a column or a whole sheet.

use thiserror::Error;

use crate::error::DataError;

/// Why a column or a whole sheet cannot be used.
#[derive(Debug, Clone, Error)]
pub enum SheetProblem {
    /// Two columns of one name.
    #[error("{column} is given twice")]
    Twice {
        /// The name.
        column: String,
    },
    /// A column of another length than the sheet.
    #[error("{column} has {cells} rows of {rows}")]
    Length {
        /// The column.
        column: String,
        /// Its cells.
        cells: usize,
        /// Rows of the sheet.
        rows: usize,
    },
    /// Several columns or cells, each for its own reason.
    #[error("{} {}:\n  {}", _0.len(), what_they_are(_0), reasons(_0))]
    Several(Vec<DataError>),
    /// A column that has to be there.
    #[error("a log needs a column {column}")]
    Missing {
        /// The column.
        column: &'static str,
    },
    /// A log whose pH is to be followed and that has none, or too few.
    #[error(
        "{}: the pH of this log cannot be followed ([log] ph = \"as measured\"); expected a column ph or ph_25c with two rows \
         or more, or [log] ph = \"compared\"{}",
        column.as_ref().map_or("no column of a pH".to_owned(), |column| format!("{column} has {rows} rows with a value")),
        not_followed.as_ref().map_or(String::new(), |why| format!("; {why}"))
    )]
    NoPhToFollow {
        /// Its column of the pH.
        column: Option<String>,
        /// Rows that have one to follow.
        rows: usize,
        /// Why the first of the others is none.
        not_followed: Option<String>,
    },
    /// No measured value in any row.
    #[error("nothing was measured: no value in {}", columns.join(", "))]
    NothingMeasured {
        /// Columns that would hold one.
        columns: Vec<String>,
    },
    /// A sigma or a limit of detection without its reading.
    #[error("{column} is the {is} of no reading: there is no column {reading}")]
    NoReading {
        /// The column.
        column: String,
        /// What it is: `sigma` or `limit`.
        is: &'static str,
        /// The column that is missing.
        reading: String,
    },
    /// A content whose unit or form is not clear.
    #[error("{column}: expected {expected}; {hint}")]
    Unclear {
        /// The column.
        column: String,
        /// What would have been accepted.
        expected: String,
        /// What to do.
        hint: String,
    },
    /// Two columns that set the same.
    #[error("{} and {} both set {path}", columns[0], columns[1])]
    SetTwice {
        /// The columns.
        columns: [String; 2],
        /// Path that they set.
        path: String,
    },
    /// A column that sets a free or tied parameter.
    #[error("{column} sets {path}, which cannot be free too")]
    SetsFree {
        /// The column.
        column: String,
        /// The free path.
        path: String,
    },
    /// A salt of a column beside one of the recipe that brings the same.
    #[error(
        "{column} is weighed out beside {beside} of the recipe, which brings the same: expected a column {beside} too, \
         or a recipe with {beside} = \"off\""
    )]
    SaltBeside {
        /// The column.
        column: String,
        /// Path of the recipe.
        beside: String,
    },
    /// A content that several reagents bring.
    #[error("{column}: not one reagent alone brings {component} to this bath; give the amounts weighed out")]
    SeveralReagents {
        /// The column.
        column: String,
        /// The component.
        component: String,
    },
    /// A content that no reagent is bought for.
    #[error("{column}: no reagent is bought for {component}; `bathkin reagents` lists them")]
    NoReagent {
        /// The column.
        column: String,
        /// The component.
        component: String,
    },
    /// More different conditions than are computed.
    #[error("more than {most} rows of different conditions: expected fewer, each is a bath of its own")]
    ManyConditions {
        /// The most.
        most: usize,
    },
    /// Two columns that both give what plated.
    #[error("{} and {} both give what plated: give one", columns[0], columns[1])]
    WorkTwice {
        /// The columns.
        columns: [&'static str; 2],
    },
    /// A log with dates, and racks on a clock of their own.
    #[error(
        "the log has dates and the racks have hours: say with work.calendar_start when their clock is zero"
    )]
    NoClock,
}

/// As many are named; more of them rarely have another cause.
const MOST_NAMED: usize = 20;

fn what_they_are(errors: &[DataError]) -> &'static str {
    let of_cells = errors.iter().any(|error| matches!(error, DataError::Cell { .. }));
    if of_cells { "problems" } else { "columns cannot be used" }
}

/// Each without the file, which stands before them all.
fn reasons(errors: &[DataError]) -> String {
    let plain = |error: &DataError| match error {
        DataError::Sheet { problem, .. } => problem.to_string(),
        DataError::Cell { file, .. } => error.to_string().trim_start_matches(&format!("{file}: ")).to_owned(),
        other => other.to_string(),
    };
    let mut told: Vec<String> = errors.iter().take(MOST_NAMED).map(plain).collect();
    if errors.len() > MOST_NAMED {
        told.push(format!("and {} more", errors.len() - MOST_NAMED));
    }
    told.join("\n  ")
}
