//! What is read off the bath for its table and its limits.

use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::solution::Speciation;
use crate::solution::density::specific_gravity;
use crate::tank::{Balances, BathState, HeldOrder, Tank};

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
        spare.solve(&tank.equilibrium, &totals, tank.temperature_k)?;
        Ok(Working {
            share,
            ph_read: spare.ph(),
            ionic_strength_mol_l: spare.ionic_strength_mol_l(),
            specific_gravity: specific_gravity(share * observed.solutes_g_l(tank), spare.water_kg_l),
        })
    }
}

/// Readings at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Totals of the components, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// pH at the bath temperature.
    pub ph: f64,
    /// pH at the temperature the set-point is read at.
    pub ph_read: f64,
    /// pH at the surface behind the film, as the bath stands; none without a film.
    pub surface_ph: Option<f64>,
    /// Mixed potential as the bath stands, V SHE; none with rate laws, `NaN` where the partial currents cancel nowhere.
    pub potential_v_she: Option<f64>,
    /// Ionic strength, mol/L.
    pub ionic_strength_mol_l: f64,
    /// Specific gravity at 25 degC.
    pub specific_gravity: f64,
    /// Free metal, mol/L.
    pub free_metal_mol_l: f64,
    /// Hydroxide, mol/L, in a bath controlled by free alkali.
    pub hydroxide_mol_l: Option<f64>,
    /// Metal, g/L.
    pub metal_g_l: f64,
    /// By-product, mol/L.
    pub by_product_mol_l: f64,
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
    /// Saturation index of every solid, in the order of [`Tank::solids`].
    pub saturation_index: Vec<f64>,
    /// Plate-out, % of the wanted rate as the bath stands; none without a law for it.
    pub plate_out_pct: Option<f64>,
    /// Water in a litre, kg.
    pub water_kg_l: f64,
    /// Volume of the bath, L.
    pub volume_l: f64,
    /// Temperature of the bath, K.
    pub temperature_k: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Area plated, m².
    pub area_m2: f64,
    /// The bath at its working level and temperature.
    pub working: Working,
    /// Clock time since make-up, h; whoever takes the readings looks at the clock.
    pub clock_h: f64,
}

impl Readings {
    /// Reads the bath at a (scaled) state; `fresh_ph` is the fresh bath's pH at its temperature.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn take(balances: &Balances, state: &[f64], fresh_ph: f64) -> Result<Self> {
        let tank = balances.tank();
        let roles = tank.roles;
        let mut readings = balances.observe(state, |observed, speciation, held| -> Result<Readings> {
            let made = |slot| observed.made_mol_m2_s(tank, slot);
            let volume_l = balances.volume_l(state);
            let at_level = tank.working_share(volume_l);
            let working = if at_level == 1.0 && observed.temperature_k == tank.temperature_k {
                Working::as_it_stands(observed)
            } else {
                Working::solve(tank, observed, at_level, held)?
            };
            let mut readings = Readings {
                totals_mol_l: observed.totals_mol_l.clone(),
                ph: observed.ph,
                ph_read: observed.ph,
                surface_ph: observed.behind_film.as_ref().map(|surface| surface.ph),
                potential_v_she: tank
                    .kinetics
                    .mixed_potential()
                    .map(|mixed| mixed.potential_v(&observed.conditions()).unwrap_or(f64::NAN)),
                ionic_strength_mol_l: observed.ionic_strength_mol_l,
                specific_gravity: observed.specific_gravity,
                free_metal_mol_l: observed.dissolved_mol_l[roles.metal],
                hydroxide_mol_l: tank.hydroxide.map(|place| observed.dissolved_mol_l[place]),
                metal_g_l: tank.metal_g_l(observed.totals_mol_l[roles.metal]),
                by_product_mol_l: observed.totals_mol_l[roles.by_product],
                deposition_um_h: 0.0,
                deposition_now_um_h: observed.growth_um_s * SECONDS_PER_HOUR,
                metal_mol_m2_s: observed.rates_mol_m2_s[tank.kinetics.metal()],
                hydrogen_mol_m2_s: observed.hydrogen_mol_m2_s(tank),
                alloy_now_wt_pct: observed.alloy_wt_pct,
                held_orders: observed.held_orders(tank),
                alloy_wt_pct: 0.0,
                reductant_per_metal_mol: share(made(roles.reductant), made(roles.metal)),
                saturation_index: tank.saturation_indices(speciation),
                plate_out_pct: observed.plate_out_pct(tank),
                water_kg_l: speciation.water_kg_l,
                volume_l,
                temperature_k: observed.temperature_k,
                turnovers: 0.0,
                turnovers_plated: 0.0,
                area_m2: state[balances.layout().area()]
                    * balances.layout().scale()[balances.layout().area()],
                working,
                clock_h: 0.0,
            };
            observed.at_set_points(tank, fresh_ph, at_level, held)?;
            readings.deposition_um_h = observed.growth_um_s * SECONDS_PER_HOUR;
            readings.alloy_wt_pct = observed.alloy_wt_pct;
            Ok(readings)
        })??;
        readings.ph_read = balances.ph_read(&readings.totals_mol_l, readings.ph)?;
        if readings.working.share == 1.0 {
            readings.working.ph_read = readings.ph_read;
        } else if tank.set_points.ph_temperature_k != tank.temperature_k {
            let totals: Vec<f64> =
                readings.totals_mol_l.iter().map(|total| total * readings.working.share).collect();
            readings.working.ph_read = balances.ph_at(&totals, tank.set_points.ph_temperature_k)?;
        }
        (readings.turnovers, readings.turnovers_plated) = turnovers(balances, state);
        Ok(readings)
    }

    /// The same at a clock time, s.
    pub fn at(self, time_s: f64) -> Self {
        Readings { clock_h: time_s / SECONDS_PER_HOUR, ..self }
    }
}

/// Turnovers by metal replenished and by metal plated, at a (scaled) state.
pub fn turnovers(balances: &Balances, state: &[f64]) -> (f64, f64) {
    let (tank, layout) = (balances.tank(), balances.layout());
    let amount = |slot: usize| state[slot] * layout.scale()[slot];
    let replenished: f64 = layout
        .fed()
        .zip(&tank.replenishers)
        .filter(|(_, replenisher)| replenisher.turns_over)
        .map(|(slot, replenisher)| amount(slot) * replenisher.per_litre[tank.roles.metal])
        .sum();
    let plated = amount(layout.deposited().start + tank.metal_element);
    let made_up = tank.set_points.metal_mol_l * tank.volume_l;
    (replenished / made_up, plated / made_up)
}

impl Tank {
    /// Grams per litre of the metal from mol/L.
    pub fn metal_g_l(&self, metal_mol_l: f64) -> f64 {
        metal_mol_l * self.deposited_g_mol[self.metal_element]
    }
}

/// A part of a whole; zero where nothing is made.
pub(crate) fn share(part: f64, whole: f64) -> f64 {
    if whole == 0.0 { 0.0 } else { part / whole }
}
