//! What a database says of redox couples, gases, solids and pairs of ions.

use super::equilibrium_constant::EquilibriumConstant;
use super::evidence::Evidence;
use super::formula::Formula;
use crate::source::Source;

/// A couple of dissolved components and pure solids.
#[derive(Debug, Clone, PartialEq)]
pub struct Couple {
    /// Name, as used in recipes.
    pub name: String,
    /// The reaction, for people.
    pub title: String,
    /// The component that makes the couple worth showing.
    pub metal: usize,
    /// (component index, coefficient), taken up on the left.
    pub forms_from: Vec<(usize, f64)>,
    /// Electrons taken up.
    pub electrons: f64,
    /// Constant of the reduction.
    pub constant: EquilibriumConstant,
    /// Source of the constant.
    pub source: Source,
    /// Traps and alternatives, in words.
    pub note: Option<String>,
}

/// A gas and how it dissolves.
#[derive(Debug, Clone, PartialEq)]
pub struct Gas {
    /// Name, as used in recipes.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula, neutral.
    pub formula: Formula,
    /// Component or species that is the dissolved molecule.
    pub dissolved: String,
    /// (component index, moles brought per mole of gas).
    pub forms_from: Vec<(usize, f64)>,
    /// Henry constant, mol/(kg atm).
    pub henry: EquilibriumConstant,
    /// Source of the constant.
    pub source: Source,
    /// Traps and alternatives, in words.
    pub note: Option<String>,
}

/// A solid that can form from components.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Name, as used in recipes.
    pub name: String,
    /// Name for people.
    pub title: String,
    /// Formula, neutral.
    pub formula: Formula,
    /// (component index, coefficient) of the formation reaction.
    pub forms_from: Vec<(usize, f64)>,
    /// What its constants are switched together with: one label for all of a group.
    pub group: Option<String>,
    /// Formation constant.
    pub constant: EquilibriumConstant,
    /// What is known about the constant.
    pub evidence: Evidence,
    /// The other constants there are for it, by label; a recipe may choose one.
    pub alternatives: Vec<(EquilibriumConstant, Evidence)>,
}

/// A coefficient as the constants file gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct PairCoefficient {
    /// Formula of the cation.
    pub cation: String,
    /// Formula of the anion.
    pub anion: String,
    /// eps, or e1, kg/mol at 25 degC.
    pub epsilon_kg_mol: f64,
    /// e2, kg/mol per decade of ionic strength.
    pub epsilon_log_i_kg_mol: f64,
    /// Change of eps with temperature, kg/(mol K).
    pub temperature_slope_kg_mol_k: f64,
    /// Species that must not stand beside this coefficient.
    pub excludes_species: Vec<String>,
}
