//! What one asks of a bath or a life: cost, plans, reasons, strategies, warnings.

mod cost;
mod ensemble;
mod equations;
mod lean_bath;
mod no_law;
mod optimise;
mod phosphite_removal;
mod plan;
mod plausible;
mod reasons;
mod sensitivity;
mod strategies;
