//! The score of a jump of the state between two rows: an addition nobody wrote down.
//!
//! Had the state jumped by e after row k, the innovations of the rows after it would be off by s = H e, where each
//! update takes K s of it away and each row moves it on: e <- F (e - K s). Over a window, with S of each row,
//!
//! t = Σ sᵀ S⁻¹ ν / √(Σ sᵀ S⁻¹ s), size = Σ sᵀ S⁻¹ ν / Σ sᵀ S⁻¹ s, standard deviation of the size = 1/√(Σ sᵀ S⁻¹ s),
//!
//! the generalised likelihood ratio of A. S. Willsky and H. L. Jones, *IEEE Trans. Autom. Control* 21 (1976) 108, by
//! recursion. t is standard normal where nothing jumped.

use nalgebra::DVector;

use super::filter::{FilteredRow, Taken};

/// A jump after a row, as the rows after it tell of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JumpScore {
    /// Row after which it would have been.
    pub after: usize,
    /// t, in standard deviations.
    pub score: f64,
    /// Size, in units of the direction.
    pub size: f64,
    /// Standard deviation of the size.
    pub standard_deviation: f64,
    /// How many rows tell of it.
    pub rows: usize,
}

impl JumpScore {
    /// Size that would have been seen with a probability of 0.8 at a threshold of the score.
    pub fn smallest_seen(&self, threshold: f64) -> f64 {
        // Φ⁻¹(0.8).
        const OF_POWER: f64 = 0.841_621_233_572_914;
        (threshold + OF_POWER) * self.standard_deviation
    }
}

/// Scores of a jump by `direction(row)`, the effect of one unit on the state after that row, for each row that has one
/// after it with a reading; seen over a window of rows.
pub fn jump_scores(
    rows: &[FilteredRow],
    window: usize,
    mut direction: impl FnMut(usize) -> DVector<f64>,
) -> Vec<JumpScore> {
    let scored = (0..rows.len().saturating_sub(1)).filter_map(|after| {
        let mut moved = direction(after);
        if let Some(onward) = &rows[after].onward {
            moved = onward * moved;
        }
        let (mut along, mut square, mut told) = (0.0, 0.0, 0);
        for row in rows.iter().skip(after + 1).take(window) {
            if let Some(Taken { slopes, precision, gain, innovation, .. }) = &row.taken {
                let seen = slopes * &moved;
                let weighed = precision * &seen;
                along += weighed.dot(innovation);
                square += weighed.dot(&seen);
                moved -= gain * seen;
                told += 1;
            }
            if let Some(onward) = &row.onward {
                moved = onward * moved;
            }
        }
        (square > 0.0).then(|| JumpScore {
            after,
            score: along / square.sqrt(),
            size: along / square,
            standard_deviation: 1.0 / square.sqrt(),
            rows: told,
        })
    });
    scored.collect()
}
