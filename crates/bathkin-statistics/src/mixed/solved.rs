//! Generalised least squares at given ratios of variances, in closed form.
//!
//! With z of a group and θ its ratio, d = 1/(1 + θ zᵀz):
//!
//! (I + θ z zᵀ)⁻¹ = I - θ d z zᵀ,  |I + θ z zᵀ| = 1/d,
//!
//! group by group; a coarser level meets z and M of its rows as the finer one has left them (the formula of Sherman and
//! Morrison twice). All here in units of s².

use nalgebra::{Cholesky, DVector, Dyn};

use crate::mixed::linear::Linear;

/// What a level meets in its groups, and leaves.
#[derive(Debug, Clone)]
pub(crate) struct Sums {
    /// Mᵀz, one group behind the other.
    pub moments: Vec<f64>,
    /// zᵀz.
    pub sizes: Vec<f64>,
    /// d.
    pub shares: Vec<f64>,
}

/// Estimates and likelihood at given ratios.
#[derive(Debug, Clone)]
pub(crate) struct Solved {
    pub ratios: Vec<f64>,
    /// By level, the coarser first.
    pub levels: Vec<Sums>,
    /// Of QᵀV⁻¹Q.
    pub information: Cholesky<f64, Dyn>,
    /// Coordinates along Q with 1 behind them: M times this is what the estimates leave of the residuals.
    pub left: DVector<f64>,
    /// rᵀV⁻¹r at the estimates.
    pub sum_of_squares: f64,
    /// ln|V|.
    pub ln_variance: f64,
    /// ln|QᵀV⁻¹Q|.
    pub ln_information: f64,
}

impl Linear {
    /// At ratios, one for each level; `None` where rounding leaves no estimates.
    pub fn solve(&self, ratios: &[f64]) -> Option<Solved> {
        let width = self.rank() + 1;
        let mut square = self.square.clone();
        let (mut moments, mut sizes) = (self.moments.clone(), self.sizes.clone());
        let mut ln_variance = 0.0;
        let mut levels = Vec::with_capacity(ratios.len());
        for (level, ratio) in ratios.iter().enumerate().rev() {
            let shares: Vec<f64> = sizes.iter().map(|size| 1.0 / (1.0 + ratio * size)).collect();
            ln_variance -= shares.iter().map(|share| share.ln()).sum::<f64>();
            for (moment, share) in moments.chunks_exact(width).zip(&shares) {
                for a in 0..width {
                    for b in 0..=a {
                        square[(a, b)] -= ratio * share * moment[a] * moment[b];
                    }
                }
            }
            let mut next = (Vec::new(), Vec::new());
            if level > 0 {
                let count = self.grouping.levels()[level - 1].groups.len();
                next = (vec![0.0; count * width], vec![0.0; count]);
                for (group, parent) in self.parents.iter().enumerate() {
                    next.1[*parent] += shares[group] * sizes[group];
                    for place in 0..width {
                        next.0[parent * width + place] += shares[group] * moments[group * width + place];
                    }
                }
            }
            levels.push(Sums { moments, sizes, shares });
            (moments, sizes) = next;
        }
        levels.reverse();
        let rank = self.rank();
        let information = Cholesky::new(square.view((0, 0), (rank, rank)).into_owned())?;
        let along = DVector::from_fn(rank, |place, _| square[(rank, place)]);
        let step = -information.solve(&along);
        let ln_information =
            2.0 * (0..rank).map(|place| information.l_dirty()[(place, place)].ln()).sum::<f64>();
        Some(Solved {
            ratios: ratios.to_vec(),
            levels,
            sum_of_squares: (square[(rank, rank)] + along.dot(&step)).max(0.0),
            information,
            left: step.push(1.0),
            ln_variance,
            ln_information,
        })
    }

    /// zᵀV⁻¹M of a group.
    pub fn of_group(&self, at: &Solved, level: usize, group: usize) -> Vec<f64> {
        let width = self.rank() + 1;
        let (sums, share) = (&at.levels[level], at.levels[level].shares[group]);
        let own = &sums.moments[group * width..][..width];
        if level == 0 {
            return own.iter().map(|moment| share * moment).collect();
        }
        let (parent, coarse) = (self.parents[group], &at.levels[0]);
        let whole = &coarse.moments[parent * width..][..width];
        let by = at.ratios[0] * coarse.shares[parent] * sums.sizes[group];
        own.iter().zip(whole).map(|(own, whole)| share * (own - by * whole)).collect()
    }

    /// zᵀV⁻¹z of two groups.
    pub fn of_groups(&self, at: &Solved, (k, a): (usize, usize), (l, b): (usize, usize)) -> f64 {
        let weight =
            |level: usize, group: usize| at.levels[level].shares[group] * at.levels[level].sizes[group];
        match (k, l) {
            (0, 0) => {
                if a == b {
                    weight(0, a)
                } else {
                    0.0
                }
            }
            (0, _) => {
                if self.parents[b] == a {
                    weight(l, b) * at.levels[0].shares[a]
                } else {
                    0.0
                }
            }
            (_, 0) => self.of_groups(at, (l, b), (k, a)),
            _ if self.parents[a] != self.parents[b] => 0.0,
            _ => {
                let parent = self.parents[a];
                let own = if a == b { weight(k, a) } else { 0.0 };
                own - at.ratios[0] * at.levels[0].shares[parent] * weight(k, a) * weight(l, b)
            }
        }
    }

    /// Row of V⁻¹M, and the diagonal of V⁻¹ there.
    pub fn of_row(&self, at: &Solved, row: usize) -> (Vec<f64>, f64) {
        let width = self.rank() + 1;
        let z = self.weights[row];
        let mut left: Vec<f64> = self.columns.row(row).iter().copied().collect();
        let (mut diagonal, mut passed) = (1.0, 1.0);
        for (level, of) in self.grouping.levels().iter().enumerate().rev() {
            let (group, sums) = (of.of_row[row], &at.levels[level]);
            let by = at.ratios[level] * sums.shares[group] * passed;
            for (place, left) in left.iter_mut().enumerate() {
                *left -= z * by * sums.moments[group * width + place];
            }
            diagonal -= z * z * by * passed;
            passed *= sums.shares[group];
        }
        (left, diagonal)
    }
}
