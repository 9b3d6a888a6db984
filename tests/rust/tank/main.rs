//! Running the tank: level, water, gases, the mass balance, the dictionary of readings.

mod closed_forms;
mod copper_bail_out;
mod gas_exchange;
mod held_level;
mod hydrolysis;
mod mass_balance;
mod quantities;
mod readings_by_hand;
mod running;
mod stabilizer_clock;
