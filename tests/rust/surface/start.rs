//! Start of deposition: the law of coverage, substrates, and what they do to a load.

use std::convert::Infallible;

use bathkin::document::Value;
use bathkin::model::built_in_substrates;
use bathkin::recipe::Recipe;
use bathkin::surface::{Activation, Behaviour, Coverage};
use bathkin::{Bath, Error};
use bathkin_numerics::{Options, Problem, advance};
use proptest::prelude::*;

use support::recipes::{constant_rate, fixed_cases, fixed_selectivity, nickel_acid, power_law, set};
use support::{assert_relative, assert_within};

/// theta and the delay, integrated as they stand.
struct Theta(Coverage);

impl Problem for Theta {
    type Error = Infallible;
    fn dimension(&self) -> usize {
        2
    }
    fn derivative(&self, _: f64, y: &[f64], dy: &mut [f64]) -> Result<(), Infallible> {
        let law = self.0;
        dy[0] = (1.0 - y[0]) * (law.nucleation_1_s + law.spreading_1_s * y[0]);
        dy[1] = 1.0 - y[0];
        Ok(())
    }
}

/// Producer: the differential equation integrated directly.
#[test]
fn the_closed_form_is_the_integral() {
    for (start_fraction, nucleation_1_s, spreading_1_s) in
        [(0.0, 1e-3, 0.2), (0.0, 0.05, 0.0), (0.02, 0.0, 0.3), (0.3, 0.01, 0.01), (0.0, 1e-6, 0.5)]
    {
        let law = Coverage { start_fraction, nucleation_1_s, spreading_1_s };
        for seconds in [0.5, 5.0, 30.0, 90.0] {
            let mut state = [start_fraction, 0.0];
            let fine = Options { relative_tolerance: 1e-11, absolute_tolerance: 1e-13, ..Options::default() };
            advance(&Theta(law), 0.0, &mut state, seconds, None, &fine).expect("integrated");
            assert_within(format!("theta after {seconds} s"), law.fraction(seconds), state[0], 1e-8);
            assert_within(format!("delay after {seconds} s"), law.delay_s(seconds), state[1], 1e-8 * seconds);
        }
    }
}

proptest! {
    #![proptest_config(fixed_cases(2000))]

    #[test]
    fn coverage_stays_between_zero_and_one(
        start_fraction in 0.0..1.0_f64,
        seeds in any::<bool>(),
        log_nucleation in -12.0..3.0_f64,
        log_spreading in -12.0..3.0_f64,
        log_seconds in -6.0..9.0_f64,
    ) {
        let law = Coverage {
            start_fraction: if seeds { start_fraction } else { 0.0 },
            nucleation_1_s: 10_f64.powf(log_nucleation),
            spreading_1_s: 10_f64.powf(log_spreading),
        };
        let seconds = 10_f64.powf(log_seconds);
        let (now, later) = (law.fraction(seconds), law.fraction(2.0 * seconds));
        prop_assert!((0.0..=1.0).contains(&now) && now <= later * (1.0 + 1e-12), "{now}, {later}");
        let delay = law.delay_s(seconds);
        prop_assert!(delay >= 0.0 && delay <= seconds * (1.0 + 1e-9), "delay {delay} in {seconds}");
        prop_assert!(delay <= law.induction_s() * (1.0 + 1e-9), "{delay}, {}", law.induction_s());
        prop_assert!((0.0..=1.0).contains(&Coverage::fraction_of(law.extended_at_start())));
    }
}

/// Producer: ln(1/theta_0)/k_s for seeds, ln(1 + k_s/k_n)/k_s for nucleation.
#[test]
fn twice_the_spreading_is_half_the_delay() {
    let seeded = Coverage::<f64>::seeded(20.0, 0.02);
    assert_relative("k_s", seeded.spreading_1_s, 50_f64.ln() / 20.0, 1e-12);
    assert_relative("seeded", seeded.at_rate(2.0).induction_s(), 10.0, 1e-12);
    let bare = Coverage::<f64>::nucleating(20.0, 20.0);
    let both = Coverage { nucleation_1_s: 2.0 * bare.nucleation_1_s, ..bare.at_rate(2.0) };
    assert_relative("both", both.induction_s(), 10.0, 1e-12);
    let spreading_only = 41_f64.ln() / (2.0 * bare.spreading_1_s);
    assert_relative("spreading", bare.at_rate(2.0).induction_s(), spreading_only, 1e-12);
}

/// A bath so large that a load does not change it.
fn vast(recipe: &Recipe) -> Bath {
    set(&constant_rate(&fixed_selectivity(recipe, 0.2, 1.5)), &[("tank.volume_l", 1e7)])
        .make_up()
        .expect("a bath")
}

/// Producer: thickness = r (t - induction) late.
#[test]
fn thickness_has_an_intercept_and_then_the_full_rate() {
    let bath = vast(&power_law());
    let full = bath.rate().expect("a rate").deposition_um_h;
    for (substrate, activation) in [("copper", "contact"), ("plastic", "palladium"), ("palladium", "none")] {
        let on =
            |minutes| bath.plate_on(0.1, minutes, Some(substrate), Some(activation)).expect("plated").load;
        let (early, late) = (on(30.0), on(60.0));
        let slope = (late.thickness_um - early.thickness_um) / 0.5;
        assert_relative(format!("{substrate}: late slope"), slope, full, 1e-6);
        let intercept_s = (1.0 - late.thickness_um / full) * 3600.0;
        assert_within(format!("{substrate}: intercept"), intercept_s, late.induction_s, 1e-4);
        assert_relative("min", late.induction_min * 60.0, late.induction_s, 1e-12);
        assert_within("covered", late.coverage_end, 1.0, 1e-9);

        let curve = bath.load_curve(0.1, 60.0, Some(substrate), Some(activation)).expect("a curve");
        assert_relative(
            "the same load",
            curve.thickness_um[curve.minutes.len() - 1],
            late.thickness_um,
            1e-7,
        );
        assert_eq!((curve.minutes[0], curve.thickness_um[0]), (0.0, 0.0));
        let model = bath.recipe().model().expect("a model");
        let start = model
            .substrates
            .iter()
            .find(|known| known.name == substrate)
            .and_then(|known| {
                known.starts.iter().find(|s| Some(s.activation) == Activation::parse(activation))
            })
            .expect("a start");
        let law = start.coverage.at_rate(full / start.reference_deposition_um_h);
        for (row, minutes) in curve.minutes.iter().enumerate() {
            let seconds = minutes * 60.0;
            assert_within("coverage", curve.coverage[row], law.fraction(seconds), 1e-7);
            let thickness = full * (seconds - law.delay_s(seconds)) / 3600.0;
            assert_within("thickness", curve.thickness_um[row], thickness, 1e-7);
            assert_within("growth", curve.deposition_um_h[row], full * curve.coverage[row], 1e-6);
        }
    }
}

/// Producer: with all delay in spreading, delay x rate is one number whatever the temperature.
#[test]
fn a_colder_bath_starts_later_in_proportion() {
    let load = |temperature_c: f64| {
        let bath =
            set(&nickel_acid(), &[("operation.temperature_c", temperature_c)]).make_up().expect("a bath");
        let rate = bath.rate().expect("a rate").deposition_um_h;
        let load = bath.plate_on(0.1, 10.0, Some("plastic"), Some("palladium")).expect("plated").load;
        load.induction_s * rate
    };
    assert_relative("delay x rate", load(78.0), load(88.0), 1e-9);
    assert_relative("at 15 um/h", load(88.0), 20.0 * 15.0, 1e-9);
}

#[test]
fn steel_starts_at_once_and_is_what_is_plated_by_default() {
    let bath = power_law().make_up().expect("a bath");
    let default = bath.plate(0.2, 60.0).expect("plated");
    assert_eq!((default.substrate.as_str(), default.activation), ("steel", Activation::None));
    assert_eq!((default.load.induction_s, default.load.coverage_end), (0.0, 1.0));
    // Enthalpies of the traces of nickel hydroxide, mended since, move it by 2e-6.
    assert_relative("um", default.load.thickness_um, THICKNESS_UM, 1e-5);
    for name in ["steel", "nickel", "cobalt", "aluminium_zincated"] {
        let other = bath.plate_on(0.2, 60.0, Some(name), None).expect("plated");
        assert_eq!(other.load, default.load, "{name}");
        assert_eq!(other.flags, default.flags, "{name}");
    }
}

/// Producer: the version that knew no substrates.
const THICKNESS_UM: f64 = 16.627474600041317;

#[test]
fn what_does_not_start_is_refused_with_what_practice_does() {
    let bath = nickel_acid().make_up().expect("a bath");
    let refusal = |substrate: &str, activation: Option<&str>| {
        bath.plate_on(0.2, 60.0, Some(substrate), activation).expect_err("refused").to_string()
    };
    for (substrate, activation, words) in [
        ("tin", None, ["work.activation = none", "nickel_strike", "is a poison", "thin nickel strike"]),
        ("lead", Some("contact"), ["work.activation = contact", "nickel_strike", "is a poison", "strike"]),
        (
            "copper",
            None,
            ["contact or nickel_strike or palladium", "contact with an active", "touch", "copper"],
        ),
        (
            "stainless_steel",
            None,
            ["nickel_strike", "without a strike", "acid nickel chloride", "oxide film"],
        ),
        ("plastic", None, ["palladium", "without seeds", "tin(II) chloride", "palladium chloride"]),
    ] {
        let text = refusal(substrate, activation);
        for word in words.iter().chain(&["these start by themselves: steel, nickel, cobalt"]) {
            assert!(text.contains(word), "{substrate}: {word} in: {text}");
        }
    }
    assert!(matches!(
        bath.plate_on(0.2, 60.0, Some("coper"), None),
        Err(Error::UnknownName { nearest, valid, .. }) if nearest[0] == "copper" && valid.len() > 15
    ));
    assert!(matches!(
        bath.plate_on(0.2, 60.0, Some("copper"), Some("kick")),
        Err(Error::UnknownName { valid, .. }) if valid.contains(&"contact".to_owned())
    ));
    // Spaces and hyphens are as good as underscores.
    for strike in ["nickel strike", "nickel-strike", "nickel_strike"] {
        let load = bath.plate_on(0.2, 60.0, Some("tin"), Some(strike)).expect("plated");
        assert_eq!(load.activation, Activation::NickelStrike);
    }
}

#[test]
fn a_recipe_chooses_changes_and_adds_substrates() {
    let with = |changes: &[(&str, Value)]| {
        changes.iter().fold(nickel_acid(), |recipe, (path, value)| recipe.with(path, value.clone(), "test"))
    };
    let text = |text: &str| Value::Text(text.to_owned());
    let copper = [("work.substrate", text("copper")), ("work.activation", text("contact"))];
    let contact = "substrates.copper.nickel_hypophosphite.contact.induction_s";
    let plated = |recipe: &Recipe| recipe.make_up()?.plate(0.2, 60.0);
    let usual = plated(&with(&copper)).expect("plated");
    assert_eq!(usual.substrate, "copper");
    assert!(usual.flags.iter().any(|flag| flag.r#where == "work.substrate"), "{:?}", usual.flags);
    let slow = with(&[copper[0].clone(), copper[1].clone(), (contact, Value::Number(120.0))]);
    let slow = plated(&slow).expect("plated");
    assert!(slow.load.induction_s > 20.0 * usual.load.induction_s);
    assert!(slow.flags.iter().any(|flag| flag.r#where == contact), "outside its range: {:?}", slow.flags);

    // A life does not follow the start, and says so; work that does not start has none.
    let life = with(&copper);
    let flags = life.life_flags(&life.simulate_life().expect("a life")).expect("flags");
    assert!(flags.iter().any(|flag| flag.what.contains("covered from the start")), "{flags:?}");
    assert!(with(&copper[..1]).simulate_life().is_err());

    let on_molybdenum = |recipe: &Recipe| recipe.make_up()?.plate_on(0.2, 60.0, Some("molybdenum"), None);
    let own = nickel_acid().text().replace("[limits]", OWN);
    let own = Recipe::from_toml("own", &own).expect("read");
    let load = on_molybdenum(&own).expect("plated").load;
    assert!((20.0..40.0).contains(&load.induction_s), "{}", load.induction_s);
    let misspelt = own.text().replace("spreading_ratio", "spreeding_ratio");
    let error = on_molybdenum(&Recipe::from_toml("own", &misspelt).expect("read")).expect_err("refused");
    assert!(error.to_string().contains("spreading_ratio"), "{error}");
}

const OWN: &str = r#"
[substrates.molybdenum.nickel_hypophosphite]
behaviour = "starts_by_itself"
practice = "etch"
reference_deposition_um_h = 17
source = "own trial"
kind = "invented"
[substrates.molybdenum.nickel_hypophosphite.none]
induction_s = 30
spreading_ratio = 10

[limits]
"#;

#[test]
fn every_substrate_has_a_source_and_every_activation_a_start() {
    let all = built_in_substrates().expect("read");
    assert!(all.len() > 25);
    for substrate in &all {
        let name = format!("{} in {}", substrate.name, substrate.family);
        assert!(!substrate.source.text.trim().is_empty() && !substrate.practice.is_empty(), "{name}");
        for start in &substrate.starts {
            let (low, high) = start.range_s.expect("a range");
            let induction_s = start.induction_at_s(start.reference_deposition_um_h);
            assert!((low..=high).contains(&induction_s), "{name}: {induction_s} s");
            assert!((induction_s - start.induction_s).abs() < 1e-9, "{name}");
        }
        let bare = substrate.starts.iter().any(|start| start.activation == Activation::None);
        assert_eq!(bare, substrate.behaviour == Behaviour::StartsByItself, "{name}");
    }
    let bath = nickel_acid().make_up().expect("a bath");
    for substrate in all.iter().filter(|known| known.family == "nickel_hypophosphite") {
        for start in &substrate.starts {
            let plated = bath.plate_on(0.1, 30.0, Some(&substrate.name), Some(start.activation.name()));
            assert!(plated.expect("plated").load.thickness_um > 7.0, "{}", substrate.name);
        }
    }
}

/// As the provenance of recipes.
#[test]
fn every_number_of_the_substrates_has_a_source() {
    let text = support::read(&support::sources("bathkin").join("../data/substrates.toml"));
    let document = bathkin::document::Document::parse("substrates.toml", &text).expect("read");
    let numbers = document.entries().iter().filter(|entry| matches!(entry.value, Value::Number(_)));
    for entry in numbers.filter(|entry| !entry.path.contains(".reference_")) {
        assert!(entry.source.as_ref().is_some_and(|source| source.text != "no source"), "{}", entry.path);
    }
}

/// Producer: common practice and the chemistry of each metal in caustic; what a bare part in a copper bath is told.
#[test]
fn a_copper_bath_says_what_each_bare_metal_needs() {
    let bath = bathkin::Recipe::built_in("copper-tartrate").expect("built in").make_up().expect("a bath");
    for (substrate, activation, words) in [
        ("aluminium", "copper_strike", ["Al(OH)4-", "double zincate"]),
        ("steel", "copper_strike", ["Fe + Cu+2 -> Fe+2 + Cu", "copper or nickel strike"]),
        ("stainless_steel", "nickel_strike", ["oxide film", "nickel chloride"]),
        ("tin", "copper_strike", ["stannate", "without pores"]),
        ("lead", "copper_strike", ["plumbite", "without pores"]),
        ("plastic", "palladium", ["tin(II) chloride", "palladium"]),
    ] {
        let refused = bath.plate_on(0.2, 30.0, Some(substrate), None).expect_err("bare").to_string();
        assert!(words.iter().all(|word| refused.contains(word)), "{substrate}: {refused}");
        let load = bath.plate_on(0.2, 30.0, Some(substrate), Some(activation)).expect("plated");
        assert!(load.load.thickness_um > 0.5, "{substrate}: {} um", load.load.thickness_um);
    }
    let cobalt = bath.plate_on(0.2, 30.0, Some("cobalt"), None).expect("it starts").load;
    assert!((5.0..120.0).contains(&cobalt.induction_s), "{} s", cobalt.induction_s);
    // Why a textbook's list is not what a shop does.
    let nickel = nickel_acid().make_up().expect("a bath");
    let refused = nickel.plate_on(0.2, 10.0, Some("aluminium"), None).expect_err("bare").to_string();
    assert!(refused.contains("textbooks list aluminium"), "{refused}");
}
