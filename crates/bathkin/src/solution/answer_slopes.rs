//! How answers of a solved solution move with its totals and constants: one transposed solve for each answer serves all.
//!
//! With r(x, p) = 0 the derivative of an answer y(x, p) is dy/dp = y_p - (y_x (dr/dx)⁻¹) r_p; the bracket does not hang
//! on what moves.

use bathkin_numerics::dot;

use super::equilibrium::Equilibrium;
use super::sensitivities::Parameter;
use super::workspace::Speciation;
use crate::constants::LN_10;
use crate::error::Result;

/// What is asked of a solved solution.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// The pH.
    Ph,
    /// The ionic strength, mol/L.
    IonicStrength,
    /// Water in a litre, kg.
    Water,
    /// A dissolved substance, mol/L, by its place in the order of [`Speciation::species`].
    Dissolved(usize),
}

impl Speciation {
    /// An answer.
    pub fn answer(&self, chemistry: &Equilibrium, answer: Answer) -> f64 {
        match answer {
            Answer::Ph => self.ph(),
            _ => self.per_kilogram(chemistry, answer) * self.water_kg_l,
        }
    }

    /// d answer / d total for each component, per unit of the totals, then d answer / d ln K for each species in
    /// `constants` (places in [`Equilibrium::species_names`]): a row for each answer. Allocates the first time.
    ///
    /// Adding a component alone leaves its charge to be balanced by protons; adding a reagent is
    /// the sum over what it gives.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] when the Jacobian is singular.
    pub fn answer_slopes(
        &mut self,
        chemistry: &Equilibrium,
        answers: &[Answer],
        constants: &[usize],
        slopes: &mut [f64],
    ) -> Result<()> {
        self.factor_exactly(chemistry)?;
        let (unknowns, components) = (self.lu.size(), self.totals.len());
        let columns = components + constants.len();
        let mut adjoints = std::mem::take(&mut self.adjoints);
        adjoints.resize(answers.len() * unknowns, 0.0);
        for (adjoint, answer) in adjoints.chunks_exact_mut(unknowns).zip(answers) {
            self.solve_adjoint(chemistry, *answer);
            adjoint.copy_from_slice(&self.step[..unknowns]);
        }
        let adjoint_of = |row: usize| &adjoints[row * unknowns..(row + 1) * unknowns];
        for (row, slopes) in slopes.chunks_exact_mut(columns).enumerate() {
            let adjoint = adjoint_of(row);
            for (unknown, position) in chemistry.active.iter().enumerate() {
                slopes[*position] = adjoint[unknown] / self.total(*position);
            }
        }
        let inert = chemistry.inert.iter().map(|position| (*position, Parameter::Total(*position)));
        let moved = constants.iter().zip(components..).map(|(number, at)| (at, Parameter::LnK(*number)));
        for (column, parameter) in inert.chain(moved) {
            self.sums.fill(0.0);
            self.clear_direct();
            match parameter {
                Parameter::Total(position) => self.push_total(chemistry, position, 1.0),
                Parameter::LnK(number) => self.direct.formed[number] += 1.0,
                Parameter::Temperature => {}
            }
            self.pass_on(chemistry);
            for (row, answer) in answers.iter().enumerate() {
                let through = dot(adjoint_of(row), &self.sums[..unknowns]);
                slopes[row * columns + column] = self.directly(chemistry, *answer, parameter) - through;
            }
        }
        self.adjoints = adjoints;
        // From per kilogram of water to per litre: what is added also takes the place of water.
        for (answer, slopes) in answers.iter().zip(slopes.chunks_exact_mut(columns)) {
            let (slopes, by_constant) = slopes.split_at_mut(components);
            if *answer != Answer::Ph {
                by_constant.iter_mut().for_each(|slope| *slope *= self.water_kg_l);
            }
            let toward_water = dot(slopes, &self.totals);
            for (slope, water_slope) in slopes.iter_mut().zip(&self.water_slopes) {
                let molal = *slope - toward_water * water_slope;
                *slope = match answer {
                    Answer::Ph => molal / self.water_kg_l,
                    _ => molal + self.per_kilogram(chemistry, *answer) * water_slope,
                };
            }
        }
        Ok(())
    }

    /// Solves the transposed system for d answer / d residual, into `step`; the Jacobian is factored.
    pub(super) fn solve_adjoint(&mut self, chemistry: &Equilibrium, answer: Answer) {
        let (unknowns, first) = (self.lu.size(), chemistry.first_formed());
        let row = |of: usize| of * unknowns..(of + 1) * unknowns;
        self.step[..unknowns].fill(0.0);
        match answer {
            Answer::Ph => {
                let proton = chemistry.proton();
                let through = &self.coefficient_rows[row(proton)];
                self.step.iter_mut().zip(through).for_each(|(value, through)| *value = -through / LN_10);
                self.step[proton] -= 1.0 / LN_10;
            }
            Answer::IonicStrength => self.step[chemistry.strength()] = 1.0,
            Answer::Water => return,
            Answer::Dissolved(place) => {
                let substance = chemistry.listed[place];
                let molality = self.molalities[substance];
                match substance.checked_sub(first) {
                    None => self.step[substance] = molality,
                    Some(number) if number < chemistry.formed.len() => {
                        let through = &self.formed_rows[row(number)];
                        self.step
                            .iter_mut()
                            .zip(through)
                            .for_each(|(value, through)| *value = molality * through);
                    }
                    Some(_) => return,
                }
            }
        }
        self.lu.solve_transposed(&mut self.step);
    }

    /// d answer / d parameter at constant unknowns, the changes it makes in `direct`.
    fn directly(&self, chemistry: &Equilibrium, answer: Answer, parameter: Parameter) -> f64 {
        match answer {
            Answer::Ph => -self.direct.coefficients[chemistry.proton()] / LN_10,
            Answer::IonicStrength | Answer::Water => 0.0,
            Answer::Dissolved(place) => {
                let substance = chemistry.listed[place];
                match substance.checked_sub(chemistry.first_formed()) {
                    None => 0.0,
                    Some(number) if number < chemistry.formed.len() => {
                        self.molalities[substance] * self.direct.formed[number]
                    }
                    Some(_) => match parameter {
                        Parameter::Total(position) if chemistry.substance(position) == substance => 1.0,
                        _ => 0.0,
                    },
                }
            }
        }
    }

    /// An answer per kilogram of water.
    fn per_kilogram(&self, chemistry: &Equilibrium, answer: Answer) -> f64 {
        match answer {
            Answer::Ph => self.ph(),
            Answer::IonicStrength => self.ionic_strength_mol_kg,
            Answer::Water => 1.0,
            Answer::Dissolved(place) => self.molalities[chemistry.listed[place]],
        }
    }
}
