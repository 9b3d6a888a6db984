//! What a recipe does not know of a bath: slow unknowns that a log tells little by little.
//!
//! | unknown | moves | prior (1 sd) | walk | source |
//! | --- | --- | --- | --- | --- |
//! | rate factor | ln of every rate | 8 % | 2 % per √turnover | invented, tried on simulated baths |
//! | ageing constant | ln of the constants of by-product and salt together | 20 % | 3 % per √turnover | likewise |
//! | side reactions | ln of what gives off gas alone; moves the by-product per metal by 5 % | | as 1 % of the by-product per √turnover | likewise |
//! | strength of a replenisher | ln of what a litre brings | 2 % | - | likewise |
//! | drag-out factor | ln of what work carries out and in | 50 % | - | likewise |
//! | titration bias | ln of a titrated metal | 0.7 % | - | likewise |
//! | electrode offset | pH | 0.03 | 0.02 per √row | likewise |
//! | titration noise | ln of a titrated metal, from row to row correlated by 0.23 | its own | - | lag of a shop's series of 75 analyses |
//! | level | ln of every content, where the recipe holds the level | 1 % | anew at each row | likewise invented |
//!
//! The walks stand for what no recipe says; without them the band of the dump is far too narrow.

use std::sync::Arc;

use bathkin::surface::Kinetics;
use bathkin::tank::{BulkReaction, DragOut, Level, METAL, PhPolicy, REDUCTANT, Tank};

/// Correlation of the noise of neighbouring titrations.
pub(crate) const TITRATION_LAG: f64 = 0.23;
/// Standard deviation of a level that is said to be held, of the volume.
pub(crate) const LEVEL: f64 = 0.01;

/// What an unknown is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    Rate,
    Ageing,
    SideReactions,
    Strength(usize),
    DragOut,
    TitrationBias,
    Electrode,
    TitrationNoise,
    Level,
}

/// An unknown.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unknown {
    pub kind: Kind,
    pub name: String,
    /// Standard deviation before the log.
    pub prior: f64,
    /// Variance it gains per turnover.
    pub per_turnover: f64,
    /// Variance it gains per row.
    pub per_row: f64,
    /// What stays of it from row to row.
    pub kept: f64,
}

impl Unknown {
    fn new(kind: Kind, name: impl Into<String>, prior: f64) -> Self {
        Unknown { kind, name: name.into(), prior, per_turnover: 0.0, per_row: 0.0, kept: 1.0 }
    }

    /// Whether it moves what goes on in the tank, and not only what is read.
    pub fn moves_bath(&self, pumped: bool) -> bool {
        match self.kind {
            Kind::TitrationBias | Kind::TitrationNoise | Kind::Level => false,
            Kind::Electrode => pumped,
            _ => true,
        }
    }
}

/// The unknowns of a tank, whose side reactions make this part of the by-product per metal; titrations of the metal
/// scatter by `titration`.
pub(crate) fn unknowns(tank: &Tank, side_share: f64, titration: f64) -> Vec<Unknown> {
    let mut found =
        vec![Unknown { per_turnover: 0.02_f64.powi(2), ..Unknown::new(Kind::Rate, "rate factor", 0.08) }];
    if ages(tank) {
        found.push(Unknown {
            per_turnover: 0.03_f64.powi(2),
            ..Unknown::new(Kind::Ageing, "ageing constant", 0.20)
        });
    }
    // Below this the side reactions cannot stand for a by-product that is off by five per cent.
    const SHARE_THAT_COUNTS: f64 = 0.02;
    if side_share > SHARE_THAT_COUNTS {
        let of_share = |part: f64| (part / side_share).min(0.5);
        found.push(Unknown {
            per_turnover: of_share(0.01).powi(2),
            ..Unknown::new(Kind::SideReactions, "side reactions", of_share(0.05))
        });
    }
    for solution in [METAL, REDUCTANT] {
        let name = format!("strength of {}", tank.operation.replenishers[solution].name);
        found.push(Unknown::new(Kind::Strength(solution), name, 0.02));
    }
    if tank.operation.drag_out.l_m2(None) > 0.0 {
        found.push(Unknown::new(Kind::DragOut, "drag-out factor", 0.5));
    }
    found.push(Unknown::new(Kind::TitrationBias, "titration bias", 0.007));
    found.push(Unknown {
        per_row: 0.02_f64.powi(2),
        ..Unknown::new(Kind::Electrode, "electrode offset", 0.03)
    });
    found.push(Unknown {
        per_row: (1.0 - TITRATION_LAG * TITRATION_LAG) * titration * titration,
        kept: TITRATION_LAG,
        ..Unknown::new(Kind::TitrationNoise, "titration noise", titration)
    });
    if tank.plant.level == Level::Held {
        let level = Unknown::new(Kind::Level, "level", LEVEL);
        found.push(Unknown { per_row: LEVEL * LEVEL, kept: 0.0, ..level });
    }
    found
}

/// Place of an unknown in a state whose contents come first.
pub(crate) fn place_of(unknowns: &[Unknown], kind: Kind, contents: usize) -> Option<usize> {
    unknowns.iter().position(|unknown| unknown.kind == kind).map(|at| contents + at)
}

/// How ageing goes with the by-product.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum AgeingForm {
    /// As the recipe has it.
    #[default]
    OfRecipe,
    /// An exponential of the by-product, as steep in an unused bath.
    Exponential,
}

fn ages(tank: &Tank) -> bool {
    tank.bath.kinetics.ages(tank.bath.roles.by_product)
}

/// A tank at values of its unknowns.
pub(crate) fn tank_at(tank: &Tank, unknowns: &[Unknown], values: &[f64]) -> Tank {
    let mut moved = tank.clone();
    let mut kinetics: Option<Kinetics> = None;
    for (unknown, value) in unknowns.iter().zip(values) {
        let factor = value.exp();
        let now = kinetics.as_ref().unwrap_or(&tank.bath.kinetics);
        match unknown.kind {
            Kind::Rate => kinetics = Some(now.times(factor)),
            Kind::Ageing => kinetics = Some(now.ageing_times(tank.bath.roles.by_product, factor)),
            Kind::SideReactions => {
                kinetics = Some(now.side_reactions_times(factor));
                let faster = |reaction: &BulkReaction| {
                    let mut reaction = reaction.clone();
                    reaction.law.value_at_reference *= factor;
                    reaction
                };
                moved.bath.bulk = tank.bath.bulk.iter().map(faster).collect();
            }
            Kind::Strength(solution) => {
                let water = tank.bath.water();
                let brings = moved.operation.replenishers[solution].per_litre.iter_mut().enumerate();
                brings.filter(|(slot, _)| *slot != water).for_each(|(_, moles)| *moles *= factor);
            }
            Kind::DragOut => {
                let DragOut { reference_l_m2, least_l_m2, .. } = tank.operation.drag_out;
                moved.operation.drag_out.reference_l_m2 = reference_l_m2 * factor;
                moved.operation.drag_out.least_l_m2 = least_l_m2 * factor;
                moved.operation.drag_in_l_m2 = tank.operation.drag_in_l_m2 * factor;
            }
            Kind::Electrode if tank.operation.policies.ph == PhPolicy::Continuous => {
                moved.operation.set_points.ph = tank.operation.set_points.ph - value;
                moved.operation.electrode_ph = *value;
            }
            Kind::Electrode | Kind::TitrationBias | Kind::TitrationNoise | Kind::Level => {}
        }
    }
    if let Some(kinetics) = kinetics {
        moved.bath.kinetics = Arc::new(kinetics);
    }
    moved
}
