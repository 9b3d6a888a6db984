//! How far answers scatter for changes that are tiny.

use bathkin_numerics::least_squares::linear_fit;

use crate::optimise::rounds::about;
use crate::optimise::sample::{Optimiser, Response, Tried};

/// Width of the window, of the range of each number.
const WIDTH: f64 = 2e-2;

/// An output about a point, beside the smooth course through its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearby {
    /// Standard deviation about it, in the unit of the output.
    pub scatter: f64,
    /// The smooth course at the point.
    pub smooth: f64,
}

impl<R: Response> Optimiser<'_, R> {
    /// Each output about a point, and the neighbours that were tried; none with too few of them.
    ///
    /// Neighbours lie within a hundredth of the range of each number. About y = a + Σ bᵢ δᵢ + Σ cᵢ δᵢ², δ = x - x₀, fitted to n of
    /// them in d dimensions, the scatter is √(Σ r² / (n - 2 d - 1)): steps and jumps, and a kink where there is one.
    pub fn nearby(&mut self, point: &[f64]) -> (Vec<Option<Nearby>>, Vec<Tried<R::Failure>>) {
        let window: Vec<(f64, f64)> = point.iter().map(|at| about(*at, WIDTH)).collect();
        let points = self.next_points(8 * (self.dimensions as u32 + 1), &window);
        let tried = self.answers(points);
        let with_answer: Vec<(&[f64], &[f64])> = tried
            .iter()
            .filter_map(|one| Some((one.point.as_slice(), one.found.as_ref().ok()?.as_slice())))
            .collect();
        let mut columns = vec![vec![1.0; with_answer.len()]];
        for (place, at) in point.iter().enumerate() {
            let aside = with_answer.iter().map(|(neighbour, _)| (neighbour[place] - at) / WIDTH);
            let aside: Vec<f64> = aside.collect();
            columns.push(aside.iter().map(|aside| aside * aside).collect());
            columns.push(aside);
        }
        let outputs = with_answer.first().map_or(0, |(_, found)| found.len());
        let freedom = with_answer.len().checked_sub(columns.len()).filter(|freedom| *freedom > 0);
        let of_output = |place: usize| {
            let y: Vec<f64> = with_answer.iter().map(|(_, found)| found[place]).collect();
            let smooth = linear_fit(&columns, &y)?;
            let scatter = (smooth.sum_of_squares / freedom? as f64).sqrt();
            Some(Nearby { scatter, smooth: smooth.values[0] })
        };
        let found = (0..outputs).map(of_output).collect();
        (found, tried)
    }
}
