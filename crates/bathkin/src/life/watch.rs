//! The bath before and after each dose.

use crate::error::Result;
use crate::tank::{Balances, Volume};

/// What a plan tells of the bath at a moment.
#[derive(Debug, Clone, Copy, PartialEq, schemars::JsonSchema, serde::Serialize)]
pub struct ShiftState {
    /// Metal, g/L.
    pub metal_g_l: f64,
    /// Reductant, mol/L.
    pub reductant_mol_l: f64,
    /// pH as the operator reads it.
    pub ph: f64,
    /// Volume, L.
    pub volume_l: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
}

impl ShiftState {
    /// Reads the bath at a (scaled) state.
    pub(super) fn read(balances: &Balances, state: &[f64]) -> Result<Self> {
        let (tank, layout) = (balances.tank(), balances.layout());
        let bath = layout.volume(Volume::Bath);
        let volume_l = state[bath] * layout.scale()[bath];
        let (totals, ph) =
            balances.observe(state, |observed, _, _| (observed.totals_mol_l.clone(), observed.ph))?;
        Ok(ShiftState {
            metal_g_l: tank.bath.metal_g_l(totals[tank.bath.roles.metal]),
            reductant_mol_l: totals[tank.bath.roles.reductant],
            ph: balances.ph_read(&totals, ph)?,
            volume_l,
            turnovers: crate::tank::readings::turnovers(balances, state).0,
        })
    }
}

/// A dose as it was watched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Watched {
    /// Its line of the ledger.
    pub(super) line: usize,
    /// What it would have been without rounding, L.
    pub(super) exact_l: f64,
    pub(super) before: ShiftState,
    pub(super) after: ShiftState,
}

/// Looks at the bath before and after each dose.
#[derive(Debug, Default)]
pub(super) struct Watch {
    before: Option<ShiftState>,
    pub(super) doses: Vec<Watched>,
}

impl Watch {
    pub(super) fn before(&mut self, balances: &Balances, state: &[f64]) -> Result<()> {
        self.before = Some(ShiftState::read(balances, state)?);
        Ok(())
    }

    pub(super) fn after(
        &mut self,
        balances: &Balances,
        state: &[f64],
        exact_l: f64,
        line: usize,
    ) -> Result<()> {
        let after = ShiftState::read(balances, state)?;
        let before = self.before.take().unwrap_or(after);
        self.doses.push(Watched { line, exact_l, before, after });
        Ok(())
    }
}
