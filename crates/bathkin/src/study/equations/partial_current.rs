//! Partial currents as formulas; [`crate::surface::PartialCurrent`] defines them.

use crate::constants::REFERENCE_TEMPERATURE_K;
use crate::study::equations::expression::Expression;
use crate::study::equations::expression::Expression::{Exponential, Number, Product, Quantity, Sum, Symbol};
use crate::study::equations::law::Names;
use crate::surface::{PartialCurrent, ReferencePotential, Shift, Shifter};

/// s (f - r), or s (f - r)/(1 + f/i_L) where diffusion limits it.
pub(crate) fn partial_current_of(
    names: &Names,
    partial: &PartialCurrent,
    gives_electrons: bool,
) -> Expression {
    let sign = if gives_electrons { 1.0 } else { -1.0 };
    let driven = |coefficient: f64| {
        let standard = reference(&partial.reference);
        let potential = if standard == Quantity(0.0, "V") {
            Expression::symbol("E")
        } else {
            Expression::symbol("E").less(standard)
        };
        let over_rt =
            Expression::symbol("F").over(Product(vec![Expression::symbol("R"), Expression::symbol("T")]));
        Exponential(Box::new(Product(vec![Number(coefficient), over_rt, potential])))
    };
    let mut forward = vec![driven(sign * partial.transfer_coefficient)];
    let mut net = None;
    if let Some(back) = &partial.back {
        let mut backward = vec![driven(-sign * back.transfer_coefficient)];
        let share = (partial.transfer_coefficient + back.transfer_coefficient) / back.electrons;
        for shift in &back.shifts {
            let side = if shift.moles > 0.0 { &mut forward } else { &mut backward };
            side.push(shifted(names, shift).raised(shift.moles.abs() * share));
        }
        net = Some(Product(forward.clone()).less(Product(backward)));
    }
    let law = names.law(&partial.current, sign, Some("A/m2"));
    let current = Product(vec![law, net.unwrap_or(Product(forward))]);
    match &partial.transport {
        None => current,
        Some(transport) => {
            let limit = Product(vec![
                Number(transport.electrons_per_mole),
                Expression::symbol("F"),
                Quantity(transport.coefficient_m_s, "m/s"),
                faster(transport.coefficient_temperature_k),
                names.concentration(transport.of),
            ]);
            let forward = Expression::symbol("f");
            current.over(Sum(vec![Number(1.0), forward.over(limit)]))
        }
    }
}

/// Diffusion at the temperature over what it is at that of the coefficient; eta is the viscosity of water.
fn faster(given_at_k: f64) -> Expression {
    let eta = |at: &str| Symbol(format!("eta({at})"), format!("\\eta({at})"));
    let given = format!("{given_at_k} K");
    let (here, there) = (Expression::symbol("T").over(eta("T")), Quantity(given_at_k, "K").over(eta(&given)));
    here.over(there)
}

/// E_ref at the temperature.
fn reference(of: &ReferencePotential) -> Expression {
    let at_25c = Quantity(of.at_25c_v, "V");
    if of.slope_v_k == 0.0 {
        return at_25c;
    }
    let warmer = Expression::symbol("T").less(Quantity(REFERENCE_TEMPERATURE_K, "K"));
    Sum(vec![at_25c, Product(vec![Quantity(of.slope_v_k, "V/K"), warmer])])
}

/// c/c_ref of what moves the equilibrium potential.
fn shifted(names: &Names, shift: &Shift) -> Expression {
    let reference = shift.ln_reference.exp();
    match shift.of {
        Shifter::Proton => {
            let activity = Symbol("a(H+)".to_owned(), "a_{\\mathrm{H}^+}".to_owned());
            activity.over(Number(reference))
        }
        Shifter::Of(of) => names.concentration(of).over(Quantity(reference, "mol/L")),
    }
}
