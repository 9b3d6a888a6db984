//! Running the tank: level, water, gases, the books.

mod books;
mod closed_forms;
mod copper_bail_out;
mod gas_exchange;
mod held_level;
mod hydrolysis;
mod running;
mod stabilizer_clock;
