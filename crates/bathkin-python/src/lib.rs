//! The binding: conversions, exceptions, progress. No formula lives here.

#[macro_use]
mod classed;

mod bath;
mod classes;
mod comparison;
mod economy;
mod ensemble;
mod errors;
mod fit;
mod fit_options;
mod fitting;
mod fleet;
mod life;
mod made;
mod optimise;
mod over_ph;
mod plan;
mod polarisation;
mod recipe;
mod sensitivities;
mod tables;
mod tank;
mod threads;
mod tracking;
mod typed;
mod watched;

use pyo3::prelude::*;

/// Compiled core of bathkin; use the `bathkin` package instead.
#[pymodule]
mod _core {
    #[pymodule_export]
    use super::classes::{Bath, Recipe};
    #[pymodule_export]
    use super::comparison::compare_models;
    #[pymodule_export]
    use super::economy::{
        bleed_for_limit, compare, life_cost, life_outlook, life_sensitivity, price_flags, steady_bleed,
        usual_strategies,
    };
    #[pymodule_export]
    use super::ensemble::Ensemble;
    #[pymodule_export]
    use super::fit::{activation_energy_kj_mol, fit_arrhenius};
    #[pymodule_export]
    use super::fit_options::{error_models, fit_words};
    #[pymodule_export]
    use super::fitting::RecipeFit;
    #[pymodule_export]
    use super::fleet::fit_many;
    #[pymodule_export]
    use super::life::Life;
    #[pymodule_export]
    use super::optimise::{optimise, trade_off};
    #[pymodule_export]
    use super::over_ph::{
        amount_for_ph, complexed_fractions, distribution, formation_curve, held_at_ph, titration,
    };
    #[pymodule_export]
    use super::plan::plan;
    #[pymodule_export]
    use super::polarisation::{against_reference, polarisation};
    #[pymodule_export]
    use super::recipe::{
        area_per_turnover_m2, built_in_reagents, built_in_recipes, built_in_substrates, drag_out_from_use_l,
    };
    #[pymodule_export]
    use super::sensitivities::sensitivities;
    #[pymodule_export]
    use super::tables::{
        decimal_mark, heading_words, is_date, is_empty_cell, log_columns_as_toml, moments, named_heading,
        plain_number, read_table, reading_headings, table_of_cells, unit_of, with_point, without_limit,
    };
    #[pymodule_export]
    use super::tank::TankBalances;
    #[pymodule_export]
    use super::tracking::{Tracked, backtested};

    #[pymodule_export]
    const VERSION: &str = env!("CARGO_PKG_VERSION");
    #[pymodule_export]
    const FASTEST_UM_H: f64 = bathkin::deposit::FASTEST_UM_H;
}
