//! Alkaline copper from formaldehyde: the published power law, the peak over pH, the stoichiometry, its solids.

use bathkin::constants::SECONDS_PER_HOUR;

use support::copper::{COPPER, State, observed};
use support::recipes::{built_in, set};
use support::{Csv, assert_relative, assert_within, case, number};

/// Producer: copper_power_law.csv, the published equation worked out with a pocket calculator; every
/// printed digit.
#[test]
fn the_published_power_law_gives_its_check_values() {
    let recipe = built_in("copper-edta");
    let tank = &recipe.model().expect("a model").tank;
    for row in Csv::reference("copper_power_law.csv").rows() {
        let totals = ["copper", "methylene_glycol", "edta", "tartrate", "stabilizer_dn"]
            .map(|name| (name, row.number(&format!("{name}_mol_l"))));
        let state = State::of(tank, &totals, row.number("hydroxide_mol_l"), row.number("temperature_k"));
        let mut rates = vec![0.0; tank.bath.reactions.len()];
        tank.bath.kinetics.rates(&state.conditions(), &mut rates);
        let um_h = tank.bath.growth(&rates).0 * SECONDS_PER_HOUR;
        assert_within("um/h", um_h, row.number("um_h"), 0.5 * row.last_digit("um_h"));
    }
}

/// Producer: case P15, common practice: the rate over pH has its maximum between 12.3 and 13.2, is small
/// at 9.5, and the bath is called unstable at 14.
#[test]
fn the_tartrate_bath_peaks_where_practice_says() {
    let expected = case("P15");
    let at = |ph: f64| set(&built_in("copper-tartrate"), &[("operation.ph", ph)]).make_up().expect("a bath");
    let rate = |ph: f64| at(ph).rate().expect("a rate").deposition_um_h;
    let sweep: Vec<(f64, f64)> =
        (90..=140).map(|tenths| f64::from(tenths) / 10.0).map(|ph| (ph, rate(ph))).collect();
    let peak = sweep.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).expect("points");
    let (low, high) = (number(&expected, "/expect/pH_of_max/0"), number(&expected, "/expect/pH_of_max/1"));
    assert!((low..=high).contains(&peak.0), "peak of {} um/h at pH {}", peak.1, peak.0);
    assert!((1.0..=5.0).contains(&peak.1), "{} um/h", peak.1);
    assert!(rate(9.5) < number(&expected, "/expect/rate_at_9_5_over_max") * peak.1);
    let flagged = |ph: f64| {
        at(ph)
            .flags()
            .expect("flags")
            .iter()
            .any(|flag| Some(&*flag.r#where) == expected["expect"]["flag_at_14"].as_str())
    };
    assert!(flagged(14.0) && !flagged(12.5));
    // Closed form of the maximum: 2 K K_M x^2 + K x = 1 with K 8 L/mol and K_M 10^(13.995 - 13.29), whatever
    // the activity coefficients, which are alike for both ions: x = 0.0723 mol/L hydroxide.
    let bath = at(peak.0);
    let hydroxide =
        bath.species().expect("species").into_iter().find(|(name, _)| name == "hydroxide").expect("it").1;
    assert_relative("hydroxide at the peak", hydroxide, 0.0723, 0.15);
}

/// Producer: the half-reactions: 2 formaldehyde, 4 hydroxide (protons made), 2 formate and 1 H2 per copper.
#[test]
fn two_formaldehyde_and_four_hydroxide_go_per_copper() {
    for name in COPPER {
        let recipe = built_in(name);
        let tank = &recipe.model().expect("a model").tank;
        let bath = recipe.make_up().expect("a bath");
        let rate = bath.rate().expect("a rate");
        assert_within(name, rate.reductant_per_metal_mol, 2.0, 1e-12);
        assert_within(name, rate.by_product_per_metal_mol, 2.0, 1e-12);
        let metal = rate.half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("metal").1;
        assert_relative(name, rate.hydrogen_l_m2_h, metal * 3600.0 * 24.4654, 1e-5);
        // Another solution of the same bath: of each rate by itself.
        let observed = observed(&recipe);
        let metal = observed.rates_mol_m2_s[tank.bath.kinetics.metal()];
        assert_relative(name, observed.made_mol_m2_s(tank, tank.bath.proton()), 4.0 * metal, 1e-12);
        assert_eq!(rate.alloy_wt_pct, 0.0);
    }
}

/// Producer: common practice: two formaldehyde per copper are used; more than three of them are warned of.
#[test]
fn formaldehyde_beyond_three_per_copper_is_warned_of() {
    let warned = |name: &str, formaldehyde_g_l: f64| {
        let bath = set(&built_in(name), &[("make_up.formaldehyde_g_l", formaldehyde_g_l)]).make_up();
        let flags = bath.and_then(|bath| bath.flags()).expect("flags");
        flags.into_iter().find(|flag| flag.r#where == "formaldehyde_excess").map(|flag| flag.what)
    };
    // 0.03933 mol/L copper: 3.54 g/L is three per copper.
    assert_eq!(warned("copper-edta", 3.5), None);
    let said = warned("copper-edta", 3.6).expect("a warning");
    assert!(said.starts_with("reductant per metal 3.05 is above 3 mol/mol"), "{said}");
    for name in ["copper-tartrate", "copper-tartrate-quiet", "copper-textbook"] {
        let fresh = built_in(name).make_up().and_then(|bath| bath.flags()).expect("flags");
        assert!(fresh.iter().all(|flag| flag.r#where != "formaldehyde_excess"), "{name}");
        assert!(warned(name, 14.0).is_some(), "{name}");
    }
}

/// The card of every copper bath says that published laws disagree, with both sides of it and where they were read.
#[test]
fn every_copper_card_says_where_published_laws_disagree() {
    for name in ["copper-edta", "copper-tartrate", "copper-tartrate-quiet", "copper-textbook"] {
        let said = built_in(name).model().expect("a model").heading.disagreements.join(" ");
        for part in ["1.33", "1.98", "0.56", "(2001)", "(1985)", "20.3", "105.4", "(2019)"] {
            assert!(said.contains(part), "{name}: {part} in {said}");
        }
    }
}

/// Producer: the activities themselves. Copper held by EDTA is free at 1e-18 mol/L and less, and the indices of
/// its solids follow it: ln a(Cu) + 2 pH against the constant. The bath is near saturation, not decades beyond.
#[test]
fn solids_of_a_chelated_bath_follow_its_free_copper() {
    for name in COPPER {
        for ph in [10.0, 12.0, 13.0] {
            let bath = set(&built_in(name), &[("operation.ph", ph), ("operation.temperature_c", 25.0)])
                .make_up()
                .expect("a bath");
            let of = |pairs: Vec<(String, f64)>, wanted: &str| {
                pairs.into_iter().find(|(name, _)| name == wanted).expect("it").1
            };
            let free = of(bath.species().expect("species"), "copper");
            let gamma = of(bath.activity_coefficients().expect("coefficients"), "copper");
            let index = of(bath.saturation_index().expect("indices"), "copper_hydroxide");
            // The solid's constant is log10 K = -8.674; molality against mol/L and the water's activity are within 0.03.
            assert_within(
                format!("{name} at pH {ph}"),
                index,
                (free * gamma).log10() + 2.0 * bath.ph() - 8.674,
                0.03,
            );
            assert!(index < 0.0, "{name} at pH {ph}: {index}");
        }
    }
}
