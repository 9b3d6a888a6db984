//! What the bath shows at one moment.

use super::{ReductantPolicy, Tank};
use crate::error::Result;
use crate::solution::density::specific_gravity;
use crate::solution::{Answer, Element, Speciation};
use crate::surface::{Conditions, FilmSurface};

/// Readings of a bath and its surface.
#[derive(Debug, Clone, Default)]
pub struct BathState {
    /// Totals of the components, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// Every dissolved substance, mol/L, in the order of [`Speciation::species`].
    pub dissolved_mol_l: Vec<f64>,
    /// Temperature of the bath, K.
    pub temperature_k: f64,
    /// pH at the bath temperature.
    pub ph: f64,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Water in a litre, kg.
    pub water_kg_l: f64,
    /// Mass of the liquid at 25 degC over that of as much water.
    pub specific_gravity: f64,
    /// Mixed potential without a film, V SHE; none with rate laws, and where the partial currents cancel nowhere.
    pub potential_v: Option<f64>,
    /// Rates of the half-reactions, mol/(m² s).
    pub rates_mol_m2_s: Vec<f64>,
    /// Rates of the reactions of the liquid, mol/(L s).
    pub bulk_mol_l_s: Vec<f64>,
    /// Growth of the deposit, um/s.
    pub growth_um_s: f64,
    /// Weight per cent of the alloying element in what is being deposited.
    pub alloy_wt_pct: f64,
    /// The surface behind the film, where there is one.
    pub behind_film: Option<FilmSurface>,
}

impl BathState {
    /// Memory of the right size.
    pub fn new(tank: &Tank) -> Self {
        BathState {
            totals_mol_l: vec![0.0; tank.bath.components()],
            temperature_k: tank.operation.temperature_k,
            dissolved_mol_l: vec![0.0; tank.bath.equilibrium.substances()],
            rates_mol_m2_s: vec![0.0; tank.bath.reactions.len()],
            bulk_mol_l_s: vec![0.0; tank.bath.bulk.len()],
            behind_film: tank.bath.film.as_ref().map(FilmSurface::new),
            ..BathState::default()
        }
    }

    /// Solves the liquid for `totals_mol_l` at `temperature_k` and evaluates the surface.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn update(&mut self, tank: &Tank, speciation: &mut Speciation) -> Result<()> {
        speciation.solve(&tank.bath.equilibrium, &self.totals_mol_l, self.temperature_k)?;
        speciation.dissolved_mol_l(&tank.bath.equilibrium, &mut self.dissolved_mol_l);
        self.ph = speciation.ph();
        self.ionic_strength_mol_l = speciation.ionic_strength_mol_l();
        self.water_kg_l = speciation.water_kg_l;
        self.specific_gravity = specific_gravity(self.solutes_g_l(tank), self.water_kg_l);
        self.evaluate_rates(tank);
        Ok(())
    }

    /// Takes an answer of a liquid that is not solved.
    pub(super) fn take(&mut self, answer: Answer, value: f64) {
        match answer {
            Answer::Ph => self.ph = value,
            Answer::IonicStrength => self.ionic_strength_mol_l = value,
            Answer::Water => self.water_kg_l = value,
            Answer::Dissolved(substance) => self.dissolved_mol_l[substance] = value,
        }
    }

    /// Evaluates surface and liquid under what is known of it.
    pub(super) fn evaluate_rates(&mut self, tank: &Tank) {
        self.evaluate_surface(tank, self.ph);
        self.evaluate_liquid(tank);
    }

    /// The totals thinned to a share of what they are, mol/L.
    pub fn totals_at(&self, share: f64) -> Vec<f64> {
        self.totals_mol_l.iter().map(|total| total * share).collect()
    }

    /// Mass of everything dissolved, g/L; protons by electroneutrality.
    pub fn solutes_g_l(&self, tank: &Tank) -> f64 {
        let charges = tank.bath.equilibrium.component_charges();
        let proton = tank.bath.liquid_g_mol[tank.bath.proton()];
        let of = |(total, (mass, charge)): (&f64, (&f64, &f64))| total * (mass - charge * proton);
        self.totals_mol_l.iter().zip(tank.bath.liquid_g_mol.iter().zip(charges)).map(of).sum()
    }

    /// Evaluates the surface as if the additions had just been made: metal and pH at their
    /// set-points, the reductant too where it is restored, everything else as it is. That is how a
    /// shop judges a bath's rate. Everything is thinned to `share` of what it is, which brings a bath that stands
    /// low back to its working level.
    ///
    /// Where a law follows a formed species (hydroxide, methylene glycolate), or the bath is not at its
    /// working temperature or level, the liquid is solved anew; else metal and reductant are scaled, which is the same and costs nothing.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn at_set_points(
        &mut self,
        tank: &Tank,
        fresh_ph: f64,
        share: f64,
        speciation: &mut Speciation,
    ) -> Result<()> {
        self.totals_mol_l.iter_mut().for_each(|total| *total *= share);
        let mut bring = |component: usize, holding: &[usize], set_point: f64| {
            let ratio = set_point / self.totals_mol_l[component].max(f64::MIN_POSITIVE);
            self.totals_mol_l[component] *= ratio;
            // At unchanged ligands and pH every form of it grows alike.
            for substance in holding {
                self.dissolved_mol_l[*substance] *= ratio;
            }
        };
        bring(tank.bath.roles.metal, &tank.bath.forms.metal, tank.operation.set_points.metal_mol_l);
        if tank.operation.policies.reductant == ReductantPolicy::Restore {
            bring(
                tank.bath.roles.reductant,
                &tank.bath.forms.reductant,
                tank.operation.set_points.reductant_mol_l,
            );
        }
        let elsewhere = self.temperature_k != tank.operation.temperature_k || share != 1.0;
        if elsewhere || tank.bath.kinetics.follow_species(tank.bath.components()) {
            self.temperature_k = tank.operation.temperature_k;
            speciation.solve_at_ph(
                &tank.bath.equilibrium,
                &self.totals_mol_l,
                tank.operation.temperature_k,
                fresh_ph,
            )?;
            speciation.dissolved_mol_l(&tank.bath.equilibrium, &mut self.dissolved_mol_l);
            self.ionic_strength_mol_l = speciation.ionic_strength_mol_l();
        }
        // The surface that runs stays in its steady state.
        let running = self.behind_film.clone();
        self.evaluate_surface(tank, fresh_ph);
        self.behind_film = running;
        Ok(())
    }

    fn evaluate_liquid(&mut self, tank: &Tank) {
        for (rate, reaction) in self.bulk_mol_l_s.iter_mut().zip(tank.bath.bulk.iter()) {
            *rate = reaction.law.value(&Conditions {
                temperature_k: self.temperature_k,
                ph: self.ph,
                totals_mol_l: &self.totals_mol_l,
                ionic_strength_mol_l: self.ionic_strength_mol_l,
                dissolved_mol_l: &self.dissolved_mol_l,
            });
        }
    }

    /// What plates out beside the work, % of the rate on it at the tank's loading; `None` without a
    /// law for it, or where nothing plates on the work.
    pub fn plate_out_pct(&self, tank: &Tank) -> Option<f64> {
        let loading_m2_l = tank.operation.work.least_area_m2() / tank.plant.volume_l;
        let wanted = self.rates_mol_m2_s[tank.bath.kinetics.metal()];
        tank.bath.decomposition.as_ref()?.share_pct(&self.conditions(), wanted, loading_m2_l)
    }

    /// What the laws of the surface see of this bath.
    pub fn conditions(&self) -> Conditions<'_> {
        Conditions {
            temperature_k: self.temperature_k,
            ph: self.ph,
            totals_mol_l: &self.totals_mol_l,
            ionic_strength_mol_l: self.ionic_strength_mol_l,
            dissolved_mol_l: &self.dissolved_mol_l,
        }
    }

    /// What the laws of the surface see of the liquid: that behind the film, where there is one.
    pub fn conditions_at_surface(&self) -> Conditions<'_> {
        let bath = self.conditions();
        self.behind_film.as_ref().map_or(bath, |surface| Conditions {
            ph: surface.ph,
            totals_mol_l: &surface.totals_mol_l,
            dissolved_mol_l: surface.dissolved_mol_l(),
            ..bath
        })
    }

    fn evaluate_surface(&mut self, tank: &Tank, ph: f64) {
        let mut rates = std::mem::take(&mut self.rates_mol_m2_s);
        let mut behind_film = self.behind_film.take();
        let mut potential_v = self.potential_v;
        let conditions = Conditions { ph, ..self.conditions() };
        match (&tank.bath.film, &mut behind_film) {
            (Some(film), Some(surface)) => surface.settle(film, &tank.bath.kinetics, &conditions, &mut rates),
            _ => tank.bath.kinetics.rates_near(&conditions, &mut rates, &mut potential_v),
        }
        self.rates_mol_m2_s = rates;
        self.potential_v = potential_v;
        self.behind_film = behind_film;
        (self.growth_um_s, self.alloy_wt_pct) = tank.bath.growth(&self.rates_mol_m2_s);
    }

    /// Hydrogen given off by the surface, mol/(m² s); negative where it is taken up.
    pub fn hydrogen_mol_m2_s(&self, tank: &Tank) -> f64 {
        const ATOMS_PER_MOLECULE: f64 = 2.0;
        let hydrogen = Element::new("H");
        let atoms = |gas: &[(usize, f64)]| -> f64 {
            let of = gas.iter().filter(|(index, _)| Some(tank.bath.evolved[*index]) == hydrogen);
            of.map(|(_, atoms)| atoms).sum()
        };
        let rates = tank.bath.reactions.iter().zip(&self.rates_mol_m2_s);
        rates.map(|(reaction, rate)| atoms(&reaction.gas) * rate).sum::<f64>() / ATOMS_PER_MOLECULE
    }

    /// True where the surface loses its metal.
    pub fn dissolves(&self, tank: &Tank) -> bool {
        self.growth_um_s < 0.0 || self.rates_mol_m2_s[tank.bath.kinetics.metal()] < 0.0
    }

    /// Moles of a slot of the liquid made per m² and second by all half-reactions together.
    pub fn made_mol_m2_s(&self, tank: &Tank, slot: usize) -> f64 {
        tank.bath
            .reactions
            .iter()
            .zip(&self.rates_mol_m2_s)
            .flat_map(|(reaction, rate)| {
                reaction.liquid.iter().filter(|(at, _)| *at == slot).map(move |(_, moles)| moles * rate)
            })
            .sum()
    }
}
