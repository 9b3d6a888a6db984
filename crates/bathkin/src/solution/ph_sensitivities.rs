//! How the pH of a solved solution moves with its totals: one transposed solve serves all of them.
//!
//! With r(x, p) = 0 the derivative of an answer y(x) is -(dy/dx (dr/dx)⁻¹) dr/dp; the bracket does not hang on what
//! moves.

use super::equilibrium::Equilibrium;
use super::interaction::WATER_KG_MOL;
use super::workspace::Speciation;
use crate::constants::LN_10;
use crate::error::Result;

impl Speciation {
    /// d pH / d total for every component, per unit of the totals. Does not allocate.
    ///
    /// Adding a component alone leaves its charge to be balanced by protons; adding a reagent is
    /// the sum over what it gives.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] when the Jacobian is singular.
    pub fn ph_sensitivities(&mut self, chemistry: &Equilibrium, slopes: &mut [f64]) -> Result<()> {
        self.solve_adjoint(chemistry)?;
        for (unknown, position) in chemistry.active.iter().enumerate() {
            slopes[*position] = self.step[unknown] / self.total(*position);
        }
        for position in &chemistry.inert {
            slopes[*position] = self.ph_slope_of_inert(chemistry, std::iter::once((*position, 1.0)));
        }
        // From per kilogram of water to per litre: what is added also takes the place of water.
        let toward_water: f64 = slopes.iter().zip(&self.totals).map(|(slope, total)| slope * total).sum();
        for (slope, water_slope) in slopes.iter_mut().zip(&self.water_slopes) {
            *slope = (*slope - toward_water * water_slope) / self.water_kg_l;
        }
        Ok(())
    }

    /// d pH when inert components move, each by its weight per kilogram of water, from the adjoint in `step`.
    fn ph_slope_of_inert(
        &mut self,
        chemistry: &Equilibrium,
        moved: impl Iterator<Item = (usize, f64)>,
    ) -> f64 {
        self.sums.fill(0.0);
        self.clear_direct();
        for (position, weight) in moved {
            self.push_total(chemistry, position, weight);
        }
        self.pass_on(chemistry);
        let through: f64 = self.step[..self.lu.size()].iter().zip(&self.sums).map(|(a, r)| a * r).sum();
        -through - self.direct.coefficients[chemistry.proton()] / LN_10
    }

    /// d pH / d ln of all totals per kilogram of water together, from the adjoint in `step`: what less water
    /// does.
    fn ph_slope_of_all(&mut self, chemistry: &Equilibrium) -> f64 {
        let active = chemistry.active.iter().enumerate();
        let of_active: f64 =
            active.map(|(unknown, at)| self.step[unknown] * self.totals[*at] / self.total(*at)).sum();
        let inert: Vec<(usize, f64)> = chemistry.inert.iter().map(|at| (*at, self.totals[*at])).collect();
        of_active + self.ph_slope_of_inert(chemistry, inert.into_iter())
    }

    /// Buffer capacity: strong base, mol per unit of the totals, per unit of pH; the usual beta. The
    /// base is taken as an ideal cation of charge one without a volume; the hydroxide beside it takes the
    /// place of water.
    ///
    /// # Errors
    /// As [`Speciation::ph_sensitivities`].
    pub fn buffer_capacity_mol_l(&mut self, chemistry: &Equilibrium) -> Result<f64> {
        self.solve_adjoint(chemistry)?;
        let (proton, strength, scale) = (chemistry.proton(), chemistry.strength(), self.strength_scale());
        let mut per_base = (0.5 * self.step[strength] - self.step[proton]) / scale;
        if chemistry.interacting() {
            per_base -= WATER_KG_MOL * self.step[chemistry.water()];
        }
        if self.water_kg_mol_base != 0.0 {
            per_base -= self.ph_slope_of_all(chemistry) * self.water_kg_mol_base;
        }
        Ok(self.water_kg_l / per_base)
    }

    /// Solves the transposed system for d pH / d residual, into `step`.
    fn solve_adjoint(&mut self, chemistry: &Equilibrium) -> Result<()> {
        self.factor_exactly(chemistry)?;
        let (proton, unknowns) = (chemistry.proton(), self.lu.size());
        let row = &self.coefficient_rows[proton * unknowns..(proton + 1) * unknowns];
        for (value, through) in self.step.iter_mut().zip(row) {
            *value = -through / LN_10;
        }
        self.step[proton] -= 1.0 / LN_10;
        self.lu.solve_transposed(&mut self.step);
        Ok(())
    }
}
