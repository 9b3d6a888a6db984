//! Documents that cannot be used: every refusal says where, what, and what would do.

use bathkin::Error;
use bathkin::document::Value;
use bathkin::recipe::Recipe;

use support::recipes::{nickel_acid, power_law, set};

const FILE: &str = "shop.toml";

/// The power-law recipe with one stretch of text replaced, and the line it stood in.
fn edited(find: &str, replace: &str) -> (String, usize) {
    let text = power_law().text().to_owned();
    assert_eq!(text.matches(find).count(), 1, "'{find}' stands once in the recipe");
    let line = text.split(find).next().expect("before").matches('\n').count() + 1;
    (text.replace(find, replace), line)
}

/// The error of an edited recipe, and the line of the edit.
fn refusal(find: &str, replace: &str) -> (Error, usize) {
    let (text, line) = edited(find, replace);
    let error = Recipe::from_toml(FILE, &text)
        .and_then(|recipe| recipe.make_up().map(|_| ()))
        .expect_err("the edit is refused");
    (error, line)
}

/// Asserts that the message starts with file and line (`back` lines after the edit) and says all of `parts`.
#[track_caller]
fn assert_says(find: &str, replace: &str, parts: &[&str]) {
    let (error, line) = refusal(find, replace);
    let message = error.to_string();
    assert!(message.starts_with(&format!("{FILE}:{line}: ")), "line {line}: {message}");
    for part in parts {
        assert!(message.contains(part), "'{part}' is not in: {message}");
    }
    assert!(error.is_input(), "{message}");
}

#[test]
fn an_unknown_key_is_named_with_the_one_that_was_meant() {
    assert_says(
        "dead_band_ph",
        "dead_bnad_ph",
        &["no key is called 'ph_control.dead_bnad_ph'", "did you mean ph_control.dead_band_ph"],
    );
}

#[test]
fn a_wrong_type_is_named_with_the_type_expected() {
    assert_says(
        "volume_l = { value = 400,",
        "volume_l = { value = \"400\",",
        &["tank.volume_l = \"400\"", "expected a number above zero", "unit"],
    );
    assert_says(
        "with_additions = true",
        "with_additions = 1",
        &["ph_control.with_additions = 1", "expected true or false"],
    );
    assert_says("ph_reading = \"hot\"", "ph_reading = 25", &["operation.ph_reading = 25", "expected a text"]);
}

#[test]
fn a_negative_amount_is_refused() {
    assert_says(
        "nickel_sulfate_hexahydrate_g_l = { value = 26.87,",
        "nickel_sulfate_hexahydrate_g_l = { value = -26.87,",
        &["make_up.nickel_sulfate_hexahydrate_g_l = -26.87", "expected zero or more"],
    );
}

#[test]
fn a_missing_value_is_named_with_the_file() {
    let (error, _) =
        refusal("volume_l = { value = 400, kind = \"invented\", source = \"the invented job shop\" }", "");
    let message = error.to_string();
    assert!(
        message.starts_with("shop.toml: tank.volume_l = (missing): expected a number above zero"),
        "{message}"
    );
}

#[test]
fn a_misspelt_key_is_pointed_at_when_its_value_is_missed() {
    let (error, line) = refusal("volume_l = { value = 400,", "volumen_l = { value = 400,");
    let message = error.to_string();
    assert!(message.contains("tank.volume_l = (missing)"), "{message}");
    assert!(message.contains(&format!("tank.volumen_l at {FILE}:{line} is not a known key")), "{message}");
}

#[test]
fn an_unknown_salt_brings_the_like_sounding_ones() {
    let (error, line) = refusal(
        "nickel_sulfate_hexahydrate_g_l = { value = 26.87,",
        "nickel_sulphate_hexahydrate_g_l = { value = 26.87,",
    );
    let message = error.to_string();
    assert!(
        message.starts_with(&format!("{FILE}:{line}: no reagent is called 'nickel_sulphate_hexahydrate'")),
        "{message}"
    );
    assert!(message.contains("did you mean nickel_sulfate_hexahydrate"), "{message}");
    let Error::UnknownName { valid, .. } = error else { panic!("{message}") };
    assert!(valid.iter().any(|name| name == "sodium_hydroxide"), "every valid name is at hand");
}

#[test]
fn a_salt_without_its_crystal_water_is_offered_its_hydrates() {
    assert_says(
        "nickel_sulfate_hexahydrate_g_l = { value = 26.87,",
        "nickel_sulfate_g_l = { value = 26.87,",
        &[
            "make_up.nickel_sulfate_g_l = 26.87",
            "water of crystallisation",
            "nickel_sulfate_hexahydrate",
            "nickel_sulfate_heptahydrate",
            "nickel_sulfate_anhydrous",
        ],
    );
}

#[test]
fn an_amount_without_a_unit_is_refused() {
    assert_says("lactic_acid_g_l", "lactic_acid", &["make_up.lactic_acid = 27", "ends in its unit"]);
}

#[test]
fn a_ph_off_the_scale_is_refused() {
    assert_says(
        "ph = { value = 4.8, range = [4.2, 5.5]",
        "ph = { value = 19, range = [4.2, 5.5]",
        &["operation.ph = 19", "expected a pH between 0 and 14"],
    );
}

#[test]
fn a_temperature_in_fahrenheit_is_offered_both_readings() {
    assert_says(
        "temperature_c = { value = 88,",
        "temperature_c = { value = 190,",
        &[
            "operation.temperature_c = 190",
            "between 0 and 100 degC",
            "190 degF would be 87.8 degC",
            "190 degC",
        ],
    );
}

#[test]
fn a_replenisher_that_lacks_the_metal_is_refused_at_its_table() {
    let (error, line) = refusal(
        "nickel_sulfate_hexahydrate_g_l = { value = 450,",
        "sodium_sulfate_anhydrous_g_l = { value = 450,",
    );
    let message = error.to_string();
    // The table is named by its first line, its `name`, one above the reagent.
    assert!(message.contains(&format!("shop.toml:{}: replenisher.metal", line - 1)), "{message}");
    assert!(message.contains("a reagent that brings nickel"), "{message}");
}

#[test]
fn a_ph_below_the_bath_cannot_be_reached_with_caustic() {
    assert_says(
        "ph = { value = 4.8, range = [4.2, 5.5]",
        "ph = { value = 1, range = [4.2, 5.5]",
        &["cannot reach pH 1.00 with sodium hydroxide", "without any the pH is", "moves it away"],
    );
}

#[test]
fn a_ph_above_the_bath_cannot_be_reached_with_acid() {
    let (error, _) = refusal("ph_reagent = \"sodium_hydroxide\"", "ph_reagent = \"sulfuric_acid\"");
    let message = error.to_string();
    assert!(matches!(error, Error::PhNotReachable { .. }), "{message}");
    assert!(message.contains("cannot reach pH 4.80 with sulfuric acid: without any the pH is"), "{message}");
}

#[test]
fn a_weak_acid_that_never_gets_there_says_how_far_it_got() {
    let weak = Value::Text("acetic_acid".to_owned());
    let error = set(&nickel_acid(), &[("operation.ph", 0.5)])
        .with("operation.ph_reagent", weak, "the test")
        .make_up()
        .expect_err("refused");
    let message = error.to_string();
    assert!(
        message.starts_with("the test: operation.ph: the bath cannot reach pH 0.50 with acetic acid"),
        "{message}"
    );
    assert!(message.contains("20 mol/L leave it at pH"), "{message}");
}

#[test]
fn a_half_reaction_that_does_not_balance_says_which_element() {
    let (text, line) = edited("proton = -2, water = 2 }", "proton = -2, water = 3 }");
    let error =
        Recipe::from_toml(FILE, &text).and_then(|recipe| recipe.make_up().map(|_| ())).expect_err("refused");
    let message = error.to_string();
    // The electrons, two lines below, are what the balance is reported at.
    assert!(
        message.starts_with(&format!("{FILE}:{}: half_reaction.phosphorus.electrons = -1", line + 2)),
        "{message}"
    );
    assert!(
        message.contains("elements and charge balance") && message.contains("H does not balance"),
        "{message}"
    );
    let (error, _) = refusal("electrons = -1", "electrons = -2");
    assert!(error.to_string().contains("the charge does not balance"), "{error}");
}

#[test]
fn another_format_is_refused() {
    assert_says("format = 1", "format = 2", &["format = 2", "expected 1, the format this version reads"]);
}

#[test]
fn broken_toml_is_refused_with_its_line() {
    let (text, line) = edited("ph_reading = \"hot\"", "ph_reading = \"hot");
    let error = Recipe::from_toml(FILE, &text).expect_err("refused");
    assert!(matches!(error, Error::Document { .. }), "{error}");
    assert!(error.to_string().starts_with(&format!("{FILE}:{line}: ")), "line {line}: {error}");
}

#[test]
fn an_unknown_component_is_refused() {
    assert_says(
        "nickel = { value = 0.25,",
        "nickle = { value = 0.25,",
        &["no dissolved substance of this bath is called 'nickle'", "did you mean nickel"],
    );
    // Known, but not in this bath.
    assert_says(
        "nickel = { value = 0.25,",
        "citrate = { value = 0.25,",
        &["no dissolved substance of this bath is called 'citrate'", "did you mean lactate"],
    );
}

#[test]
fn an_unknown_choice_lists_the_choices() {
    assert_says(
        "policy = \"dead-band\"",
        "policy = \"deadband\"",
        &["ph_control.policy = \"deadband\"", "one of dead-band, continuous, interval, off"],
    );
}

#[test]
fn a_number_that_is_none_is_refused() {
    let (text, line) = edited("volume_l = { value = 400,", "volume_l = { value = nan,");
    let error = Recipe::from_toml(FILE, &text).expect_err("refused");
    assert!(
        error.to_string().starts_with(&format!("{FILE}:{line}: tank.volume_l = NaN: expected a finite")),
        "{error}"
    );
}

#[test]
fn an_override_is_blamed_on_who_set_it() {
    let error = set(&nickel_acid(), &[("operation.ph", 19.0)]).make_up().expect_err("refused");
    assert!(
        error.to_string().starts_with("the test: operation.ph = 19: expected a pH between 0 and 14"),
        "{error}"
    );
    let error = set(&nickel_acid(), &[("operation.pH", 4.8)]).make_up().expect_err("refused");
    assert!(
        error.to_string().contains("no key is called 'operation.pH'; did you mean operation.ph"),
        "{error}"
    );
}

#[test]
fn an_unknown_recipe_or_file_is_named() {
    let error = Recipe::load("nickel-acod").expect_err("refused");
    assert!(
        error.to_string().contains("no recipe is called 'nickel-acod'; did you mean nickel-acid"),
        "{error}"
    );
    let error = Recipe::load("no/such.toml").expect_err("refused");
    assert!(error.to_string().starts_with("no/such.toml: cannot be read"), "{error}");
}

/// A number in a message has six digits at most; what is typed short stays as typed. Producer: by hand.
#[test]
fn numbers_in_messages_are_short() {
    let refused = |path: &str, value: f64| {
        let changed = nickel_acid().with(path, Value::Number(value), "test");
        changed.make_up().map(|_| ()).expect_err("it is refused").to_string()
    };
    assert!(refused("operation.ph", 87.777_777_777_777_77).contains("operation.ph = 87.7778: expected"));
    assert!(refused("operation.ph", 19.0).contains("operation.ph = 19: expected"));
    assert!(refused("operation.temperature_c", 1e300).contains("operation.temperature_c = 1e300: expected"));
    assert!(refused("make_up.lactic_acid_g_l", -1e-12 / 3.0).contains("= -3.33333e-13: expected"));
}
