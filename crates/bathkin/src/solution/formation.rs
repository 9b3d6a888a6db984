//! The formation curve: how many ligands a metal holds, against the free ligand.

use bathkin_numerics::{RootError, bracketed_root};
use schemars::JsonSchema;
use serde::Serialize;

use super::chemistry::Chemistry;
use super::equilibrium::Equilibrium;
use super::profile::held_by;
use super::workspace::Speciation;
use crate::error::{Error, Place, Result};
use bathkin_numerics::short;

/// The total of a ligand is sought up to this, mol/L: beyond it is no solution.
pub const MOST_LIGAND_MOL_L: f64 = 100.0;

/// A formation curve, one value per point.
#[derive(Debug, Clone, PartialEq, Default, JsonSchema, Serialize)]
pub struct FormationCurve {
    /// pL = -log10 of the free ligand, mol/L.
    pub pl: Vec<f64>,
    /// Ligands bound per metal.
    pub mean_ligand_number: Vec<f64>,
    /// Total of the ligand that leaves so much of it free, mol/L.
    pub ligand_mol_l: Vec<f64>,
    /// Free metal, mol/L.
    pub free_metal_mol_l: Vec<f64>,
}

/// A solution whose ligand is varied at a held pH.
#[derive(Debug, Clone, Copy)]
pub struct Titrand<'a> {
    /// Its chemistry.
    pub chemistry: &'a Chemistry,
    /// The same, resolved.
    pub equilibrium: &'a Equilibrium,
    /// Totals of the components; that of the ligand does not matter.
    pub totals: &'a [f64],
    /// Temperature, K.
    pub temperature_k: f64,
    /// pH.
    pub ph: f64,
    /// Position of the metal among the totals.
    pub metal: usize,
    /// Position of the ligand among the totals.
    pub ligand: usize,
}

impl FormationCurve {
    /// The mean ligand number at each pL.
    ///
    /// n = sum_s nu_s c_s / T_M over the species s that hold metal and ligand,  pL = -log10 c_L
    ///
    /// | symbol | meaning | unit |
    /// |---|---|---|
    /// | n | mean ligand number | - |
    /// | nu_s | ligands in species s | - |
    /// | c_s, c_L | concentration of species s, of the free ligand | mol/L |
    /// | T_M | total of the metal | mol/L |
    ///
    /// Range: any pL that a total up to [`MOST_LIGAND_MOL_L`] leaves. Source: the definition; the
    /// curve is J. Bjerrum's. Where a step is well separated from its neighbours, n passes the half of it
    /// at pL = log K of the step.
    ///
    /// ```
    /// use bathkin::model::database::built_in;
    /// use bathkin::solution::formation::{FormationCurve, Titrand};
    /// use bathkin::solution::{Activity, Equilibrium};
    ///
    /// let (_, chemistry) = built_in()?;
    /// let names = ["silver", "ammonia"].map(str::to_owned);
    /// let equilibrium = Equilibrium::new(chemistry, &names, Activity::Ideal);
    /// let titrand = Titrand {
    ///     chemistry, equilibrium: &equilibrium, totals: &[1e-3, 0.0],
    ///     temperature_k: 298.15, ph: 10.0, metal: 0, ligand: 1,
    /// };
    /// let curve = FormationCurve::over_pl(titrand, &[5.0, 2.0])?;
    /// assert!(curve.mean_ligand_number[0] < 0.1 && curve.mean_ligand_number[1] > 1.9);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Recipe`] for a pL that no total of the ligand leaves; [`Error::Convergence`].
    pub fn over_pl(of: Titrand<'_>, pl: &[f64]) -> Result<Self> {
        let names = of.equilibrium.component_names();
        let metals = held_by(of.chemistry, of.equilibrium, &names[of.metal]);
        let ligands = held_by(of.chemistry, of.equilibrium, &names[of.ligand]);
        let both: Vec<f64> = metals
            .iter()
            .zip(ligands)
            .map(|(metal, count)| if *metal == 0.0 { 0.0 } else { count })
            .collect();
        let mut varied = Varied { of, speciation: of.equilibrium.speciation(), totals: of.totals.to_vec() };
        let mut curve = FormationCurve::default();
        for wanted in pl {
            let total = varied.total_for(*wanted)?;
            let bound: f64 = varied
                .speciation
                .species(of.equilibrium)
                .zip(&both)
                .map(|((_, mol_l), count)| count * mol_l)
                .sum();
            curve.pl.push(*wanted);
            curve.mean_ligand_number.push(bound / of.totals[of.metal]);
            curve.ligand_mol_l.push(total);
            curve.free_metal_mol_l.push(varied.speciation.free_mol_l(of.equilibrium, of.metal));
        }
        Ok(curve)
    }
}

struct Varied<'a> {
    of: Titrand<'a>,
    speciation: Speciation,
    totals: Vec<f64>,
}

impl Varied<'_> {
    /// pL less the wanted one with a total of the ligand.
    fn off(&mut self, total: f64, wanted: f64) -> Result<f64> {
        let of = self.of;
        self.totals[of.ligand] = total;
        self.speciation.solve_at_ph(of.equilibrium, &self.totals, of.temperature_k, of.ph)?;
        Ok(-self.speciation.free_mol_l(of.equilibrium, of.ligand).log10() - wanted)
    }

    /// The total that leaves the wanted pL, with the solution solved for it.
    fn total_for(&mut self, wanted: f64) -> Result<f64> {
        const TEN: f64 = 10.0;
        // With nothing bound the total is what is free.
        let mut low = TEN.powf(-wanted);
        let mut high = low;
        while self.off(high, wanted)? > 0.0 {
            if high >= MOST_LIGAND_MOL_L {
                return Err(self.out_of_reach(wanted));
            }
            low = high;
            high = (high * TEN).min(MOST_LIGAND_MOL_L);
        }
        let ln_total = if low < high {
            let root = bracketed_root(|ln| self.off(ln.exp(), wanted), low.ln(), high.ln(), 1e-13, 200);
            match root {
                Ok(ln) => ln,
                Err(RootError::Function(error)) => return Err(error),
                // The bracket holds by construction, so what is left is a root narrower than the tolerance.
                Err(_) => high.ln(),
            }
        } else {
            high.ln()
        };
        self.off(ln_total.exp(), wanted)?;
        Ok(ln_total.exp())
    }

    fn out_of_reach(&self, wanted: f64) -> Error {
        let name = &self.of.equilibrium.component_names()[self.of.ligand];
        Error::Recipe {
            place: Place { file: "formation curve".to_owned(), line: None },
            key: "pl".to_owned(),
            value: short(wanted),
            expected: format!("a pL that up to {MOST_LIGAND_MOL_L:.0} mol/L of {name} leave"),
            hint: Some(format!("at pH {} the ligand is bound to protons; raise the pH", self.of.ph)),
        }
    }
}
