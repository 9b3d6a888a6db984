//! A bath followed from one row of its log to the next, from whatever state it is in, with others that differ a little
//! beside it: what a filter needs.

use std::borrow::Cow;

use bathkin_numerics::Options;

use super::additions::Operator;
use super::lockstep::with_tolerance;
use super::log_replay::{AtRow, Following, LoggedSegment, at_row, carry};
use super::simulate::fresh_state;
use crate::constants::SECONDS_PER_HOUR;
use crate::error::Result;
use crate::tank::{AlsoRead, Balances, ReferenceBath, Relation, Tank};

/// A bath that is followed.
#[derive(Debug, Clone)]
pub struct Member<'a> {
    /// Its tank, with the policies of [`super::log_replay::replayed`].
    pub tank: Cow<'a, Tank>,
    /// Area that plates in it over what is written.
    pub area_factor: f64,
}

/// Baths of one layout side by side. Their (scaled) states stand one behind the other.
#[derive(Debug)]
pub struct RowByRow<'a> {
    members: &'a [Member<'a>],
    balances: Vec<Balances<'a>>,
    options: Options,
}

impl<'a> RowByRow<'a> {
    /// Baths whose fresh make-up has these totals, mol/L, which set the scales. Differences between them are smooth:
    /// they make the same steps. Each solves its own equilibrium, to rounding where there are several if their tanks do
    /// ([`crate::solution::Equilibrium::solved_exactly`]).
    pub fn new(members: &'a [Member<'a>], fresh_totals_mol_l: &[f64], relative_tolerance: f64) -> Self {
        RowByRow::about(None, members, fresh_totals_mol_l, relative_tolerance)
    }

    /// The same of baths that differ from the first by next to nothing: they are linearised about the reference.
    pub fn about(
        reference: Option<&'a ReferenceBath>,
        members: &'a [Member<'a>],
        fresh_totals_mol_l: &[f64],
        relative_tolerance: f64,
    ) -> Self {
        let balances = |(number, member): (usize, &'a Member<'a>)| {
            let relation = Relation::of(reference, number, &member.tank, &members[0].tank);
            Balances::new(&member.tank, fresh_totals_mol_l).related(relation)
        };
        let balances = members.iter().enumerate().map(balances).collect();
        RowByRow { members, balances, options: with_tolerance(relative_tolerance) }
    }

    /// Length of the state of one bath.
    pub fn each(&self) -> usize {
        self.balances.first().map_or(0, |balances| balances.layout().len())
    }

    /// The balances of a bath.
    pub fn balances(&self, member: usize) -> &Balances<'a> {
        &self.balances[member]
    }

    /// The (scaled) state of a bath as made up with totals, mol/L.
    pub fn fresh_state(&self, totals_mol_l: &[f64]) -> Vec<f64> {
        fresh_state(&self.balances[0], totals_mol_l)
    }

    /// Does in each bath what was written at the end of a segment.
    ///
    /// # Errors
    /// As [`super::log_replay::replay`].
    pub fn add(&self, states: &mut [f64], segment: &LoggedSegment) -> Result<()> {
        let each = self.each();
        for (balances, state) in self.balances.iter().zip(states.chunks_exact_mut(each)) {
            balances.set_temperature_k(segment.temperature.at_k(segment.until_s));
            let mut operator = Operator::new(balances, state);
            operator
                .replay(segment.until_s, state, segment)
                .map_err(|error| error.at_time(segment.until_s / SECONDS_PER_HOUR))?;
        }
        Ok(())
    }

    /// Carries the baths from a clock time, s, to the end of a segment; what is written there is not done yet.
    ///
    /// # Errors
    /// As [`super::log_replay::replay`].
    pub fn carry(&self, since_s: f64, states: &mut [f64], segment: &LoggedSegment) -> Result<()> {
        let members: Vec<Following> = self
            .balances
            .iter()
            .zip(self.members)
            .map(|(balances, member)| Following::with_area(balances, member.area_factor))
            .collect();
        let mut time_s = since_s;
        carry(&members, segment, &mut time_s, states, &mut None, &self.options)?;
        self.stand_at_ph(states, segment)
    }

    /// Brings the baths to the measured pH at a segment's end, where one is followed.
    ///
    /// # Errors
    /// As [`super::log_replay::replay`].
    pub fn stand_at_ph(&self, states: &mut [f64], segment: &LoggedSegment) -> Result<()> {
        let each = self.each();
        for (balances, state) in self.balances.iter().zip(states.chunks_exact_mut(each)) {
            balances.set_temperature_k(segment.temperature.at_k(segment.until_s));
            Operator::new(balances, state).arrive(segment.until_s, state, segment)?;
        }
        Ok(())
    }

    /// What a bath shows at a segment's end in a state, and what hung in it since a state before.
    ///
    /// # Errors
    /// [`crate::Error::Convergence`] from the equilibrium.
    pub fn read(
        &self,
        member: usize,
        state: &[f64],
        before: &[f64],
        segment: &LoggedSegment,
        also: AlsoRead,
    ) -> Result<AtRow> {
        let balances = &self.balances[member];
        balances.set_temperature_k(segment.temperature.at_k(segment.until_s));
        at_row(balances, state, before, also)
            .map_err(|error| error.at_time(segment.until_s / SECONDS_PER_HOUR))
    }
}
