//! Times and turnovers between two of something are bounded where they are read, with the line of the file.

use bathkin::Recipe;

fn refusal(lines: &str) -> String {
    let text = format!("format = 1\nbase = \"nickel-acid\"\nname = \"shop\"\n{lines}\n");
    let recipe = Recipe::from_toml("shop.toml", &text).expect("it reads");
    recipe.model().map(|_| ()).expect_err("it is refused").to_string()
}

#[test]
fn what_comes_too_often_is_refused_at_its_line() {
    const SECOND: &str = "expected a second or more: at least 0.000278 hours";
    const TURNOVER: &str = "expected a ten-thousandth of a turnover or more";
    for (lines, line, key, expected) in [
        ("[event.top]\nnote = \"x\"\nevery_h = 1e-300", 6, "event.top.every_h", SECOND),
        ("[event.top]\nnote = \"x\"\nevery_turnovers = 1e-300", 6, "event.top.every_turnovers", TURNOVER),
        ("[ph_control]\npolicy = \"interval\"\ninterval_h = 1e-4", 6, "ph_control.interval_h", SECOND),
        ("[replenishment]\nanalysis_interval_h = 1e-9", 5, "replenishment.analysis_interval_h", SECOND),
        ("[tank]\nwater_interval_h = 1e-9", 5, "tank.water_interval_h", SECOND),
        (
            "[load.a]\nin_h = 0\nminutes = 60\narea_dm2 = 10\ncount = 9\nevery_h = 1e-6",
            9,
            "load.a.every_h",
            SECOND,
        ),
        (
            "[replenisher.extra]\nlactic_acid_g_l = 1\nevery_turnovers = 1e-300\ndose_ml_l = 1",
            6,
            "replenisher.extra.every_turnovers",
            TURNOVER,
        ),
        (
            "[replenisher.extra]\nlactic_acid_g_l = 1\nevery_h = 1e-300\ndose_ml_l = 1",
            6,
            "replenisher.extra.every_h",
            SECOND,
        ),
        (
            "[replenisher.extra]\nlactic_acid_g_l = 1\nevery_m2 = 1e-300\ndose_ml_l = 1",
            6,
            "replenisher.extra.every_m2",
            "expected at least 0.004 m2 in a bath of 400 L",
        ),
    ] {
        let error = refusal(lines);
        assert!(
            error.starts_with(&format!("shop.toml:{line}: {key} = ")) && error.contains(expected),
            "{lines}: {error}"
        );
    }
    // Racks that come again say when.
    let error = refusal("[load.a]\nin_h = 0\nminutes = 60\narea_dm2 = 10\ncount = 9");
    assert!(error.contains("load.a.every_h = (missing)") && error.contains(SECOND), "{error}");
}

#[test]
fn a_bleed_that_takes_for_ever_to_settle_is_refused() {
    let recipe = Recipe::built_in("nickel-acid").expect("a recipe");
    for bleed in [0.0, 1e-300, 1e-6] {
        let error = recipe.steady_bleed(bleed).expect_err("refused").to_string();
        assert!(error.contains("tank.bleed_per_turnover") && error.contains("0.001 per turnover"), "{error}");
    }
}
