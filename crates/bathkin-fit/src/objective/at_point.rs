//! A model at the numbers of a point: the tank, what is in it, and how deposition starts there.

use std::borrow::Cow;

use bathkin::Model;
use bathkin::surface::Start;
use bathkin::tank::Tank;

/// Named in messages of the recipe.
const BY: &str = "the fit";

/// The bath of a recipe at the numbers of a point.
#[derive(Debug, Clone)]
pub(crate) struct BathAtPoint {
    /// The tank.
    pub tank: Tank,
    /// Totals of its fresh bath, mol/L.
    pub totals_mol_l: Vec<f64>,
    /// How deposition starts on what the recipe plates, or why it does not.
    pub start: bathkin::error::Result<Start>,
    /// Values of the numbers that are no law's.
    pub beyond_laws: Vec<f64>,
}

/// A model at one point after another.
///
/// A fit moves laws far more often than anything else, and writing laws into slots ([`Model::tank_at`]) takes a fiftieth
/// of the time of [`Model::at`], which solves the fresh bath too. The model at the last numbers that are no law's is
/// therefore kept.
#[derive(Debug)]
pub(crate) struct ModelAtPoint<'a> {
    base: &'a Model,
    model: Cow<'a, Model>,
    beyond_laws: Vec<(&'a str, f64)>,
}

impl<'a> ModelAtPoint<'a> {
    /// Of a model.
    pub fn of(base: &'a Model) -> Self {
        ModelAtPoint { base, model: Cow::Borrowed(base), beyond_laws: Vec::new() }
    }

    /// The bath at (path, value).
    pub fn bath(&mut self, numbers: &[(&'a str, f64)]) -> bathkin::error::Result<BathAtPoint> {
        let (mut laws, mut beyond_laws) = (Vec::new(), Vec::new());
        for (path, value) in numbers {
            match self.base.law_slot(path) {
                Some(slot) => laws.push((slot, *value)),
                None => beyond_laws.push((*path, *value)),
            }
        }
        if beyond_laws != self.beyond_laws {
            self.model = Cow::Owned(self.base.at(&beyond_laws, BY)?);
            self.beyond_laws = beyond_laws;
        }
        let model = &self.model;
        Ok(BathAtPoint {
            tank: if laws.is_empty() { model.tank.clone() } else { model.tank_at(&laws, BY)? },
            totals_mol_l: model.fresh_totals_mol_l.clone(),
            start: model.start(),
            beyond_laws: self.beyond_laws.iter().map(|(_, value)| *value).collect(),
        })
    }

    /// The model at the numbers last asked for that are no law's.
    pub fn model(&self) -> &Model {
        &self.model
    }
}
