//! The scenarios of `shared/scenarios/`: what they give is kept in `shared/expected/`.

use bathkin::{Life, Recipe};

use support::recipes::{column, live};
use support::{Csv, assert_within, shared};

const SCENARIOS: [&str; 4] = ["job-shop", "captive-line", "lab-beaker", "copper-bail-out"];

fn scenario(name: &str) -> Recipe {
    let path = shared().join("scenarios").join(format!("{name}.toml"));
    Recipe::load(path.to_str().expect("a path")).unwrap_or_else(|error| panic!("{error}"))
}

/// Kept to seven digits; the last ones depend on the machine.
fn check(name: &str, life: &Life) {
    let kept = Csv::expected(&format!("{name}.csv"));
    assert_eq!(kept.rows().count(), life.table.rows(), "{name}: rows");
    // A column that came later is not in the file.
    for name_of in kept.columns() {
        let values = column(life, name_of);
        for (row, value) in kept.rows().zip(values) {
            let expected = row.number(name_of);
            // The cost per area of a bath that has plated nothing is infinite in both.
            if *value != expected {
                assert_within(
                    format!("{name}, {name_of}"),
                    *value,
                    expected,
                    1e-6 * expected.abs().max(1e-6),
                );
            }
        }
    }
}

/// Producer: the command in the head of each file, run when the numbers were judged sound.
#[test]
fn lives_of_the_scenarios_are_those_kept() {
    for name in SCENARIOS {
        let life = live(&scenario(name));
        assert!(life.balance.max_relative_residual < 1e-10, "{name}: {:?}", life.balance);
        check(name, &life);
    }
}

/// Producer: as above, for the racks.
#[test]
fn racks_of_the_scenarios_are_those_kept() {
    for name in ["job-shop", "lab-beaker"] {
        let life = live(&scenario(name));
        let kept = Csv::expected(&format!("{name}-racks.csv"));
        assert_eq!(kept.rows().count(), life.loads.len(), "{name}: racks");
        for (row, rack) in kept.rows().zip(&life.loads) {
            assert_eq!(row.text("name"), rack.name);
            for (column, value) in [
                ("in_h", rack.in_h),
                ("out_h", rack.out_h),
                ("thickness_um", rack.thickness_um),
                ("mass_g", rack.mass_g),
            ] {
                let expected = row.number(column);
                assert_within(format!("{name}, {column}"), value, expected, 1e-6 * expected.abs());
            }
        }
    }
}

/// Producer: the rule that demonstration data says what it is.
#[test]
fn every_scenario_says_that_it_is_invented() {
    for entry in std::fs::read_dir(shared().join("scenarios")).expect("a folder") {
        let path = entry.expect("an entry").path();
        let text = support::read(&path);
        assert!(text.contains("invented for the demo"), "{}", path.display());
    }
    for name in SCENARIOS {
        let model = scenario(name);
        let model = model.model().unwrap_or_else(|error| panic!("{error}"));
        assert!(model.heading.title.starts_with("invented for the demo"));
    }
}

/// Producer: the recipe below. A scenario is its base with what it changes.
#[test]
fn a_scenario_stands_on_a_built_in_recipe() {
    let base = Recipe::built_in("nickel-acid").expect("built in");
    let same = Recipe::from_toml("mine.toml", "base = \"nickel-acid\"\n").expect("read");
    assert_eq!(same.make_up().expect("made up").ph(), base.make_up().expect("made up").ph());
    let hotter = Recipe::from_toml("mine.toml", "base = \"nickel-acid\"\n[operation]\ntemperature_c = 120\n");
    let message = hotter.expect("read").model().map(|_| ()).expect_err("refused").to_string();
    assert!(message.starts_with("mine.toml:3: operation.temperature_c = 120"), "{message}");
    let unknown =
        Recipe::from_toml("mine.toml", "base = \"nickel-acis\"\n").expect_err("refused").to_string();
    assert!(unknown.starts_with("mine.toml:1:") && unknown.contains("nickel-acid"), "{unknown}");
    // A range of the base goes on holding for what stands above it.
    let warm = Recipe::from_toml("mine.toml", "base = \"nickel-acid\"\n[operation]\ntemperature_c = 70\n");
    let warm = warm.expect("read");
    let flags = &warm.model().expect("a model").flags;
    assert!(flags.iter().any(|flag| flag.r#where == "operation.temperature_c"), "{flags:?}");
}

/// Producer: the names that ageing is followed by.
#[test]
fn what_ages_a_bath_is_in_its_table() {
    let shop = live(&scenario("job-shop"));
    for name in [
        "orthophosphite_mol_l",
        "sulfate_mol_l",
        "sodium_mol_l",
        "ionic_strength_mol_l",
        "specific_gravity",
        "temperature_c",
    ] {
        assert!(shop.table.column(name).is_some(), "{name}");
    }
    let copper = live(&scenario("copper-bail-out"));
    for name in [
        "formate_mol_l",
        "methanol_mol_l",
        "stabilizer_dn_mol_l",
        "sulfate_mol_l",
        "sodium_mol_l",
        "specific_gravity",
    ] {
        assert!(copper.table.column(name).is_some(), "{name}");
    }
    // Stress is a tendency in words with its evidence: no figure, and nothing where nothing is known.
    let stress = shop.stress.expect("of nickel-phosphorus");
    assert!(
        stress.fresh.tendency.contains("compressive") && stress.fresh.evidence.contains("common practice")
    );
    assert!(copper.stress.is_none());
    for words in [stress.fresh.tendency, stress.end.tendency, stress.fresh.evidence, stress.end.evidence] {
        assert!(!words.contains("MPa"));
    }
}
