//! How the pH of a solved solution moves with its totals and with a base: the buffer capacity.

use bathkin_numerics::dot;

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

    /// d pH / d amount of what brings `gives` of each component, per unit of the totals: one derivative along a
    /// direction, for which no row of slopes is needed.
    ///
    /// # Errors
    /// As [`Speciation::ph_sensitivities`].
    pub fn ph_slope_along(&mut self, chemistry: &Equilibrium, gives: &[f64]) -> Result<f64> {
        self.factor_exactly(chemistry)?;
        self.solve_adjoint(chemistry, Answer::Ph);
        // What is added also takes the place of water: less of it in a litre, more of all else per kilogram of it.
        let water = dot(gives, &self.water_slopes);
        let slope = self.ph_slope_of(chemistry, |position, molal| gives[position] - molal * water);
        Ok(slope / self.water_kg_l)
    }

    /// d pH when each component moves by its weight per kilogram of water, told by its place and total there; from the
    /// adjoint in `step`.
    fn ph_slope_of(&mut self, chemistry: &Equilibrium, weight: impl Fn(usize, f64) -> f64) -> f64 {
        self.sums.fill(0.0);
        self.clear_direct();
        for position in 0..self.totals.len() {
            self.push_total(chemistry, position, weight(position, self.totals[position]));
        }
        self.pass_on(chemistry);
        let unknowns = self.lu.size();
        -dot(&self.step[..unknowns], &self.sums[..unknowns])
            - self.direct.coefficients[chemistry.proton()] / LN_10
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
            per_base -= self.ph_slope_of(chemistry, |_, molal| molal) * self.water_kg_mol_base;
        }
        Ok(self.water_kg_l / per_base)
    }
}
