//! The rest of a bath's life: members drawn from what is believed of it today, each continued to its first limit.
//!
//! A member has its own contents, and a tank at its own unknowns: rate, ageing, by-product, strengths, drag-out. Its operator
//! holds what he *reads* at the set-points, so that a titration bias or an electrode offset moves the bath the other way. What
//! walks from turnover to turnover has walked by the end: of the mean number n of turnovers still to come, a rate or an ageing
//! constant by its variance times n, as at the end where it is judged, what piles up (side reactions) by a third of it, the variance of
//! the mean of a walk over its way. Work: as the recipe plans it, or drawn from what the log shows of it ([`LoadAhead`]).

use bathkin::Recipe;
use bathkin::life::{Limit, RestOfLife, Used, rest_of_life};
use bathkin::model::Model;
use bathkin::tank::Tank;
use bathkin_statistics::kalman::Belief;
use bathkin_statistics::random::Stream;
use nalgebra::DVector;

use crate::error::DataError;
use crate::track::coordinates::Coordinates;
use crate::track::load::{LoadAhead, worked};
use crate::track::unknown::{AgeingForm, Kind, Unknown, tank_at};

/// The bath today, as members are drawn from it.
pub(crate) struct Today<'a> {
    pub recipe: &'a Recipe,
    pub model: &'a Model,
    pub form: AgeingForm,
    /// The tank that does as its policies say.
    pub tank: &'a Tank,
    pub coordinates: &'a Coordinates,
    pub unknowns: &'a [Unknown],
    pub belief: &'a Belief,
    /// The (scaled) state at the mean.
    pub state: &'a [f64],
    /// Clock time of the recipe's schedule, s.
    pub clock_s: f64,
    pub load: &'a LoadAhead,
    /// Where a life ends.
    pub limits: &'a [Limit],
}

/// What is still to come of the bath at the mean.
pub(crate) struct Ahead {
    /// Turnovers plated.
    pub turnovers: f64,
    /// Time, s.
    pub left_s: f64,
}

/// A member: its unknown state, and how it ends.
pub(crate) struct Member {
    pub x: DVector<f64>,
    pub ends: Result<RestOfLife, DataError>,
}

impl Today<'_> {
    /// The rest of the life of the bath at the mean.
    ///
    /// # Errors
    /// A life that fails.
    pub fn at_mean(&self) -> Result<RestOfLife, DataError> {
        self.life_of(&self.belief.mean, None, &mut |_| true)
    }

    /// The (scaled) state of contents.
    pub fn state_of(&self, x: &DVector<f64>) -> Vec<f64> {
        let mut state = self.state.to_vec();
        self.coordinates.write(&mut state, &x.as_slice()[..self.coordinates.len()]);
        state
    }

    /// The tank of a member, its operator misled by its biases.
    pub fn tank_of(&self, values: &[f64]) -> Tank {
        let mut tank = tank_at(self.tank, self.unknowns, values);
        for (unknown, value) in self.unknowns.iter().zip(values) {
            match unknown.kind {
                Kind::TitrationBias => tank.operation.set_points.metal_mol_l *= (-value).exp(),
                // A pump that holds the reading was moved with the unknown.
                Kind::Electrode if tank.operation.set_points.ph == self.tank.operation.set_points.ph => {
                    tank.operation.set_points.ph -= value
                }
                _ => {}
            }
        }
        tank
    }

    /// A life from a state, its work and what walks drawn where a stream is given.
    pub fn life_of(
        &self,
        x: &DVector<f64>,
        walks: Option<(&mut Stream, &Ahead)>,
        report: &mut dyn FnMut(f64) -> bool,
    ) -> Result<RestOfLife, DataError> {
        let contents = self.coordinates.len();
        let mut values = x.as_slice()[contents..].to_vec();
        let mut load = self.load.level();
        if let Some((stream, ahead)) = walks {
            for (unknown, value) in self.unknowns.iter().zip(&mut values) {
                let way = if unknown.kind == Kind::SideReactions { 1.0 / 3.0 } else { 1.0 };
                *value += (unknown.per_turnover * ahead.turnovers * way).sqrt() * stream.normal();
            }
            load = self.load.drawn(ahead.left_s, stream);
        }
        let mut tank = self.tank_of(&values);
        tank.operation.work = worked(&tank.operation.work, load);
        let model = self.model;
        let used = Used { state: self.state_of(x), clock_s: self.clock_s };
        self.recipe.go_on()?;
        Ok(rest_of_life(&tank, &model.fresh_totals_mol_l, used, self.limits, &model.settings, report)?)
    }
}

/// Share of the width of a spread that one more reading would take away: with T the end of each member and y what it
/// would read, 1 - √(1 - cov(T, y)²/(var T (var y + R))).
pub(crate) fn width_removed(ends: &[f64], readings: &[f64], variance: f64) -> f64 {
    let count = ends.len() as f64;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / count;
    let (end, read) = (mean(ends), mean(readings));
    let across = |a: &[f64], mean_a: f64, b: &[f64], mean_b: f64| {
        a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum::<f64>() / (count - 1.0)
    };
    let (var_end, var_read) = (across(ends, end, ends, end), across(readings, read, readings, read));
    let both = across(ends, end, readings, read);
    let explained = both * both / (var_end * (var_read + variance));
    if explained.is_finite() { 1.0 - (1.0 - explained.min(1.0)).sqrt() } else { 0.0 }
}
