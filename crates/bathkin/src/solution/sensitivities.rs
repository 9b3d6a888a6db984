//! Derivatives of a solved solution: how pH, strength and every concentration move with the totals,
//! the temperature and the constants.
//!
//! The equations r(x, p) = 0 hold before and after a small change of p, so
//!
//! dx/dp = -(dr/dx)⁻¹ dr/dp (the implicit function theorem),
//!
//! with the Jacobian the solver has anyway. For the pH alone one transposed solve serves all totals.

use num_dual::Dual64;

use super::equilibrium::Equilibrium;
use super::interaction::{WATER_KG_MOL, osmotic_charge_part};
use super::workspace::{Closure, SMALLEST_SCALE, Speciation};
use crate::constants::LN_10;
use crate::error::Result;

/// Formed ions below this share of the ionic strength are left out of what ions do to each other.
const FELT_SHARE: f64 = 1e-9;

/// What an equilibrium depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parameter {
    /// A total, by its place among the components; per unit of the totals.
    Total(usize),
    /// The temperature, per K.
    Temperature,
    /// ln K of a species, by its place in [`Equilibrium::species_names`].
    LnK(usize),
}

/// Derivatives of the answers with respect to one [`Parameter`].
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivities {
    /// d pH.
    pub ph: f64,
    /// d I, mol/L.
    pub ionic_strength_mol_l: f64,
    /// d ln a_w.
    pub ln_water_activity: f64,
    /// d c of every dissolved substance, mol/L, in the order of [`Speciation::species`].
    pub species_mol_l: Vec<f64>,
}

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
            self.push(chemistry, Parameter::Total(position), weight);
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

    /// Derivatives of every answer with respect to one parameter.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] when the Jacobian is singular.
    pub fn sensitivities(&mut self, chemistry: &Equilibrium, parameter: Parameter) -> Result<Sensitivities> {
        self.factor_exactly(chemistry)?;
        let unknowns = self.lu.size();
        self.sums.fill(0.0);
        self.clear_direct();
        let water_slope = match parameter {
            Parameter::Total(position) => {
                // A total per litre moves every total per kilogram of water.
                let water_slope = self.water_slopes[position];
                for other in 0..self.totals.len() {
                    let own = if other == position { 1.0 } else { 0.0 };
                    let weight = (own - self.totals[other] * water_slope) / self.water_kg_l;
                    self.push(chemistry, Parameter::Total(other), weight);
                }
                water_slope
            }
            other => {
                self.push(chemistry, other, 1.0);
                0.0
            }
        };
        self.pass_on(chemistry);
        for (step, sum) in self.step[..unknowns].iter_mut().zip(&self.sums) {
            *step = -sum;
        }
        self.lu.solve(&mut self.step);
        Ok(self.answers(chemistry, parameter, water_slope))
    }

    /// The answers' derivatives from those of the unknowns, in `step`.
    fn answers(&self, chemistry: &Equilibrium, parameter: Parameter, water_slope: f64) -> Sensitivities {
        let unknowns = self.lu.size();
        let (proton, first) = (chemistry.proton(), chemistry.first_formed());
        let along = |rows: &[f64], of: usize| -> f64 {
            rows[of * unknowns..(of + 1) * unknowns]
                .iter()
                .zip(&self.step)
                .map(|(row, step)| row * step)
                .sum()
        };
        let molality_slope = |substance: usize| -> f64 {
            if substance < first {
                return self.molalities[substance] * self.step[substance];
            }
            if let Some(number) = substance.checked_sub(first).filter(|n| *n < chemistry.formed.len()) {
                let ln = along(&self.formed_rows, number) + self.direct.formed[number];
                return self.molalities[substance] * ln;
            }
            let position = chemistry.inert[substance - chemistry.first_inert()];
            let own = if parameter == Parameter::Total(position) { 1.0 } else { 0.0 };
            (own - self.totals[position] * water_slope) / self.water_kg_l
        };
        let coefficient = along(&self.coefficient_rows, proton) + self.direct.coefficients[proton];
        let strength_slope = self.step[chemistry.strength()];
        Sensitivities {
            ph: -(self.step[proton] + coefficient) / LN_10,
            ionic_strength_mol_l: strength_slope * self.water_kg_l + self.ionic_strength_mol_kg * water_slope,
            ln_water_activity: if chemistry.interacting() { self.step[chemistry.water()] } else { 0.0 },
            species_mol_l: self
                .each_substance(chemistry)
                .map(|(_, substance)| {
                    molality_slope(substance) * self.water_kg_l + self.molalities[substance] * water_slope
                })
                .collect(),
        }
    }

    /// The factored Jacobian at the solution, with every ion that can be felt.
    fn factor_exactly(&mut self, chemistry: &Equilibrium) -> Result<()> {
        // Sensitivities are those of a solution left to itself, also after its pH was held.
        self.closed_by(Closure::Electroneutral);
        self.assemble(chemistry, FELT_SHARE);
        if let Err(singular) = self.lu.factor() {
            let what = "the derivative of the equilibrium";
            return Err(self.unsolved_in(chemistry, what, singular.pivot, f64::INFINITY));
        }
        self.factored = true;
        Ok(())
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

    fn clear_direct(&mut self) {
        self.direct.coefficients.fill(0.0);
        self.direct.formed.fill(0.0);
    }

    /// What a parameter, the totals per kilogram of water, changes at constant unknowns: residuals into
    /// `sums`, coefficients and constants into `direct`.
    fn push(&mut self, chemistry: &Equilibrium, parameter: Parameter, weight: f64) {
        match parameter {
            Parameter::Total(position) => {
                let substance = chemistry.substance(position);
                if substance < chemistry.first_inert() {
                    self.sums[substance] -= weight / self.total(position);
                } else {
                    self.push_inert(chemistry, substance, weight);
                }
            }
            Parameter::LnK(number) => self.direct.formed[number] += weight,
            Parameter::Temperature => self.push_temperature(chemistry, weight),
        }
    }

    /// More of an ion that forms nothing.
    fn push_inert(&mut self, chemistry: &Equilibrium, substance: usize, weight: f64) {
        let z = chemistry.charges[substance];
        self.sums[chemistry.proton()] += weight * z / self.strength_scale();
        self.sums[chemistry.strength()] -= 0.5 * weight * z * z / self.strength_scale();
        if !chemistry.interacting() {
            return;
        }
        self.sums[chemistry.water()] += weight * WATER_KG_MOL * (1.0 + self.water_shift(substance));
        for (coefficient, pair) in self.between.coefficients.iter().zip(&chemistry.pairs) {
            for [to, from] in [pair.ions, [pair.ions[1], pair.ions[0]]] {
                if from == substance {
                    self.direct.coefficients[to] += weight * coefficient;
                }
            }
        }
    }

    fn push_temperature(&mut self, chemistry: &Equilibrium, weight: f64) {
        let kelvin = Dual64::from(self.temperature_k).derivative();
        for (formed, species) in self.direct.formed.iter_mut().zip(&chemistry.formed) {
            *formed += weight * species.constant.ln_k(kelvin).eps;
        }
        let slope_a = chemistry.activity.slope_at(kelvin);
        if slope_a.re == 0.0 {
            return;
        }
        let relative = weight * slope_a.eps / slope_a.re;
        for (coefficient, z) in self.direct.coefficients.iter_mut().zip(&chemistry.charges) {
            *coefficient -= z * z * self.charge_function * relative;
        }
        if !chemistry.interacting() {
            return;
        }
        let mut pairs = 0.0;
        for pair in &chemistry.pairs {
            let [cation, anion] = pair.ions;
            let slope = weight * pair.temperature_slope();
            self.direct.coefficients[cation] += slope * self.molalities[anion];
            self.direct.coefficients[anion] += slope * self.molalities[cation];
            pairs += slope * self.molalities[cation] * self.molalities[anion];
        }
        let strength = self.ionic_strength_mol_kg.max(SMALLEST_SCALE);
        let charges = LN_10 * osmotic_charge_part(self.debye_hueckel_a, strength).0;
        self.sums[chemistry.water()] += WATER_KG_MOL * (charges * relative + pairs);
    }

    /// What the direct changes do to the formed species, and these to the residuals.
    fn pass_on(&mut self, chemistry: &Equilibrium) {
        let (proton, strength, first) = (chemistry.proton(), chemistry.strength(), chemistry.first_formed());
        let scale = self.strength_scale();
        for (number, species) in chemistry.formed.iter().enumerate() {
            let terms = &chemistry.terms[species.terms.clone()];
            let of = &self.direct.coefficients;
            let through: f64 = terms.iter().map(|(unknown, coefficient)| coefficient * of[*unknown]).sum();
            self.direct.formed[number] += through - of[first + number];
            let moved = self.molalities[first + number] * self.direct.formed[number];
            let z = species.charge;
            for (unknown, coefficient) in &chemistry.terms[species.mass_terms.clone()] {
                self.sums[*unknown] += coefficient * moved / self.total(chemistry.active[*unknown]);
            }
            self.sums[proton] += z * moved / scale;
            self.sums[strength] -= 0.5 * z * z * moved / scale;
            if chemistry.interacting() {
                self.sums[chemistry.water()] +=
                    WATER_KG_MOL * moved * (1.0 + self.water_shift(first + number));
            }
        }
        for (number, row) in self.between.felt.iter().zip(chemistry.lasting_unknowns()..) {
            self.sums[row] = -self.direct.formed[*number];
        }
    }
}
