//! Degrees of freedom of intervals.
//!
//! With φ = (s², τ_1, ...) (without s² where sigmas are absolute), C = (JᵀV⁻¹J)⁻¹ and v = gᵀCg the variance of a value with the
//! derivatives g,
//!
//! ν = 2 v²/(ġᵀ A ġ),  ġ_k = dv/dφ_k = gᵀC JᵀV⁻¹ Q_k V⁻¹J C g,  A⁻¹_kl = ½ tr(P Q_k P Q_l),
//!
//! Q_k = dV/dφ_k, P = V⁻¹ - V⁻¹J C JᵀV⁻¹: the expected information of the restricted likelihood. tr and squares that hold s² come
//! from PVP = P. At least 1: fewer are noise of A. Source: F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114; A. H.
//! Fai and P. L. Cornelius, J. Stat. Comput. Simul. 54 (1996) 363-378.

use nalgebra::{DMatrix, DVector};

use crate::mixed::linear::Linear;
use crate::mixed::solved::Solved;
use crate::options::Scale;

/// What degrees of freedom are computed from, at given variances.
#[derive(Debug, Clone)]
pub(crate) struct Information {
    /// ZᵀV⁻¹Q of each level, a row for each group.
    slopes: Vec<DMatrix<f64>>,
    /// A; the variance within first, where it is estimated.
    covariance: Option<DMatrix<f64>>,
    scale: Scale,
}

impl Information {
    pub fn new(linear: &Linear, at: &Solved, within: f64, scale: Scale) -> Self {
        let levels = linear.grouping.levels();
        let slopes: Vec<DMatrix<f64>> = levels
            .iter()
            .enumerate()
            .map(|(level, of)| {
                let rows: Vec<Vec<f64>> =
                    (0..of.groups.len()).map(|group| linear.of_group(at, level, group)).collect();
                DMatrix::from_fn(rows.len(), linear.rank(), |group, place| rows[group][place])
            })
            .collect();
        let turned: Vec<DMatrix<f64>> =
            slopes.iter().map(|slopes| at.information.solve(&slopes.transpose())).collect();
        // ZᵀPZ of two groups, times s².
        let projected = |(k, a): (usize, usize), (l, b): (usize, usize)| {
            let by = slopes[k].row(a).transpose().dot(&turned[l].column(b));
            linear.of_groups(at, (k, a), (l, b)) - by
        };
        let count = |level: usize| levels[level].groups.len();
        let squares = |k: usize, l: usize| {
            let of = |a: usize| (0..count(l)).map(|b| projected((k, a), (l, b)).powi(2)).sum::<f64>();
            (0..count(k)).map(of).sum::<f64>()
        };
        let between = DMatrix::from_fn(levels.len(), levels.len(), |k, l| squares(k, l) / (within * within));
        let traces: Vec<f64> = (0..levels.len())
            .map(|k| (0..count(k)).map(|a| projected((k, a), (k, a))).sum::<f64>() / within)
            .collect();
        let tau = |k: usize| at.ratios[k] * within;
        // tr(P Q_k P) s² = tr(P Q_k) - Σ τ_l tr(P Q_k P Q_l), and so on with Q_k = I.
        let with_rows: Vec<f64> = (0..levels.len())
            .map(|k| traces[k] - (0..levels.len()).map(|l| tau(l) * between[(k, l)]).sum::<f64>())
            .map(|value| value / within)
            .collect();
        let left = (linear.rows() - linear.rank()) as f64;
        let trace = (left - (0..levels.len()).map(|k| tau(k) * traces[k]).sum::<f64>()) / within;
        let of_rows = (trace - (0..levels.len()).map(|k| tau(k) * with_rows[k]).sum::<f64>()) / within;
        let first = usize::from(scale == Scale::Estimated);
        let information = DMatrix::from_fn(levels.len() + first, levels.len() + first, |a, b| {
            0.5 * match (a.checked_sub(first), b.checked_sub(first)) {
                (None, None) => of_rows,
                (Some(k), None) | (None, Some(k)) => with_rows[k],
                (Some(k), Some(l)) => between[(k, l)],
            }
        });
        Information { slopes, covariance: inverted(&information), scale }
    }

    /// ν of a value with the derivatives g along Q; `None` where the variances are not determined.
    pub fn freedom(&self, at: &Solved, within: f64, along: &DVector<f64>) -> Option<f64> {
        const LEAST: f64 = 1.0;
        let direction = at.information.solve(along);
        // v/s², and what each level adds to it for a τ: (ZᵀV⁻¹Q C g)² in the same unit.
        let whole = direction.dot(along);
        let by_level: Vec<f64> = self.slopes.iter().map(|of| (of * &direction).norm_squared()).collect();
        let by_rows = whole - by_level.iter().zip(&at.ratios).map(|(by, ratio)| by * ratio).sum::<f64>();
        let mut by: Vec<f64> = if self.scale == Scale::Estimated { vec![by_rows] } else { Vec::new() };
        by.extend(by_level);
        let by = DVector::from_vec(by);
        let spread = (self.covariance.as_ref()? * &by).dot(&by);
        let freedom = 2.0 * (whole * within).powi(2) / spread;
        freedom.is_finite().then(|| freedom.max(LEAST))
    }
}

/// The inverse, of an information whose entries may differ by many powers of ten.
fn inverted(information: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let scales: Vec<f64> = (0..information.nrows()).map(|k| information[(k, k)].sqrt()).collect();
    let scaled = DMatrix::from_fn(information.nrows(), information.ncols(), |a, b| {
        information[(a, b)] / (scales[a] * scales[b])
    });
    let inverse = scaled.cholesky()?.inverse();
    Some(DMatrix::from_fn(inverse.nrows(), inverse.ncols(), |a, b| inverse[(a, b)] / (scales[a] * scales[b])))
}
