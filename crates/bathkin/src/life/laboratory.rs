//! Analyses: samples taken, results that come later and are not quite right.

use std::collections::VecDeque;

use super::assay_noise::AssayNoise;
use crate::tank::{Analysis, Tank};

/// What an analysis says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Metal, mol/L.
    pub metal_mol_l: f64,
    /// Reductant, mol/L.
    pub reductant_mol_l: f64,
}

/// The laboratory of a tank.
#[derive(Debug)]
pub struct Laboratory {
    analysis: Analysis,
    draws: AssayNoise,
    /// Results under way with the time they come, s.
    under_way: VecDeque<(f64, Found)>,
}

impl Laboratory {
    /// The laboratory of a tank whose additions follow an analysis.
    pub fn of_tank(tank: &Tank) -> Option<Self> {
        let analysis = tank.operation.policies.analysis()?;
        Some(Laboratory { analysis, draws: AssayNoise::new(analysis.seed), under_way: VecDeque::new() })
    }

    /// Takes a sample of a liquid with these totals: two draws, metal first.
    pub fn sample(&mut self, time_s: f64, metal_mol_l: f64, reductant_mol_l: f64) {
        let mut seen = |truth: f64| truth * (1.0 + self.analysis.relative_error * self.draws.normal());
        let found = Found { metal_mol_l: seen(metal_mol_l), reductant_mol_l: seen(reductant_mol_l) };
        self.under_way.push_back((time_s + self.analysis.delay_s, found));
    }

    /// When the next result comes, s; infinite when none is under way.
    pub fn next_s(&self) -> f64 {
        self.under_way.front().map_or(f64::INFINITY, |(at, _)| *at)
    }

    /// The next result that has come.
    pub fn result(&mut self, time_s: f64) -> Option<Found> {
        if self.next_s() > time_s {
            return None;
        }
        self.under_way.pop_front().map(|(_, found)| found)
    }
}
