//! A pH held by strong acid or base instead of following from electroneutrality.

use bathkin::constants::ZERO_CELSIUS_K;
use bathkin::model::database::built_in;
use bathkin::solution::ph::{Adjustment, adjust_ph};
use bathkin::solution::{Activity, Chemistry, Equilibrium, Speciation};

use support::assert_within;
use support::solutions::{HELD, chemistry_with, names, place, substances};

const CELSIUS: [f64; 2] = [25.0, 88.0];

/// An acid nickel bath with citrate and a little age; mol/L or mol/kg.
const BATH: [(&str, f64); 8] = [
    ("nickel", 0.1),
    ("sulfate", 0.2),
    ("citrate", 0.2),
    ("lactate", 0.1),
    ("ammonia", 0.1),
    ("hypophosphite", 0.25),
    ("orthophosphite", 0.2),
    ("sodium", 0.6),
];

fn bath(chemistry: &Chemistry, activity: Activity, further: &[&str]) -> (Equilibrium, Vec<f64>) {
    let of: Vec<&str> = BATH.iter().map(|(name, _)| *name).chain(further.iter().copied()).collect();
    let totals = BATH.iter().map(|(_, total)| *total).chain(further.iter().map(|_| 0.0)).collect();
    (Equilibrium::new(chemistry, &names(&of), activity), totals)
}

fn hold(
    equilibrium: &Equilibrium,
    speciation: &mut Speciation,
    totals: &[f64],
    celsius: f64,
    ph: f64,
) -> f64 {
    let base = speciation.solve_at_ph(equilibrium, totals, celsius + ZERO_CELSIUS_K, ph);
    base.unwrap_or_else(|error| panic!("{error} at pH {ph} and {celsius} degC, {:?}", equilibrium.activity()))
}

fn concentrations(equilibrium: &Equilibrium, speciation: &Speciation) -> Vec<f64> {
    speciation.species(equilibrium).map(|(_, mol_l)| mol_l).collect()
}

/// Every pH from 0 to 14 with both models at both temperatures, per litre.
fn each_held(mut look: impl FnMut(&Chemistry, &Equilibrium, &mut Speciation, &[f64], f64, f64)) {
    let (_, chemistry) = built_in().expect("built in");
    for activity in [HELD, Activity::Sit] {
        let (equilibrium, totals) = bath(chemistry, activity, &[]);
        let equilibrium = equilibrium.per_litre(chemistry);
        for celsius in CELSIUS {
            for ph in 0..=14 {
                let mut speciation = equilibrium.speciation();
                look(chemistry, &equilibrium, &mut speciation, &totals, celsius, f64::from(ph));
            }
        }
    }
}

/// Producer: what was asked for; 1e-9 pH.
#[test]
fn the_ph_is_held_from_0_to_14() {
    each_held(|_, equilibrium, speciation, totals, celsius, ph| {
        hold(equilibrium, speciation, totals, celsius, ph);
        assert_within(format!("pH at {celsius} degC"), speciation.ph(), ph, 1e-9);
    });
}

/// Producer: charges summed here from the species; 1e-12 of all charges.
#[test]
fn the_base_returned_closes_the_charge() {
    each_held(|chemistry, equilibrium, speciation, totals, celsius, ph| {
        let base = hold(equilibrium, speciation, totals, celsius, ph);
        let (mut net, mut all) = (0.0, 0.0);
        for ((charge, _), mol_l) in
            substances(chemistry, equilibrium).iter().zip(concentrations(equilibrium, speciation))
        {
            net += charge * mol_l;
            all += charge.abs() * mol_l;
        }
        assert_within(format!("charge at pH {ph} and {celsius} degC"), base + net, 0.0, 1e-12 * all);
    });
}

/// Largest relative change of a concentration or the base over 200 repeats, each after the pH was
/// held `away` from the one compared.
fn drift(away: f64) -> f64 {
    let mut largest = 0.0_f64;
    each_held(|_, equilibrium, speciation, totals, celsius, ph| {
        let base = hold(equilibrium, speciation, totals, celsius, ph);
        let first = concentrations(equilibrium, speciation);
        for _ in 0..200 {
            hold(equilibrium, speciation, totals, celsius, ph - away);
            let again = hold(equilibrium, speciation, totals, celsius, ph);
            largest = largest.max((again / base - 1.0).abs());
            for (now, before) in concentrations(equilibrium, speciation).iter().zip(&first) {
                largest = largest.max((now / before - 1.0).abs());
            }
        }
    });
    largest
}

/// Producer: nothing changed, so nothing may change; 1e-12.
#[test]
fn two_hundred_repeats_change_nothing() {
    assert_within("largest change", drift(0.0), 0.0, 1e-12);
}

/// Producer: one pH has one solution, so nothing may change but by the tolerance of one solve; 1e-9.
#[test]
fn two_hundred_returns_to_a_ph_do_not_drift() {
    assert_within("largest change", drift(0.1), 0.0, 1e-9);
}

/// Ions that nothing interacts with, of no volume: what `solve_at_ph` takes acid and base to be.
const IDEAL: &str = r#"
[components.ideal_base]
formula = "Rb+"
[components.ideal_acid]
formula = "Br-"
"#;

/// Largest relative difference between the base that holds a pH and the ideal titrant that reaches it,
/// for pH 0 to `to_ph` (at 88 degC 14 would take 50 mol/kg).
fn off_titration(activity: Activity, per_litre: bool, to_ph: u8) -> f64 {
    let chemistry = chemistry_with(IDEAL);
    let (equilibrium, totals) = bath(&chemistry, activity, &["ideal_base", "ideal_acid"]);
    let equilibrium = if per_litre { equilibrium.per_litre(&chemistry) } else { equilibrium };
    let mut largest = 0.0_f64;
    for celsius in CELSIUS {
        for ph in 0..=to_ph {
            let ph = f64::from(ph);
            let base = hold(&equilibrium, &mut equilibrium.speciation(), &totals, celsius, ph);
            let titrant = if base > 0.0 { "ideal_base" } else { "ideal_acid" };
            let mut gives = vec![0.0; totals.len()];
            gives[place(&equilibrium, titrant)] = 1.0;
            let (mut after, mut speciation) = (totals.clone(), equilibrium.speciation());
            let kelvin = celsius + ZERO_CELSIUS_K;
            match adjust_ph(&equilibrium, &mut speciation, &mut after, &gives, kelvin, ph) {
                Ok(Adjustment::Amount(amount)) => largest = largest.max((amount / base.abs() - 1.0).abs()),
                other => panic!("pH {ph} at {celsius} degC: {other:?}, held by {base}"),
            }
        }
    }
    largest
}

/// Producer: `adjust_ph` with an ideal ion for a titrant, per kilogram of water; 1e-10.
#[test]
fn the_base_is_what_a_titration_with_an_ideal_base_needs() {
    assert_within("Davies", off_titration(HELD, false, 13), 0.0, 1e-10);
    assert_within("interaction", off_titration(Activity::Sit, false, 13), 0.0, 1e-10);
}

/// Producer: as above. Per litre the hydroxide of the base takes the place of water in one and not in
/// the other: 2e-4, up to pH 10.
#[test]
fn per_litre_it_is_nearly_what_a_titration_needs() {
    assert_within("Davies", off_titration(HELD, true, 10), 0.0, 2e-4);
    assert_within("interaction", off_titration(Activity::Sit, true, 10), 0.0, 2e-4);
}
