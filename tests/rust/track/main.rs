//! A bath followed along its log, against baths whose truth is known and is not the recipe's model.

mod coverage;
mod drawn_numbers;
mod in_the_log;
mod measured_ph;
mod misread_column;
mod rest_of_its_life;
mod sums_of_shifts;
mod typed_analyses;
mod where_it_stands;
