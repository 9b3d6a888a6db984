//! A start for the equilibrium from anywhere.
//!
//! At a fixed pH and fixed activity coefficients the mass balances are the stationarity conditions
//! of the convex function
//!
//! Phi(x) = sum_i c_i(x) - sum_j T_j x_j, x_j = ln c_j,
//!
//! so Newton's method with a backtracking line search reaches their one solution from any start.
//! With the balances solved, the net charge falls steadily with pH and has one root, which is
//! bracketed. The ionic strength is then brought up to date, and all is repeated a few times;
//! Newton's method on the full system does the rest.

use bathkin_numerics::{Bracket, RootError, narrow_bracket};

use super::equilibrium::Equilibrium;
use super::workspace::{Closure, Speciation};
use crate::constants::LN_10;
use crate::error::{Error, Result};

/// Rounds of charge balance and ionic strength before giving up.
pub(super) const ROUNDS: usize = 12;
const PH_LOW: f64 = -3.0;
const PH_HIGH: f64 = 18.0;
const PH_MIDDLE: f64 = 7.0;
/// From how close the full Newton method takes over.
struct Closeness {
    /// pH.
    ph: f64,
    /// Relative residual of the mass balances.
    balanced: f64,
}
/// At first, and when the full method did not find on from there.
const CLOSE_ENOUGH: [Closeness; 2] =
    [Closeness { ph: 0.3, balanced: 1e-2 }, Closeness { ph: 1e-2, balanced: 1e-6 }];

/// A first guess: everything free, strength of the free ions.
pub(super) fn begin(speciation: &mut Speciation, chemistry: &Equilibrium) {
    for (unknown, position) in chemistry.active.iter().enumerate() {
        speciation.ln_free[unknown] = speciation.total(*position).ln();
    }
    speciation.ionic_strength_mol_kg = strength_of_free_ions(speciation, chemistry).clamp(1e-7, 0.5);
    speciation.factored = false;
    speciation.earlier.known = 0;
    speciation.between.forget(chemistry);
    speciation.ln_water_activity = 0.0;
}

/// One round: the pH that balances the charge at the present ionic strength, then the strength.
pub(super) fn approach(speciation: &mut Speciation, chemistry: &Equilibrium, round: usize) -> Result<()> {
    speciation.factored = false;
    let closeness = &CLOSE_ENOUGH[round.min(1)];
    let proton = chemistry.proton();
    let activity = chemistry.activity();
    let debye_hueckel_a = activity.slope_at(speciation.temperature_k);
    let strength = speciation.ionic_strength_mol_kg;
    speciation.charge_function = activity.charge_function(debye_hueckel_a, strength).0;
    let root = match speciation.closure {
        Closure::Electroneutral => neutral_ph(speciation, chemistry, closeness)?,
        // ln m(H+) = ln a(H+) - ln g(H+).
        Closure::HeldPh(ph) => ph - (speciation.charge_function - speciation.between.shift[proton]) / LN_10,
    };
    speciation.ln_free[proton] = -root * LN_10;
    balance_masses(speciation, chemistry, closeness.balanced)?;
    // The geometric mean damps the swing between few ions at high and many at low strength.
    let reached = strength_of(speciation, chemistry).max(1e-7);
    speciation.ionic_strength_mol_kg = (reached * strength).sqrt();
    speciation.interact(chemistry);
    if chemistry.interacting() {
        speciation.ln_water_activity = speciation.ln_water_activity_of();
    }
    Ok(())
}

/// The -log10 of the proton's molality that balances the charge at the present coefficients.
///
/// The charge falls with pH: from the middle outwards to a change of sign, then inwards.
fn neutral_ph(speciation: &mut Speciation, chemistry: &Equilibrium, closeness: &Closeness) -> Result<f64> {
    const FIRST_STRIDE: f64 = 2.0;
    let proton = chemistry.proton();
    let mut charge_at = |ph: f64| {
        speciation.ln_free[proton] = -ph * LN_10;
        balance_masses(speciation, chemistry, closeness.balanced)?;
        Ok::<f64, Error>(net_charge(speciation, chemistry))
    };
    let mut near = PH_MIDDLE;
    let mut f_near = charge_at(near)?;
    let mut stride = FIRST_STRIDE * f_near.signum();
    loop {
        let next = (near + stride).clamp(PH_LOW, PH_HIGH);
        if next == near {
            let why = format!("no change of sign up to pH {near}");
            return Err(unbalanced(speciation, chemistry, &why, f_near));
        }
        let f_next = charge_at(next)?;
        if (f_next > 0.0) != (f_near > 0.0) {
            let bracket = Bracket { low: near, high: next, f_low: f_near, f_high: f_next };
            let end = narrow_bracket(charge_at, bracket, closeness.ph, 100).map_err(|error| match error {
                RootError::Function(inner) => inner,
                other => unbalanced(speciation, chemistry, &other.to_string(), f_near),
            })?;
            return Ok(if end.f_low.abs() < end.f_high.abs() { end.low } else { end.high });
        }
        (near, f_near) = (next, f_next);
        stride *= 2.0;
    }
}

/// Newton with backtracking on the convex function of the module's head, at fixed proton.
fn balance_masses(speciation: &mut Speciation, chemistry: &Equilibrium, balanced: f64) -> Result<()> {
    const STEPS: usize = 400;
    const LONGEST: f64 = 8.0;
    const SAFE: f64 = 0.25;
    let n = chemistry.active.len();
    lower_the_overdrawn(speciation, chemistry);
    let mut value = potential(speciation, chemistry);
    let mut start = speciation.ln_free.clone();
    for _ in 0..STEPS {
        if gradient_and_hessian(speciation, chemistry) < balanced {
            return Ok(());
        }
        let mut step = speciation.sums[..n].to_vec();
        speciation.lu.factor().map_err(|_| stuck(speciation, chemistry))?;
        speciation.lu.solve(&mut step);
        let longest =
            step.iter().fold(0.0_f64, |most, s| if s.is_nan() { f64::NAN } else { most.max(s.abs()) });
        if !longest.is_finite() {
            return Err(stuck(speciation, chemistry));
        }
        let mut fraction = (LONGEST / longest).min(1.0);
        start.copy_from_slice(&speciation.ln_free);
        loop {
            for k in 0..n {
                speciation.ln_free[k] = start[k] - fraction * step[k];
            }
            form(speciation, chemistry);
            let tried = potential(speciation, chemistry);
            // Short steps are safe on sums of exponentials, and near the solution the potential is
            // too flat to tell them apart.
            if tried <= value || fraction * longest < SAFE {
                value = tried;
                break;
            }
            fraction *= 0.5;
        }
    }
    Err(stuck(speciation, chemistry))
}

/// Lowers free components until no balance is overdrawn more than tenfold.
///
/// Where one complex is many times all there is of a component, the Hessian is that complex alone
/// and Newton's steps are lost in rounding; its root is a better guide.
fn lower_the_overdrawn(speciation: &mut Speciation, chemistry: &Equilibrium) {
    const OVERDRAWN: f64 = 10.0;
    const PASSES: usize = 200;
    let n = chemistry.active.len();
    for _ in 0..PASSES {
        form(speciation, chemistry);
        speciation.sum_masses(chemistry);
        let mut lowered = false;
        for unknown in 0..n {
            let drawn = speciation.sums[unknown] / speciation.total(chemistry.active[unknown]);
            if drawn > OVERDRAWN {
                speciation.ln_free[unknown] -=
                    drawn.min(f64::MAX).ln() / chemistry.largest_coefficients[unknown];
                lowered = true;
            }
        }
        if !lowered {
            return;
        }
    }
}

/// Molalities at the present unknowns.
fn form(speciation: &mut Speciation, chemistry: &Equilibrium) {
    speciation.free_from_logarithms();
    speciation.form_species(chemistry);
}

/// No pH balances this net charge, mol/kg.
fn unbalanced(speciation: &Speciation, chemistry: &Equilibrium, why: &str, charge: f64) -> Error {
    let what = format!("the charge balance of the solution ({why})");
    let residual = charge.abs() / speciation.strength_scale();
    speciation.unsolved_in(chemistry, &what, chemistry.proton(), residual)
}

fn stuck(speciation: &Speciation, chemistry: &Equilibrium) -> Error {
    speciation.unsolved(chemistry, "the mass balances of the solution")
}

/// Phi at the present molalities.
fn potential(speciation: &Speciation, chemistry: &Equilibrium) -> f64 {
    let proton = chemistry.proton();
    // Species of protons and water alone do not depend on the unknowns here; leaving them out of
    // the sum keeps it small enough to see small changes.
    let free: f64 = speciation.molalities[..proton].iter().sum();
    let formed: f64 = chemistry
        .formed
        .iter()
        .zip(&speciation.molalities[proton + 1..])
        .filter(|(species, _)| !species.mass_terms.is_empty())
        .map(|(_, concentration)| concentration)
        .sum();
    let linear: f64 = chemistry
        .active
        .iter()
        .enumerate()
        .map(|(unknown, position)| speciation.total(*position) * speciation.ln_free[unknown])
        .sum();
    free + formed - linear
}

/// Scaled mass-balance residuals into `sums`, their Jacobian into the matrix; the largest residual.
fn gradient_and_hessian(speciation: &mut Speciation, chemistry: &Equilibrium) -> f64 {
    let n = chemistry.active.len();
    speciation.sum_masses(chemistry);
    speciation.lu.resize(n);
    let matrix = speciation.lu.matrix_mut();
    for unknown in 0..n {
        matrix[unknown * n + unknown] = speciation.molalities[unknown];
    }
    for (species, molality) in chemistry.formed.iter().zip(&speciation.molalities[n + 1..]) {
        let terms = &chemistry.terms[species.mass_terms.clone()];
        for (row, a) in terms {
            for (column, b) in terms {
                matrix[row * n + column] += a * b * molality;
            }
        }
    }
    let mut largest = 0.0_f64;
    for (unknown, position) in chemistry.active.iter().enumerate() {
        let total = speciation.total(*position);
        speciation.sums[unknown] = speciation.sums[unknown] / total - 1.0;
        largest = largest.max(speciation.sums[unknown].abs());
        let matrix = speciation.lu.matrix_mut();
        matrix[unknown * n..(unknown + 1) * n].iter_mut().for_each(|value| *value /= total);
    }
    largest
}

fn net_charge(speciation: &Speciation, chemistry: &Equilibrium) -> f64 {
    moment(speciation, chemistry, |z| z)
}

fn strength_of(speciation: &Speciation, chemistry: &Equilibrium) -> f64 {
    0.5 * moment(speciation, chemistry, |z| z * z)
}

/// sum_i f(z_i) m_i over everything dissolved.
fn moment(speciation: &Speciation, chemistry: &Equilibrium, f: impl Fn(f64) -> f64) -> f64 {
    chemistry.charges.iter().zip(&speciation.molalities).map(|(z, molality)| f(*z) * molality).sum()
}

fn strength_of_free_ions(speciation: &Speciation, chemistry: &Equilibrium) -> f64 {
    let charges = chemistry.component_charges();
    0.5 * charges.iter().enumerate().map(|(position, z)| z * z * speciation.total(position)).sum::<f64>()
}
