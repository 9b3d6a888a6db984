//! Alkaline copper from formaldehyde: the published power law, the peak over pH, the stoichiometry,
//! Cannizzaro's reaction, and lives.

use acceptance::{Csv, assert_relative, assert_within, case, number};
use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::single_load::carry;
use bathkin::recipe::{Bath, Recipe, Value};
use bathkin::surface::Conditions;
use bathkin::tank::{BathState, Tank};

use crate::recipes::{column, gain, last, live, say, set};

const COPPER: [&str; 3] = ["copper-edta", "copper-tartrate", "copper-textbook"];

fn built_in(name: &str) -> Recipe {
    Recipe::built_in(name).expect("built in")
}

fn component(tank: &Tank, name: &str) -> usize {
    let found = tank.equilibrium.component_names().iter().position(|known| known == name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

fn substance(tank: &Tank, name: &str) -> usize {
    tank.equilibrium.substance_names().position(|known| known == name).expect("a substance")
}

/// The concentrations a law reads, mol/L.
struct State {
    totals: Vec<f64>,
    dissolved: Vec<f64>,
    temperature_k: f64,
}

impl State {
    fn of(tank: &Tank, totals: &[(&str, f64)], hydroxide: f64, temperature_k: f64) -> Self {
        let mut state = State {
            totals: vec![0.0; tank.components()],
            dissolved: vec![0.0; tank.equilibrium.substances()],
            temperature_k,
        };
        for (name, mol_l) in totals {
            state.totals[component(tank, name)] = *mol_l;
        }
        state.dissolved[substance(tank, "hydroxide")] = hydroxide;
        state
    }

    fn conditions(&self) -> Conditions<'_> {
        Conditions {
            temperature_k: self.temperature_k,
            ph: 12.5,
            ionic_strength_mol_l: 0.7,
            totals_mol_l: &self.totals,
            dissolved_mol_l: &self.dissolved,
        }
    }
}

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
        let mut rates = vec![0.0; tank.reactions.len()];
        tank.kinetics.rates(&state.conditions(), &mut rates);
        let um_h = tank.growth(&rates).0 * SECONDS_PER_HOUR;
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
        let observed = observed(&recipe);
        assert_relative(name, observed.made_mol_m2_s(tank, tank.proton()), 4.0 * metal, 1e-12);
        assert_eq!(rate.alloy_wt_pct, 0.0);
    }
}

fn observed(recipe: &Recipe) -> BathState {
    let model = recipe.model().expect("a model");
    let mut observed = BathState::new(&model.tank);
    observed.totals_mol_l.copy_from_slice(&model.fresh_totals_mol_l);
    observed.update(&model.tank, &mut model.tank.equilibrium.speciation()).expect("solved");
    observed
}

/// A recipe whose pH is set so that the free hydroxide is this, mol/L.
fn at_hydroxide(recipe: &Recipe, wanted: f64) -> Recipe {
    let at = |ph: f64| set(recipe, &[("operation.ph", ph)]);
    let found = |recipe: &Recipe| {
        let bath: Bath = recipe.make_up().unwrap_or_else(|error| panic!("{error}"));
        bath.species().expect("species").into_iter().find(|(name, _)| name == "hydroxide").expect("it").1
    };
    let mut ph = 12.0;
    for _ in 0..8 {
        ph += (wanted / found(&at(ph))).log10();
    }
    let recipe = at(ph);
    assert_relative("hydroxide", found(&recipe), wanted, 1e-6);
    recipe
}

/// The bath of copper_per_turnover.csv: no tartrate term, no air.
fn bath_of_the_script(temperature_c: f64, hydroxide: f64, loading_dm2_l: f64) -> Recipe {
    let numbers = [
        ("operation.temperature_c", temperature_c),
        // The factor is one without tartrate, not at its reference of 0.05 mol/L.
        ("deposition.order.tartrate", 0.0),
        ("deposition.rate_mol_m2_s", 9.381_142e-5 * 0.05_f64.powf(0.06)),
        ("replenisher.reductant.tetrasodium_edta_tetrahydrate_g_l", 0.0),
        ("replenisher.reductant.potassium_sodium_tartrate_tetrahydrate_g_l", 0.0),
        ("replenisher.reductant.stabilizer_dn_mol_l", 0.0),
        ("gas_exchange.carbon_dioxide.open_surface_m2", 0.0),
        ("work.loading_dm2_l", loading_dm2_l),
        ("tank.bleed_per_turnover", 0.0),
    ];
    at_hydroxide(
        &say(&set(&third_order_only(&built_in("copper-edta")), &numbers), &[("operation.ph_reading", "hot")]),
        hydroxide,
    )
}

/// The Cannizzaro law of the scripts: k3 times all formaldehyde squared times hydroxide, blind to sodium.
pub fn third_order_only(recipe: &Recipe) -> Recipe {
    let words = [
        ("bulk_reaction.cannizzaro.basis.methylene_glycol", "total"),
        ("bulk_reaction.cannizzaro.accelerator.sodium.gain", "off"),
    ];
    set(&say(recipe, &words), &[("bulk_reaction.cannizzaro_dianion.rate_mol_l_s", 0.0)])
}

/// Producer: copper_per_turnover.csv, an independent script with 8.96 g/cm3 and round inputs. Surface and
/// liquid together, at make-up: half a unit of the last digit, and 1 % of what Cannizzaro adds.
#[test]
fn losses_per_copper_are_those_of_an_independent_script() {
    for row in Csv::reference("copper_per_turnover.csv").rows() {
        let (celsius, hydroxide) = (row.number("temperature_c"), row.number("hydroxide_mol_l"));
        let recipe = bath_of_the_script(celsius, hydroxide, row.number("loading_dm2_l"));
        let tank = &recipe.model().expect("a model").tank;
        let observed = observed(&recipe);
        let area_m2_l = row.number("loading_dm2_l") / 100.0;
        let made =
            |slot: usize| observed.made_mol_m2_s(tank, slot) * area_m2_l + observed.made_mol_l_s(tank, slot);
        let copper = -made(tank.roles.metal);
        let what = |name: &str| format!("{name} at {celsius} degC, {hydroxide} mol/L");
        let used = -made(tank.roles.reductant) / copper;
        let tolerance = |name: &str, stoichiometric: f64| {
            0.5 * row.last_digit(name) + 0.01 * (row.number(name) - stoichiometric)
        };
        assert_within(what("HCHO"), used, row.number("hcho_per_cu"), tolerance("hcho_per_cu", 2.0));
        let caustic = made(tank.proton()) / copper;
        assert_within(what("NaOH"), caustic, row.number("naoh_per_cu"), tolerance("naoh_per_cu", 4.0));
        let formate = made(tank.roles.by_product) / copper;
        assert_within(what("formate"), formate, 2.0 + (used - 2.0) / 2.0, 1e-12);
        let methanol = made(component(tank, "methanol")) / copper;
        assert_within(what("methanol"), methanol, (used - 2.0) / 2.0, 1e-12);
    }
}

/// Producer: the same table, through a pumped life of one turnover at 40 degC; 2 %, for the bath moves.
#[test]
fn a_pumped_turnover_uses_what_the_script_says() {
    let recipe = set(&bath_of_the_script(40.0, 0.043, 1.0), &[("limits.turnovers", 1.0)]);
    let pumps = [("replenishment.policy", "continuous"), ("ph_control.policy", "continuous")];
    let life = live(&say(&recipe, &pumps));
    assert_relative("HCHO", life.reductant_feed.used_per_metal_mol, 2.59, 0.02);
    let copper = recipe.model().expect("a model").tank.set_points.metal_mol_l;
    let caustic = gain(&life, "ph_corrector_g_l") / 39.997 / copper;
    assert_relative("NaOH", caustic, 4.30, 0.03);
    assert_relative("formate", gain(&life, "formate_mol_l") / copper, 2.30, 0.02);
    assert_relative("hours", life.verdict.clock_h, 16.9, 0.03);
}

/// Producer: the same script with work in the tank for 40 % of the time and the bath hot throughout: 3.48 formaldehyde and 4.74
/// caustic per copper; 3 %, for the bath moves over the three days.
#[test]
fn a_tank_that_waits_hot_uses_what_the_script_says() {
    let numbers = [
        ("work.hours_per_day", 9.6),
        ("work.days_per_week", 7.0),
        ("life.longest_clock_h", 72.0),
        ("limits.turnovers", 10.0),
    ];
    let recipe = set(&bath_of_the_script(40.0, 0.043, 1.0), &numbers);
    let pumps = [("replenishment.policy", "continuous"), ("ph_control.policy", "continuous")];
    let life = live(&say(&recipe, &pumps));
    assert_relative("duty", life.verdict.plating_h / life.verdict.clock_h, 0.4, 1e-6);
    assert_relative("HCHO", life.reductant_feed.used_per_metal_mol, 3.48, 0.03);
    let copper = recipe.model().expect("a model").tank.set_points.metal_mol_l;
    let caustic = gain(&life, "ph_corrector_g_l") / 39.997 / copper / life.verdict.turnovers_plated;
    assert_relative("NaOH", caustic, 4.74, 0.03);
}

/// The copper-edta bath with nothing but Cannizzaro going on, the alkali held.
fn alkaline_formaldehyde(numbers: &[(&str, f64)]) -> Recipe {
    let recipe = third_order_only(&built_in("copper-edta"));
    let recipe = set(&recipe, &[("gas_exchange.carbon_dioxide.open_surface_m2", 0.0)]);
    let words = [("ph_control.policy", "continuous"), ("operation.ph_reading", "hot")];
    set(&say(&recipe, &words), numbers)
}

/// Producer: closed form of a second-order decay, c = c0/(1 + k3 [OH-] c0 t), k3 0.01 L2/(mol2 min); and the
/// products, half a formate and half a methanol per formaldehyde.
#[test]
fn formaldehyde_decays_in_second_order_in_a_held_alkaline_solution() {
    let recipe = alkaline_formaldehyde(&[("operation.temperature_c", 25.0), ("operation.ph", 13.0)]);
    let model = recipe.model().expect("a model");
    let (tank, start) = (&model.tank, &model.fresh_totals_mol_l);
    let place = tank.roles.reductant;
    for hours in [20.0, 100.0, 300.0] {
        let seconds = hours * SECONDS_PER_HOUR;
        let state = carry(tank, start, 0.0, seconds, 1e-10).unwrap_or_else(|error| panic!("{error}"));
        let balances = bathkin::tank::Balances::new(tank, start);
        let scale = balances.layout().scale();
        let end: Vec<f64> =
            (0..tank.components()).map(|slot| state[slot] * scale[slot] / tank.volume_l).collect();
        let hydroxide = |totals: &[f64]| {
            let mut speciation = tank.equilibrium.speciation();
            speciation.solve(&tank.equilibrium, totals, tank.temperature_k).expect("solved");
            let mut dissolved = vec![0.0; tank.equilibrium.substances()];
            speciation.dissolved_mol_l(&tank.equilibrium, &mut dissolved);
            dissolved[substance(tank, "hydroxide")]
        };
        let (first, then) = (hydroxide(start), hydroxide(&end));
        assert_relative("the alkali is held", then, first, 0.01);
        let expected = start[place] / (1.0 + 0.01 / 60.0 * 0.5 * (first + then) * start[place] * seconds);
        assert_relative(format!("after {hours} h"), end[place], expected, 1e-3);
        let half = 0.5 * (start[place] - end[place]);
        for product in ["formate", "methanol"] {
            let slot = component(tank, product);
            assert_relative(product, end[slot] - start[slot], half, 1e-8);
        }
        assert_within("copper", end[tank.roles.metal], start[tank.roles.metal], 1e-12);
    }
}

/// Producer: 87 kJ/mol, by hand: exp(87e3/8.314 (1/298.15 - 1/308.15)) = 3.12.
#[test]
fn ten_degrees_make_cannizzaro_three_times_as_fast() {
    let recipe = third_order_only(&built_in("copper-edta"));
    let tank = &recipe.model().expect("a model").tank;
    let at = |kelvin: f64| {
        tank.bulk[0].law.value(&State::of(tank, &[("methylene_glycol", 0.1)], 0.1, kelvin).conditions())
    };
    assert_within("factor", at(308.15) / at(298.15), 3.1, 0.05);
    assert_relative("k3/2 c^3, mol/(L s)", at(298.15), 0.01 / 60.0 / 2.0 * 1e-3, 1e-6);
    assert_eq!(tank.bulk[0].law.value(&State::of(tank, &[], 0.1, 298.15).conditions()), 0.0);
}

/// The loss of formaldehyde, mol/(L s), of a built-in bath with some numbers changed.
fn loss(name: &str, numbers: &[(&str, f64)]) -> f64 {
    let recipe = set(&built_in(name), numbers);
    let tank = &recipe.model().expect("a model").tank;
    -observed(&recipe).made_mol_l_s(tank, tank.roles.reductant)
}

/// Producer: the law in an abstract, third and fourth order in free formaldehyde and hydroxide; k4 is k3 per mol/L, so
/// their ratio is the free hydroxide in mol/L, and the loss the sum.
#[test]
fn cannizzaro_is_of_third_and_fourth_order() {
    for name in ["copper-edta", "copper-tartrate", "copper-tartrate-quiet", "copper-textbook"] {
        let recipe = built_in(name);
        let tank = &recipe.model().expect("a model").tank;
        let observed = observed(&recipe);
        let free = |name: &str| observed.dissolved_mol_l[substance(tank, name)];
        let [third, fourth] = observed.bulk_mol_l_s[..] else { panic!("{name}: two reactions") };
        assert_relative(name, fourth / third, free("hydroxide"), 1e-9);
        assert_eq!(tank.bulk[0].liquid, tank.bulk[1].liquid, "{name}: one reaction, two ways");
        // Both orders at once, by hand at 25 degC without the sodium: k3/2 [M]^2 [OH] (1 + [OH]/(mol/L)).
        let sodium = observed.totals_mol_l[component(tank, "sodium")];
        let by_sodium = (1.0 + sodium / (1.0 + sodium)) / (1.0 + 0.3 / 1.3);
        let arrhenius = (-87e3 / 8.314_462_618 * (1.0 / tank.temperature_k - 1.0 / 298.15)).exp();
        let (glycol, hydroxide) = (free("methylene_glycol"), free("hydroxide"));
        let by_hand = 0.01 / 60.0 * glycol.powi(2) * hydroxide * (1.0 + hydroxide) * arrhenius * by_sodium;
        let lost = -observed.made_mol_l_s(tank, tank.roles.reductant);
        assert_relative(format!("{name}: loss, mol/(L s)"), lost, by_hand, 1e-6);
    }
}

/// Producer: the abstract: the loss rises with sodium whatever its anion, here sulfate or chloride, 0.5 mol/L sodium;
/// the potassium salts make the ionic strength, so what is left is the sodium.
#[test]
fn sodium_speeds_cannizzaro_whatever_its_anion() {
    for (of_sodium, of_potassium, g_l) in [
        ("sodium_chloride_g_l", "potassium_chloride_g_l", (0.5 * 58.44, 0.5 * 74.55)),
        ("sodium_sulfate_anhydrous_g_l", "potassium_sulfate_g_l", (0.25 * 142.04, 0.25 * 174.26)),
    ] {
        let with = |salt: &str, g_l: f64| loss("copper-edta", &[(&format!("make_up.{salt}"), g_l)]);
        let faster = with(of_sodium, g_l.0) / with(of_potassium, g_l.1);
        assert!((1.05..1.25).contains(&faster), "{of_sodium}: {faster}");
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

/// A reaction of the liquid that drops powder: the books hold, and nothing is plated by it.
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

/// The pH of a bath with hardly any buffer is corrected every time: no reading of it is lost between two
/// doses, and the turnovers take as long one as the other.
#[test]
fn a_bath_without_buffer_keeps_its_ph_over_its_life() {
    let life = live(&built_in("copper-textbook"));
    let hours = column(&life, "clock_h");
    assert_relative("second turnover against the first", hours[2] - hours[1], hours[1], 0.05);
}
