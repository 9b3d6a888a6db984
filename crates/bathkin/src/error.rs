//! Errors by cause, with the numbers, the place and the valid names in them.

use std::fmt;

use bathkin_numerics::short;
use serde::{Serialize, Serializer};

use crate::remark::{Remark, RemarkValue};

/// Where a value came from: a file and line, or an override.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// File name, built-in recipe name, or what set the value (`--set`).
    pub file: String,
    /// Line in the file, counted from 1; `None` for an override or a missing key.
    pub line: Option<usize>,
}

impl Place {
    /// A place that is no line of a file: a call, or a list.
    pub(crate) fn without_line(what: &str) -> Place {
        Place { file: what.to_owned(), line: None }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(f, "{}:{}", self.file, line),
            None => f.write_str(&self.file),
        }
    }
}

/// Anything that can go wrong between a recipe and an answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    /// A value of a recipe cannot be used.
    #[error("{place}: {key} = {value}: expected {expected}{}", hint_text(.hint))]
    Recipe {
        /// File and line.
        place: Place,
        /// Dotted path of the value.
        key: String,
        /// The value as found (`(missing)` where there is none).
        value: String,
        /// What would have been accepted.
        expected: String,
        /// A way out, when one is likely.
        hint: Option<String>,
    },
    /// A name is not known here.
    #[error("{place}: no {what} is called '{name}'{}", nearest_text(.nearest, .valid))]
    UnknownName {
        /// File and line, or the call.
        place: Place,
        /// Kind of thing asked for (recipe, reagent, path, ...).
        what: String,
        /// The name as given.
        name: String,
        /// The valid names nearest to it.
        nearest: Vec<String>,
        /// Every valid name.
        valid: Vec<String>,
    },
    /// The document is not readable TOML, or the file cannot be read.
    #[error("{place}: {reason}")]
    Document {
        /// File and line.
        place: Place,
        /// What the parser or the system said.
        reason: String,
    },
    /// The named reagent cannot bring the bath to its pH.
    #[error("{place}: operation.ph: the bath cannot reach pH {target:.2} with {reagent}: {reason}")]
    PhNotReachable {
        /// Where the pH was asked for.
        place: Place,
        /// The pH asked for.
        target: f64,
        /// The acid or base.
        reagent: String,
        /// What was found instead.
        reason: String,
    },
    /// A limit that ends the life is already exceeded by the fresh bath.
    #[error(
        "{place}: {key} is already exceeded at make-up: the fresh bath has {}, the limit is {}", short(*.value), short(*.bound)
    )]
    LimitAtMakeUp {
        /// File and line of the limit.
        place: Place,
        /// Path of the limit.
        key: String,
        /// Value of the fresh bath.
        value: f64,
        /// The limit.
        bound: f64,
    },
    /// A computation did not converge.
    #[error(
        "{what} did not converge{}: residual {residual:.3e}, worst in {worst}{}", time_text(.time_h),
        amounts_text(*.total_mol_l, *.free_mol_l)
    )]
    Convergence {
        /// Which computation.
        what: String,
        /// Clock time of the bath, h, when in a simulation.
        time_h: Option<f64>,
        /// Largest scaled residual of an equilibrium; error over tolerance of the last step of an integration.
        residual: f64,
        /// The component or state with the largest residual.
        worst: String,
        /// Its total there, mol/L; `None` of what is no component.
        total_mol_l: Option<f64>,
        /// What of it is free where the search stopped, mol/L; `None` where no equilibrium was sought.
        free_mol_l: Option<f64>,
    },
    /// A balance did not close during a run.
    #[error(
        "the balance of {worst} is off by {residual:.3e} relative after {time_h:.2} h (allowed {allowed:.0e})"
    )]
    Balance {
        /// Element, or charge.
        worst: String,
        /// Relative residual.
        residual: f64,
        /// Largest residual allowed.
        allowed: f64,
        /// Clock time, h.
        time_h: f64,
    },
    /// The ledger is not the list of what was fed.
    #[error("the ledger has {ledger_l:.6} L of {solution}, and {fed_l:.6} L were fed")]
    Ledger {
        /// The solution.
        solution: String,
        /// Sum of its lines, L.
        ledger_l: f64,
        /// What went into the tank, L.
        fed_l: f64,
    },
    /// It was asked to stop: see [`Stop`](crate::Stop).
    #[error("stopped before it ended")]
    Stopped,
    /// A simulation stopped before its end.
    #[error("the simulation stopped at {time_h:.3} h: {reason}")]
    Simulation {
        /// Clock time, h.
        time_h: f64,
        /// Why.
        reason: String,
    },
}

/// Result of the core.
pub type Result<T> = std::result::Result<T, Error>;

impl Error {
    /// The same of a bath at a clock time, h, where it says none of its own.
    pub(crate) fn at_time(mut self, clock_h: f64) -> Self {
        if let Error::Convergence { time_h, .. } = &mut self {
            time_h.get_or_insert(clock_h);
        }
        self
    }

    /// By cause, with its values and its sentence: what results keep of it.
    ///
    /// ```
    /// let error = bathkin::Recipe::built_in("nickel-acit").expect_err("no recipe");
    /// assert_eq!(error.remark().code, "unknown-name");
    /// assert_eq!(error.remark().text, error.to_string());
    /// ```
    pub fn remark(&self) -> Remark {
        macro_rules! named {
            ($($name:ident),*) => { vec![$((stringify!($name).to_owned(), RemarkValue::from($name))),*] };
        }
        let (code, values) = match self.clone() {
            Error::Recipe { place, key, value, expected, hint } => {
                ("recipe-value", named![place, key, value, expected, hint])
            }
            Error::UnknownName { place, what, name, nearest, valid } => {
                ("unknown-name", named![place, what, name, nearest, valid])
            }
            Error::Document { place, reason } => ("document", named![place, reason]),
            Error::PhNotReachable { place, target, reagent, reason } => {
                ("ph-not-reachable", named![place, target, reagent, reason])
            }
            Error::LimitAtMakeUp { place, key, value, bound } => {
                ("limit-at-make-up", named![place, key, value, bound])
            }
            Error::Convergence { what, time_h, residual, worst, total_mol_l, free_mol_l } => {
                ("no-convergence", named![what, time_h, residual, worst, total_mol_l, free_mol_l])
            }
            Error::Balance { worst, residual, allowed, time_h } => {
                ("balance", named![worst, residual, allowed, time_h])
            }
            Error::Ledger { solution, ledger_l, fed_l } => ("ledger", named![solution, ledger_l, fed_l]),
            Error::Stopped => ("stopped", named![]),
            Error::Simulation { time_h, reason } => ("simulation", named![time_h, reason]),
        };
        Remark { code, text: self.to_string(), values }
    }

    /// True when the input has to change; false when a computation failed.
    pub fn is_input(&self) -> bool {
        !matches!(
            self,
            Error::Convergence { .. }
                | Error::Balance { .. }
                | Error::Ledger { .. }
                | Error::Stopped
                | Error::Simulation { .. }
        )
    }

    /// An unknown-name error with the nearest valid names found by spelling.
    pub fn unknown_name<'a>(
        place: Place,
        what: &str,
        name: &str,
        valid: impl IntoIterator<Item = &'a str>,
    ) -> Self {
        let valid: Vec<String> = valid.into_iter().map(str::to_owned).collect();
        Error::UnknownName {
            place,
            what: what.to_owned(),
            name: name.to_owned(),
            nearest: nearest(name, &valid),
            valid,
        }
    }
}

impl From<Place> for RemarkValue {
    fn from(place: Place) -> Self {
        RemarkValue::Text(place.to_string())
    }
}

/// As its remark.
impl Serialize for Error {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        self.remark().serialize(serializer)
    }
}

/// The three valid names most alike `name`, best first, leaving out the hopeless ones. A path that only lacks
/// its table is meant, and a name that is cut short or whose first word is; one that shares few letters with it is not.
fn nearest(name: &str, valid: &[String]) -> Vec<String> {
    const SHORTEST: usize = 3;
    let first = |text: &str| text.split(['_', '.']).next().unwrap_or_default().to_owned();
    let score = |candidate: &str| {
        let close = strsim::jaro_winkler(name, candidate);
        let cut = first(name).len() >= SHORTEST
            && first(candidate) != first(name)
            && first(candidate).starts_with(&first(name));
        let apart = strsim::damerau_levenshtein(name, candidate);
        match candidate.rsplit_once('.') {
            Some((_, last)) if last == name => 1.0,
            _ if cut || candidate.starts_with(name) => close.max(0.9),
            _ if 2 * apart > name.len().min(candidate.len()) + 1 => 0.0,
            _ => close,
        }
    };
    let mut scored: Vec<(f64, &String)> = valid
        .iter()
        .map(|candidate| (score(candidate), candidate))
        .filter(|(score, _)| *score > 0.7)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    scored.into_iter().take(3).map(|(_, name)| name.clone()).collect()
}

fn nearest_text(nearest: &[String], valid: &[String]) -> String {
    match (nearest.is_empty(), valid.is_empty()) {
        (false, _) => format!("; did you mean {}?", nearest.join(", ")),
        (true, false) => {
            format!("; valid names: {}{}", valid[..valid.len().min(MOST_NAMES)].join(", "), more(valid))
        }
        (true, true) => String::new(),
    }
}

/// Names printed before the list is cut short; the error itself carries them all.
const MOST_NAMES: usize = 12;

fn more(valid: &[String]) -> String {
    valid
        .len()
        .checked_sub(MOST_NAMES)
        .filter(|rest| *rest > 0)
        .map(|rest| format!(" and {rest} more"))
        .unwrap_or_default()
}

fn hint_text(hint: &Option<String>) -> String {
    hint.as_ref().map(|hint| format!("; {hint}")).unwrap_or_default()
}

fn time_text(time_h: &Option<f64>) -> String {
    time_h.map(|time| format!(" at {time:.3} h")).unwrap_or_default()
}

fn amounts_text(total_mol_l: Option<f64>, free_mol_l: Option<f64>) -> String {
    let amount = |mol_l: Option<f64>, which: &str| mol_l.map(|mol_l| format!("{mol_l:.3e} mol/L {which}"));
    let known: Vec<String> =
        [amount(total_mol_l, "in all"), amount(free_mol_l, "free")].into_iter().flatten().collect();
    if known.is_empty() { String::new() } else { format!(" ({})", known.join(", ")) }
}
