//! The record of a fit in a recipe: which numbers came out of which data, and how sure they are together.
//!
//! | key of `[fit]` | what it is |
//! | --- | --- |
//! | `data` | files the numbers were fitted to |
//! | `digest` | what the files held, as a digest |
//! | `values` | measured values |
//! | `error_model` | errors of each column of measured values, in words |
//! | `degrees_of_freedom` | of the size of the errors; missing where the sigmas were believed |
//! | `paths` | fitted numbers; `start.<column>@<file>` is what a bath held when its log began |
//! | `scales` | how each was moved: `log`, by its natural logarithm, or `linear` |
//! | `estimates` | their values, in the recipe's units |
//! | `ties` | `path other factor`: a number that follows another one |
//! | `covariance` | covariance of the numbers as they were moved, row by row; zeros for what the data left open |
//!
//! Numbers of lists are texts, written so that they read back to the last bit.

use serde::Serialize;

use crate::document::Value;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;

/// The table of the record.
const TABLE: &str = "fit";

/// A number that follows a fitted one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FittedTie {
    /// Its path.
    pub path: String,
    /// The fitted path it follows.
    pub to: String,
    /// Times that one.
    pub factor: f64,
}

/// Numbers of a recipe that were fitted together, with their covariance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FitRecord {
    /// Files they were fitted to.
    pub data: Vec<String>,
    /// Digest of what the files held.
    pub digest: String,
    /// Measured values.
    pub values: usize,
    /// Errors of each column of measured values, in words.
    pub error_model: Vec<String>,
    /// Degrees of freedom of the size of the errors; `None` where the sigmas were believed.
    pub degrees_of_freedom: Option<usize>,
    /// Fitted numbers.
    pub paths: Vec<String>,
    /// Whether each was moved by its natural logarithm.
    pub by_logarithm: Vec<bool>,
    /// Their values, in the recipe's units.
    pub estimates: Vec<f64>,
    /// What follows them.
    pub ties: Vec<FittedTie>,
    /// Covariance of the numbers as they were moved.
    pub covariance: Vec<Vec<f64>>,
}

impl FitRecord {
    /// (value, standard error) of a fitted path, to first order in the recipe's unit; `None` for a path that
    /// was not fitted, or that the data left open.
    pub fn standard_error(&self, path: &str) -> Option<(f64, f64)> {
        let place = self.paths.iter().position(|known| known == path)?;
        let error = self.covariance[place][place].sqrt();
        let value = self.estimates[place];
        let slope = if self.by_logarithm[place] { value } else { 1.0 };
        (error > 0.0).then_some((value, slope * error))
    }
}

/// Reads the record, if there is one; flags numbers that are not the fitted ones any more.
pub(crate) fn read_fit_record(reader: &Reader) -> Result<Option<FitRecord>> {
    if !reader.document().has_any(&[TABLE]) {
        return Ok(None);
    }
    let key = |name: &str| format!("{TABLE}.{name}");
    let whole = |name: &str, number: f64| {
        let fits = number.fract() == 0.0 && number < 1e15;
        let refused = || reader.refuse(&key(name), "a whole number", None);
        fits.then_some(number as usize).ok_or_else(refused)
    };
    let freedom = reader.optional(&key("degrees_of_freedom"), Bounds::NOT_NEGATIVE)?;
    let record = FitRecord {
        data: reader.list(&key("data"))?,
        digest: reader.text(&key("digest"))?.to_owned(),
        values: whole("values", reader.number(&key("values"), Bounds::POSITIVE)?)?,
        error_model: reader.list(&key("error_model"))?,
        degrees_of_freedom: freedom.map(|freedom| whole("degrees_of_freedom", freedom)).transpose()?,
        paths: reader.list(&key("paths"))?,
        by_logarithm: scales(reader, &key("scales"))?,
        estimates: numbers(reader, &key("estimates"))?,
        ties: ties(reader, &key("ties"))?,
        covariance: covariance(reader, &key("covariance"))?,
    };
    let count = record.paths.len();
    for (name, found) in [
        ("scales", record.by_logarithm.len()),
        ("estimates", record.estimates.len()),
        ("covariance", record.covariance.len()),
    ] {
        if found != count {
            return Err(reader.refuse(&key(name), &format!("{count} of them, one for each path"), None));
        }
    }
    check_covariance(reader, &key("covariance"), &record)?;
    check_paths(reader, &key("paths"), &record)?;
    Ok(Some(record))
}

fn scales(reader: &Reader, key: &str) -> Result<Vec<bool>> {
    let of = |word: String| match word.as_str() {
        "log" => Ok(true),
        "linear" => Ok(false),
        _ => Err(reader.refuse(key, "log or linear for each path", None)),
    };
    reader.list(key)?.into_iter().map(of).collect()
}

fn numbers(reader: &Reader, key: &str) -> Result<Vec<f64>> {
    let of = |text: String| number(&text).ok_or_else(|| reader.refuse(key, "finite numbers as texts", None));
    reader.list(key)?.into_iter().map(of).collect()
}

fn number(text: &str) -> Option<f64> {
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

fn covariance(reader: &Reader, key: &str) -> Result<Vec<Vec<f64>>> {
    let row = |text: String| -> Result<Vec<f64>> {
        let cells: Option<Vec<f64>> = text.split_whitespace().map(number).collect();
        cells.ok_or_else(|| reader.refuse(key, "rows of finite numbers, with spaces between", None))
    };
    reader.list(key)?.into_iter().map(row).collect()
}

fn ties(reader: &Reader, key: &str) -> Result<Vec<FittedTie>> {
    let tie = |text: String| match text.split_whitespace().collect::<Vec<_>>().as_slice() {
        [path, to, factor] => {
            number(factor).map(|factor| FittedTie { path: (*path).to_owned(), to: (*to).to_owned(), factor })
        }
        _ => None,
    };
    let read = |text| tie(text).ok_or_else(|| reader.refuse(key, "'path other factor' for each tie", None));
    reader.list(key)?.into_iter().map(read).collect()
}

/// Square, symmetric, and no correlation beyond one.
fn check_covariance(reader: &Reader, key: &str, record: &FitRecord) -> Result<()> {
    // Well above the rounding of a decomposition.
    const ROUNDING: f64 = 1e-6;
    let rows = &record.covariance;
    let refuse = |expected: &str| Err(reader.refuse(key, expected, None));
    if rows.iter().any(|row| row.len() != rows.len()) {
        return refuse(&format!("{} numbers in every row", rows.len()));
    }
    for a in 0..rows.len() {
        if rows[a][a] < 0.0 {
            return refuse("variances of zero or more");
        }
        for b in 0..a {
            let most = (rows[a][a] * rows[b][b]).sqrt();
            if (rows[a][b] - rows[b][a]).abs() > ROUNDING * most {
                return refuse("a symmetric matrix");
            }
            if rows[a][b].abs() > (1.0 + ROUNDING) * most {
                return refuse("no covariance above the root of the product of its variances");
            }
        }
    }
    Ok(())
}

/// Fitted paths are numbers of the recipe, and say what was fitted unless somebody has set them since.
fn check_paths(reader: &Reader, key: &str, record: &FitRecord) -> Result<()> {
    const SAME: f64 = 1e-9;
    for tie in &record.ties {
        if !record.paths.contains(&tie.to) {
            let expected = format!("ties to fitted paths, and {} is none", tie.to);
            return Err(reader.refuse(&format!("{TABLE}.ties"), &expected, None));
        }
    }
    for ((path, estimate), by_logarithm) in
        record.paths.iter().zip(&record.estimates).zip(&record.by_logarithm)
    {
        if *by_logarithm && *estimate <= 0.0 {
            let expected = format!("above zero for {path}, which was moved by its logarithm");
            return Err(reader.refuse(&format!("{TABLE}.estimates"), &expected, None));
        }
        // A start of a log, or a number with several values: it stands nowhere in the recipe.
        if path.contains('@') {
            continue;
        }
        let Some(Value::Number(number)) = reader.document().get(path).map(|entry| &entry.value) else {
            return Err(reader.refuse(key, &format!("numbers of this recipe, and {path} is none"), None));
        };
        if (number - estimate).abs() > SAME * estimate.abs() {
            let text = format!("{number} is not the fitted {estimate}: it was changed since");
            reader.flag(path, text);
        }
    }
    Ok(())
}
