//! Lives of the alkaline copper baths: mass balance, limits of practice, powder, idle hours.

use bathkin::document::Value;
use bathkin::recipe::Recipe;
use bathkin::study::Bath;

use support::copper::COPPER;
use support::recipes::{built_in, column, gain, last, live, set};
use support::{assert_relative, assert_within};

/// Producer: conservation, every element and the charge, over three turnovers.
#[test]
fn the_books_of_a_copper_life_close() {
    for name in COPPER {
        let recipe = set(&built_in(name), &[("limits.turnovers", 3.0), ("limits.formate_g_l_as_hcoo", 1e3)]);
        let life = live(&recipe);
        assert!(life.balance.max_relative_residual < 1e-10, "{name}: {:?}", life.balance);
        assert_within(name, life.verdict.turnovers, 3.0, 1e-6);
        for key in ["formate_mol_l", "methanol_mol_l", "sulfate_mol_l", "sodium_mol_l"] {
            assert!(gain(&life, key) > 0.0, "{name}: {key}");
        }
        assert!(life.table.columns().iter().all(|(name, _)| !name.contains("wt_pct")), "a pure metal");
        assert!(column(&life, "ph").iter().all(|ph| ph.is_finite()));
    }
}

/// Producer: common practice: 2.2-3.0 formaldehyde per copper, formate and sulfate as the table of one
/// turnover has them, 1-5 um/h; the copper baths end at a limit.
#[test]
fn copper_lives_end_at_a_limit_of_practice() {
    for name in ["copper-edta", "copper-tartrate"] {
        let life = live(&built_in(name));
        assert_ne!(life.verdict.limit, "none", "{name}");
        assert!(life.verdict.turnovers > 3.0, "{name}: {:?}", life.verdict);
        let used = life.reductant_feed.used_per_metal_mol;
        assert!((2.0..=3.0).contains(&used), "{name}: {used}");
        for rate in column(&life, "deposition_um_h") {
            assert!((1.0..=5.0).contains(rate), "{name}: {rate} um/h");
        }
        assert!(last(&life, "free_naoh_g_l") > 0.5 && last(&life, "carbonate_mol_l") > 1e-4, "{name}");
    }
    let study = built_in("copper-textbook").make_up().expect("a bath");
    // The textbook's pH 10 against the usual one, with the reason on the card and in a warning.
    let usual = set(&built_in("copper-textbook"), &[("operation.ph", 12.5)]).make_up().expect("a bath");
    let um_h = |bath: &Bath| bath.rate().expect("a rate").deposition_um_h;
    assert!(um_h(&study) < 0.05 && um_h(&usual) > 100.0 * um_h(&study), "{} {}", um_h(&study), um_h(&usual));
    assert!(study.flags().expect("flags").iter().any(|flag| flag.r#where == "low_ph"));
}

/// A reaction of the liquid that drops powder: the mass balance holds, and nothing is plated by it.
#[test]
fn powder_that_falls_out_is_in_the_books() {
    let plain = built_in("copper-textbook");
    let text = format!(
        "{}\n[bulk_reaction.powder]\nliquid = {{ copper = -1, methylene_glycol = -2, formate = 2, proton = 4 }}\n\
         gas = {{ H = 2 }}\nsolid = {{ Cu = 1 }}\nrate_mol_l_s = 1e-9\n[bulk_reaction.powder.order]\ncopper = 1\n\
         [bulk_reaction.powder.reference_mol_l]\ncopper = 0.03\n",
        plain.text()
    );
    let recipe = Recipe::from_toml("powder", &text).expect("a recipe");
    let life = live(&set(&recipe, &[("life.longest_clock_h", 500.0)]));
    assert!(life.balance.max_relative_residual < 1e-10, "{:?}", life.balance);
    let lost = life.verdict.turnovers - life.verdict.turnovers_plated;
    // 1e-9 mol/(L s) for 500 h of 0.03 mol/L: 6 % of a turnover, part of it not yet replenished.
    assert!(lost > 0.01 && lost < 0.07, "{:?}", life.verdict);

    let bad = text.replace("proton = 4 }", "proton = 3 }");
    let refused = Recipe::from_toml("powder", &bad).expect("a document").make_up().expect_err("unbalanced");
    assert!(refused.to_string().contains("bulk_reaction.powder"), "{refused}");
    let alloyed = plain.with("deposit.alloy", Value::Text("phosphorus".to_owned()), "the test");
    assert!(alloyed.make_up().is_err());
}

/// Cannizzaro goes on in a tank without work: formaldehyde is lower on Monday. A quarter of the glycol is glycolate
/// and out of the law, so some 0.45 per copper.
#[test]
fn an_idle_tank_loses_formaldehyde() {
    let night = [("work.hours_per_day", 8.0), ("work.days_per_week", 5.0), ("limits.turnovers", 1.0)];
    let busy = live(&set(&built_in("copper-edta"), &[("limits.turnovers", 1.0)]));
    let idle = live(&set(&built_in("copper-edta"), &night));
    let used = |life: &bathkin::Life| life.reductant_feed.used_per_metal_mol;
    assert!(used(&idle) > used(&busy) + 0.4, "{} against {}", used(&idle), used(&busy));
}

/// The pH of a bath with hardly any buffer is corrected every time: no reading of it is lost between two
/// doses, and the turnovers take as long one as the other.
#[test]
fn a_bath_without_buffer_keeps_its_ph_over_its_life() {
    let life = live(&built_in("copper-textbook"));
    let hours = column(&life, "clock_h");
    assert_relative("second turnover against the first", hours[2] - hours[1], hours[1], 0.05);
}
