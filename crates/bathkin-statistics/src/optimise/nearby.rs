//! How far answers scatter for changes that are tiny.

use bathkin_numerics::least_squares::linear_fit;

use crate::optimise::rounds::about;
use crate::optimise::sample::{Optimiser, Response, Tried};

/// Width of the window, of the range of each number.
const WIDTH: f64 = 2e-3;

/// An output about a point, beside the plane through its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearby {
    /// Standard deviation about the plane, in the unit of the output.
    pub scatter: f64,
    /// The plane at the point.
    pub smooth: f64,
}

impl<R: Response> Optimiser<'_, R> {
    /// Each output about a point, and the neighbours that were tried; none with fewer of them than a plane takes.
    ///
    /// Neighbours lie within a thousandth of the range of each number. About y = a + Σ bᵢ (xᵢ - x₀ᵢ), fitted to n of them in d
    /// dimensions, the scatter is √(Σ r² / (n - d - 1)): what is left when the smooth course is taken out.
    pub fn nearby(&mut self, point: &[f64]) -> (Vec<Option<Nearby>>, Vec<Tried<R::Failure>>) {
        let window: Vec<(f64, f64)> = point.iter().map(|at| about(*at, WIDTH)).collect();
        let points = self.next_points(8 * (self.dimensions as u32 + 1), &window);
        let tried = self.answers(points);
        let with_answer: Vec<(&[f64], &[f64])> = tried
            .iter()
            .filter_map(|one| Some((one.point.as_slice(), one.found.as_ref().ok()?.as_slice())))
            .collect();
        let mut columns = vec![vec![1.0; with_answer.len()]];
        columns.extend(point.iter().enumerate().map(|(place, at)| {
            with_answer.iter().map(|(neighbour, _)| (neighbour[place] - at) / WIDTH).collect()
        }));
        let outputs = with_answer.first().map_or(0, |(_, found)| found.len());
        let freedom = with_answer.len().checked_sub(columns.len()).filter(|freedom| *freedom > 0);
        let of_output = |place: usize| {
            let y: Vec<f64> = with_answer.iter().map(|(_, found)| found[place]).collect();
            let plane = linear_fit(&columns, &y)?;
            let scatter = (plane.sum_of_squares / freedom? as f64).sqrt();
            Some(Nearby { scatter, smooth: plane.values[0] })
        };
        let found = (0..outputs).map(of_output).collect();
        (found, tried)
    }
}
