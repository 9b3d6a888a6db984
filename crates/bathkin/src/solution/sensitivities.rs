//! Derivatives of a solved solution: how pH, strength and every concentration move with the totals,
//! the temperature and the constants.
//!
//! The equations r(x, p) = 0 hold before and after a small change of p, so
//!
//! dx/dp = -(dr/dx)⁻¹ dr/dp (the implicit function theorem),
//!
//! with the Jacobian the solver has anyway, factored once for all directions p moves in.

use bathkin_numerics::dot;
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

/// Derivatives of the answers along a direction.
#[derive(Debug, Clone, PartialEq, Default)]
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

impl Sensitivities {
    /// These and so many times others.
    pub fn plus(mut self, times: f64, others: &Sensitivities) -> Self {
        self.ph += times * others.ph;
        self.ionic_strength_mol_l += times * others.ionic_strength_mol_l;
        self.ln_water_activity += times * others.ln_water_activity;
        for (one, other) in self.species_mol_l.iter_mut().zip(&others.species_mol_l) {
            *one += times * other;
        }
        self
    }
}

impl Speciation {
    /// Derivatives of every answer along each direction: parameters that move together, each with its speed. The
    /// Jacobian is factored once.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] when the Jacobian is singular.
    pub fn sensitivities(
        &mut self,
        chemistry: &Equilibrium,
        directions: &[Vec<(Parameter, f64)>],
    ) -> Result<Vec<Sensitivities>> {
        self.factor_exactly(chemistry)?;
        Ok(directions.iter().map(|direction| self.along(chemistry, direction)).collect())
    }

    /// The same along one direction, where the Jacobian is factored.
    pub(super) fn along(&mut self, chemistry: &Equilibrium, direction: &[(Parameter, f64)]) -> Sensitivities {
        self.sums.fill(0.0);
        self.clear_direct();
        let mut totals = vec![0.0; self.totals.len()];
        for (parameter, speed) in direction {
            match parameter {
                Parameter::Total(position) => totals[*position] += speed,
                Parameter::LnK(number) => self.direct.formed[*number] += speed,
                Parameter::Temperature => self.push_temperature(chemistry, *speed),
            }
        }
        // A total per litre moves every total per kilogram of water.
        let water_slope = dot(&totals, &self.water_slopes);
        for (position, total) in totals.iter_mut().enumerate() {
            *total = (*total - self.totals[position] * water_slope) / self.water_kg_l;
            if *total != 0.0 {
                self.push_total(chemistry, position, *total);
            }
        }
        self.pass_on(chemistry);
        for (step, sum) in self.step[..self.lu.size()].iter_mut().zip(&self.sums) {
            *step = -sum;
        }
        self.lu.solve(&mut self.step);
        self.answers(chemistry, &totals, water_slope)
    }

    /// The answers' derivatives from those of the unknowns, in `step`, of the totals per kilogram of water, and of
    /// the water.
    fn answers(&self, chemistry: &Equilibrium, totals: &[f64], water_slope: f64) -> Sensitivities {
        let unknowns = self.lu.size();
        let (proton, first) = (chemistry.proton(), chemistry.first_formed());
        let along =
            |rows: &[f64], of: usize| dot(&rows[of * unknowns..(of + 1) * unknowns], &self.step[..unknowns]);
        let molality_slope = |substance: usize| -> f64 {
            if substance < first {
                return self.molalities[substance] * self.step[substance];
            }
            if let Some(number) = substance.checked_sub(first).filter(|n| *n < chemistry.formed.len()) {
                let ln = along(&self.formed_rows, number) + self.direct.formed[number];
                return self.molalities[substance] * ln;
            }
            totals[chemistry.inert[substance - chemistry.first_inert()]]
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
    pub(super) fn factor_exactly(&mut self, chemistry: &Equilibrium) -> Result<()> {
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

    pub(super) fn clear_direct(&mut self) {
        self.direct.coefficients.fill(0.0);
        self.direct.formed.fill(0.0);
    }

    /// What a total per kilogram of water changes at constant unknowns: residuals into `sums`, coefficients into
    /// `direct`.
    pub(super) fn push_total(&mut self, chemistry: &Equilibrium, position: usize, weight: f64) {
        let substance = chemistry.substance(position);
        if substance < chemistry.first_inert() {
            self.sums[substance] -= weight / self.total(position);
        } else {
            self.push_inert(chemistry, substance, weight);
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
    pub(super) fn pass_on(&mut self, chemistry: &Equilibrium) {
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
