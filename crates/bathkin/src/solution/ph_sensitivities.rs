//! How the pH of a solved solution moves with its totals and with a base: the buffer capacity.

use super::answer_slopes::Answer;
use super::equilibrium::Equilibrium;
use super::interaction::WATER_KG_MOL;
use super::workspace::Speciation;
use crate::constants::LN_10;
use crate::error::Result;

impl Speciation {
    /// d pH / d total for every component, per unit of the totals: [`Speciation::answer_slopes`] of the pH.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] when the Jacobian is singular.
    pub fn ph_sensitivities(&mut self, chemistry: &Equilibrium, slopes: &mut [f64]) -> Result<()> {
        self.answer_slopes(chemistry, &[Answer::Ph], &[], slopes)
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
        self.factor_exactly(chemistry)?;
        self.solve_adjoint(chemistry, Answer::Ph);
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
}
