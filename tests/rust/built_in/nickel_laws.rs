//! The laws of the nickel cards: their reference states, closed forms of their maxima and slopes, and the trends
//! they are made to show. Settings of series follow the script that fits the numbers, `shared/reference/nickel_laws.py`.

use bathkin::Recipe;
use bathkin::constants::GAS_CONSTANT_J_MOL_K;
use bathkin::document::Value;

use support::recipes::{built_in, nickel_acid, rate, say, set, um_h};
use support::{assert_relative, assert_within};

const NICKEL_SALT: &str = "make_up.nickel_sulfate_hexahydrate_g_l";
const REDUCTANT: &str = "make_up.sodium_hypophosphite_monohydrate_g_l";
const PH: &str = "operation.ph";

/// mol/(m² s) of nickel: what the law says, without the phosphorus that grows with it.
fn metal(recipe: &Recipe) -> f64 {
    rate(recipe).half_reactions_mol_m2_s.iter().find(|(name, _)| name == "metal").expect("metal").1
}

fn number(recipe: &Recipe, path: &str) -> f64 {
    match recipe.document().get(path).map(|entry| &entry.value) {
        Some(Value::Number(number)) => *number,
        other => panic!("{path}: {other:?}"),
    }
}

fn species(recipe: &Recipe, name: &str) -> f64 {
    let all = recipe.make_up().and_then(|bath| bath.species()).unwrap_or_else(|error| panic!("{error}"));
    all.iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("{name}")).1
}

/// d ln f / d ln x at the value of a path, by central differences of 0.1 %.
fn log_slope(recipe: &Recipe, path: &str, of: &dyn Fn(&Recipe) -> f64) -> f64 {
    const H: f64 = 1e-3;
    let here = number(recipe, path);
    let at = |factor: f64| of(&set(recipe, &[(path, here * factor)])).ln();
    (at(1.0 + H) - at(1.0 - H)) / ((1.0 + H).ln() - (1.0 - H).ln())
}

/// d log10 f / d pH at the working pH.
fn ph_slope(recipe: &Recipe, of: &dyn Fn(&Recipe) -> f64) -> f64 {
    const H: f64 = 1e-2;
    let here = number(recipe, PH);
    let at = |shift: f64| of(&set(recipe, &[(PH, here + shift)])).log10();
    (at(H) - at(-H)) / (2.0 * H)
}

/// The adsorption constants and D of nickel-acid at its make-up.
struct Sites {
    nickel: f64,
    hypophosphite: f64,
    hydroxide: f64,
    sites: f64,
    all: f64,
}

impl Sites {
    fn of(recipe: &Recipe) -> Self {
        let constant =
            |name: &str| number(recipe, &format!("deposition.adsorption.adsorbate.{name}.constant_l_mol"));
        let totals = recipe.make_up().and_then(|bath| bath.totals()).expect("totals");
        let total = |name: &str| totals.iter().find(|(known, _)| known == name).expect("it").1;
        let (nickel, hypophosphite, hydroxide) =
            (constant("nickel"), constant("hypophosphite"), constant("hydroxide"));
        Sites {
            nickel,
            hypophosphite,
            hydroxide,
            sites: number(recipe, "deposition.adsorption.sites"),
            all: 1.0
                + nickel * total("nickel")
                + hypophosphite * total("hypophosphite")
                + hydroxide * species(recipe, "hydroxide"),
        }
    }
}

/// Producer: the speciation of the make-up by the constants in use; 0.1 % for four digits. A changed constant moves the
/// reference state, and the script with `--write` brings it back.
#[test]
fn reference_states_are_those_of_the_make_up() {
    for (name, from) in [
        ("nickel-acid", "nickel-acid"),
        ("nickel-textbook", "nickel-acid"),
        ("nickel-alkaline", "nickel-alkaline"),
    ] {
        let (recipe, state) = (built_in(name), built_in(from));
        let bath = state.make_up().expect("a bath");
        let totals = bath.totals().expect("totals");
        let mut seen = 0;
        for entry in recipe.document().entries() {
            let Value::Number(stated) = entry.value else { continue };
            let Some((table, of)) = entry.path.rsplit_once('.') else { continue };
            let law = table.starts_with("deposition") || table.starts_with("phosphorus");
            let wanted = match (table.rsplit('.').next().expect("a table"), of) {
                ("reference_free_mol_l", of) if law => species(&state, of),
                ("reference_mol_l", of) if law => totals
                    .iter()
                    .find(|(known, _)| known == of)
                    .map_or_else(|| species(&state, of), |(_, total)| *total),
                ("ionic_strength", "reference_mol_l") if law => bath.ionic_strength_mol_l(),
                ("hydroxide" | "ammonia", "reference_mol_l") if law => {
                    species(&state, table.rsplit('.').next().expect("a table"))
                }
                _ => continue,
            };
            assert_relative(format!("{name}: {}", entry.path), stated, wanted, 1e-3);
            seen += 1;
        }
        assert!(seen >= 6, "{name}: {seen}");
    }
}

/// Producer: the number itself. Fresh make-up gives the rate of the reference state, whichever basis is chosen.
#[test]
fn fresh_make_up_gives_the_rate_of_the_reference_state() {
    for name in ["nickel-acid", "nickel-alkaline"] {
        let recipe = built_in(name);
        assert_relative(name, metal(&recipe), number(&recipe, "deposition.rate_mol_m2_s"), 2e-3);
    }
    let total =
        say(&nickel_acid(), &[("deposition.basis.nickel", "total"), ("phosphorus.basis.nickel", "total")]);
    let (free, total) = (rate(&nickel_acid()), rate(&total));
    // 0.6 %: the start of the rate with free nickel is at 99.4 % of its end.
    assert_relative("by total nickel", total.deposition_um_h, free.deposition_um_h, 7e-3);
    assert_relative("phosphorus by total nickel", total.alloy_wt_pct, free.alloy_wt_pct, 1e-3);
}

/// Producer: the sentence in the card.
#[test]
fn the_textbook_bath_has_the_law_of_nickel_acid() {
    let (acid, textbook) = (nickel_acid(), built_in("nickel-textbook"));
    let law = |recipe: &Recipe| -> Vec<(String, String)> {
        let tables = ["deposition.", "phosphorus.", "hydrogen."];
        let of_law = recipe
            .document()
            .entries()
            .iter()
            .filter(|entry| tables.iter().any(|table| entry.path.starts_with(table)));
        of_law.map(|entry| (entry.path.clone(), format!("{:?}", entry.value))).collect()
    };
    let (of_acid, of_textbook) = (law(&acid), law(&textbook));
    assert_eq!(of_acid, of_textbook);
    // 6.5-11 wt% P, and the pH slope of practice.
    let fresh = rate(&textbook);
    assert!((6.5..11.0).contains(&fresh.alloy_wt_pct), "{}", fresh.alloy_wt_pct);
}

/// Producer: h* = b (D - K_H h)/(K_H (m - b)), the share b/m of the sites; without salt, which shifts it by 1 %.
#[test]
fn the_maximum_over_hypophosphite_is_where_its_share_of_the_sites_is_b_over_m() {
    let recipe = say(&nickel_acid(), &[("deposition.ionic_strength.constant_mol_l", "off")]);
    let sites = Sites::of(&recipe);
    let order = number(&recipe, "deposition.order.hypophosphite");
    let rest = sites.all - sites.hypophosphite * number(&recipe, "deposition.reference_mol_l.hypophosphite");
    let best_mol_l = order * rest / (sites.hypophosphite * (sites.sites - order));
    let best_g_l = best_mol_l * 105.99;
    let at_best = set(&recipe, &[(REDUCTANT, best_g_l)]);
    // What is left is the salt's pull on free nickel and hydroxide.
    assert_within("slope at the closed form", log_slope(&at_best, REDUCTANT, &metal), 0.0, 0.01);
    let slope = |g_l: f64| log_slope(&set(&nickel_acid(), &[(REDUCTANT, g_l)]), REDUCTANT, &um_h);
    assert!(slope(20.0) > 0.0 && slope(45.0) < 0.0);
    // Published: 28-35 g/L.
    assert!(slope(28.0) > 0.0 && slope(35.0) < 0.0, "{} {}", slope(28.0), slope(35.0));
}

/// Producer: x* = s (D - K_O x)/(K_O (m - s)); published: pH 5.5-6.0 with 28-35 g/L of both salts.
#[test]
fn the_maximum_over_ph_is_where_hydroxide_has_the_share_s_over_m() {
    let both = set(&nickel_acid(), &[(NICKEL_SALT, 31.5), (REDUCTANT, 31.5)]);
    let sites = Sites::of(&nickel_acid());
    let decades = number(&both, "deposition.ph_order");
    let rest = sites.all - sites.hydroxide * species(&nickel_acid(), "hydroxide");
    let best = decades * rest / (sites.hydroxide * (sites.sites - decades));
    let best_ph = 4.8 + (best / species(&nickel_acid(), "hydroxide")).log10();
    assert_within("pH of the maximum", best_ph, 5.75, 0.05);
    let slope = |ph: f64| ph_slope(&set(&both, &[(PH, ph)]), &um_h);
    assert_within("slope there, decades per pH", slope(best_ph), 0.0, 0.03);
    assert!(slope(5.5) > 0.0 && slope(6.0) < 0.0);
    assert!(slope(5.2) > 0.0 && slope(6.3) < 0.0);
}

/// Producer: a d ln[Ni+2]/d ln Ni - m K_N Ni/D - 2.303 c dI/d ln Ni, with 1/K for 2.303 c; the saturation adds
/// K/(K + [Ni+2]) of the first. The optimum is flat: only the sign of the slope beside it is a trend.
#[test]
fn the_order_in_total_nickel_is_what_the_parts_make() {
    let recipe = nickel_acid();
    let sites = Sites::of(&recipe);
    let free = |recipe: &Recipe| species(recipe, "nickel");
    let strength = |recipe: &Recipe| recipe.make_up().expect("a bath").ionic_strength_mol_l();
    let (of_free, nickel) = (log_slope(&recipe, NICKEL_SALT, &free), free(&recipe));
    let start = number(&recipe, "deposition.saturation.nickel.constant_mol_l");
    let order = number(&recipe, "deposition.order.nickel") + start / (start + nickel);
    let of_strength = log_slope(&recipe, NICKEL_SALT, &strength) * strength(&recipe);
    let total = number(&recipe, "deposition.reference_mol_l.nickel");
    let parts = order * of_free
        - sites.sites * sites.nickel * total / sites.all
        - of_strength / number(&recipe, "deposition.ionic_strength.constant_mol_l");
    // Hydroxide at a held pH moves a little with the salt: not in the sum.
    assert_within("order in total nickel", log_slope(&recipe, NICKEL_SALT, &metal), parts, 0.005);
    let slope = |g_l: f64| log_slope(&set(&recipe, &[(NICKEL_SALT, g_l)]), NICKEL_SALT, &um_h);
    assert!(slope(20.0) > 0.0 && slope(45.0) < 0.0, "{} {}", slope(20.0), slope(45.0));
}

/// Producer: s - m K_O [OH-]/D + a d log[Ni+2]/d pH - c dI/d pH.
#[test]
fn decades_per_ph_are_what_the_parts_make() {
    let recipe = nickel_acid();
    let sites = Sites::of(&recipe);
    let strength = |recipe: &Recipe| recipe.make_up().expect("a bath").ionic_strength_mol_l();
    let of_strength = ph_slope(&recipe, &strength) * strength(&recipe);
    let parts = number(&recipe, "deposition.ph_order")
        - sites.sites * sites.hydroxide * species(&recipe, "hydroxide") / sites.all
        + number(&recipe, "deposition.order.nickel") * ph_slope(&recipe, &|recipe| species(recipe, "nickel"))
        - of_strength / number(&recipe, "deposition.ionic_strength.constant_mol_l");
    assert_within("decades per pH", ph_slope(&recipe, &metal), parts, 0.005);
    let found = ph_slope(&recipe, &um_h);
    // Common practice.
    assert!((0.25..0.45).contains(&found), "{found}");
    let phosphorus = |ph: f64| rate(&set(&recipe, &[(PH, ph)])).alloy_wt_pct;
    let per_ph = (phosphorus(5.2) - phosphorus(4.4)) / 0.8;
    assert!((-3.0..-1.5).contains(&per_ph), "{per_ph}");
}

/// Producer: Ea + a E(Ni+2) - m (K_O [OH-]/D) E(OH-), each E from the speciation at the held hot pH.
#[test]
fn the_apparent_activation_energy_is_what_the_parts_make() {
    let energy = |of: &dyn Fn(&Recipe) -> f64| {
        let at = |celsius: f64| of(&set(&nickel_acid(), &[("operation.temperature_c", celsius)])).ln();
        let (cold, hot) = (87.0, 89.0);
        GAS_CONSTANT_J_MOL_K * 1e-3 * (at(hot) - at(cold)) / (1.0 / (cold + 273.15) - 1.0 / (hot + 273.15))
    };
    let sites = Sites::of(&nickel_acid());
    let share = sites.hydroxide * species(&nickel_acid(), "hydroxide") / sites.all;
    let parts = number(&nickel_acid(), "deposition.activation_energy_kj_mol")
        + number(&nickel_acid(), "deposition.order.nickel") * energy(&|recipe| species(recipe, "nickel"))
        - sites.sites * share * energy(&|recipe| species(recipe, "hydroxide"));
    assert_within("apparent, kJ/mol", energy(&metal), parts, 0.3);
}

/// Published (Trans. Inst. Met. Finish., abstract): the rate falls and phosphorus rises with the stability of the complex.
/// Lactate against glycine lies inside the error of their constants.
#[test]
fn a_stronger_complexant_slows_plating_and_raises_phosphorus() {
    let with = |acid: &str, g_l: f64| {
        let none =
            say(&nickel_acid(), &[("make_up.lactic_acid_g_l", "off"), ("make_up.acetic_acid_g_l", "off")]);
        rate(&set(&none, &[(acid, g_l), (PH, 4.5)]))
    };
    // 0.4 mol/L, citrate 0.2.
    let acetate = with("make_up.acetic_acid_g_l", 24.02);
    let middle = [with("make_up.lactic_acid_g_l", 36.03), with("make_up.glycine_g_l", 30.03)];
    let citrate = with("make_up.citric_acid_anhydrous_g_l", 38.42);
    for one in &middle {
        assert!(
            acetate.deposition_um_h > one.deposition_um_h && one.deposition_um_h > citrate.deposition_um_h
        );
        assert!(acetate.alloy_wt_pct < one.alloy_wt_pct && one.alloy_wt_pct < citrate.alloy_wt_pct);
    }
    // The same as cards, without editing.
    let (weak, usual, strong) = (built_in("nickel-low-ligand"), nickel_acid(), built_in("nickel-citrate"));
    assert!(um_h(&weak) > um_h(&usual) && um_h(&usual) > um_h(&strong));
    assert!(rate(&weak).alloy_wt_pct < rate(&usual).alloy_wt_pct);
    assert!(rate(&usual).alloy_wt_pct < rate(&strong).alloy_wt_pct);
}

/// Producer: common practice and the closed form of the salt factor, exp(-(I - I_0)/K).
#[test]
fn salt_alone_slows_a_little() {
    let recipe = nickel_acid();
    let salty = set(&recipe, &[("make_up.sodium_sulfate_anhydrous_g_l", 0.5 * 142.04)]);
    let left = um_h(&salty) / um_h(&recipe);
    assert!((0.92..0.98).contains(&left), "{left}");
    let strength = |recipe: &Recipe| recipe.make_up().expect("a bath").ionic_strength_mol_l();
    let factor = rate(&salty).factors.iter().find(|(name, _)| name.starts_with("ionic")).expect("salt").1;
    let constant = number(&recipe, "deposition.ionic_strength.constant_mol_l");
    let reference = number(&recipe, "deposition.ionic_strength.reference_mol_l");
    assert_relative("salt", factor, (-(strength(&salty) - reference) / constant).exp(), 1e-9);
}

/// Published: the rate rises to pH 9 and falls above; 2-3 um/h at 30-40 degC; 7-8 wt% P at pH 8-8.5, 2-4 at 9-10, within
/// 1 wt%. Producer of the place: [OH-]* = s (1 + K_A [NH3])/(K_O (m - s)) with ammonia held; the peak lies at a share
/// s/m of the sites.
#[test]
fn alkaline_nickel_peaks_at_ph_9_whatever_the_heat() {
    let recipe = built_in("nickel-alkaline");
    let at = |ph: f64, celsius: f64| rate(&set(&recipe, &[(PH, ph), ("operation.temperature_c", celsius)]));
    for celsius in [35.0, 60.0, 85.0] {
        let um_h = |ph: f64| at(ph, celsius).deposition_um_h;
        assert!(um_h(8.5) < um_h(9.0) && um_h(9.0) > um_h(9.5), "{celsius} degC");
    }
    for (celsius, low, high) in [(30.0, 1.9, 3.0), (35.0, 2.0, 3.0), (40.0, 2.0, 3.1), (87.5, 13.5, 17.0)] {
        let found = at(9.0, celsius).deposition_um_h;
        assert!((low..high).contains(&found), "{celsius} degC: {found}");
    }
    for (ph, low, high) in [
        (8.0, 6.0, 9.0),
        (8.25, 6.0, 9.0),
        (8.5, 6.0, 9.0),
        (9.0, 1.0, 5.0),
        (9.5, 1.0, 5.0),
        (10.0, 1.0, 5.0),
    ] {
        let found = at(ph, 40.0).alloy_wt_pct;
        assert!((low..high).contains(&found), "pH {ph}: {found}");
    }
    let constant =
        |name: &str| number(&recipe, &format!("deposition.adsorption.adsorbate.{name}.constant_l_mol"));
    let (order, sites) =
        (number(&recipe, "deposition.order.hydroxide"), number(&recipe, "deposition.adsorption.sites"));
    let best = order * (1.0 + constant("ammonia") * species(&recipe, "ammonia"))
        / (constant("hydroxide") * (sites - order));
    let ph = 9.0 + (best / species(&recipe, "hydroxide")).log10();
    assert_within("cooled pH of the peak", ph, 9.0, 0.15);
}

/// Producer: the ammonia held by the pH control, a life. The reacting nickel does not depend on free ammonia.
#[test]
fn alkaline_nickel_ages_like_acid_nickel() {
    let life = support::recipes::live(&built_in("nickel-alkaline"));
    let column = |name: &str| life.table.column(name).expect("a column").to_vec();
    let (turnovers, rates) = (column("turnovers"), column("deposition_um_h"));
    let end = turnovers.len() - 1;
    assert!(turnovers[end] > 3.9, "{}", turnovers[end]);
    let per_turnover = 100.0 * (1.0 - rates[end] / rates[0]) / turnovers[end];
    assert!((3.0..7.0).contains(&per_turnover), "{per_turnover} % per turnover");
}

/// Producer: the orders. Nothing plates without an ion to discharge, and nothing is singular.
#[test]
fn the_law_is_regular_where_nickel_runs_out() {
    let recipe = nickel_acid();
    let at = |g_l: f64| um_h(&set(&recipe, &[(NICKEL_SALT, g_l)]));
    let (little, less) = (at(1e-3), at(1e-4));
    // First order far below the constant of saturation, and the small order on top.
    assert_within("order", (little / less).log10(), 1.07, 0.05);
    assert!(at(1e-9) < 1e-3);
}
