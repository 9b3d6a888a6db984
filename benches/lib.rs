//! What the benches share; see `bath.rs`.

use std::path::Path;

use bathkin::life::simulate::fresh_state;
use bathkin::tank::Balances;
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

/// Right-hand sides where a life asks for them: at the stages of steps that each use up a fortieth of the metal, metal and
/// reductant restored after each, and a fresh bath after forty. What has to be solved moves as in a life, so that the guess
/// from the solutions before is worth what it is worth there.
#[derive(Debug)]
pub struct Walk<'a> {
    balances: &'a Balances<'a>,
    fresh: Vec<f64>,
    /// The state in which the step began.
    from: Vec<f64>,
    at: Vec<f64>,
    derivative: Vec<f64>,
    step_s: f64,
    evaluations: usize,
}

impl<'a> Walk<'a> {
    /// From the fresh bath of these totals, with work in it.
    ///
    /// # Panics
    /// When its liquid cannot be solved.
    #[must_use]
    pub fn new(balances: &'a Balances<'a>, totals_mol_l: &[f64]) -> Self {
        balances.set_area_m2(2.0);
        let fresh = fresh_state(balances, totals_mol_l);
        let mut derivative = vec![0.0; fresh.len()];
        balances.derivative(&fresh, &mut derivative).expect("evaluates");
        let metal = balances.tank().bath.roles.metal;
        let step_s = -fresh[metal] / (STEPS as f64 * derivative[metal]);
        Walk { balances, from: fresh.clone(), at: fresh.clone(), fresh, derivative, step_s, evaluations: 0 }
    }

    /// The next one; the metal's.
    ///
    /// # Panics
    /// When the liquid cannot be solved.
    pub fn evaluate(&mut self) -> f64 {
        let (step, stage) = (self.evaluations / STAGES.len(), self.evaluations % STAGES.len());
        if stage == 0 && step % STEPS == 0 {
            self.from.copy_from_slice(&self.fresh);
        } else if stage == 0 {
            self.from.copy_from_slice(&self.at);
            let roles = self.balances.tank().bath.roles;
            for slot in [roles.metal, roles.reductant] {
                self.from[slot] = self.fresh[slot];
            }
        }
        let ahead_s = STAGES[stage] * self.step_s;
        for (at, (from, slope)) in self.at.iter_mut().zip(self.from.iter().zip(&self.derivative)) {
            *at = from + ahead_s * slope;
        }
        self.balances.derivative(&self.at, &mut self.derivative).expect("evaluates");
        self.evaluations += 1;
        self.derivative[self.balances.tank().bath.roles.metal]
    }
}

/// Where the stages of Dormand and Prince's method stand in a step, but the first, which is known.
const STAGES: [f64; 6] = [0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
/// Steps from one fresh bath to the next, and the part of the metal that each uses up.
const STEPS: usize = 40;

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
