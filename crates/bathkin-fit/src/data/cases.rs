//! What is computed at once: a coupon under one set of conditions, or a bath along its log.

use std::sync::{Arc, OnceLock};

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::tank::BathState;

use crate::data::logs::LoggedBath;
use crate::error::DataError;
use bathkin::tank::Quantity;

/// A coupon under one set of conditions; runs that share it are replicates and computed once.
#[derive(Debug, Clone)]
pub(crate) struct Coupon {
    pub recipe: Recipe,
    pub minutes: Option<f64>,
    pub area_m2: Option<f64>,
    pub quantity: Quantity,
    /// The acid or base that sets its pH, where the recipe's own cannot.
    pub ph_by: Option<String>,
    /// Its bath as made up, solved to rounding when it is first asked for.
    pub fresh: Arc<OnceLock<BathState>>,
}

/// What is computed at once.
#[derive(Debug, Clone)]
pub(crate) enum Kind {
    Coupon(Coupon),
    Log(LoggedBath),
}

/// A case with its labels, (column, label), and its place for messages.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    pub kind: Kind,
    pub labels: Vec<(String, String)>,
    pub place: String,
}

impl Case {
    /// The recipe with what the case itself sets.
    pub fn recipe(&self) -> &Recipe {
        match &self.kind {
            Kind::Coupon(coupon) => &coupon.recipe,
            Kind::Log(log) => &log.recipe,
        }
    }

    /// A number of the recipe of a coupon; `None` along a log, where settings move.
    pub fn setting(&self, path: &str) -> Option<f64> {
        let Kind::Coupon(coupon) = &self.kind else { return None };
        match coupon.recipe.document().get(path).map(|entry| &entry.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// Tells an error of its recipe with its place.
    pub fn refuse(&self, error: bathkin::Error) -> DataError {
        DataError::Recipe { place: format!("{}: ", self.place), error }
    }

    /// True when its values come out of an integration.
    pub fn simulates(&self) -> bool {
        match &self.kind {
            Kind::Coupon(coupon) => coupon.minutes.is_some() && coupon.area_m2.is_some(),
            Kind::Log(_) => true,
        }
    }

    /// How many times its integration sets out anew; none where it needs no integration.
    pub fn stretches(&self) -> usize {
        match &self.kind {
            Kind::Coupon(_) => usize::from(self.simulates()),
            Kind::Log(log) => log.stretches(),
        }
    }
}
