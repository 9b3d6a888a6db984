//! Titration curves, and the amount of a reagent that sets a pH.

use bathkin::Bath;
use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use bathkin::model::database::built_in;
use bathkin::solution::ph::{Adjustment, LARGEST_ADJUSTMENT_MOL_L, adjust_ph_again};
use bathkin::solution::titration::Sample;
use bathkin::solution::{Activity, Equilibrium, Titration};

use support::recipes::nickel_acid;
use support::solutions::{names, substances};
use support::{assert_relative, assert_within};

const ACID_MOL_KG: f64 = 0.1;

/// 0.1 mol/kg acetic acid without activity coefficients, titrated with sodium hydroxide.
struct WeakAcid {
    equilibrium: Equilibrium,
    k: f64,
    kw: f64,
}

impl WeakAcid {
    fn new() -> Self {
        let (_, chemistry) = built_in().expect("built in");
        let constant = |name: &str| -> f64 {
            let species = chemistry.species.iter().find(|species| species.name == name).expect("a species");
            let ln_k: f64 = species.constant.ln_k(REFERENCE_TEMPERATURE_K);
            ln_k.exp()
        };
        WeakAcid {
            equilibrium: Equilibrium::new(chemistry, &names(&["acetate", "sodium"]), Activity::Ideal),
            k: 1.0 / constant("acetic_acid"),
            kw: constant("hydroxide"),
        }
    }

    fn titrated<R>(&self, how: impl FnOnce(&Sample<'_>) -> bathkin::error::Result<R>) -> R {
        let sample = Sample {
            equilibrium: &self.equilibrium,
            totals: &[ACID_MOL_KG, 0.0],
            gives: &[0.0, 1.0],
            temperature_k: REFERENCE_TEMPERATURE_K,
            solids: &[],
        };
        how(&sample).unwrap_or_else(|error| panic!("{error}"))
    }

    fn at_amounts(&self, amounts: &[f64]) -> Titration {
        self.titrated(|sample| sample.at_amounts(&mut self.equilibrium.speciation(), amounts))
    }

    /// b = Kw/h - h + c K/(K + h).
    fn base(&self, ph: f64) -> f64 {
        let h = 10_f64.powf(-ph);
        self.kw / h - h + ACID_MOL_KG * self.k / (self.k + h)
    }

    /// d b/d pH.
    fn capacity(&self, ph: f64) -> f64 {
        let h = 10_f64.powf(-ph);
        LN_10 * (self.kw / h + h + ACID_MOL_KG * self.k * h / (self.k + h).powi(2))
    }
}

/// Producer: the charge balance solved for the base, both ways; amounts to 1e-8 relative, pH to 1e-9, and
/// its derivative for the buffer capacity, 1e-6.
#[test]
fn a_weak_acid_is_titrated_as_in_the_textbook() {
    let acid = WeakAcid::new();
    let targets: Vec<f64> = (12..=50).map(|quarter| 0.25 * f64::from(quarter)).collect();
    let to_ph = acid.titrated(|sample| sample.to_ph(&mut acid.equilibrium.speciation(), &targets));
    assert!(to_ph.already_past.is_empty() && to_ph.out_of_reach.is_empty());
    for (found, ph) in to_ph.amount_mol_l.iter().zip(&targets) {
        let expected = acid.base(*ph);
        assert_relative(format!("base to pH {ph}"), *found, expected, 1e-8);
    }
    let back = acid.at_amounts(&to_ph.amount_mol_l);
    for (point, ph) in targets.iter().enumerate() {
        assert_within("pH", back.profile.ph[point], *ph, 1e-9);
        let capacity = back.profile.buffer_capacity_mol_l[point];
        assert_relative(format!("buffer capacity at pH {ph}"), capacity, acid.capacity(*ph), 1e-6);
    }
}

/// Producer: the charge balance solved for the base, 1e-8 relative. The search begins where the one before ended, close by or
/// at the other end of the curve; what cannot be reached leaves nothing to begin at.
#[test]
fn an_adjustment_ends_where_it_must_wherever_it_begins() {
    let acid = WeakAcid::new();
    let (mut speciation, mut last) = (acid.equilibrium.speciation(), None);
    let mut adjust = |base: f64, ph: f64| {
        let mut totals = [ACID_MOL_KG, base];
        let (gives, kelvin) = ([0.0, 1.0], REFERENCE_TEMPERATURE_K);
        let chemistry = &acid.equilibrium;
        let found = adjust_ph_again(chemistry, &mut speciation, &mut totals, &gives, kelvin, ph, &mut last);
        (found.unwrap_or_else(|error| panic!("{error}")), totals[1], speciation.ph(), last)
    };
    for (ph, close_by) in [
        (4.5, false),
        (4.51, true),
        (4.505, true),
        (4.6, true),
        (9.0, false),
        (3.2, false),
        (12.0, false),
        (4.5, false),
    ] {
        let (found, base, reached, last) = adjust(0.0, ph);
        let Adjustment::Amount(amount) = found else { panic!("{found:?} at pH {ph}") };
        assert_relative(format!("base to pH {ph}"), amount, acid.base(ph), 1e-8);
        assert_relative(format!("sodium at pH {ph}"), base, amount, 1e-15);
        assert_within(format!("pH {ph}"), reached, ph, 1e-10);
        // Where the slow and sure way is taken there is no slope to begin with.
        assert!(!close_by || last.is_some(), "an amount to begin at, pH {ph}");
    }
    let (found, base, _, last) = adjust(acid.base(6.0), 5.0);
    let Adjustment::AlreadyPast(ph) = found else { panic!("{found:?}") };
    assert_within("pH it stands at", ph, 6.0, 1e-8);
    assert_eq!((base, last), (acid.base(6.0), None), "nothing was added");
}

/// Producer: as much base as acid. There the pH is that of sodium acetate, ½(pK + pKw + log c) = 8.88,
/// and the buffer capacity is least.
#[test]
fn the_equivalence_point_is_where_the_acid_is_used_up() {
    let acid = WeakAcid::new();
    let amounts: Vec<f64> = (0..=200).map(|step| f64::from(step) * 1e-3).collect();
    let curve = acid.at_amounts(&amounts);
    let by_rule = 0.5 * (-acid.k.log10() - acid.kw.log10() + ACID_MOL_KG.log10());
    assert_within("pH of the salt", curve.profile.ph[100], by_rule, 1e-3);
    let capacities = &curve.profile.buffer_capacity_mol_l[20..180];
    let least = (0..capacities.len()).min_by(|a, b| capacities[*a].total_cmp(&capacities[*b]));
    assert_eq!(least, Some(80), "least capacity at 0.1 mol/kg");
    assert!(curve.profile.ph.windows(2).all(|pair| pair[1] > pair[0]), "base raises the pH");
}

/// Producer: G. Gran, Analyst 77 (1952) 661: before equivalence b h is linear in b, b h = K (b_e - b), so
/// a line through two points far from both ends meets zero at the acid's amount; 2e-3.
#[test]
fn grans_line_finds_the_equivalence_point() {
    let curve = WeakAcid::new().at_amounts(&[0.04, 0.08]);
    let gran: Vec<f64> =
        curve.amount_mol_l.iter().zip(&curve.profile.ph).map(|(b, ph)| b * 10_f64.powf(-ph)).collect();
    let slope = (gran[1] - gran[0]) / 0.04;
    // The proton that acetic acid gives off by itself is left out of Gran's line.
    assert_relative("equivalence", 0.04 - gran[0] / slope, ACID_MOL_KG, 2e-3);
}

fn bath() -> Bath {
    nickel_acid().make_up().expect("a bath")
}

/// Producer: what was asked for; 1e-8 pH. Potassium, ammonia and chloride are new to this bath.
#[test]
fn the_amount_for_a_ph_brings_the_bath_there() {
    let bath = bath();
    for celsius in [None, Some(25.0)] {
        for (reagent, targets) in [
            ("sodium_hydroxide", [4.9, 6.0, 11.0]),
            ("potassium_hydroxide", [4.9, 6.0, 11.0]),
            ("ammonia", [4.9, 6.0, 7.5]),
            ("sulfuric_acid", [4.5, 3.0, 1.5]),
            ("hydrochloric_acid", [4.5, 3.0, 1.5]),
        ] {
            for target in targets {
                let amount = bath.amount_for_ph(reagent, target, celsius).unwrap_or_else(|e| panic!("{e}"));
                assert_eq!(amount.reagent, reagent);
                assert!(amount.mol_l > 0.0);
                let again = bath.titrate(reagent, &[0.0, amount.g_l], celsius).expect("titrated");
                assert_within(
                    format!("{reagent}, nothing added"),
                    again.curve.profile.ph[0],
                    again.bath_ph,
                    1e-9,
                );
                assert_within(format!("{reagent} to {target}"), again.curve.profile.ph[1], target, 1e-8);
            }
        }
    }
    let none = bath.amount_for_ph("sodium_hydroxide", bath.ph(), None).expect("nothing to do");
    assert_eq!((none.mol_l, none.g_l), (0.0, 0.0));
}

/// Producer: what was asked for; 1e-8 pH. EDTA takes the nickel from everything else: one long step of
/// Newton's method goes astray, short ones do not.
#[test]
fn a_strong_complexant_is_titrated_in_short_steps() {
    for activity in ["davies", "sit", "ideal"] {
        let recipe = support::recipes::say(&nickel_acid(), &[("solution.activity", activity)]);
        let bath = recipe.make_up().expect("a bath");
        for reagent in ["tetrasodium_edta_anhydrous", "ethylenediamine"] {
            let amount = bath.amount_for_ph(reagent, 9.0, None).unwrap_or_else(|e| panic!("{activity}: {e}"));
            let there =
                bath.titrate(reagent, &[amount.g_l], None).unwrap_or_else(|e| panic!("{activity}: {e}"));
            assert_within(format!("{reagent} with {activity}"), there.curve.profile.ph[0], 9.0, 1e-8);
        }
    }
}

/// Producer: make-up at a higher pH, which weighs so much more caustic in; 1e-7.
#[test]
fn more_caustic_is_the_caustic_of_a_higher_set_point() {
    let bath = bath();
    let made = |ph: f64| {
        let recipe = support::recipes::set(&nickel_acid(), &[("operation.ph", ph)]);
        recipe.make_up().expect("a bath").ph_adjustment().expect("a model").expect("an amount").mol_l
    };
    let more = bath.amount_for_ph("sodium_hydroxide", 5.4, None).expect("an amount").mol_l;
    assert_relative("caustic", more, made(5.4) - made(4.8), 1e-7);
}

/// Producer: conservation; totals of the start plus what the reagent gives, and charge; 1e-9.
#[test]
fn mass_and_charge_balance_along_a_titration() {
    let (_, chemistry) = built_in().expect("built in");
    let of = ["nickel", "sulfate", "citrate", "hypophosphite", "sodium", "ammonia"];
    let totals = [0.1, 0.1, 0.15, 0.25, 0.5, 0.0];
    let gives = [0.0, 0.0, 0.0, 0.0, 0.0, 1.0];
    for activity in [Activity::Ideal, Activity::Davies { held_above_mol_l: 0.5 }] {
        let equilibrium = Equilibrium::new(chemistry, &names(&of), activity).per_litre(chemistry);
        let sample = Sample {
            equilibrium: &equilibrium,
            totals: &totals,
            gives: &gives,
            temperature_k: 361.15,
            solids: &[],
        };
        let amounts = [0.0, 0.01, 0.1, 0.3, 1.0];
        let curve = sample.at_amounts(&mut equilibrium.speciation(), &amounts).expect("a curve");
        let parts = substances(chemistry, &equilibrium);
        for (point, amount) in amounts.iter().enumerate() {
            let mut sums = [0.0; 6];
            let (mut net, mut all) = (0.0, 0.0);
            for ((charge, of), (_, mol_l)) in parts.iter().zip(&curve.profile.species_mol_l) {
                net += charge * mol_l[point];
                all += charge.abs() * mol_l[point];
                of.iter().for_each(|(component, count)| sums[*component] += count * mol_l[point]);
            }
            assert_within("charge", net / all, 0.0, 1e-9);
            for (position, name) in of.iter().enumerate() {
                let expected = totals[position] + amount * gives[position];
                assert_within(format!("{name} with {amount} ammonia"), sums[position], expected, 1e-9);
            }
        }
    }
}

/// Targets behind the bath or beyond the reagent are left out and flagged; when none is left, refused.
#[test]
fn what_cannot_be_reached_is_said() {
    let bath = bath();
    let curve = bath.titrate_to("sodium_hydroxide", &[4.0, 4.4, 4.8, 5.2], None).expect("a curve");
    assert_eq!(curve.curve.already_past, [4.0, 4.4]);
    assert_eq!(curve.curve.amount_mol_l.len(), 2);
    let said: Vec<&str> =
        curve.flags.iter().filter(|f| f.r#where == "titration").map(|f| f.what.as_str()).collect();
    assert_eq!(
        said,
        ["2 of 4 pHs are left out: the bath is at pH 4.80, and sodium hydroxide moves it away from them"]
    );
    for (reagent, ph, reason) in [
        ("sodium_hydroxide", 4.0, "it is at pH 4.80, and sodium hydroxide moves it away from 4"),
        ("sulfuric_acid", 6.0, "it is at pH 4.80, and sulfuric acid moves it away from 6"),
        ("ammonia", 13.0, "20 mol/L leave it at pH"),
    ] {
        for refused in [
            bath.amount_for_ph(reagent, ph, None).expect_err("out of reach"),
            bath.titrate_to(reagent, &[ph], None).expect_err("out of reach"),
        ] {
            assert!(refused.is_input());
            assert!(refused.to_string().contains(reason), "{refused}");
        }
    }
}

/// Names nobody knows, and values nothing has.
#[test]
fn wrong_arguments_are_refused_with_what_was_expected() {
    let bath = bath();
    for (refused, said) in [
        (bath.amount_for_ph("sodium_hydroxyde", 5.0, None).err(), "did you mean sodium_hydroxide"),
        (bath.amount_for_ph("sodium_sulfate", 5.0, None).err(), "say which sodium_sulfate"),
        (bath.amount_for_ph("ammonia", 15.0, None).err(), "ph = 15: expected a pH between 0 and 14"),
        (bath.amount_for_ph("ammonia", 5.0, Some(120.0)).err(), "a temperature between 0 and 100 degC"),
        (
            bath.titrate("ammonia", &[-1.0], None).err(),
            "amounts_g_l = -1: expected an amount of zero or more",
        ),
        (bath.titrate("ammonia", &[], None).err(), "at least one value"),
        (bath.distribution("nikel", &[5.0], None).err(), "did you mean nickel"),
        (bath.distribution("nickel", &[f64::NAN], None).err(), "a pH between 0 and 14"),
        (bath.held_at_ph(-1.0, None).err(), "at_ph: ph = -1"),
    ] {
        let refused = refused.expect("refused").to_string();
        assert!(refused.contains(said), "{refused}");
    }
}

/// Producer: the solution itself, without any of the reagent (1e-9), and with the most of it.
#[test]
fn what_a_reagent_cannot_reach_is_told_with_the_ph_where_it_stands() {
    let acid = WeakAcid::new();
    let own = acid.at_amounts(&[0.0]).profile.ph[0];
    let most = acid.at_amounts(&[LARGEST_ADJUSTMENT_MOL_L]).profile.ph[0];
    let amount_for = |ph| acid.titrated(|sample| sample.amount_for(&mut acid.equilibrium.speciation(), ph));
    match amount_for(own - 0.5) {
        Adjustment::AlreadyPast(ph) => assert_within("its own pH", ph, own, 1e-9),
        other => panic!("{other:?}"),
    }
    match amount_for(most + 0.5) {
        Adjustment::OutOfReach(ph) => assert_within("the last pH", ph, most, 1e-2),
        other => panic!("{other:?}"),
    }
    let refused = nickel_acid().make_up().expect("a bath").amount_for_ph("sodium_hydroxide", 3.0, None);
    let words = refused.expect_err("caustic lowers no pH").to_string();
    assert!(words.contains("it is at pH 4.80"), "{words}");
}
