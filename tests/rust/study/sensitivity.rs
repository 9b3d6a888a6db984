//! The sensitivity of the dump to numbers of the recipe.

use bathkin::Recipe;
use bathkin::study::{LifeSensitivity, RankedBy, Sensitivity};
use support::assert_within;
use support::recipes::{live, nickel_acid, set};

const BY_PRODUCT: &str = "limits.orthophosphite_g_l_as_hpo3";

fn found(recipe: &Recipe, paths: &[&str], by: RankedBy) -> LifeSensitivity {
    let paths: Vec<String> = paths.iter().copied().map(str::to_owned).collect();
    recipe.life_sensitivity(Some(&paths), by).expect("a sensitivity")
}

/// Producer: two lives run by hand at 1 % below and above.
#[test]
fn a_sensitivity_is_the_difference_of_two_lives() {
    let recipe = nickel_acid();
    let found = found(
        &recipe,
        &[BY_PRODUCT, "hydrogen.per_metal_mol", "operation.ph", "tank.drag_out_l_m2"],
        RankedBy::Area,
    );
    assert_eq!(found.rows.len(), 3);
    assert_eq!(found.skipped[0].0, "tank.drag_out_l_m2");
    for row in &found.rows {
        let [low, high] =
            [0.99, 1.01].map(|times| live(&set(&recipe, &[(&row.path, row.value * times)])).verdict);
        let slope = |low: f64, high: f64| (high / low).ln() / (1.01_f64 / 0.99).ln();
        assert_within("turnovers", row.turnovers, slope(low.turnovers_plated, high.turnovers_plated), 1e-9);
        assert_within("plating", row.plating_h, slope(low.plating_h, high.plating_h), 1e-9);
        assert!(!row.limit_changes && row.ran_at == (0.99 * row.value, 1.01 * row.value));
        // The step of a shop, by hand: so many of the one per cent.
        let per_cents = row.shop_step / (0.01 * row.value);
        let area = found.base.area_m2 * row.area_m2 * 0.01 * per_cents;
        assert_within("area of a step", row.area_m2_per_step, area, 1e-9 * area.abs());
    }
    let steps: Vec<(&str, &str)> =
        found.rows.iter().map(|row| (row.path.as_str(), row.shop_step_is.as_str())).collect();
    assert!(
        steps.contains(&("operation.ph", "0.1 pH")) && steps.contains(&(BY_PRODUCT, "1 g/L")),
        "{steps:?}"
    );
    // Orthophosphite ends the life and is made in proportion to turnovers.
    let limit = found.rows.iter().find(|row| row.path == BY_PRODUCT).expect("the limit");
    assert_within("by-product limit", limit.turnovers, 1.0, 0.05);
    assert!(recipe.life_sensitivity(Some(&["no.such_number".to_owned()]), RankedBy::Area).is_err());
}

/// Producer: two limits met within a per cent of each other: the step crosses a corner and says so.
#[test]
fn a_sensitivity_across_a_corner_says_so() {
    let life = live(&nickel_acid());
    let close = set(&nickel_acid(), &[("limits.turnovers", life.verdict.turnovers * 1.004)]);
    let found = found(&close, &[BY_PRODUCT], RankedBy::Area);
    assert!(found.rows[0].limit_changes, "{:?}", found.rows[0]);
    assert_eq!(found.rows[0].limits.1, "turnovers");
}

/// The rows come by what their step moves: the numbers that are asked about, in the order of each ranking.
#[test]
fn the_strongest_step_comes_first() {
    let paths = [BY_PRODUCT, "operation.temperature_c", "work.loading_dm2_l", "work.thickness_um"];
    let moved = |by: RankedBy, read: fn(&Sensitivity) -> f64| {
        let found = found(&nickel_acid(), &paths, by);
        let all: Vec<f64> = found.rows.iter().map(|row| read(row).abs()).collect();
        assert!(all.is_sorted_by(|a, b| a >= b), "{by:?}: {all:?}");
        found.rows[0].path.clone()
    };
    assert_eq!(moved(RankedBy::Area, |row| row.area_m2_per_step), "work.thickness_um");
    assert_eq!(moved(RankedBy::Hours, |row| row.plating_h_per_step), "work.loading_dm2_l");
    moved(RankedBy::Money, |row| row.cost_per_um_dm2_per_step.expect("prices"));
    let error = RankedBy::named("clock").expect_err("refused").to_string();
    assert!(error.contains("area") && error.contains("money") && error.contains("hours"), "{error}");
}

/// A shift or a weekend within the step makes the clock jump, and nothing by which numbers are ranked: over limits a
/// quarter of a per cent apart, some of which end the life at a night. Producer: the same bath in work day and night,
/// which has no nights; a single dose would move the cost by a tenth of its slope or more.
#[test]
fn no_ranking_jumps_across_a_night() {
    let shift = nickel_acid();
    let always = set(&shift, &[("work.hours_per_day", 24.0), ("work.days_per_week", 7.0)]);
    let mut clock = Vec::new();
    let mut costs = Vec::new();
    for bound in [120.0, 121.5, 122.0, 122.5, 123.0, 123.5] {
        let [one, other] = [&shift, &always].map(|recipe| {
            let found = found(&set(recipe, &[(BY_PRODUCT, bound)]), &[BY_PRODUCT], RankedBy::Area);
            found.rows[0].clone()
        });
        assert_within("area", one.area_m2, other.area_m2, 1e-5);
        assert_within("plating hours", one.plating_h, other.plating_h, 1e-5);
        assert_within(
            "cost",
            one.cost_per_um_dm2.expect("prices"),
            other.cost_per_um_dm2.expect("prices"),
            1e-5,
        );
        costs.push(one.cost_per_um_dm2.expect("prices"));
        clock.push(one.clock_h);
    }
    let spread = |values: &[f64]| {
        let ends = values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(*value), high.max(*value))
        });
        ends.1 - ends.0
    };
    assert!(spread(&clock) > 1.0, "the clock jumps: {clock:?}");
    assert!(spread(&costs) < 0.02, "the cost does not: {costs:?}");
}

/// Without prices there is no cost, and no ranking by it.
#[test]
fn money_needs_prices() {
    let bare = Recipe::built_in("nickel-alkaline").expect("a recipe");
    let bare = set(&bare, &[("limits.turnovers", 0.5)]);
    let error = bare.life_sensitivity(Some(&[]), RankedBy::Money).expect_err("refused").to_string();
    assert!(error.contains("a recipe with prices, [cost]"), "{error}");
    let row = found(&bare, &["work.loading_dm2_l"], RankedBy::Area).rows[0].clone();
    assert_eq!((row.cost_per_um_dm2, row.cost_per_um_dm2_per_step), (None, None));
}
