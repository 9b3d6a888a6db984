//! Lives: doses, calendars, limits, ends.

mod ageing;
mod asked_in_public;
mod at_one_instant;
mod calendar;
mod caps;
mod closed_forms;
mod does_not_converge;
mod doses;
mod event_functions;
mod film;
mod follows_ph;
mod limits;
mod lockstep;
mod many_racks;
mod nickel_acid;
mod per_turnover;
mod policies;
mod random_lives;
mod row_warnings;
mod running_dry;
mod scenarios;
mod solver_settings;
mod working_level;
