//! The least value of a function of one or two variables that are zero or above, from a grid.

use bathkin_numerics::minimum_within;

/// The variables, and the value there.
pub(crate) type Least = (Vec<f64>, f64);

/// How finely to look.
#[derive(Debug, Clone)]
pub(crate) struct Search {
    /// Grid of every variable, rising.
    pub grids: Vec<Vec<f64>>,
    /// Of a variable.
    pub tolerance: f64,
}

impl Search {
    /// The least value: each variable between the neighbours of the best point of its grid, the others at their best.
    pub fn least(&self, f: &dyn Fn(&[f64]) -> f64) -> Least {
        self.behind(&mut Vec::new(), f)
    }

    fn behind(&self, chosen: &mut Vec<f64>, f: &dyn Fn(&[f64]) -> f64) -> Least {
        let Some(grid) = self.grids.get(chosen.len()) else { return (chosen.clone(), f(chosen)) };
        let mut best: Least = (Vec::new(), f64::INFINITY);
        let mut at = |x: f64| {
            chosen.push(x);
            let found = self.behind(chosen, f);
            chosen.pop();
            let value = found.1;
            if value < best.1 {
                best = found;
            }
            value
        };
        let values: Vec<f64> = grid.iter().map(|x| at(*x)).collect();
        let place = (0..values.len()).min_by(|a, b| values[*a].total_cmp(&values[*b])).unwrap_or(0);
        let (low, high) = (grid[place.saturating_sub(1)], grid[(place + 1).min(grid.len() - 1)]);
        minimum_within(at, low, high, self.tolerance);
        best
    }
}

/// `count` values from `low` to `high`, each the same factor above the one before.
pub(crate) fn geometric(low: f64, high: f64, count: usize) -> Vec<f64> {
    let step = (high / low).ln() / (count.max(2) - 1) as f64;
    (0..count).map(|place| low * (step * place as f64).exp()).collect()
}
