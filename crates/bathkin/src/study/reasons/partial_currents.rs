//! Partial currents in words: which of them moved the mixed potential, and what moved it.

use crate::constants::{FARADAY_C_MOL, GAS_CONSTANT_J_MOL_K};
use crate::study::reasons::SurfaceState;
use crate::study::reasons::words::{Effect, by, factor_causes, told, weight};
use crate::surface::{HalfReaction, PartialCurrent};
use crate::tank::Tank;

/// 1 A/m² in mA/cm².
const MA_CM2_PER_A_M2: f64 = 0.1;

/// Why the metal, or the half-reaction that brings the alloying element per metal, runs otherwise.
pub(crate) fn partial_current_causes(
    tank: &Tank,
    before: &SurfaceState,
    after: &SurfaceState,
    alloy: Option<usize>,
    what: &Effect,
) -> Option<String> {
    let (first, then) = (before.kinetics.mixed_potential()?, after.kinetics.mixed_potential()?);
    let (at, then_at) = (before.conditions(), after.conditions());
    let Some(moves) = first.moves(&at, then, &then_at) else {
        return Some("the partial currents cancelled nowhere at first".to_owned());
    };
    let potential_v = first.potential_v(&at)?;
    let now_v = then.potential_v(&then_at);
    if now_v.is_none() {
        return Some("the partial currents cancel nowhere any more: every rate is zero".to_owned());
    }
    let metal = after.kinetics.metal();
    let reactions = after.kinetics.half_reactions();
    let per_metal =
        |currents: &[f64]| alloy.map_or(currents[metal], |reaction| currents[reaction] / currents[metal]);
    let was: Vec<f64> = moves.iter().map(|one| one.before_a_m2).collect();
    let causes = moves.iter().enumerate().map(|(partial, one)| {
        let ratio = per_metal(&one.currents_a_m2) / per_metal(&was);
        let reaction = &reactions[partial];
        let does = if one.after_a_m2 > 0.0 { "gives" } else { "takes" };
        let (from, to) = (current(one.before_a_m2, one.after_a_m2), current(one.after_a_m2, one.after_a_m2));
        let cause =
            cause(tank, before, after, partial, reaction, one.after_a_m2.abs() > one.before_a_m2.abs())
                .map_or(String::new(), |of| format!(" ({of})"));
        let name = &reaction.name;
        let text = format!(
            "the {name} partial current {does} {to} in place of {from} mA/cm2 at the same potential{cause}: {}",
            what.of(ratio)
        );
        (ratio, text)
    });
    let reason = told(causes.collect())?;
    Some(match now_v {
        Some(now_v) if shown(now_v) != shown(potential_v) => {
            let way = if now_v > potential_v { "rises" } else { "falls" };
            format!("{reason}; the potential {way} from {} to {} V SHE", shown(potential_v), shown(now_v))
        }
        _ => reason,
    })
}

/// What changed a partial current most: a factor of its current, or the potential it is counted from.
fn cause(
    tank: &Tank,
    before: &SurfaceState,
    after: &SurfaceState,
    partial: usize,
    reaction: &HalfReaction,
    grown: bool,
) -> Option<String> {
    let of = |state: &SurfaceState| -> Option<PartialCurrent> {
        state.kinetics.mixed_potential().map(|mixed| mixed.partial(partial).clone())
    };
    let (from, to) = (of(before)?, of(after)?);
    let gives = reaction.electrons > 0.0;
    let whole = to.current.value_at_reference / from.current.value_at_reference;
    let mut causes = vec![(whole, format!("its current at the reference was set {}", by(whole)))];
    causes.extend(factor_causes(
        &before.stands(&from.current),
        &after.stands(&to.current),
        &tank.bath.equilibrium,
        after.below_bath_ph.is_some(),
    ));
    let (a, b) = (
        from.reference_potential_v(&before.conditions(), gives),
        to.reference_potential_v(&after.conditions(), gives),
    );
    let per_volt = to.transfer_coefficient * FARADAY_C_MOL / (GAS_CONSTANT_J_MOL_K * after.at.temperature_k);
    let kind = if to.back.is_some() { "equilibrium" } else { "reference" };
    let moved = format!("its {kind} potential moves by {:+.0} mV", 1e3 * (b - a));
    // A reduction gains by a higher potential of its own, an oxidation loses.
    let gained = if gives { a - b } else { b - a };
    causes.push(((per_volt * gained).exp(), moved));
    // What worked against the change is no cause of it.
    causes.retain(|(ratio, _)| (*ratio > 1.0) == grown);
    // One cause suffices inside a sentence that may name two partial currents.
    causes.sort_by(|a, b| weight(b.0).total_cmp(&weight(a.0)));
    causes.truncate(1);
    told(causes)
}

/// A current in mA/cm², without its sign unless it runs against `than`.
fn current(a_m2: f64, than: f64) -> String {
    let against = if a_m2 * than < 0.0 { -1.0 } else { 1.0 };
    format!("{:.3}", against * a_m2.abs() * MA_CM2_PER_A_M2)
}

fn shown(potential_v: f64) -> String {
    format!("{potential_v:.3}")
}
