//! Why a solution was not found: the largest residual, whose it is, and how much of that there is.

use super::equilibrium::Equilibrium;
use super::workspace::Speciation;
use crate::error::Error;

impl Speciation {
    /// Why there is no solution at the present unknowns: the largest residual, whose it is, and its amounts.
    pub(super) fn unsolved(&self, chemistry: &Equilibrium, what: &str) -> Error {
        let unknowns = chemistry.lasting_unknowns() + self.between.felt.len();
        // What is no number is worst.
        let size = |sum: &f64| if sum.is_nan() { f64::INFINITY } else { sum.abs() };
        let sums = self.sums[..unknowns].iter().map(size).enumerate();
        let (unknown, residual) = sums.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or_default();
        self.unsolved_in(chemistry, what, unknown, residual)
    }

    /// The ion that holds most charge.
    fn most_charged<'a>(&'a self, chemistry: &'a Equilibrium) -> Option<(&'a str, usize)> {
        let charge = |ion: usize| (chemistry.charges[ion] * self.molalities[ion]).abs();
        let ions = self.each_substance(chemistry).filter(|(_, ion)| charge(*ion) > 0.0);
        ions.max_by(|a, b| charge(a.1).total_cmp(&charge(b.1)))
    }

    /// The same of one unknown.
    pub(super) fn unsolved_in(
        &self,
        chemistry: &Equilibrium,
        what: &str,
        unknown: usize,
        residual: f64,
    ) -> Error {
        let felt = unknown.checked_sub(chemistry.lasting_unknowns()).and_then(|k| self.between.felt.get(k));
        let (worst, substance) = match (chemistry.active.get(unknown), felt) {
            (Some(at), _) => (chemistry.component_names[*at].clone(), Some(chemistry.substance(*at))),
            (None, Some(number)) => {
                (chemistry.species_names[*number].clone(), Some(chemistry.first_formed() + number))
            }
            _ if unknown == chemistry.strength() => ("the ionic strength".to_owned(), None),
            _ if unknown == chemistry.proton() => match self.most_charged(chemistry) {
                Some((name, ion)) => (format!("the charge balance, most of it {name}"), Some(ion)),
                None => ("the charge balance".to_owned(), None),
            },
            _ => ("the activity of water".to_owned(), None),
        };
        let of = (0..self.given.len()).find(|at| Some(chemistry.substance(*at)) == substance);
        let (total_mol_l, free_mol_l) = (
            of.map(|at| self.given[at]),
            substance.map(|substance| self.molalities[substance] * self.water_kg_l),
        );
        let what = what.to_owned();
        Error::Convergence { what, time_h: None, residual, worst, total_mol_l, free_mol_l }
    }
}
