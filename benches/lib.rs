//! What the benches share; see `bath.rs`.

use std::path::Path;

use bathkin::{Recipe, Value};
use bathkin_fit::{Data, FitSpecification, RecipeFitOptions, Sheet};

/// The bath of the benches: acid nickel by a plain power law in a file of its own, so that ratios go on whatever law the
/// built-in bath has, and the peers compute the same law.
///
/// # Panics
/// When the file is no recipe.
#[must_use]
pub fn power_law() -> Recipe {
    Recipe::from_toml("power-law", include_str!("data/power-law.toml")).expect("a recipe")
}

/// [`power_law`] around the clock for 8 turnovers, some 330 stops, by an activity model.
#[must_use]
pub fn eight_turnovers(activity: &str) -> Recipe {
    let recipe = power_law().with("solution.activity", Value::Text(activity.to_owned()), "the bench");
    [
        ("work.hours_per_day", 24.0),
        ("work.days_per_week", 7.0),
        ("ph_control.dead_band_ph", 0.05),
        ("replenishment.metal_trigger_pct", 97.5),
        ("limits.turnovers", 8.0),
        ("limits.orthophosphite_g_l_as_hpo3", 1000.0),
        ("limits.deposition_pct_of_fresh", 1.0),
        ("limits.phosphorus_wt_pct_max", 50.0),
    ]
    .into_iter()
    .fold(recipe, |recipe, (path, value)| recipe.with(path, Value::Number(value), "the bench"))
}

/// The built-in copper-tartrate behind a film.
///
/// # Panics
/// When there is no such recipe.
#[must_use]
pub fn behind_film() -> Recipe {
    let moved = Value::Text("moved-work".to_owned());
    Recipe::built_in("copper-tartrate").expect("built in").with("film.stirring", moved, "the bench")
}

/// A fit through the simulation: 24 weighed coupons and 3 logs of 60 rows (`data/`, invented), and what of
/// [`power_law`] is free.
///
/// # Panics
/// When a sheet is missing.
#[must_use]
pub fn runs_and_logs() -> (Vec<Data>, RecipeFitOptions) {
    const FREE: [&str; 5] = [
        "deposition.rate_mol_m2_s",
        "deposition.activation_energy_kj_mol",
        "deposition.ph_order",
        "deposition.order.nickel",
        "deposition.order.hypophosphite",
    ];
    let mut data = vec![Data::Runs(sheet("runs.csv"))];
    data.extend(["log_a.csv", "log_b.csv", "log_c.csv"].map(|name| Data::Log(sheet(name))));
    let specification =
        FitSpecification { free: FREE.map(str::to_owned).to_vec(), ..FitSpecification::default() };
    (data, RecipeFitOptions { specification, ..RecipeFitOptions::default() })
}

/// A sheet of `benches/data`: plain numbers separated by commas.
fn sheet(name: &str) -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name);
    let text = std::fs::read_to_string(path).expect("bench data");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let names: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    let rows: Vec<Vec<Option<f64>>> =
        lines.map(|line| line.split(',').map(|cell| cell.parse().ok()).collect()).collect();
    Sheet {
        file: name.to_owned(),
        rows: (1..=rows.len()).collect(),
        columns: names
            .iter()
            .enumerate()
            .map(|(at, name)| ((*name).to_owned(), rows.iter().map(|row| row[at]).collect()))
            .collect(),
        ..Sheet::default()
    }
}
