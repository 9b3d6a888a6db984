//! What Python asks of a fit: data as tuples, options as the attributes of `bathkin.fit.options.FitOptions`.

use std::collections::BTreeMap;

use bathkin::Recipe;
use bathkin_fit::data::{ErrorModel, Sheet};
use bathkin_fit::estimate::Prior;
use bathkin_fit::objective::{FitSpecification, Tie};
use bathkin_fit::{Data, RecipeFitOptions};
use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::Scale;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::errors::raise_data;

/// Losses by the words that ask for them.
const LOSSES: [(&str, Loss); 4] =
    [("linear", Loss::Linear), ("soft_l1", Loss::SoftL1), ("huber", Loss::Huber), ("cauchy", Loss::Cauchy)];
/// Whether baths of logs start exactly as made up.
const LOG_STARTS: [(&str, bool); 2] = [("measured", false), ("made-up", true)];
const SIGMAS: [Scale; 2] = [Scale::Estimated, Scale::Known];
/// Error models with what they say of runs.
const ERROR_MODELS: [(&str, &str); 3] = [
    ("absolute", "the same standard deviation in every run, in the unit of the data"),
    ("relative", "the same standard deviation of the logarithm in every run"),
    ("mixed", "a standard deviation in the unit of the data and a relative one"),
];

/// The words that options of a fit take, by option.
#[pyfunction]
pub fn fit_words() -> BTreeMap<&'static str, Vec<&'static str>> {
    BTreeMap::from([
        ("error_model", ERROR_MODELS.map(|(word, _)| word).to_vec()),
        ("sigma", SIGMAS.map(Scale::code).to_vec()),
        ("log_start", LOG_STARTS.map(|(word, _)| word).to_vec()),
        ("loss", LOSSES.map(|(word, _)| word).to_vec()),
    ])
}

/// What each error model says of runs.
#[pyfunction]
pub fn error_models() -> BTreeMap<&'static str, &'static str> {
    BTreeMap::from(ERROR_MODELS)
}

/// What a word stands for.
fn of_word<T: Copy>(option: &str, given: &str, words: &[(&str, T)]) -> PyResult<T> {
    let known = words.iter().find(|(word, _)| *word == given);
    let valid = || words.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
    known.map(|(_, value)| *value).ok_or_else(|| unknown(option, given, &valid()))
}

/// Columns of numbers; an empty cell is `None`.
type Numbers = Vec<(String, Vec<Option<f64>>)>;

/// A sheet: `runs` or `log`, file, numbers of the rows, columns, columns of words, when a log begins, what its reader
/// doubts.
pub type Given = (String, String, Vec<usize>, Numbers, Vec<(String, Vec<String>)>, Option<f64>, Vec<String>);

classes! {
    "bathkin.fit.options": FitOptions => "FitOptions";
}

/// The options of a fit; what each means stands at `bathkin.fit`.
#[derive(FromPyObject)]
pub struct FitOptions {
    free: Vec<String>,
    bounds: Vec<(String, Option<f64>, Option<f64>)>,
    error_model: String,
    absolute_sigma: Option<f64>,
    relative_sigma: Option<f64>,
    sigma: String,
    /// (path, the free path it follows, times that one).
    ties: Vec<(String, String, Option<f64>)>,
    per: Vec<(String, String)>,
    /// Columns whose labels tell which runs belong together.
    group: Vec<String>,
    /// (column, model, its standard deviations).
    errors: Vec<(String, String, Vec<f64>)>,
    /// (path, mean and standard deviation; none for those of the recipe).
    priors: Vec<(String, Option<(f64, f64)>)>,
    start: Vec<(String, f64)>,
    log_start: String,
    loss: String,
    loss_scale: f64,
    starts: usize,
    seed: u64,
}

/// Sheets of data.
pub fn sheets(given: Vec<Given>) -> PyResult<Vec<Data>> {
    let of = |(kind, file, rows, columns, labels, start_s, doubts): Given| {
        let sheet = Sheet { file, rows, columns, labels, start_s, doubts };
        match kind.as_str() {
            "runs" => Ok(Data::Runs(sheet)),
            "log" => Ok(Data::Log(sheet)),
            other => Err(unknown("data", other, "runs or log")),
        }
    };
    given.into_iter().map(of).collect()
}

impl FitOptions {
    /// As the core takes them.
    pub fn of(self, py: Python<'_>, recipe: &Recipe) -> PyResult<RecipeFitOptions> {
        let bound = |(path, low, high): (String, Option<f64>, Option<f64>)| {
            (path, low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY))
        };
        let prior = |(path, known): (String, Option<(f64, f64)>)| match known {
            Some((mean, standard_deviation)) => Ok(Prior { path, mean, standard_deviation }),
            None => Prior::from_recipe(recipe, &path).map_err(|error| raise_data(py, &error)),
        };
        let column =
            |(column, model, sizes): (String, String, Vec<f64>)| Ok((column, error_model(&model, &sizes)?));
        // Of a size that nobody states only the ratios count.
        let sizes: Vec<f64> = match self.error_model.as_str() {
            "absolute" => vec![self.absolute_sigma.unwrap_or(1.0)],
            "relative" => vec![self.relative_sigma.unwrap_or(1.0)],
            _ => self.absolute_sigma.into_iter().chain(self.relative_sigma).collect(),
        };
        let errors = error_model(&self.error_model, &sizes)?;
        Ok(RecipeFitOptions {
            specification: FitSpecification {
                free: self.free,
                ties: self.ties.into_iter().map(|(path, to, factor)| Tie { path, to, factor }).collect(),
                per: self.per,
                group: self.group,
                errors: Some(errors),
                column_errors: self.errors.into_iter().map(column).collect::<PyResult<_>>()?,
                starts_as_made_up: of_word("log_start", &self.log_start, &LOG_STARTS)?,
            },
            scale: of_word("sigma", &self.sigma, &SIGMAS.map(|of| (of.code(), of)))?,
            start: self.start,
            bounds: self.bounds.into_iter().map(bound).collect(),
            priors: self.priors.into_iter().map(prior).collect::<PyResult<_>>()?,
            loss: of_word("loss", &self.loss, &LOSSES)?,
            loss_scale: Some(self.loss_scale),
            starts: self.starts,
            seed: self.seed,
            ..RecipeFitOptions::default()
        })
    }
}

fn error_model(model: &str, sizes: &[f64]) -> PyResult<ErrorModel> {
    match (model, sizes) {
        ("absolute", &[sigma]) => Ok(ErrorModel::Absolute { sigma }),
        ("relative", &[sigma]) => Ok(ErrorModel::Relative { sigma }),
        ("mixed", &[absolute, relative]) => Ok(ErrorModel::Mixed { absolute, relative }),
        (other, _) => Err(unknown("errors", other, "absolute, relative or mixed, with their sizes")),
    }
}

fn unknown(name: &str, given: &str, expected: &str) -> PyErr {
    PyValueError::new_err(format!("{name} = {given}: expected {expected}"))
}
