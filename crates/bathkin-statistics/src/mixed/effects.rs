//! How far each group is off, and what is left of the residuals beside that.
//!
//! The best linear unbiased prediction is shrunken towards zero, the more the fewer rows a group has:
//!
//! û = -τ ZᵀV⁻¹ r̂,  var(û - u) = τ - τ² ZᵀPZ,
//!
//! with its sign that of observed less calculated, residuals being calculated less observed. The variance holds that of the
//! estimates, but not that of τ. What is left is e = s² V⁻¹ r̂, its rows with the leverage 1 - s² P_ii. Source: C. R. Henderson,
//! Biometrics 31 (1975) 423-447; G. K. Robinson, Statistical Science 6 (1991) 15-32.

use nalgebra::{DMatrix, DVector};

use crate::mixed::fit::Mixed;
use crate::mixed::freedom::Information;

/// A group's predicted effect.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupEffect {
    /// The label.
    pub label: String,
    /// The group.
    pub group: String,
    /// Its rows.
    pub rows: usize,
    /// û: how far its observed values lie above the model.
    pub value: f64,
    /// √var(û - u).
    pub standard_error: f64,
}

/// What is left of the residuals with the effects of their groups taken off.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditional {
    /// e, in sigmas.
    pub residuals: Vec<f64>,
    /// Share of each value in its own calculated one with its effects, 0-1.
    pub leverage: Vec<f64>,
}

impl Mixed {
    /// Effects of all groups, the coarser level first.
    pub fn effects(&self) -> Vec<GroupEffect> {
        let (linear, at) = (&self.linear, &self.solved);
        let rank = linear.rank();
        let mut found = Vec::new();
        for (level, of) in linear.grouping.levels().iter().enumerate() {
            let ratio = at.ratios[level];
            for (group, name) in of.groups.iter().enumerate() {
                let along = DVector::from_vec(linear.of_group(at, level, group));
                let slopes = along.rows(0, rank).into_owned();
                let projected = linear.of_groups(at, (level, group), (level, group))
                    - slopes.dot(&at.information.solve(&slopes));
                let variance = self.within() * ratio * (1.0 - ratio * projected);
                found.push(GroupEffect {
                    label: of.label.clone(),
                    group: name.clone(),
                    rows: of.of_row.iter().filter(|one| **one == group).count(),
                    value: -ratio * along.dot(&at.left),
                    standard_error: variance.max(0.0).sqrt(),
                });
            }
        }
        found
    }

    /// Least squares with the effects as parameters: (slopes, residuals), the rows of the data first, then one for each effect
    /// that holds it by √(s²/τ). Along the other columns it is the generalised least squares of the estimates.
    pub(crate) fn augmented(&self) -> (DMatrix<f64>, DVector<f64>) {
        let (linear, at) = (&self.linear, &self.solved);
        let (rows, rank) = (linear.rows(), linear.rank());
        let levels = || linear.grouping.levels().iter().zip(&at.ratios).filter(|(_, ratio)| **ratio > 0.0);
        let count: usize = levels().map(|(level, _)| level.groups.len()).sum();
        let effects = self.effects();
        let mut slopes = DMatrix::zeros(rows + count, rank + count);
        slopes.view_mut((0, 0), (rows, rank)).copy_from(&linear.columns.columns(0, rank));
        let mut residuals = DVector::zeros(rows + count);
        residuals.rows_mut(0, rows).copy_from_slice(&self.conditional().residuals);
        let mut first = 0;
        for (level, ratio) in levels() {
            for (row, group) in level.of_row.iter().enumerate() {
                slopes[(row, rank + first + group)] = linear.weights[row];
            }
            let held = ratio.sqrt().recip();
            for (group, effect) in effects.iter().filter(|one| one.label == level.label).enumerate() {
                slopes[(rows + first + group, rank + first + group)] = held;
                residuals[rows + first + group] = held * effect.value;
            }
            first += level.groups.len();
        }
        (slopes, residuals)
    }

    /// Degrees of freedom of the test of a further term, its values by row; `None` where it tells nothing new.
    pub fn freedom_of_term(&self, term: &[f64]) -> Option<f64> {
        let linear = self.linear.with_term(term)?;
        let at = linear.solve(&self.solved.ratios)?;
        let along =
            DVector::from_fn(linear.rank(), |place, _| f64::from(u8::from(place + 1 == linear.rank())));
        Information::new(&linear, &at, self.within(), self.scale()).freedom(&at, self.within(), &along)
    }

    /// Residuals beside the effects, and their leverages.
    pub fn conditional(&self) -> Conditional {
        let (linear, at) = (&self.linear, &self.solved);
        let rank = linear.rank();
        let of = |row: usize| {
            let (along, diagonal) = linear.of_row(at, row);
            let along = DVector::from_vec(along);
            let slopes = along.rows(0, rank).into_owned();
            let kept = diagonal - slopes.dot(&at.information.solve(&slopes));
            (along.dot(&at.left), (1.0 - kept).clamp(0.0, 1.0))
        };
        let (residuals, leverage) = (0..linear.rows()).map(of).unzip();
        Conditional { residuals, leverage }
    }
}
