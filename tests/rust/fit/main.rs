//! Learning from data: the Arrhenius table, runs and logs, what they tell and what they do not.

mod arrhenius_coverage;
mod arrhenius_doubts;
mod arrhenius_textbook;
mod arrhenius_through_a_recipe;
mod below_detection;
mod beyond_the_data;
mod candidates;
mod column_units;
mod coverage;
mod forecasts;
mod intervals;
mod log_columns;
mod log_problems;
mod log_work;
mod logs;
mod misfit;
mod next_runs;
mod posterior;
mod refusals;
mod run_columns;
mod start_and_statistics;
mod stopping;
mod thresholds;
mod through_equilibrium;
mod undetermined;
mod weighed_coupons;
