//! A solved solution, and the memory of its solver.

use bathkin_numerics::Lu;

use super::earlier::Earlier;
use super::equilibrium::Equilibrium;
use super::exponential::Exponentials;

/// Totals below this are solved as if they were this, mol/kg: a logarithm needs something to hold.
pub const TRACE_MOL_KG: f64 = 1e-14;

/// The ionic strength of pure water, mol/kg.
pub(super) const SMALLEST_SCALE: f64 = 1e-7;

/// What fixes the proton.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Closure {
    /// The charges add up to nothing.
    Electroneutral,
    /// The pH is held; strong acid or base, taken as ideal ions of charge one, makes up the charge.
    HeldPh(f64),
}

/// A solved solution, and at the same time the memory the next solve starts from.
#[derive(Debug, Clone)]
pub struct Speciation {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Ionic strength, mol/kg.
    pub ionic_strength_mol_kg: f64,
    /// Water in a litre at 25 degC, kg; one when totals are per kilogram of water.
    pub water_kg_l: f64,
    /// ln of the water activity.
    pub ln_water_activity: f64,
    /// Newton steps of the last solve.
    pub newton_steps: usize,
    pub(super) closure: Closure,
    /// Net charge of everything dissolved, mol/kg.
    pub(super) net_charge: f64,
    /// ln of the molality of the free active components, then of the proton.
    pub(super) ln_free: Vec<f64>,
    /// ln of their activity.
    pub(super) ln_activities: Vec<f64>,
    /// Molalities: free active components, proton, formed species, inert components.
    pub(super) molalities: Vec<f64>,
    /// Exponentials of `ln_free` and of `ln_formed`.
    pub(super) exponentials: Exponentials,
    /// ln of the molalities of the formed species.
    pub(super) ln_formed: Vec<f64>,
    pub(super) ln_k: Vec<f64>,
    pub(super) charge_function: f64,
    pub(super) charge_function_slope: f64,
    /// Memory of the interactions between ions.
    pub(super) between: Interactions,
    pub(super) lu: Lu,
    /// The last few solutions.
    pub(super) earlier: Earlier,
    /// Totals per kilogram of water of which the first guess is the solution.
    pub(super) expected: Vec<f64>,
    /// Residuals of the equations, scaled.
    pub(super) sums: Vec<f64>,
    pub(super) step: Vec<f64>,
    /// d ln g / d unknown of every substance, row by row; see `jacobian.rs`.
    pub(super) coefficient_rows: Vec<f64>,
    /// d ln m / d unknown of every formed species, row by row.
    pub(super) formed_rows: Vec<f64>,
    /// Memory of the derivatives.
    pub(super) direct: Direct,
    /// d answer / d residual, a row for each answer.
    pub(super) adjoints: Vec<f64>,
    /// Totals as given.
    pub(super) given: Vec<f64>,
    /// Totals per kilogram of water.
    pub(super) totals: Vec<f64>,
    /// d(water)/d(total), kg/mol.
    pub(super) water_slopes: Vec<f64>,
    /// d(water)/d(base), kg/mol, of a base whose cation has no volume.
    pub(super) water_kg_mol_base: f64,
    pub(super) debye_hueckel_a: f64,
    pub(super) solved: bool,
    /// The factored Jacobian in `lu` belongs to a solution nearby.
    pub(super) factored: bool,
}

/// What ions do to each other: memory of [`super::interaction`].
#[derive(Debug, Clone)]
pub(super) struct Interactions {
    /// ln(10) eps of each pair at the temperature and ionic strength.
    pub(super) coefficients: Vec<f64>,
    /// The same at the temperature and 1 mol/kg, of the pairs that move with ionic strength.
    pub(super) at_unit_strength: Vec<f64>,
    /// The molalities that act on the other ions: those of the unknowns.
    pub(super) acting: Vec<f64>,
    /// ln(10) sum eps m for each dissolved substance, and its slope with I at constant molalities.
    pub(super) shift: Vec<f64>,
    pub(super) shift_slope: Vec<f64>,
    /// Species numbers of the formed ions whose molality is an unknown, and its ln.
    pub(super) felt: Vec<usize>,
    pub(super) ln_felt: Vec<f64>,
    pub(super) exponentials: Exponentials,
    /// exp of `ln_felt`.
    pub(super) felt_acting: Vec<f64>,
    /// Unknown that moves the acting molality of a substance; none for what hardly acts.
    pub(super) unknown_of: Vec<Option<usize>>,
}

impl Interactions {
    /// Back to ions that do not feel each other.
    pub(super) fn forget(&mut self, chemistry: &Equilibrium) {
        self.shift.fill(0.0);
        self.shift_slope.fill(0.0);
        self.felt.clear();
        self.ln_felt.clear();
        self.unknown_of[chemistry.first_formed()..].fill(None);
    }
}

/// Memory of the derivatives.
#[derive(Debug, Clone)]
pub(super) struct Direct {
    /// d ln g of every dissolved substance at constant unknowns.
    pub(super) coefficients: Vec<f64>,
    /// d ln m of every formed species at constant unknowns.
    pub(super) formed: Vec<f64>,
}

impl Direct {
    pub(super) fn new(substances: usize, formed: usize) -> Self {
        Direct { coefficients: vec![0.0; substances], formed: vec![0.0; formed] }
    }
}

impl Equilibrium {
    /// Empty memory for this equilibrium, to be filled by [`Speciation::solve`].
    pub fn speciation(&self) -> Speciation {
        Speciation::empty(self)
    }
}

impl Speciation {
    /// Empty memory for an equilibrium, to be filled by [`Speciation::solve`].
    pub(super) fn empty(chemistry: &Equilibrium) -> Self {
        let (formed, substances) = (chemistry.formed.len(), chemistry.charges.len());
        let most = chemistry.lasting_unknowns() + if chemistry.interacting() { formed } else { 0 };
        let mut unknown_of: Vec<Option<usize>> = vec![None; substances];
        for (unknown, of) in unknown_of.iter_mut().enumerate().take(chemistry.proton() + 1) {
            *of = Some(unknown);
        }
        let interacting = if chemistry.interacting() { substances } else { 0 };
        Speciation {
            temperature_k: f64::NAN,
            ionic_strength_mol_kg: 0.1,
            water_kg_l: 1.0,
            ln_water_activity: 0.0,
            newton_steps: 0,
            closure: Closure::Electroneutral,
            net_charge: 0.0,
            ln_free: vec![0.0; chemistry.active.len() + 1],
            ln_activities: vec![0.0; chemistry.active.len() + 1],
            molalities: vec![0.0; substances],
            exponentials: Exponentials::new(substances),
            ln_formed: vec![0.0; formed],
            ln_k: vec![0.0; formed],
            charge_function: 0.0,
            charge_function_slope: 0.0,
            between: Interactions {
                coefficients: vec![0.0; chemistry.pairs.len()],
                at_unit_strength: vec![0.0; chemistry.moving_pairs],
                acting: vec![0.0; interacting],
                shift: vec![0.0; substances],
                shift_slope: vec![0.0; substances],
                felt: Vec::with_capacity(formed),
                ln_felt: Vec::with_capacity(formed),
                exponentials: Exponentials::new(formed),
                felt_acting: vec![0.0; formed],
                unknown_of,
            },
            lu: Lu::new(most),
            earlier: Earlier::new(chemistry, most),
            expected: vec![0.0; chemistry.component_names.len()],
            sums: vec![0.0; most],
            step: vec![0.0; most],
            coefficient_rows: vec![0.0; substances * most],
            formed_rows: vec![0.0; formed * most],
            direct: Direct::new(substances, formed),
            adjoints: Vec::with_capacity(most),
            given: vec![f64::NAN; chemistry.component_names.len()],
            totals: vec![0.0; chemistry.component_names.len()],
            water_slopes: vec![0.0; chemistry.component_names.len()],
            water_kg_mol_base: 0.0,
            debye_hueckel_a: 0.0,
            solved: false,
            factored: false,
        }
    }

    pub(super) fn closed_by(&mut self, closure: Closure) {
        if self.closure != closure {
            self.closure = closure;
            self.factored = false;
            self.earlier.known = 0;
            self.given.fill(f64::NAN);
        }
    }

    pub(super) fn total(&self, position: usize) -> f64 {
        self.totals[position].max(TRACE_MOL_KG)
    }

    /// Residuals of the charge balance and of the ionic strength are measured against this.
    pub(super) fn strength_scale(&self) -> f64 {
        self.ionic_strength_mol_kg.max(SMALLEST_SCALE)
    }
}
