//! The filter over the rows of a log.

use nalgebra::{DMatrix, DVector, SVD};

use super::belief::Belief;
use super::followed::{Advanced, Followed, Reading};
use super::gate::{Gate, Rejected};

/// A row after its readings.
#[derive(Debug, Clone, PartialEq)]
pub struct FilteredRow {
    /// What is believed after the readings.
    pub belief: Belief,
    /// Every reading with its innovation and whether it was taken.
    pub readings: Vec<Innovation>,
    /// Logarithm of the likelihood of what was taken, without its constant: -(νᵀ S⁻¹ ν + ln|S|)/2.
    pub ln_likelihood: f64,
    /// H, S⁻¹ and K of what was taken, and y - h.
    pub(super) taken: Option<Taken>,
    /// F to the next row; none after the last.
    pub(super) onward: Option<DMatrix<f64>>,
}

/// What a reading tells beyond what was expected.
#[derive(Debug, Clone, PartialEq)]
pub struct Innovation {
    /// Kind of reading.
    pub channel: usize,
    /// y - h.
    pub difference: f64,
    /// In standard deviations of what is expected.
    pub standardised: f64,
    /// Share of its variance that is the state's: the rest is the reading's own.
    pub of_state: f64,
    /// Whether it was taken.
    pub taken: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Taken {
    pub(super) slopes: DMatrix<f64>,
    pub(super) precision: DMatrix<f64>,
    pub(super) gain: DMatrix<f64>,
    pub(super) innovation: DVector<f64>,
    /// ln|S|, of what of S is not negligible.
    ln_determinant: f64,
}

/// Follows a state through its rows, from what is believed before the readings of the first.
///
/// # Errors
/// As the model.
pub fn follow<M: Followed>(
    model: &M,
    rows: usize,
    start: Belief,
    gate: Gate,
) -> Result<Vec<FilteredRow>, M::Error> {
    let mut belief = start;
    let mut rejected = Rejected::default();
    let mut filtered = Vec::with_capacity(rows);
    for row in 0..rows {
        let readings = model.readings(row, &belief.mean)?;
        let innovations = judged(&readings, gate, &mut rejected, &mut belief);
        let taken: Vec<&Reading> = readings
            .iter()
            .zip(&innovations)
            .filter(|(_, one)| one.taken)
            .map(|(reading, _)| reading)
            .collect();
        let taken = (!taken.is_empty()).then(|| update(&mut belief, &taken));
        let after = belief.clone();
        let mut onward = None;
        if row + 1 < rows {
            let Advanced { state, slopes, noise } = model.advance(row, &belief.mean)?;
            belief.covariance = &slopes * belief.covariance * slopes.transpose() + noise;
            belief.mean = state;
            onward = Some(slopes);
        }
        let ln_likelihood = taken.as_ref().map_or(0.0, |taken| {
            let squares = taken.innovation.dot(&(&taken.precision * &taken.innovation));
            -0.5 * (squares + taken.ln_determinant)
        });
        filtered.push(FilteredRow { belief: after, readings: innovations, ln_likelihood, taken, onward });
    }
    Ok(filtered)
}

/// Each reading by itself against what is expected before any of its row.
fn judged(readings: &[Reading], gate: Gate, rejected: &mut Rejected, belief: &mut Belief) -> Vec<Innovation> {
    let of_state: Vec<f64> = readings
        .iter()
        .map(|reading| {
            let slopes = DVector::from_column_slice(&reading.slopes);
            slopes.dot(&(&belief.covariance * &slopes))
        })
        .collect();
    let judge = |(reading, of_state): (&Reading, f64)| {
        let variance = of_state + reading.variance;
        let difference = reading.measured - reading.expected;
        let standardised = difference / variance.sqrt();
        let taken = rejected.takes(gate, reading, standardised, belief);
        let of_state = of_state / variance;
        Innovation { channel: reading.channel, difference, standardised, of_state, taken }
    };
    readings.iter().zip(of_state).map(judge).collect()
}

/// Takes readings together.
fn update(belief: &mut Belief, readings: &[&Reading]) -> Taken {
    let size = belief.mean.len();
    let slopes = DMatrix::from_fn(readings.len(), size, |row, column| readings[row].slopes[column]);
    let errors = DMatrix::from_diagonal(&DVector::from_iterator(
        readings.len(),
        readings.iter().map(|reading| reading.variance),
    ));
    let innovation = DVector::from_iterator(
        readings.len(),
        readings.iter().map(|reading| reading.measured - reading.expected),
    );
    let across = &belief.covariance * slopes.transpose();
    let expected = &slopes * &across + &errors;
    // Singular where two readings without errors of their own say the same: what they say counts once.
    let negligible = f64::EPSILON * expected.amax();
    let SVD { u, v_t, singular_values } = expected.svd(true, true);
    let ln_determinant =
        singular_values.iter().filter(|value| **value > negligible).map(|value| value.ln()).sum();
    let inverse = singular_values.map(|value| if value > negligible { 1.0 / value } else { 0.0 });
    let precision = match (u, v_t) {
        (Some(u), Some(v_t)) => v_t.transpose() * DMatrix::from_diagonal(&inverse) * u.transpose(),
        _ => DMatrix::zeros(readings.len(), readings.len()),
    };
    let gain = across * &precision;
    belief.mean += &gain * &innovation;
    let left = DMatrix::identity(size, size) - &gain * &slopes;
    belief.covariance = &left * &belief.covariance * left.transpose() + &gain * errors * gain.transpose();
    Taken { slopes, precision, gain, innovation, ln_determinant }
}
