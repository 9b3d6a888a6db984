//! How the fresh liquid moves with numbers of the recipe: exact, by the implicit function theorem.
//!
//! The dictionary tells what a number moves: a constant of a species ln K, in which it is linear; what is weighed out
//! the totals, in which it is linear too; `operation.ph` the pH that acid or base are added up to, whose amount then
//! follows (`solution/at_held_ph.rs`). Numbers of laws leave the liquid as it is.

use num_dual::Dual64;

use crate::document::ParameterId;
use crate::error::Result;
use crate::model::Model;
use crate::model::chapters::{CONDITIONS, MAKE_UP};
use crate::model::slots::Slots;
use crate::model::species::number_in_use;
use crate::solution::EquilibriumConstant;
use crate::solution::at_held_ph::{HeldDirection, by_reagent};
use crate::solution::sensitivities::{Parameter, Sensitivities};
use crate::surface::OwnedConditions;
use crate::tank::BathState;

/// What numbers of a recipe move of what a liquid is solved for.
#[derive(Debug)]
struct Moved {
    /// Totals, mol/L.
    totals: Vec<f64>,
    /// Places of species, with the speeds of the numbers of their constants.
    constants: Vec<(usize, [f64; 3])>,
    /// pH.
    ph: f64,
}

/// Derivatives of totals, mol/L, and of the answers.
type Slopes = (Vec<f64>, Sensitivities);

impl Moved {
    /// Whether anything moves.
    fn is_any(&self) -> bool {
        self.ph != 0.0 || !self.constants.is_empty() || self.totals.iter().any(|total| *total != 0.0)
    }

    /// As parameters of the equilibrium at a temperature.
    fn parameters(&self, temperature_k: f64) -> Vec<(Parameter, f64)> {
        let slopes = EquilibriumConstant::slopes(temperature_k);
        let ln_k = |speeds: &[f64; 3]| speeds.iter().zip(slopes).map(|(speed, slope)| speed * slope).sum();
        let constants = self.constants.iter().map(|(place, speeds)| (Parameter::LnK(*place), ln_k(speeds)));
        by_reagent(&self.totals).chain(constants).collect()
    }
}

impl Model {
    /// What the laws see of the fresh bath as it moves along each direction: numbers of the recipe, (path, speed), that
    /// move together. `None` where one of them moves the liquid in another way, such as its temperature. `fresh` is the
    /// fresh bath, solved as well as its values are to be.
    ///
    /// ```
    /// use bathkin::tank::BathState;
    ///
    /// let recipe = bathkin::Recipe::built_in("nickel-acid")?;
    /// let model = recipe.model()?;
    /// let mut fresh = BathState::new(&model.tank);
    /// fresh.totals_mol_l.copy_from_slice(&model.fresh_totals_mol_l);
    /// fresh.update(&model.tank, &mut model.tank.bath.equilibrium.solved_exactly().speciation())?;
    /// let acid = vec![("make_up.lactic_acid_g_l", 1.0)];
    /// let liquid = model.fresh_along(&fresh, &[acid])?.expect("it is weighed out");
    /// // Caustic holds the pH, and the salt it makes of the acid is in the ionic strength.
    /// assert!(liquid[0].ph.eps.abs() < 1e-9 && liquid[0].ionic_strength_mol_l.eps > 0.0);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] where the equations of the liquid are singular.
    pub fn fresh_along(
        &self,
        fresh: &BathState,
        directions: &[Vec<(&str, f64)>],
    ) -> Result<Option<Vec<OwnedConditions<Dual64>>>> {
        let Some(moved) = directions.iter().map(|of| self.moved(of)).collect::<Option<Vec<Moved>>>() else {
            return Ok(None);
        };
        let moving: Vec<&Moved> = moved.iter().filter(|one| one.is_any()).collect();
        let mut along = self.sensitivities_along(&moving)?.into_iter();
        let mut of = |one: &Moved| one.is_any().then(|| along.next()).flatten().unwrap_or_default();
        Ok(Some(moved.iter().map(|one| lifted(fresh, &of(one))).collect()))
    }

    /// What numbers move together; none where one moves something else.
    fn moved(&self, numbers: &[(&str, f64)]) -> Option<Moved> {
        let mut moved =
            Moved { totals: vec![0.0; self.tank.bath.components()], constants: Vec::new(), ph: 0.0 };
        for (path, speed) in numbers {
            let own = self.kept.declared.id(path);
            let here = match own {
                Some(id) => self.law_slot(path).is_some() || self.move_own(id, *speed, &mut moved),
                None => self.move_constant(path, *speed, &mut moved),
            };
            if !here {
                return None;
            }
        }
        Some(moved)
    }

    /// A number of the recipe itself.
    fn move_own(&self, id: ParameterId, speed: f64, moved: &mut Moved) -> bool {
        let kept = &self.kept;
        if kept.declared.is_read_in_alone(id, CONDITIONS) {
            let times = kept.conditions.ph_wanted.map_or(0.0, |ph| ph.times(id));
            moved.ph += speed * times;
            return times != 0.0;
        }
        if !kept.declared.is_read_in_alone(id, MAKE_UP) {
            return false;
        }
        let mut weighed_out = false;
        for (reagent, moles) in kept.make_up.of.iter().filter(|(_, moles)| moles.times(id) != 0.0) {
            weighed_out = true;
            let gives = self.slots().gives(reagent);
            let moles = speed * moles.times(id);
            moved.totals.iter_mut().zip(gives).for_each(|(total, given)| *total += moles * given);
        }
        weighed_out
    }

    /// A number of the constants; one that is not in use, or of a species that is not there, moves nothing.
    fn move_constant(&self, path: &str, speed: f64, moved: &mut Moved) -> bool {
        let Some((species, number)) = number_in_use(&self.chemistry, path) else { return false };
        let mut there = self.tank.bath.equilibrium.species_names().iter();
        if let Some(place) = there.position(|name| *name == species.name) {
            let mut speeds = [0.0; 3];
            speeds[number] = speed;
            moved.constants.push((place, speeds));
        }
        true
    }

    fn slots(&self) -> Slots<'_> {
        let (chemistry, names) = (&self.chemistry, &self.kept.solutions.names);
        Slots { chemistry, names, equilibrium: &self.tank.bath.equilibrium }
    }

    /// Derivatives along each at the temperature of the bath.
    fn sensitivities_along(&self, moved: &[&Moved]) -> Result<Vec<Slopes>> {
        if moved.is_empty() {
            return Ok(Vec::new());
        }
        let equilibrium = &self.tank.bath.equilibrium;
        let (read_at_k, kelvin) =
            (self.tank.operation.set_points.ph_temperature_k, self.tank.operation.temperature_k);
        let parameters = |temperature_k| moved.iter().map(move |one| one.parameters(temperature_k));
        let reagent = self.kept.conditions.ph_wanted.and(self.kept.solutions.ph_reagent.as_ref());
        let Some(reagent) = reagent else {
            let found =
                self.fresh.1.clone().sensitivities(equilibrium, &parameters(kelvin).collect::<Vec<_>>())?;
            return Ok(moved.iter().map(|one| one.totals.clone()).zip(found).collect());
        };
        let gives = &self.slots().gives(reagent)[..self.tank.bath.components()];
        let directions: Vec<HeldDirection> = parameters(read_at_k)
            .zip(moved)
            .map(|(parameters, one)| HeldDirection { parameters, ph: one.ph })
            .collect();
        let mut held =
            self.kept.liquid.solved.clone().sensitivities_at_held_ph(equilibrium, &directions, gives)?;
        if read_at_k != kelvin {
            // The same amounts in the bath itself.
            let directions: Vec<Vec<(Parameter, f64)>> = parameters(kelvin)
                .zip(&held)
                .map(|(parameters, (amount, _))| {
                    let added = by_reagent(gives).map(|(total, moles)| (total, amount * moles));
                    parameters.into_iter().chain(added).collect()
                })
                .collect();
            let hot = self.fresh.1.clone().sensitivities(equilibrium, &directions)?;
            held.iter_mut().zip(hot).for_each(|((_, answers), hot)| *answers = hot);
        }
        let with_reagent = |(one, (amount, answers)): (&&Moved, (f64, Sensitivities))| {
            let totals = one.totals.iter().zip(gives).map(|(total, moles)| total + amount * moles);
            (totals.collect(), answers)
        };
        Ok(moved.iter().zip(held).map(with_reagent).collect())
    }
}

/// A bath with its slopes; where there are none it stays.
fn lifted(bath: &BathState, (totals, answers): &Slopes) -> OwnedConditions<Dual64> {
    let of = |values: &[f64], slopes: &[f64]| {
        let slopes = slopes.iter().copied().chain(std::iter::repeat(0.0));
        values.iter().zip(slopes).map(|(value, slope)| Dual64::new(*value, slope)).collect()
    };
    OwnedConditions {
        temperature_k: bath.temperature_k.into(),
        ph: Dual64::new(bath.ph, answers.ph),
        ionic_strength_mol_l: Dual64::new(bath.ionic_strength_mol_l, answers.ionic_strength_mol_l),
        totals_mol_l: of(&bath.totals_mol_l, totals),
        dissolved_mol_l: of(&bath.dissolved_mol_l, &answers.species_mol_l),
    }
}
