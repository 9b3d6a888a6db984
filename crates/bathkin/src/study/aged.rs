//! A used bath: what the life of the recipe has made of it.

use crate::error::{Place, Result};
use crate::life::Limit;
use crate::life::plan::totals_of_state_mol_l;
use crate::life::simulate::carry_on;
use crate::model::Model;
use crate::study::analyses::refuse;
use crate::tank::{Balances, Quantity};

impl Model {
    /// Totals of the bath when its life, as the recipe runs it, has brought a quantity to a value, mol/L: the
    /// by-product and the counter-ions of so many turnovers, its level of complexants, what drag-out took.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::tank::Quantity;
    ///
    /// let recipe = Recipe::built_in("nickel-acid")?;
    /// let model = recipe.model()?;
    /// let by_product = model.tank.bath.roles.by_product;
    /// let used = model.totals_at_mol_l(Quantity::TURNOVERS, 1.0)?;
    /// assert!(used[by_product] > 0.2 && model.fresh_totals_mol_l[by_product] == 0.0);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] where the life does not get there; those of a life.
    pub fn totals_at_mol_l(&self, quantity: Quantity, value: f64) -> Result<Vec<f64>> {
        let state = aged(self, (quantity, value))?;
        let balances = Balances::new(&self.tank, &self.fresh_totals_mol_l);
        Ok(totals_of_state_mol_l(&balances, &state))
    }

    /// Specific gravity of the bath as made up.
    pub fn fresh_specific_gravity(&self) -> f64 {
        self.fresh.0.specific_gravity
    }

    /// Metal that the bath as made up deposits, mol/(m² s), and its deposition rate, um/s.
    pub fn fresh_deposition(&self) -> (f64, f64) {
        let (bath, _) = &*self.fresh;
        (bath.rates_mol_m2_s[self.tank.bath.kinetics.metal()], bath.growth_um_s)
    }
}

/// The (scaled) state of a bath aged by its life until a quantity has a value.
///
/// # Errors
/// [`crate::Error::Recipe`] where the life does not get there; those of a life.
pub fn aged(model: &Model, (quantity, bound): (Quantity, f64)) -> Result<Vec<f64>> {
    let balances = Balances::new(&model.tank, &model.fresh_totals_mol_l);
    let by_product = Quantity::component(model.tank.bath.roles.by_product);
    let name = match quantity {
        quantity if quantity == Quantity::TURNOVERS => "turnovers".to_owned(),
        quantity if quantity == by_product => "by-product mol/L".to_owned(),
        quantity => quantity.name(&model.tank),
    };
    let limit = Limit {
        name: name.clone(),
        path: name.clone(),
        place: Place { file: "now".to_owned(), line: None },
        ..Limit::on(&model.tank, quantity, bound)
    };
    let (life, state) = carry_on(
        &balances,
        None,
        &model.fresh_totals_mol_l,
        &[limit],
        &model.settings,
        &mut |_| true,
        &mut |_| (),
    )?;
    if life.verdict.limit == name {
        return Ok(state);
    }
    let expected =
        format!("an age this bath gets to: its work ends at {:.2} turnovers", life.verdict.turnovers);
    Err(refuse(&name, bound, &expected, None))
}
