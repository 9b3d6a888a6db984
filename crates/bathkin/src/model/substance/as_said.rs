//! How those who run a bath say its contents: as they analyse them, limit them, or weigh them out.

use crate::life::Wording;
use crate::model::Model;
use crate::model::substance::worded;

impl Model {
    /// A content as it is said of this bath: as the first of `names` weighs it (columns of its log), or else as a limit of
    /// the recipe, or as what was weighed out for it. The factor is mol/L for one in the unit. `None` where that is moles
    /// per litre of the component, or nobody says it.
    ///
    /// ```
    /// use bathkin::Recipe;
    ///
    /// let recipe = Recipe::built_in("nickel-acid")?;
    /// let model = recipe.model()?;
    /// let said = model.content_as_said(model.tank.bath.roles.reductant, &[]).unwrap();
    /// assert_eq!((said.words.as_str(), said.unit.as_str()), ("sodium hypophosphite monohydrate", "g/L"));
    /// assert!((30.0 * said.factor - 0.283).abs() < 1e-3, "IUPAC 2021: 105.99 g/mol");
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn content_as_said(&self, slot: usize, names: &[String]) -> Option<Wording> {
        let component = &self.tank.bath.equilibrium.component_names()[slot];
        let of_name = |name: &str| {
            let (of, mol_l) = self.content(name, 1.0)?.ok()?;
            let (words, unit) = worded(&self.chemistry, name, self.chemistry.component(component)?)?;
            let words = words.unwrap_or_else(|| component.replace('_', " "));
            (of == slot).then(|| Wording { words, unit: unit.to_owned(), factor: mol_l })
        };
        let of_limit = || {
            let one = self.limits.iter().find(|limit| {
                let of = limit.quantity.content(&self.tank).filter(|(_, per_mol_l)| *per_mol_l == 1.0);
                of.is_some_and(|(of, _)| of == slot)
            })?;
            Some(one.wording.clone())
        };
        let weighed_out =
            || self.make_up_g_l.iter().find_map(|(reagent, _)| of_name(&format!("{reagent}_g_l")));
        let said = names.iter().find_map(|name| of_name(name)).or_else(of_limit).or_else(weighed_out)?;
        (said.factor != 1.0).then_some(said)
    }
}
