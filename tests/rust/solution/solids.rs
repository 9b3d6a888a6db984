//! Solids and couples: saturation indices, the pH at which one precipitates, calibration from it.

use bathkin::constants::{LN_10, REFERENCE_TEMPERATURE_K};
use bathkin::model::database::built_in;
use bathkin::recipe::Recipe;
use bathkin::solution::{
    Activity, BathCouple, BathSolid, Chemistry, Distribution, Equilibrium, PrecipitationOnset,
};
use bathkin::{Bath, Error};

use support::recipes::{column, live, nickel_acid, round_the_clock, say, set};
use support::solutions::{DAVIES, chemistry_with, cold, names};
use support::{Csv, assert_relative, assert_within};

/// The constants of saturation_phreeqc_constants.csv and nothing else; solids by their formula. The
/// program's water activity goes into the constants.
fn as_the_program(log_water_activity: f64) -> Chemistry {
    let file = Csv::reference("saturation_phreeqc_constants.csv");
    let mut text = String::new();
    for (number, row) in file.rows().enumerate() {
        let parts: Vec<String> = row
            .text("forms_from")
            .split_whitespace()
            .map(|part| part.split_once(':').expect("component:count"))
            .map(|(of, count)| format!("{of} = {count}"))
            .collect();
        let water = parts.iter().find_map(|part| part.strip_prefix("water = "));
        let water: f64 = water.map_or(0.0, |count| count.parse().expect("a count"));
        let (table, name) = match row.text("kind") {
            "species" => ("species", format!("phreeqc_{number}")),
            _ => ("solids", format!("phreeqc_{number}")),
        };
        text += &format!(
            "[{table}.{name}]\ntitle = \"{0}\"\nformula = \"{0}\"\nforms_from = {{ {1} }}\nlog_k_25c = {2:?}\n\
             source = \"saturation_phreeqc_constants.csv\"\nkind = \"computed\"\n",
            row.text("formula"),
            parts.join(", "),
            row.number("log_k_25c") + water * log_water_activity,
        )
        // A species has no title.
        .replace(if table == "species" { "title" } else { "\u{0}" }, "note");
    }
    let mut chemistry = chemistry_with(&text);
    chemistry.species.retain(|species| species.name.starts_with("phreeqc_"));
    chemistry.solids.retain(|solid| solid.name.starts_with("phreeqc_"));
    chemistry
}

/// Producer: PHREEQC 3.7.3 through saturation_phreeqc.csv. pH within 2e-4; indices within 1e-3, the
/// slope A being 0.5100 there and 0.5098 here; the program's water activity is put in.
#[test]
fn saturation_indices_are_the_programs() {
    let file = Csv::reference("saturation_phreeqc.csv");
    let mut seen = 0;
    for row in file.rows() {
        let (of, totals): (Vec<&str>, Vec<f64>) = row
            .text("totals_mol_kg")
            .split(';')
            .map(|part| part.trim().split_once('=').expect("component=total"))
            .map(|(name, total)| (name, total.parse::<f64>().expect("a total")))
            .unzip();
        let chemistry = as_the_program(row.number("water_activity").log10());
        let equilibrium = Equilibrium::new(&chemistry, &names(&of), DAVIES);
        let speciation = cold(&equilibrium, &totals, REFERENCE_TEMPERATURE_K);
        assert_within(format!("pH of {}", row.text("case")), speciation.ph(), row.number("ph"), 2e-4);
        let solids = BathSolid::of_bath(&chemistry, &equilibrium);
        let solid = solids.iter().find(|solid| solid.title == row.text("solid"));
        let solid = solid.unwrap_or_else(|| panic!("no {} in {}", row.text("solid"), row.text("case")));
        let found = solid.saturation_index(&equilibrium, &speciation);
        let what = format!("SI of {} in {}", row.text("solid"), row.text("case"));
        assert_within(what, found, row.number("saturation_index"), 1e-3);
        seen += 1;
    }
    assert!(seen >= 15, "{seen} indices");
}

fn precipitation_ph(solid: &str, components: &[&str], totals: &[f64], activity: Activity) -> f64 {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(components), activity);
    let solids = BathSolid::of_bath(chemistry, &equilibrium);
    let solid = solids.iter().find(|known| known.name == solid).expect("a solid");
    let mut onset = PrecipitationOnset::new(&equilibrium, totals, REFERENCE_TEMPERATURE_K);
    onset.ph(solid, 4.0).expect("solved").expect("it precipitates")
}

/// Producer: Ksp = [M][OH]², pH = pKw - (pKsp + log10 [M])/2 with ideal activities. Textbooks: Ni(OH)2
/// from 0.1 mol/L at about pH 6.9 (Ksp 5.5e-16), Cu(OH)2 from 0.01 mol/L at 5.3 (2.2e-20), Co(OH)2 from
/// 0.01 mol/L at about 7.6 (1.6e-15 to 5.9e-15); from memory, so 0.2.
#[test]
fn hydroxides_fall_at_the_textbook_ph() {
    let ideal = |solid, metal| precipitation_ph(solid, &[metal, "nitrate"], &[0.01, 0.02], Activity::Ideal);
    assert_within("Cu(OH)2", ideal("copper_hydroxide", "copper"), 5.3, 0.2);
    assert_within("Co(OH)2", ideal("cobalt_hydroxide", "cobalt"), 7.6, 0.2);
    let nickel = precipitation_ph("nickel_hydroxide", &["nickel", "nitrate"], &[0.1, 0.2], Activity::Ideal);
    assert_within("Ni(OH)2", nickel, 6.9, 0.05);
    // By hand: 2 pH = 12.794 + 1, the nickel bound as NiOH+ (1e-3 of it) left out.
    assert_within("Ni(OH)2 by hand", nickel, (12.794 + 1.0) / 2.0, 1e-3);
}

/// Producer: as above, by hand: the index passes zero at pH (12.794 + 1)/2 and rises by 2 per unit of pH;
/// 1e-3 for NiOH+. Points 0.1 apart, both ways; a curve that stays below has no onset.
#[test]
fn a_curve_says_where_it_becomes_saturated() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["nickel", "nitrate"]), Activity::Ideal);
    let solids = BathSolid::of_bath(chemistry, &equilibrium);
    let over = |ph: &[f64]| {
        let mut speciation = equilibrium.speciation();
        let totals = [0.1, 0.2];
        Distribution::over_ph(&equilibrium, &mut speciation, &solids, &totals, REFERENCE_TEMPERATURE_K, ph)
            .expect("solved")
            .profile
    };
    let up: Vec<f64> = (0..20).map(|step| 6.0 + 0.1 * f64::from(step)).collect();
    let rising = over(&up);
    let [onset] = &rising.onsets()[..] else { panic!("one solid") };
    assert_eq!((onset.solid.as_str(), onset.title.as_str()), ("nickel_hydroxide", "nickel hydroxide, fresh"));
    let by_hand = (12.794 + 1.0) / 2.0;
    assert_within("onset", onset.ph, by_hand, 1e-3);
    assert_within("place", onset.point, (by_hand - 6.0) / 0.1, 1e-2);
    assert_within("largest", onset.largest_index, 2.0 * (7.9 - by_hand), 0.02);
    let down: Vec<f64> = up.iter().rev().copied().collect();
    // Oversaturated from its first point on.
    let falling = over(&down).onsets();
    assert_eq!((falling[0].ph, falling[0].point), (down[0], 0.0));
    assert!(over(&up[..5]).onsets().is_empty());
}

/// Producer: IAP by hand, log10 of (0.01 g)² over 10^-9.75, log10 g = -0.5098 (0.0909 - 0.003) at I = 0.01.
#[test]
fn an_index_is_the_ion_product_over_the_solubility_product() {
    let mut bare = as_the_program(0.0);
    bare.species.retain(|species| species.formula.text == "OH-");
    let equilibrium = Equilibrium::new(&bare, &names(&["silver", "chloride"]), DAVIES);
    let speciation = cold(&equilibrium, &[0.01, 0.01], REFERENCE_TEMPERATURE_K);
    let solids = BathSolid::of_bath(&bare, &equilibrium);
    let chloride = solids.iter().find(|solid| solid.title == "AgCl").expect("AgCl");
    let log_gamma = -0.5098 * (0.1 / 1.1 - 0.003);
    let expected = 2.0 * (-2.0 + log_gamma) + 9.75;
    assert_within("SI", chloride.saturation_index(&equilibrium, &speciation), expected, 1e-4);
}

/// Producer: the thermodynamic cycle, 2 E(Cu/Cu+2) = E(Cu2O/Cu+2) + E(Cu/Cu2O) per two electrons, and
/// Pourbaix's lines (from memory): 0.203 + 0.0591 pH + 0.0591 log a, 0.471 - 0.0591 pH, 0.337 + 0.0295
/// log a; within 6 mV.
#[test]
fn copper_couples_stand_where_pourbaix_has_them() {
    let (_, chemistry) = built_in().expect("built in");
    let equilibrium = Equilibrium::new(chemistry, &names(&["copper", "sulfate"]), DAVIES);
    let couples = BathCouple::of_bath(chemistry, &equilibrium);
    for kelvin in [298.15, 343.15] {
        let speciation = cold(&equilibrium, &[0.01, 0.02], kelvin);
        let [to_oxide, to_metal, oxide] =
            ["copper_ion_to_oxide", "copper_ion_to_metal", "copper_oxide_to_metal"].map(|name| {
                let couple = couples.iter().find(|couple| couple.name == name).expect("a couple");
                couple.potential_v(&equilibrium, &speciation)
            });
        assert_within("the cycle", 2.0 * to_metal, to_oxide + oxide, 1e-4);
        if kelvin < 300.0 {
            let log_copper = speciation.ln_activity(&equilibrium, 0) / LN_10;
            let ph = speciation.ph();
            assert_within("ion to oxide", to_oxide, 0.203 + 0.0591 * (ph + log_copper), 6e-3);
            assert_within("oxide to metal", oxide, 0.471 - 0.0591 * ph, 6e-3);
            assert_within("ion to metal", to_metal, 0.337 + 0.0295 * log_copper, 6e-3);
        }
    }
}

/// An old acid nickel bath: phosphite and sulfate of five turnovers weighed in.
fn old_bath(extra: &[(&str, f64)]) -> Recipe {
    let old = set(
        &nickel_acid(),
        &[("make_up.phosphorous_acid_mol_l", 1.4), ("make_up.sodium_sulfate_anhydrous_mol_l", 0.5)],
    );
    set(&old, extra)
}

fn index(bath: &Bath, solid: &str) -> f64 {
    let indices = bath.saturation_index().expect("indices");
    indices.iter().find(|(name, _)| name == solid).unwrap_or_else(|| panic!("no {solid}")).1
}

/// Producer: the definition. The round trip closes to 1e-9 pH, and the bath made up with caustic to its
/// pH of precipitation has an index of zero.
#[test]
fn a_precipitation_ph_gives_the_constant_and_the_constant_the_precipitation_ph() {
    // Clear at its own pH, so that caustic is what precipitates it; lactate holds more nickel with specific interaction.
    for (activity, log_k) in [("davies", 4.39), ("sit", 4.79)] {
        let clear = old_bath(&[("solids.nickel_phosphite.log_k_25c", log_k)]);
        let recipe = say(&clear, &[("solution.activity", activity)]);
        let bath = recipe.make_up().expect("a bath");
        for (solid, ph) in [("nickel_phosphite", 5.6), ("nickel_phosphite", 5.0), ("nickel_hydroxide", 7.0)] {
            let log_k = bath.log_k_from_precipitation_ph(solid, ph).expect("a constant");
            let path = format!("solids.{solid}.log_k_25c");
            let calibrated = set(&recipe, &[(&path, log_k)]);
            let bath = calibrated.make_up().expect("a bath");
            assert_within(
                solid,
                bath.precipitation_ph(solid).expect("solved").expect("it precipitates"),
                ph,
                1e-9,
            );
        }
        let ph = bath.precipitation_ph("nickel_phosphite").expect("solved").expect("it precipitates");
        let saturated = set(&recipe, &[("operation.ph", ph)]).make_up().expect("a bath");
        assert_within("SI at the pH of precipitation", index(&saturated, "nickel_phosphite"), 0.0, 1e-7);
    }
}

/// Producer: the definition, searched through all pH that a few mol/L of caustic reach.
#[test]
fn the_search_goes_on_until_too_much_base_is_needed() {
    for activity in ["davies", "sit"] {
        let recipe = say(&old_bath(&[]), &[("solution.activity", activity)]);
        let bath = set(&recipe, &[("solids.nickel_phosphite.log_k_25c", -9.0)]).make_up().expect("a bath");
        assert_eq!(bath.precipitation_ph("nickel_phosphite").expect("solved"), None, "{activity}");
        let far = bath.log_k_from_precipitation_ph("nickel_phosphite", 14.0).expect_err("out of reach");
        assert!(far.to_string().contains("at most 5 mol/L"), "{far}");
        assert!(bath.log_k_from_precipitation_ph("nickel_phosphite", 12.0).is_ok());
    }
}

#[test]
fn an_oversaturated_bath_precipitates_below_its_ph_and_says_so() {
    let log_k = old_bath(&[]).make_up().expect("a bath").log_k_from_precipitation_ph("nickel_phosphite", 4.5);
    let recipe = old_bath(&[("solids.nickel_phosphite.log_k_25c", log_k.expect("a constant"))]);
    let bath = recipe.make_up().expect("a bath");
    assert!(index(&bath, "nickel_phosphite") > 0.0);
    let ph = bath.precipitation_ph("nickel_phosphite").expect("solved").expect("it precipitates");
    assert_within("pH of precipitation", ph, 4.5, 1e-9);
    let flags = bath.flags().expect("flags");
    assert!(flags.iter().any(|flag| flag.r#where == "solids.nickel_phosphite"), "{flags:?}");
}

/// Producer: common practice, as the source of the built-in constant says: a bath of 6 g/L nickel without
/// complexant precipitates at a few tens of g/L of Na2HPO3, a lactate bath carries more than 150 g/L (as HPO3).
#[test]
fn the_built_in_phosphite_constant_holds_what_it_was_fitted_to() {
    let bare = set(&nickel_acid(), &[("make_up.lactic_acid_g_l", 0.0), ("make_up.acetic_acid_g_l", 0.0)]);
    let at = |grams: f64| {
        let with = set(&bare, &[("make_up.phosphorous_acid_mol_l", grams / 125.96)]);
        index(&with.make_up().expect("a bath"), "nickel_phosphite")
    };
    assert!(at(15.0) < 0.0 && at(60.0) > 0.0, "{} {}", at(15.0), at(60.0));
    assert_within("SI at 30 g/L, pH 4.8", at(30.0), 0.0, 0.05);
    let life = live(&nickel_acid());
    let largest =
        column(&life, "saturation_index_nickel_phosphite").iter().copied().fold(f64::NEG_INFINITY, f64::max);
    assert!(largest < 0.0, "{largest}");
    assert!(life.solids.iter().all(|solid| solid.oversaturated_from_h.is_none()));
}

#[test]
fn precipitation_ends_a_life_when_a_limit_says_so() {
    let recipe = set(&round_the_clock(&nickel_acid()), &[("solids.nickel_phosphite.log_k_25c", 5.29)]);
    let free = live(&recipe);
    let solid = free.solids.iter().find(|solid| solid.name == "nickel_phosphite").expect("watched");
    let oversaturated_from_h = solid.oversaturated_from_h.expect("it precipitates");
    let flags = recipe.life_flags(&free).expect("flags");
    assert!(flags.iter().any(|flag| flag.what.contains("nickel phosphite")), "{flags:?}");

    // An index is a logarithm: what is used is the activity product over the one at the bound.
    let far = live(&set(&recipe, &[("limits.saturation_index_nickel_phosphite", 1.0)]));
    let standing = far.limits.iter().find(|limit| limit.name == "saturation_index_nickel_phosphite");
    let standing = standing.expect("stands in the table");
    assert_relative("share used", standing.used_pct, 100.0 * 10_f64.powf(standing.value - 1.0), 1e-12);
    assert!((1.0..99.0).contains(&standing.used_pct), "{}", standing.used_pct);

    let limited = live(&set(&recipe, &[("limits.saturation_index_nickel_phosphite", 0.0)]));
    assert_eq!(limited.verdict.limit, "saturation_index_nickel_phosphite");
    assert!(limited.verdict.clock_h <= oversaturated_from_h && limited.verdict.clock_h > 0.0);
    let last = *column(&limited, "saturation_index_nickel_phosphite").last().expect("a row");
    // The dose of caustic that carried it over is not taken back.
    assert_within("SI at the end", last, 0.0, 2e-2);
}

#[test]
fn a_solid_the_bath_cannot_form_is_refused_with_those_it_can() {
    let unknown = |result: Error, known: &str| match result {
        Error::UnknownName { valid, .. } => assert!(valid.iter().any(|name| name == known), "{valid:?}"),
        other => panic!("{other}"),
    };
    let bath = nickel_acid().make_up().expect("a bath");
    unknown(bath.precipitation_ph("silver_chloride").expect_err("no silver"), "nickel_phosphite");
    let recipe = set(&nickel_acid(), &[("limits.saturation_index_silver_chloride", 0.0)]);
    unknown(recipe.make_up().expect_err("no silver"), "limits.saturation_index_nickel_phosphite");
    let fresh = bath.log_k_from_precipitation_ph("nickel_phosphite", 5.6).expect_err("no phosphite yet");
    assert!(fresh.to_string().contains("holds no orthophosphite"), "{fresh}");
    let unbalanced = "[solids.odd]\nformula = \"NiCO3\"\nforms_from = { nickel = 1 }\nlog_k_25c = 1.0\n\
                      source = \"the test\"\nkind = \"invented\"\n";
    let document = bathkin::document::Document::parse("the test", unbalanced).expect("TOML");
    let error = bathkin::model::database::chemistry_for(&document).expect_err("unbalanced");
    assert!(error.to_string().contains("does not balance"), "{error}");
}

#[test]
fn every_solid_couple_and_gas_has_a_source() {
    let (_, chemistry) = built_in().expect("built in");
    let sources = chemistry.solids.iter().map(|solid| (&solid.name, &solid.evidence.source));
    let sources = sources.chain(chemistry.couples.iter().map(|couple| (&couple.name, &couple.source)));
    let sources = sources.chain(chemistry.gases.iter().map(|gas| (&gas.name, &gas.source)));
    for (name, source) in sources {
        assert!(source.text.len() > 10, "{name} has no source");
    }
    assert!(chemistry.solids.len() >= 10 && chemistry.couples.len() == 3 && chemistry.gases.len() == 2);
}
