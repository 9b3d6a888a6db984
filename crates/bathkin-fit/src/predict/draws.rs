//! Samples from the estimates' joint distribution.
//!
//! With the estimates m, on the scales they are fitted on, and their covariance C a draw is
//!
//! x = m + C^½ z √(ν/χ²), z standard normal, χ² of ν degrees of freedom,
//!
//! Student's t of the degrees of freedom ν of the fit where the size of the errors was estimated, and normal,
//! without the last factor, where the sigmas were absolute. C^½ comes from the eigenvalues of the
//! correlations. Numbers fitted on a log scale come out lognormal. What the data do not determine stays where it
//! is, and so does what lies on a bound: draws are as narrow there as nothing in the data says.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::model::FitRecord;
use nalgebra::{DMatrix, DVector};
use serde::Serialize;

use crate::error::{DataError, RequestProblem};
use crate::objective::free::ParameterScale;
use bathkin_statistics::random::Stream;

/// Samples from the joint distribution of the fitted parameters.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ParameterDraws {
    /// The numbers, as in the record.
    pub paths: Vec<String>,
    /// Draws, each with a value for every path, in the recipe's units.
    pub values: Vec<Vec<f64>>,
    /// Paths without an uncertainty, the same in every draw.
    pub held: Vec<String>,
}

/// `count` draws from a seed; each has a stream of its own, so that the first ones stay when more are asked
/// for.
///
/// # Errors
/// [`DataError`] for a covariance that no numbers can have.
///
/// ```
/// use bathkin::model::FitRecord;
/// use bathkin_fit::predict::draws;
///
/// let record = FitRecord {
///     data: vec!["runs.csv".to_owned()],
///     digest: String::new(),
///     values: 12,
///     error_model: Vec::new(),
///     degrees_of_freedom: None,
///     paths: vec!["deposition.activation_energy_kj_mol".to_owned()],
///     by_logarithm: vec![false],
///     estimates: vec![62.0],
///     ties: Vec::new(),
///     covariance: vec![vec![4.0]],
/// };
/// let drawn = draws(&record, 1000, 1)?;
/// let mean = drawn.values.iter().map(|draw| draw[0]).sum::<f64>() / 1000.0;
/// assert!((mean - 62.0).abs() < 4.0 * 2.0 / 1000_f64.sqrt());
/// # Ok::<(), bathkin_fit::DataError>(())
/// ```
pub fn draws(record: &FitRecord, count: usize, seed: u64) -> Result<ParameterDraws, DataError> {
    let source = Source::of(record)?;
    let one = |draw: usize| source.outside(&source.draw(&mut Stream::new(seed, draw as u64)));
    Ok(ParameterDraws {
        paths: record.paths.clone(),
        values: (0..count).map(one).collect(),
        held: (0..record.paths.len())
            .filter(|place| record.covariance[*place][*place] == 0.0)
            .map(|place| record.paths[place].clone())
            .collect(),
    })
}

/// What draws come from.
pub(crate) struct Source {
    middle: Vec<f64>,
    root: DMatrix<f64>,
    freedom: Option<usize>,
    scales: Vec<ParameterScale>,
}

impl Source {
    pub fn of(record: &FitRecord) -> Result<Source, DataError> {
        // Eigenvalues of correlations add up to their number; below this they are rounding.
        const ROUNDING: f64 = -1e-6;
        let count = record.paths.len();
        let rows = &record.covariance;
        let errors: Vec<f64> = (0..count).map(|place| rows[place][place].sqrt()).collect();
        let correlations = DMatrix::from_fn(count, count, |a, b| {
            let product = errors[a] * errors[b];
            if product > 0.0 { rows[a][b] / product } else { 0.0 }
        });
        let found = correlations.symmetric_eigen();
        let eigenvalue = found.eigenvalues.min();
        if count > 0 && eigenvalue < ROUNDING {
            return Err(RequestProblem::Covariance { eigenvalue }.into());
        }
        let roots = found.eigenvalues.map(|value| value.max(0.0).sqrt());
        let root = DMatrix::from_fn(count, count, |a, b| errors[a] * found.eigenvectors[(a, b)] * roots[b]);
        let scale = |log: &bool| if *log { ParameterScale::Log } else { ParameterScale::Linear };
        let scales: Vec<ParameterScale> = record.by_logarithm.iter().map(scale).collect();
        let middle =
            record.estimates.iter().zip(&scales).map(|(value, scale)| scale.inside(*value)).collect();
        Ok(Source { middle, root, freedom: record.degrees_of_freedom, scales })
    }

    /// A draw on the scales they are fitted on.
    pub fn draw(&self, random: &mut Stream) -> Vec<f64> {
        let z = DVector::from_fn(self.middle.len(), |_, _| random.normal());
        let widen = match self.freedom {
            Some(freedom) if freedom > 0 => random.student_widening(freedom),
            _ => 1.0,
        };
        let moved = &self.root * z * widen;
        self.middle.iter().zip(moved.iter()).map(|(middle, by)| middle + by).collect()
    }

    /// In the recipe's units.
    pub fn outside(&self, inside: &[f64]) -> Vec<f64> {
        inside.iter().zip(&self.scales).map(|(value, scale)| scale.outside(*value)).collect()
    }
}

/// A recipe with numbers of a draw, and what is tied to them; what baths of logs held at their start is left
/// out.
///
/// # Errors
/// [`DataError`] for a number that labels group into several: a recipe has one.
pub(crate) fn with_draw(recipe: &Recipe, record: &FitRecord, draw: &[f64]) -> Result<Recipe, DataError> {
    recipe.model()?;
    let mut drawn = recipe.clone();
    let mut set = |path: &str, value: f64| drawn = drawn.with(path, Value::Number(value), "a draw");
    for (path, value) in record.paths.iter().zip(draw) {
        if path.starts_with("start.") {
            continue;
        }
        if path.contains('@') {
            return Err(RequestProblem::OneOfSeveral { path: path.clone() }.into());
        }
        set(path, *value);
        for tie in record.ties.iter().filter(|tie| tie.to == *path) {
            set(&tie.path, tie.factor * value);
        }
    }
    Ok(drawn)
}
