//! How far each group is off, and what is left of the residuals beside that.
//!
//! The best linear unbiased prediction is shrunken towards zero, the more the fewer rows a group has:
//!
//! û = -τ ZᵀV⁻¹ r̂,  var(û - u) = τ - τ² ZᵀPZ,
//!
//! with its sign that of observed less calculated, residuals being calculated less observed. The variance holds that of the
//! estimates, but not that of τ. What is left is e = s² V⁻¹ r̂, its rows with the leverage 1 - s² P_ii. Source: C. R. Henderson,
//! Biometrics 31 (1975) 423-447; G. K. Robinson, Statistical Science 6 (1991) 15-32.

use nalgebra::DVector;

use crate::mixed::fit::Mixed;

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
