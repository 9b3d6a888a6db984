//! What of the make-up left a bath.

use crate::flag::Flag;
use crate::life::{Life, depleted_by_drag_out};
use crate::model::Model;

impl Model {
    /// What of the make-up left a bath: components with a role by their share of the make-up, of the others what
    /// was half used up or lost and not fed back.
    pub(crate) fn depleted_by_drag_out(&self, life: &Life) -> Vec<Flag> {
        let names = self.tank.bath.equilibrium.component_names();
        let with_a_role = (0..names.len()).filter(|slot| !self.roles[*slot].is_empty());
        let said: Vec<usize> =
            with_a_role.chain([self.tank.bath.roles.metal, self.tank.bath.roles.reductant]).collect();
        let others = depleted_by_drag_out(&life.rows, names, &self.fresh_totals_mol_l, &said).into_iter();
        let mut flags: Vec<Flag> = others.map(|what| Flag { r#where: "make_up".to_owned(), what }).collect();
        flags.extend(self.drifted_over(life));
        flags
    }
}
