//! What is read off a bath at one moment: the liquid, the surface, and what was done so far. The dictionary of what
//! that tells is [`super::quantity`].

use super::layout::VOLUMES;
use super::{Balances, BathChemistry, BathState, HeldOrder, Tank, Volume};
use crate::constants::{GAS_MOLAR_VOLUME_25C_L_MOL, REFERENCE_TEMPERATURE_K, SECONDS_PER_HOUR};
use crate::deposit::Layer;
use crate::error::Result;
use crate::solution::density::specific_gravity;
use crate::solution::{BathCouple, Element, Speciation};

/// Molar mass of sodium hydroxide, g/mol (IUPAC 2021 standard atomic weights): alkali is titrated as it.
pub const NAOH_G_MOL: f64 = 39.997;

/// What limits are held against: the bath at its working level and temperature. A bath that stands low after a
/// night is filled up before anybody judges it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Working {
    /// Contents there as a part of what they are.
    pub share: f64,
    /// pH there, read as the set-point is.
    pub ph_read: f64,
    /// Ionic strength there, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Specific gravity at 25 degC there.
    pub specific_gravity: f64,
}

impl Working {
    /// The same of a bath that stands at its working level and temperature.
    fn as_it_stands(observed: &BathState) -> Self {
        Working {
            share: 1.0,
            ph_read: observed.ph,
            ionic_strength_mol_l: observed.ionic_strength_mol_l,
            specific_gravity: observed.specific_gravity,
        }
    }

    /// Solves the liquid at a share of its contents and the working temperature.
    fn solve(tank: &Tank, observed: &BathState, share: f64, spare: &mut Speciation) -> Result<Self> {
        let totals = observed.totals_at(share);
        spare.solve(&tank.bath.equilibrium, &totals, tank.operation.temperature_k)?;
        Ok(Working {
            share,
            ph_read: spare.ph(),
            ionic_strength_mol_l: spare.ionic_strength_mol_l(),
            specific_gravity: specific_gravity(share * observed.solutes_g_l(tank), spare.water_kg_l),
        })
    }
}

/// What of the readings is worth a solution of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct AlsoRead {
    /// The pH of a sample cooled to 25 degC.
    pub cooled: bool,
    /// The liquid: specific gravity, saturation indices, potentials, plate-out.
    pub liquid: bool,
}

/// Readings at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Totals of the components, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// pH at the bath temperature; as the operator reads it in [`Readings::as_logged`].
    pub ph: f64,
    /// pH at the temperature the set-point is read at.
    pub ph_read: f64,
    /// pH of a sample cooled to 25 degC; `NaN` where nobody looks.
    pub ph_25c: f64,
    /// pH at the surface behind the film, as the bath stands; none without a film.
    pub surface_ph: Option<f64>,
    /// Mixed potential as the bath stands, V SHE; none with rate laws, `NaN` where the partial currents cancel nowhere.
    pub potential_v_she: Option<f64>,
    /// Potential of copper(I) oxide's couple above the metal's, V; none without copper.
    pub oxide_margin_v: Option<f64>,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Specific gravity at 25 degC.
    pub specific_gravity: f64,
    /// Every dissolved substance, mol/L, in the order of [`Speciation::species`]; empty where nobody looks.
    pub dissolved_mol_l: Vec<f64>,
    /// Deposition rate with metal and pH at their set-points, at the working level and temperature, um/h.
    pub deposition_um_h: f64,
    /// Deposition rate as the bath stands, um/h.
    pub deposition_now_um_h: f64,
    /// Metal deposited as the bath stands, mol/(m² s); negative where it dissolves.
    pub metal_mol_m2_s: f64,
    /// Hydrogen given off as the bath stands, mol/(m² s); negative where it is taken up.
    pub hydrogen_mol_m2_s: f64,
    /// Alloying element in what is being deposited as the bath stands, wt%.
    pub alloy_now_wt_pct: f64,
    /// Negative orders read at the lower end of their range as the bath stands.
    pub held_orders: Vec<HeldOrder>,
    /// Alloying element with metal and pH at their set-points, at the working level and temperature, wt%.
    pub alloy_wt_pct: f64,
    /// Reductant used by the surface per metal plated as the bath stands, mol/mol; reactions of the
    /// liquid use more.
    pub reductant_per_metal_mol: f64,
    /// Saturation index of every solid, in the order of [`super::BathChemistry::solids`].
    pub saturation_index: Vec<f64>,
    /// Plate-out, % of the wanted rate as the bath stands; none without a law for it, or where nothing plates.
    pub plate_out_pct: Option<f64>,
    /// Water in a litre, kg.
    pub water_kg_l: f64,
    /// Temperature of the bath, K.
    pub temperature_k: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Area plated, m².
    pub area_m2: f64,
    /// Volumes, L, in the order of [`Volume`].
    pub volumes_l: [f64; VOLUMES],
    /// Fed from each of [`super::Operation::replenishers`] since make-up, L.
    pub fed_l: Vec<f64>,
    /// All that was deposited since make-up.
    pub deposit: Layer,
    /// Metal gone with the liquid since make-up, mol.
    pub metal_gone_mol: f64,
    /// Hydrogen evolved since make-up, L at 25 degC and 1 atm.
    pub hydrogen_l: f64,
    /// The bath at its working level and temperature.
    pub working: Working,
    /// Clock time since make-up, h; whoever takes the readings looks at the clock.
    pub clock_h: f64,
    /// Of that with work in the tank, h; the same.
    pub plating_h: f64,
}

impl Readings {
    /// Reads the bath at a (scaled) state; `fresh_ph` is the fresh bath's pH at its temperature.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn take(balances: &Balances, state: &[f64], fresh_ph: f64) -> Result<Self> {
        let tank = balances.tank();
        let mut readings = balances.observe(state, |observed, speciation, held| -> Result<Readings> {
            let mut readings = Readings::as_it_stands(balances, state, observed, Some(speciation));
            let at_level = tank.working_share(readings.volume_l());
            if at_level != 1.0 || observed.temperature_k != tank.operation.temperature_k {
                readings.working = Working::solve(tank, observed, at_level, held)?;
            }
            observed.at_set_points(tank, fresh_ph, at_level, held)?;
            readings.deposition_um_h = observed.growth_um_s * SECONDS_PER_HOUR;
            readings.alloy_wt_pct = observed.alloy_wt_pct;
            Ok(readings)
        })??;
        readings.ph_read = balances.ph_read(&readings.totals_mol_l, readings.ph)?;
        if readings.working.share == 1.0 {
            readings.working.ph_read = readings.ph_read;
        } else if tank.operation.set_points.ph_temperature_k != tank.operation.temperature_k {
            let totals: Vec<f64> =
                readings.totals_mol_l.iter().map(|total| total * readings.working.share).collect();
            readings.working.ph_read = balances.ph_at(&totals, tank.operation.set_points.ph_temperature_k)?;
        }
        Ok(readings)
    }

    /// What a log has of the bath at a (scaled) state: rates and alloy as it stands, the pH as the operator reads it.
    /// What `also` leaves out is `NaN`, empty or absent.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn as_logged(balances: &Balances, state: &[f64], also: AlsoRead) -> Result<Self> {
        let tank = balances.tank();
        let mut readings = balances.observe(state, |observed, speciation, _| {
            Readings::as_it_stands(balances, state, observed, also.liquid.then_some(speciation))
        })?;
        // A hot reading is that of the bath at whatever temperature it has.
        let read_cooled = tank.operation.set_points.ph_temperature_k == REFERENCE_TEMPERATURE_K;
        if read_cooled || also.cooled {
            readings = readings.cooled(balances)?;
        }
        if read_cooled {
            readings.ph = readings.ph_25c;
        }
        (readings.ph_read, readings.working.ph_read) = (readings.ph, readings.ph);
        Ok(readings)
    }

    /// The same with the pH of a cooled sample.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn cooled(mut self, balances: &Balances) -> Result<Self> {
        self.ph_25c = balances.ph_at(&self.totals_mol_l, REFERENCE_TEMPERATURE_K)?;
        Ok(self)
    }

    /// What was observed at a (scaled) state, everything as the bath stands; without its liquid what that tells is left out.
    pub(crate) fn as_it_stands(
        balances: &Balances,
        state: &[f64],
        observed: &BathState,
        liquid: Option<&Speciation>,
    ) -> Self {
        let (tank, layout) = (balances.tank(), balances.layout());
        let amount = |slot: usize| state[slot] * layout.scale()[slot];
        let amounts = |slots: std::ops::Range<usize>| slots.map(amount).collect::<Vec<f64>>();
        let made = |slot| observed.made_mol_m2_s(tank, slot);
        let (turnovers, turnovers_plated) = turnovers(balances, state);
        let (deposition_um_h, alloy_wt_pct) =
            (observed.growth_um_s * SECONDS_PER_HOUR, observed.alloy_wt_pct);
        Readings {
            totals_mol_l: observed.totals_mol_l.clone(),
            ph: observed.ph,
            ph_read: observed.ph,
            ph_25c: f64::NAN,
            surface_ph: observed.behind_film.as_ref().map(|surface| surface.ph),
            potential_v_she: liquid
                .and(tank.bath.kinetics.mixed_potential())
                .map(|mixed| match observed.behind_film {
                    None => observed.potential_v,
                    Some(_) => mixed.potential_v(&observed.conditions()),
                })
                .map(|potential_v| potential_v.unwrap_or(f64::NAN)),
            oxide_margin_v: liquid.and_then(|liquid| tank.bath.oxide_margin_v(liquid)),
            ionic_strength_mol_l: observed.ionic_strength_mol_l,
            specific_gravity: liquid.map_or(f64::NAN, |_| observed.specific_gravity),
            dissolved_mol_l: liquid.map_or_else(Vec::new, |_| observed.dissolved_mol_l.clone()),
            deposition_um_h,
            deposition_now_um_h: deposition_um_h,
            metal_mol_m2_s: observed.rates_mol_m2_s[tank.bath.kinetics.metal()],
            hydrogen_mol_m2_s: observed.hydrogen_mol_m2_s(tank),
            alloy_now_wt_pct: alloy_wt_pct,
            held_orders: liquid.map_or_else(Vec::new, |_| observed.held_orders(tank)),
            alloy_wt_pct,
            reductant_per_metal_mol: share(made(tank.bath.roles.reductant), made(tank.bath.roles.metal)),
            saturation_index: liquid.map_or_else(
                || vec![f64::NAN; tank.bath.solids.len()],
                |liquid| tank.bath.saturation_indices(liquid),
            ),
            plate_out_pct: liquid.and_then(|_| observed.plate_out_pct(tank)),
            water_kg_l: liquid.map_or(f64::NAN, |liquid| liquid.water_kg_l),
            temperature_k: observed.temperature_k,
            turnovers,
            turnovers_plated,
            area_m2: amount(layout.area()),
            volumes_l: Volume::ALL.map(|which| amount(layout.volume(which))),
            fed_l: amounts(layout.fed()),
            deposit: tank.bath.layer(&amounts(layout.deposited())),
            metal_gone_mol: amount(layout.gone().start + tank.bath.roles.metal),
            hydrogen_l: hydrogen_l(tank, &amounts(layout.evolved())),
            working: Working::as_it_stands(observed),
            clock_h: 0.0,
            plating_h: 0.0,
        }
    }

    /// The same at a clock time, s, of which so many s with work in the tank.
    pub fn at(self, time_s: f64, plating_s: f64) -> Self {
        Readings { clock_h: time_s / SECONDS_PER_HOUR, plating_h: plating_s / SECONDS_PER_HOUR, ..self }
    }

    /// Whether they were taken at a clock time, s, of which so many s with work in the tank.
    pub(crate) fn is_at(&self, time_s: f64, plating_s: f64) -> bool {
        self.clock_h == time_s / SECONDS_PER_HOUR && self.plating_h == plating_s / SECONDS_PER_HOUR
    }

    /// A volume, L.
    pub fn volume(&self, which: Volume) -> f64 {
        self.volumes_l[which as usize]
    }

    /// Volume of the bath, L.
    pub fn volume_l(&self) -> f64 {
        self.volume(Volume::Bath)
    }
}

/// Turnovers by metal replenished and by metal plated, at a (scaled) state.
pub fn turnovers(balances: &Balances, state: &[f64]) -> (f64, f64) {
    let (tank, layout) = (balances.tank(), balances.layout());
    let amount = |slot: usize| state[slot] * layout.scale()[slot];
    let replenished: f64 = layout
        .fed()
        .zip(&tank.operation.replenishers)
        .filter(|(_, replenisher)| replenisher.turns_over)
        .map(|(slot, replenisher)| amount(slot) * replenisher.per_litre[tank.bath.roles.metal])
        .sum();
    let plated = amount(layout.deposited().start + tank.bath.metal_element);
    let made_up = tank.operation.set_points.metal_mol_l * tank.plant.volume_l;
    (replenished / made_up, plated / made_up)
}

/// Hydrogen gas in what has evolved, L at 25 degC and 1 atm.
fn hydrogen_l(tank: &Tank, evolved_mol: &[f64]) -> f64 {
    const ATOMS_PER_MOLECULE: f64 = 2.0;
    let hydrogen = Element::new("H");
    let of_hydrogen =
        tank.bath.evolved.iter().zip(evolved_mol).filter(|(element, _)| Some(**element) == hydrogen);
    of_hydrogen.map(|(_, moles)| moles).sum::<f64>() / ATOMS_PER_MOLECULE * GAS_MOLAR_VOLUME_25C_L_MOL
}

impl BathChemistry {
    /// Grams per litre of the metal from mol/L.
    pub fn metal_g_l(&self, metal_mol_l: f64) -> f64 {
        metal_mol_l * self.deposited_g_mol[self.metal_element]
    }

    /// The couples of copper(I) oxide and of the metal; none without copper.
    fn oxide(&self) -> Option<[&BathCouple; 2]> {
        let couple = |name: &str| self.couples.iter().find(|couple| couple.name == name);
        Some([couple("copper_ion_to_oxide")?, couple("copper_ion_to_metal")?])
    }

    /// Whether copper(I) oxide can be told of.
    pub(super) fn has_oxide(&self) -> bool {
        self.oxide().is_some()
    }

    /// E(Cu+2/Cu2O) - E(Cu+2/Cu) in a solved liquid, V; none without copper.
    fn oxide_margin_v(&self, liquid: &Speciation) -> Option<f64> {
        let [oxide, metal] = self.oxide()?.map(|couple| couple.potential_v(&self.equilibrium, liquid));
        Some(oxide - metal)
    }
}

/// A part of a whole; zero where nothing is made.
pub(crate) fn share(part: f64, whole: f64) -> f64 {
    if whole == 0.0 { 0.0 } else { part / whole }
}
