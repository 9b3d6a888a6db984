//! The sensitivity of the dump time to numbers of the recipe.

use support::assert_within;
use support::recipes::{live, nickel_acid, set};

/// Producer: two lives run by hand at 1 % below and above.
#[test]
fn a_sensitivity_is_the_difference_of_two_lives() {
    let recipe = nickel_acid();
    let paths = ["limits.orthophosphite_g_l_as_hpo3", "hydrogen.per_metal_mol", "tank.drag_out_l_m2"]
        .map(str::to_owned);
    let found = recipe.life_sensitivity(Some(&paths)).expect("a sensitivity");
    assert_eq!(found.rows.len(), 2);
    assert_eq!(found.skipped[0].0, "tank.drag_out_l_m2");
    for row in &found.rows {
        let [low, high] =
            [0.99, 1.01].map(|times| live(&set(&recipe, &[(&row.path, row.value * times)])).verdict);
        let slope = |low: f64, high: f64| (high / low).ln() / (1.01_f64 / 0.99).ln();
        assert_within("turnovers", row.turnovers, slope(low.turnovers_plated, high.turnovers_plated), 1e-9);
        assert_within("plating", row.plating_h, slope(low.plating_h, high.plating_h), 1e-9);
        assert!(!row.limit_changes && row.ran_at == (0.99 * row.value, 1.01 * row.value));
    }
    // Orthophosphite ends the life and is made in proportion to turnovers.
    assert_within("by-product limit", found.rows[0].turnovers, 1.0, 0.05);
    assert!(recipe.life_sensitivity(Some(&["no.such_number".to_owned()])).is_err());
}

/// Producer: two limits met within a per cent of each other: the step crosses a corner and says so.
#[test]
fn a_sensitivity_across_a_corner_says_so() {
    let life = live(&nickel_acid());
    let close = set(&nickel_acid(), &[("limits.turnovers", life.verdict.turnovers * 1.004)]);
    let path = "limits.orthophosphite_g_l_as_hpo3".to_owned();
    let found = close.life_sensitivity(Some(&[path])).expect("a sensitivity");
    assert!(found.rows[0].limit_changes, "{:?}", found.rows[0]);
    assert_eq!(found.rows[0].limits.1, "turnovers");
}
