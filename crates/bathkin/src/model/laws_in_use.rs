//! Which components the laws of a bath contain, and what is said of one that none contains.

use std::collections::BTreeSet;

use crate::flag::Flag;
use crate::model::amounts::Amounts;
use crate::solution::{Chemistry, Role};
use crate::surface::{Concentration, Factor, RateLaw, Shifter};
use crate::tank::Tank;

/// Every law: of the surface (or its partial currents), of the liquid, of plate-out.
pub(crate) fn laws_of(tank: &Tank) -> Vec<&RateLaw> {
    let of_liquid = tank.bath.bulk.iter().map(|reaction| &reaction.law);
    laws_of_surface(tank).into_iter().chain(of_liquid).collect()
}

/// Those of the surface and of plate-out.
pub(crate) fn laws_of_surface(tank: &Tank) -> Vec<&RateLaw> {
    let kinetics = &tank.bath.kinetics;
    let reactions = 0..kinetics.half_reactions().len();
    let selectivities = reactions.clone().filter_map(|at| kinetics.selectivity(at));
    let partials = kinetics.mixed_potential();
    let currents =
        partials.into_iter().flat_map(|mixed| reactions.clone().map(|at| &mixed.partial(at).current));
    let own = kinetics.law().into_iter().chain(selectivities).chain(currents);
    own.chain(tank.bath.decomposition.as_ref().map(|law| &law.law)).collect()
}

/// Slots of the components that a law contains, as such or in a dissolved substance it follows; what a gas
/// exchange moves is in the law of that exchange.
pub(crate) fn contained(tank: &Tank) -> BTreeSet<usize> {
    let factors = laws_of(tank).into_iter().flat_map(|law| &law.factors);
    let mut followed: Vec<Concentration> = factors.flat_map(Factor::concentrations).collect();
    if let Some(mixed) = tank.bath.kinetics.mixed_potential() {
        for partial in (0..tank.bath.kinetics.half_reactions().len()).map(|at| mixed.partial(at)) {
            followed.extend(partial.transport.iter().map(|transport| transport.of));
            let shifts = partial.back.iter().flat_map(|back| &back.shifts);
            followed.extend(shifts.filter_map(|shift| match shift.of {
                Shifter::Of(of) => Some(of),
                Shifter::Proton => None,
            }));
        }
    }
    let exchanged =
        tank.plant.exchanges.iter().flat_map(|exchange| exchange.brings.iter().map(|(slot, _)| *slot));
    let followed = followed.into_iter().flat_map(|of| match of {
        Concentration::Total(slot) => vec![slot],
        Concentration::Dissolved(place) => {
            tank.bath.equilibrium.made_of(place).into_iter().map(|(slot, _)| slot).collect()
        }
    });
    followed.chain(exchanged).collect()
}

/// Slots of the components through which a law acts although it does not contain them: what binds a component
/// that a law follows by its free form, and, where a law follows the ionic strength, whatever has a charge.
fn followed_through_the_equilibrium(tank: &Tank) -> BTreeSet<usize> {
    let equilibrium = &tank.bath.equilibrium;
    let components = equilibrium.component_names().len();
    let factors: Vec<&Factor> = laws_of(tank).into_iter().flat_map(|law| &law.factors).collect();
    let by_free_form: BTreeSet<usize> = factors
        .iter()
        .flat_map(|factor| factor.concentrations())
        .filter_map(|of| match of {
            Concentration::Dissolved(place) if place < components => Some(place),
            _ => None,
        })
        .collect();
    let partners = (0..equilibrium.substances())
        .map(|substance| equilibrium.made_of(substance))
        .filter(|parts| parts.iter().any(|(slot, _)| by_free_form.contains(slot)))
        .flatten()
        .map(|(slot, _)| slot);
    let by_salt = factors.iter().any(|factor| matches!(factor, Factor::IonicStrength(_)));
    let charges = equilibrium.component_charges().iter().enumerate();
    let charged = charges.filter(|(_, charge)| by_salt && **charge != 0.0).map(|(slot, _)| slot);
    partners.chain(charged).collect()
}

/// A flag for each component that no law contains, of those that were set or added (`touched`, by their place
/// in the chemistry) and of those whose role is to act on the rate. What a law follows through the equilibrium
/// is no warning where it was only set or added; a role that acts on the rate wants a law that contains it.
pub(crate) fn flag_uncontained(
    chemistry: &Chemistry,
    tank: &Tank,
    roles: &[Vec<Role>],
    touched: &BTreeSet<usize>,
) -> Vec<Flag> {
    let contained = contained(tank);
    let followed = followed_through_the_equilibrium(tank);
    let names = tank.bath.equilibrium.component_names().iter().enumerate();
    names
        .filter(|(slot, name)| {
            let by_hand = chemistry.component(name).is_some_and(|index| touched.contains(&index));
            let by_role = roles[*slot].iter().any(|role| role.acts_on_the_rate());
            (by_role || by_hand && !followed.contains(slot)) && !contained.contains(slot)
        })
        .map(|(slot, name)| Flag {
            r#where: format!("laws.{name}"),
            what: format!(
                "no law of this recipe contains {}: {}",
                name.replace('_', " "),
                acts_by(tank, slot)
            ),
        })
        .collect()
}

/// What a component that no law contains can act by.
fn acts_by(tank: &Tank, slot: usize) -> String {
    let equilibrium = &tank.bath.equilibrium;
    let proton = equilibrium.component_names().len();
    let forms: Vec<Vec<usize>> = (0..equilibrium.substances())
        .map(|substance| equilibrium.made_of(substance).into_iter().map(|(part, _)| part).collect())
        .filter(|parts: &Vec<usize>| parts.contains(&slot))
        .collect();
    let with =
        |other: &dyn Fn(usize) -> bool| forms.iter().flatten().any(|part| *part != slot && other(*part));
    // What takes up protons is charged in one form or the other, and changes what acid or base the pH needs.
    let acid_or_base = with(&|part| part == proton);
    let by = [
        ("pH", acid_or_base),
        ("complexes", with(&|part| part < proton)),
        ("ionic strength", acid_or_base || equilibrium.component_charges()[slot] != 0.0),
    ];
    let by: Vec<&str> = by.into_iter().filter(|(_, does)| *does).map(|(name, _)| name).collect();
    match by.as_slice() {
        [] => {
            "it binds neither protons nor metals here and has no charge, so that rate and composition do not \
               depend on it"
                .to_owned()
        }
        [only] => format!("it can act only through {only}"),
        [first @ .., last] => format!("it can act only through {} and {last}", first.join(", ")),
    }
}

/// Components, by their place in the chemistry, that the user set or added in what is weighed out.
pub(crate) fn touched<'a>(amounts: impl Iterator<Item = &'a Amounts>) -> BTreeSet<usize> {
    amounts.flat_map(Amounts::touched).collect()
}
