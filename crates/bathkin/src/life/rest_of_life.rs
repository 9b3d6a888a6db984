//! The life of a bath that is in use, from where it stands to its first limit.

use super::limits::Limit;
use super::settings::Settings;
use super::simulate::{Used, carry_on, fresh_state};
use super::{SolverStatistics, Verdict};
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::tank::{Balances, Readings, Tank};

/// How a bath in use ends.
#[derive(Debug, Clone, PartialEq)]
pub struct RestOfLife {
    /// What ends it, and when by the clock of its schedule; the plating time counts from where it stood.
    pub verdict: Verdict,
    /// Area still plated, m².
    pub area_left_m2: f64,
    /// Turnovers still to come, by metal plated.
    pub turnovers_left: f64,
    /// How much work the computation was.
    pub effort: SolverStatistics,
}

/// Continues a bath of a tank by its policies from a state to the first limit; the fresh bath has totals, mol/L. A bath
/// that is past a limit ends where it stands.
///
/// # Errors
/// As [`super::simulate()`].
pub fn rest_of_life(
    tank: &Tank,
    fresh_totals_mol_l: &[f64],
    used: Used,
    limits: &[Limit],
    settings: &Settings,
    report: &mut dyn FnMut(f64) -> bool,
) -> Result<RestOfLife> {
    let balances = Balances::new(tank, fresh_totals_mol_l);
    let fresh = fresh_state(&balances, fresh_totals_mol_l);
    let fresh_ph = balances.observe(&fresh, |observed, _, _| observed.ph)?;
    let now = Readings::take(&balances, &used.state, fresh_ph)?;
    // The end is counted from make-up, as a life's is.
    let settings = Settings {
        longest_clock_h: settings.longest_clock_h + used.clock_s / SECONDS_PER_HOUR,
        ..settings.clone()
    };
    let (life, _) =
        carry_on(&balances, Some(used), fresh_totals_mol_l, limits, &settings, report, &mut |_| ())?;
    Ok(RestOfLife {
        area_left_m2: life.verdict.area_m2 - now.area_m2,
        turnovers_left: life.verdict.turnovers_plated - now.turnovers_plated,
        effort: life.effort,
        verdict: life.verdict,
    })
}
