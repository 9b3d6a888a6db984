//! Complexants, buffers, stabilizers and accelerators that leave their make-up.

use crate::flag::Flag;
use crate::life::Life;
use crate::model::Model;
use crate::tank::Readings;

/// Between these parts of the make-up nothing is said.
const LOW: f64 = 0.8;
const HIGH: f64 = 1.2;

/// A flag for each component with a role whose content leaves 80 to 120 % of its make-up: `readings` are
/// moments in words with the totals there, mol/L, in order.
///
/// The first moment outside is told, and the last content.
fn drifted<'a>(model: &Model, readings: impl Fn(usize) -> Vec<(String, f64)> + 'a) -> Vec<Flag> {
    let names = model.tank.bath.equilibrium.component_names().iter().enumerate();
    let one = |(slot, name): (usize, &String)| {
        let roles = &model.roles[slot];
        if roles.is_empty() {
            return None;
        }
        let fresh = model.fresh_totals_mol_l[slot];
        let of_slot = readings(slot);
        // What was never in the make-up has left it once there is any.
        let outside =
            |held: f64| if fresh > 0.0 { held < LOW * fresh || held > HIGH * fresh } else { held > 0.0 };
        let (when, first) = of_slot.iter().find(|(_, held)| outside(*held))?;
        let last = of_slot.last().map_or(*first, |(_, held)| *held);
        let share = |held: f64| match fresh > 0.0 {
            true => format!("{} % of its make-up", short(100.0 * held / fresh)),
            false => format!("{} mol/L, with none in the make-up", short(held)),
        };
        let roles: Vec<&str> = roles.iter().map(|role| role.name()).collect();
        let end = if of_slot.len() > 1 && last != *first {
            format!(", and ends at {} ({} of {} mol/L)", share(last), short(last), short(fresh))
        } else {
            format!(" ({} of {} mol/L)", short(*first), short(fresh))
        };
        Some(Flag {
            r#where: format!("role.{name}"),
            what: format!(
                "{} ({}) leaves 80 to 120 % of its make-up: {when} it is at {}{end}; {}",
                name.replace('_', " "),
                roles.join(" and "),
                share(*first),
                model.feeding(slot)
            ),
        })
    };
    names.filter_map(one).collect()
}

/// Three significant digits.
fn short(number: f64) -> String {
    format!("{number:.2e}").parse().map_or_else(|_| number.to_string(), bathkin_numerics::short)
}

impl Model {
    /// Whether anything brings a component.
    fn feeding(&self, slot: usize) -> String {
        let brings =
            self.tank.operation.replenishers.iter().filter(|solution| solution.per_litre[slot] > 0.0);
        let names: Vec<&str> = brings.map(|solution| solution.name.as_str()).collect();
        match names.as_slice() {
            [] => "no solution brings it back".to_owned(),
            names => format!("it comes with {}", names.join(", ")),
        }
    }

    /// Components with a role that leave their make-up over a life.
    pub(crate) fn drifted_over(&self, life: &Life) -> Vec<Flag> {
        drifted(self, |slot| {
            let of =
                |row: &Readings| (format!("after {:.1} turnovers", row.turnovers), row.totals_mol_l[slot]);
            life.rows.iter().map(of).collect()
        })
    }

    /// The same at moments of a plan, each with the totals there, mol/L.
    pub(crate) fn drifted_at(&self, moments: &[(&str, Vec<f64>)]) -> Vec<Flag> {
        drifted(self, |slot| {
            moments.iter().map(|(when, totals)| ((*when).to_owned(), totals[slot])).collect()
        })
    }
}
