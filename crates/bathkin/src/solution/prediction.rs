//! A guess of a solution from the few before it.
//!
//! The steps of an integration, the samples between them and the doses of a titration move the totals T along a line, and
//! the unknowns x go with them. With a the place along the line, in units of the last move,
//!
//! x = sum_k w_k x_k, w_k = prod_{l != k} (a - a_l)/(a_k - a_l),
//!
//! the polynomial through the last solutions on the line: third order with three. What lies beside the line moves the free
//! concentrations in proportion.

use super::earlier::MOST;
use super::equilibrium::Equilibrium;
use super::workspace::{Speciation, TRACE_MOL_KG};

/// Farther out than so many times the last move nothing is predicted.
const FARTHEST: f64 = 8.0;
/// Nor is a change of an unknown by more than this.
const LARGEST_CHANGE: f64 = 0.3;
/// A solution closer to the last than this share of the last move takes its place: two in one place tell of no line.
const CLOSE: f64 = 0.03;
/// Least square of the cosine between a move and the line.
const ON_LINE: f64 = 0.98;

impl Speciation {
    /// Keeps the present solution, and moves the unknowns to where the last few lead at `totals`; the totals of which that
    /// is the solution, per kilogram of water, are left in `expected`.
    pub(super) fn predict(&mut self, chemistry: &Equilibrium, totals: &[f64]) {
        self.keep(chemistry);
        let weights = self.weights(totals);
        let used = weights.iter().take_while(|weight| **weight != 0.0).count();
        let nodes = &self.earlier.nodes;
        let (last, older) = nodes[..used.max(1)].split_first().expect("one at least");
        self.expected.copy_from_slice(&last.totals);
        if used < 2 {
            return;
        }
        self.step[..last.unknowns.len()].copy_from_slice(&last.unknowns);
        for (node, weight) in older.iter().zip(&weights[1..]) {
            let moved = self.step.iter_mut().zip(node.unknowns.iter().zip(&last.unknowns));
            moved.for_each(|(value, (other, last))| *value += weight * (other - last));
            let moved = self.expected.iter_mut().zip(node.totals.iter().zip(&last.totals));
            moved.for_each(|(value, (other, last))| *value += weight * (other - last));
        }
        let far = |(value, last): (&f64, &f64)| (value - last).abs() > LARGEST_CHANGE;
        let less = |(value, last): (&f64, &f64)| *value < 0.5 * last;
        if self.step.iter().zip(&last.unknowns).any(far) || self.expected.iter().zip(&last.totals).any(less) {
            self.expected.copy_from_slice(&last.totals);
            return;
        }
        let free = self.ln_free.len();
        self.ln_free.copy_from_slice(&self.step[..free]);
        self.ionic_strength_mol_kg = self.step[chemistry.strength()];
        if chemistry.interacting() {
            self.ln_water_activity = self.step[chemistry.water()];
            let felt = self.between.ln_felt.len();
            self.between.ln_felt.copy_from_slice(&self.step[chemistry.lasting_unknowns()..][..felt]);
        }
    }

    /// The present solution becomes the latest of those that are kept.
    fn keep(&mut self, chemistry: &Equilibrium) {
        let earlier = &mut self.earlier;
        if earlier.felt != self.between.felt {
            earlier.known = 0;
            earlier.felt.clone_from(&self.between.felt);
        }
        let apart = |one: &[f64], other: &[f64]| -> f64 {
            one.iter().zip(other).map(|(one, other)| ((one - other) / one.max(TRACE_MOL_KG)).powi(2)).sum()
        };
        let [last, before, ..] = &earlier.nodes;
        let close = earlier.known > 1
            && apart(&self.totals, &last.totals) < CLOSE * CLOSE * apart(&last.totals, &before.totals);
        if !close {
            earlier.nodes.rotate_right(1);
            earlier.known = (earlier.known + 1).min(MOST);
        }
        let node = &mut earlier.nodes[0];
        node.totals.copy_from_slice(&self.totals);
        node.unknowns.clear();
        node.unknowns.extend_from_slice(&self.ln_free);
        node.unknowns.push(self.ionic_strength_mol_kg);
        if chemistry.interacting() {
            node.unknowns.push(self.ln_water_activity);
            node.unknowns.extend_from_slice(&self.between.ln_felt);
        }
    }

    /// The w of the module's head; a zero ends them.
    fn weights(&self, totals: &[f64]) -> [f64; MOST] {
        let mut weights = [0.0; MOST];
        weights[0] = 1.0;
        let earlier = &self.earlier;
        if earlier.known < 2 {
            return weights;
        }
        let [last, before, oldest] = &earlier.nodes;
        let (mut length, mut to_new, mut new, mut to_oldest, mut old) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (position, total) in totals.iter().enumerate() {
            let here = last.totals[position];
            let scale = here.max(TRACE_MOL_KG).recip();
            let move_last = (here - before.totals[position]) * scale;
            let move_new = (total / self.water_kg_l - here) * scale;
            let move_old = (oldest.totals[position] - here) * scale;
            length += move_last * move_last;
            to_new += move_last * move_new;
            new += move_new * move_new;
            to_oldest += move_last * move_old;
            old += move_old * move_old;
        }
        let (at, oldest_at) = (to_new / length, to_oldest / length);
        // A NaN where the last two are the same.
        if at.is_nan() || at.abs() > FARTHEST {
            return weights;
        }
        let on_line = |along: f64, whole: f64| along * along >= ON_LINE * length * whole;
        let apart = oldest_at.abs() > CLOSE && (oldest_at + 1.0).abs() > CLOSE;
        if earlier.known > 2 && apart && on_line(to_new, new) && on_line(to_oldest, old) {
            weights[0] = (at + 1.0) * (at - oldest_at) / -oldest_at;
            weights[1] = at * (at - oldest_at) / (1.0 + oldest_at);
            weights[2] = at * (at + 1.0) / (oldest_at * (oldest_at + 1.0));
        } else {
            weights[0] = 1.0 + at;
            weights[1] = -at;
        }
        weights
    }
}
