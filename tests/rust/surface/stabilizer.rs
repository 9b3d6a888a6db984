//! Stabilizer: its thresholds, what becomes of it, and two ways of dosing it.

use std::convert::Infallible;

use bathkin::document::Value;
use bathkin_numerics::{Crossing, Options, Problem, Stop, advance};

use support::recipes::{column, last, live, power_law, pumped, set, um_h};
use support::stabilized::{CONSUMED, extended, flags, hump, refused, stabilized};
use support::{Csv, assert_relative, assert_within};

/// Producer: thiourea_hump.csv, to its last digit.
#[test]
fn the_hump_has_the_values_of_the_reference() {
    for row in Csv::reference("thiourea_hump.csv").rows() {
        let c = row.number("thiourea_mg_l");
        assert_within(
            format!("{c} mg/L"),
            hump(c, f64::INFINITY),
            row.number("factor"),
            row.last_digit("factor"),
        );
    }
}

/// Thresholds: below 1 mg/L it speeds up, above 1 mg/L it slows (Baskaran et al., Mater. Chem. Phys. 99
/// (2006) 117); above 3 mg/L a lower rate, from 3 to 9 mg/L a steep fall, above 9 mg/L about nil
/// (Han & Fang, Metal Finishing 95(2) (1997) 73); both read at second hand.
#[test]
fn the_thresholds_of_thiourea_are_met() {
    for stop in [f64::INFINITY, 10.0] {
        let g = |c: f64| hump(c, stop);
        assert!(
            (1..=10).all(|tenth| g(f64::from(tenth) / 10.0) > g(f64::from(tenth - 1) / 10.0)),
            "speeds up"
        );
        assert!((12..90).all(|tenth| g(f64::from(tenth + 1) / 10.0) < g(f64::from(tenth) / 10.0)), "slows");
        assert!(g(3.0) < 1.0 && g(9.0) < 0.15 * g(3.0), "a steep fall");
    }
    // About nil is 10 % without a stop: it takes one where "nothing plates" must show.
    assert_within("9 mg/L", hump(9.0, f64::INFINITY), 0.097, 5e-4);
    assert!(hump(9.0, 10.0) < 0.04 && hump(10.0, 10.0) == 0.0);
}

#[test]
fn a_recipe_takes_milligrams_per_litre() {
    let stabilized = stabilized();
    let bath = stabilized.make_up().expect("a bath");
    let thiourea =
        bath.totals().expect("totals").into_iter().find(|(name, _)| name == "thiourea").expect("it").1;
    // CH4N2S is 76.117 g/mol.
    assert_relative("1 mg/L", thiourea, 1e-3 / 76.117, 1e-6);
    // One at the set-point; the deposit takes up 2.6e-4 mol thiourea per mol Ni, 0.03 % of its mass.
    assert_relative("the rate at the set-point", um_h(&stabilized), um_h(&power_law()), 5e-4);
    let at = |mg_l: f64| um_h(&set(&stabilized, &[("make_up.thiourea_mg_l", mg_l)])) / um_h(&stabilized);
    for (mg_l, factor) in [(0.0, 1.0), (0.5, 1.124), (3.0, 0.952), (6.0, 0.319), (9.0, 0.097)] {
        assert_within(format!("{mg_l} mg/L"), at(mg_l), factor / 1.1483, 1.5e-3);
    }
    let said = flags(&stabilized, "components.thiourea");
    assert!(said.len() == 1 && said[0].contains("suspected of causing cancer"), "{said:?}");
}

/// The consumed stabilizer is in the deposit and not in its phosphorus.
#[test]
fn what_is_consumed_enters_the_deposit_as_a_trace() {
    let stabilized = stabilized();
    let rate = stabilized.make_up().and_then(|bath| bath.rate()).expect("a rate");
    let plain = power_law().make_up().and_then(|bath| bath.rate()).expect("a rate");
    assert_relative("phosphorus", rate.alloy_wt_pct, plain.alloy_wt_pct, 4e-4);
    let of = |name: &str| rate.half_reactions_mol_m2_s.iter().find(|(known, _)| known == name).expect("it").1;
    assert_relative("uptake per metal", of("stabilizer") / of("metal"), 2.6e-4, 1e-3);
    assert_relative(
        "reductant per metal",
        rate.reductant_per_metal_mol,
        plain.reductant_per_metal_mol,
        1e-12,
    );
    let unnamed = extended(&[("make_up", "thiourea_mg_l = 1")], &[CONSUMED]);
    let message = refused(&unnamed);
    assert!(message.contains("deposit.alloy_element") && message.contains("C, H, N, P, S"), "{message}");
    let wrong = stabilized.with("deposit.alloy_element", Value::Text("Ni".to_owned()), "the test");
    assert!(refused(&wrong).contains("one of C, H, N, P, S"), "{}", refused(&wrong));
}

/// Dosed with the metal at what is used per turnover it holds near its set-point, and the mass balance of
/// sulfur, carbon and nitrogen close as those of everything else.
#[test]
fn a_life_keeps_books_of_the_stabilizer() {
    let recipe = set(&pumped(&stabilized()), &[("limits.turnovers", 3.0)]);
    let life = live(&recipe);
    assert_within("turnovers", last(&life, "turnovers"), 3.0, 1e-6);
    assert!(life.balance.max_relative_residual < 1e-9, "{:?}", life.balance);
    let plain = live(&set(&pumped(&power_law()), &[("limits.turnovers", 3.0)]));
    let ratio = last(&life, "deposition_um_h") / last(&plain, "deposition_um_h");
    assert_within("it neither runs out nor piles up", ratio, 1.0, 0.01);
    assert!(column(&life, "phosphorus_wt_pct").iter().all(|p| (9.0..11.0).contains(p)));
    // Without any in the feed it is used up in a few turnovers, and the law's hump shows it.
    let starved = set(&recipe, &[("replenisher.metal.thiourea_mg_l", 0.0)]);
    let ratio = last(&live(&starved), "deposition_um_h") / last(&plain, "deposition_um_h");
    assert_within("starved", ratio, 1.0 / 1.1483, 0.01);
}

/// An ageing bath with thiourea: turnovers and mg/L over hours, as thiourea_dosing.csv says.
struct Dosed {
    per_turnover_mg_l: f64,
    per_hour_mg_l: f64,
}

const FRESH_H_PER_TURNOVER: f64 = 9.36;
const STOPPED: f64 = 0.05;

impl Problem for Dosed {
    type Error = Infallible;

    fn dimension(&self) -> usize {
        2
    }

    fn derivative(&self, _: f64, state: &[f64], derivative: &mut [f64]) -> Result<(), Infallible> {
        let (turnovers, c) = (state[0], state[1]);
        let pace = hump(c, f64::INFINITY) / (1.0 + 0.0726 * turnovers) / FRESH_H_PER_TURNOVER;
        derivative[0] = pace;
        derivative[1] = self.per_hour_mg_l + (self.per_turnover_mg_l - 2.0 * c) * pace - 0.02 * c;
        Ok(())
    }

    fn event_count(&self) -> usize {
        2
    }

    fn event_values(&self, _: f64, state: &[f64], values: &mut [f64]) -> Result<(), Infallible> {
        values[0] = 10.0 - state[0];
        values[1] = hump(state[1], f64::INFINITY) - STOPPED;
        Ok(())
    }

    fn event_direction(&self, _: usize) -> Crossing {
        Crossing::Falling
    }
}

/// Producer: thiourea_dosing.csv. Dosed with the metal, too much slows the bath and with it the
/// dosing: it settles. Dosed by the clock, a slower bath uses less and the dose goes on: it runs away
/// from three times the right dose on.
#[test]
fn dosing_by_the_clock_runs_away_and_with_the_metal_limits_itself() {
    for row in Csv::reference("thiourea_dosing.csv").rows() {
        let (dosing, dose) = (row.text("dosing"), row.number("dose"));
        let with_metal = dosing == "metal";
        let bath = Dosed {
            per_turnover_mg_l: if with_metal { 2.2 * dose } else { 0.0 },
            per_hour_mg_l: if with_metal { 0.0 } else { 0.22 * dose },
        };
        let mut state = [0.0, 1.0];
        let arrival = advance(&bath, 0.0, &mut state, 3000.0, None, &Options::default()).expect("an end");
        let what = format!("{dosing} x {dose}");
        let stopped = row.number("stopped") == 1.0;
        assert_eq!(arrival.stop, Stop::Event { index: usize::from(stopped) }, "{what}");
        assert_within(format!("{what}, turnovers"), state[0], row.number("end_turnovers"), 2e-3);
        assert_within(format!("{what}, mg/L"), state[1], row.number("end_mg_l"), 2e-3);
        assert!(!(with_metal && stopped), "{what} limits itself");
    }
}

/// Closed form of the threshold: by the clock the dose must stay below the most a bath can use,
/// max over c of 2 c g(c)/h + 0.02 c; there is no such bound with the metal.
#[test]
fn the_threshold_of_running_away_is_the_most_a_bath_can_use() {
    let uses = |c: f64| 2.0 * c * hump(c, f64::INFINITY) / FRESH_H_PER_TURNOVER + 0.02 * c;
    // Up to where the uptake with the metal is over; the slow loss alone would need tens of mg/L.
    let most = (0..=80).map(|tenth| uses(f64::from(tenth) / 10.0)).fold(0.0, f64::max);
    let dose = most / 0.22;
    assert!((2.0..4.0).contains(&dose), "between two and four times the right dose: {dose:.2}");
}
