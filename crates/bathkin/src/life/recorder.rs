//! Writes the rows of the table.

use super::readings::Readings;
use super::table::Table;
use crate::constants::{
    GAS_MOLAR_VOLUME_25C_L_MOL, REFERENCE_TEMPERATURE_K, SECONDS_PER_HOUR, ZERO_CELSIUS_K,
};
use crate::error::Result;
use crate::solution::Element;
use crate::tank::{Balances, METAL, PH, REDUCTANT, Tank, Volume};

/// Molar mass of sodium hydroxide, g/mol (IUPAC 2021 standard atomic weights): alkali is titrated as it.
pub const NAOH_G_MOL: f64 = 39.997;
const M2_PER_DM2: f64 = 0.01;
/// Place of the alloying element among the columns: after the rates.
const ALLOY_AT: usize = 11;

/// Columns of the volumes, each since make-up but the bath's own; `solutions_l`, everything else that
/// came in, stands beside them, so that they add up.
const VOLUMES: [(&str, Volume); 6] = [
    ("volume_l", Volume::Bath),
    ("drag_out_l", Volume::DraggedOut),
    ("bled_l", Volume::Bled),
    ("overflow_l", Volume::Overflowed),
    ("evaporated_l", Volume::Evaporated),
    ("water_l", Volume::Water),
];

/// The table of a life while it grows.
pub struct Recorder<'a> {
    balances: &'a Balances<'a>,
    /// Time with work in the tank, s.
    pub plating_s: f64,
    /// The table so far.
    pub table: Table,
}

impl<'a> Recorder<'a> {
    /// An empty table.
    pub fn new(balances: &'a Balances<'a>) -> Self {
        Recorder { balances, plating_s: 0.0, table: Table::default() }
    }

    /// Adds a row.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the cooled sample.
    pub fn row(&mut self, time_s: f64, state: &[f64], now: &Readings) -> Result<()> {
        let (tank, layout) = (self.balances.tank(), self.balances.layout());
        let amount = |slot: usize| state[slot] * layout.scale()[slot];
        let fed_l_l = |which: usize| amount(layout.fed().start + which) / tank.volume_l;
        let cooled = self.balances.ph_at(&now.totals_mol_l, REFERENCE_TEMPERATURE_K)?;
        let layer = tank.layer(&layout.deposited().map(amount).collect::<Vec<f64>>());
        let left = [Volume::DraggedOut, Volume::Bled, Volume::Overflowed];
        let gone_l = left.into_iter().map(|which| amount(layout.volume(which))).sum::<f64>();
        let mut row: Vec<(String, f64)> = [
            ("turnovers", now.turnovers),
            ("turnovers_plated", now.turnovers_plated),
            ("clock_h", time_s / SECONDS_PER_HOUR),
            ("plating_h", self.plating_s / SECONDS_PER_HOUR),
            ("area_m2", amount(layout.area())),
            ("metal_g_l", now.metal_g_l),
            ("reductant_mol_l", now.totals_mol_l[tank.roles.reductant]),
            ("ph", now.ph),
            ("ph_25c", cooled),
            ("deposition_um_h", now.deposition_um_h),
            ("deposition_now_um_h", now.deposition_now_um_h),
            ("reductant_per_metal_mol", now.reductant_per_metal_mol),
            ("free_metal_mol_l", now.free_metal_mol_l),
            ("ionic_strength_mol_l", now.ionic_strength_mol_l),
            ("specific_gravity", now.specific_gravity),
            ("ph_corrector_g_l", fed_l_l(PH) * tank.ph_corrector_g_l),
            ("metal_replenisher_ml_l", fed_l_l(METAL) * 1e3),
            ("reductant_replenisher_ml_l", fed_l_l(REDUCTANT) * 1e3),
            ("deposit_g", layer.mass_g),
            // Thickness over a dm², as work is priced.
            ("deposit_um_dm2", layer.thickness_um(M2_PER_DM2)),
            ("volume_gone_l", gone_l),
            ("metal_gone_g", tank.metal_g_l(amount(layout.gone().start + tank.roles.metal))),
            ("hydrogen_l", hydrogen_l(tank, &layout.evolved().map(amount).collect::<Vec<f64>>())),
        ]
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value))
        .collect();
        if let Some(alloy) = &tank.alloy_column {
            row.insert(ALLOY_AT, (alloy.clone(), now.alloy_wt_pct));
        }
        for (name, total) in tank.equilibrium.component_names().iter().zip(&now.totals_mol_l) {
            row.push((format!("{name}_mol_l"), *total));
        }
        if let Some(hydroxide) = now.hydroxide_mol_l {
            row.push(("free_naoh_g_l".to_owned(), hydroxide * NAOH_G_MOL));
        }
        row.extend(now.surface_ph.map(|ph| ("surface_ph".to_owned(), ph)));
        row.extend(now.potential_v_she.map(|potential| ("potential_v_she".to_owned(), potential)));
        let by_product = tank.roles.by_product;
        for (solid, index) in tank.solids.iter().zip(&now.saturation_index) {
            if solid.contains(by_product) {
                row.push((format!("saturation_index_{}", solid.name), *index));
            }
        }
        if tank.decomposition.is_some() {
            // Where nothing plates on the work, what plates out is beyond any share of it.
            row.push(("plate_out_pct".to_owned(), now.plate_out_pct.unwrap_or(f64::INFINITY)));
        }
        if !tank.programme.is_constant() {
            row.push(("temperature_c".to_owned(), now.temperature_k - ZERO_CELSIUS_K));
        }
        for (solution, column) in tank.further_solutions() {
            row.push((column, fed_l_l(solution) * 1e3));
        }
        for (name, which) in VOLUMES {
            row.push((name.to_owned(), amount(layout.volume(which))));
        }
        row.push(("solutions_l".to_owned(), layout.fed().map(amount).sum()));
        self.table.push(row);
        Ok(())
    }
}

/// Hydrogen gas in what has evolved, L at 25 degC and 1 atm.
pub(super) fn hydrogen_l(tank: &Tank, evolved_mol: &[f64]) -> f64 {
    const ATOMS_PER_MOLECULE: f64 = 2.0;
    let hydrogen = Element::new("H");
    let of_hydrogen = tank.evolved.iter().zip(evolved_mol).filter(|(element, _)| Some(**element) == hydrogen);
    of_hydrogen.map(|(_, moles)| moles).sum::<f64>() / ATOMS_PER_MOLECULE * GAS_MOLAR_VOLUME_25C_L_MOL
}
