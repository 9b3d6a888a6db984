//! The bath as analysed: names with units to contents and pH.

use crate::constants::REFERENCE_TEMPERATURE_K;
use crate::error::{Error, Place, Result};
use crate::model::Model;
use crate::tank::Quantity;
use bathkin_numerics::short;

/// What an analysis is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum What {
    Turnovers,
    /// At the temperature it was read, K.
    Ph {
        temperature_k: f64,
    },
    /// Slot, and moles per litre for one in the unit of its name.
    Content {
        slot: usize,
        mol_l: f64,
    },
}

/// An analysis as typed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Analysis {
    pub(crate) name: String,
    pub(crate) value: f64,
    pub(crate) what: What,
}

/// The bath now, read from the names of a request.
#[derive(Debug, Default)]
pub(crate) struct Analyses {
    pub(crate) all: Vec<Analysis>,
}

impl Analyses {
    pub(crate) fn read(model: &Model, given: &[(String, f64)]) -> Result<Self> {
        let mut now = Analyses::default();
        for (name, value) in given {
            if !(value.is_finite() && *value >= 0.0) {
                return Err(refuse(name, *value, "a number, zero or more", None));
            }
            let what = what(model, name, *value)?;
            let same = |known: &&Analysis| match (known.what, what) {
                (What::Content { slot: known, .. }, What::Content { slot, .. }) => known == slot,
                (known, what) => std::mem::discriminant(&known) == std::mem::discriminant(&what),
            };
            if let Some(other) = now.all.iter().find(same) {
                let expected =
                    format!("one analysis of it: {} = {} is given too", other.name, short(other.value));
                return Err(refuse(name, *value, &expected, None));
            }
            now.all.push(Analysis { name: name.clone(), value: *value, what });
        }
        Ok(now)
    }

    /// (slot, mol/L).
    pub(crate) fn contents(&self) -> Vec<(usize, f64)> {
        let of = |analysis: &Analysis| match analysis.what {
            What::Content { slot, mol_l } => Some((slot, analysis.value * mol_l)),
            _ => None,
        };
        self.all.iter().filter_map(of).collect()
    }

    /// The pH, and the temperature it was read at, K.
    pub(crate) fn ph(&self) -> Option<(f64, f64)> {
        self.all.iter().find_map(|analysis| match analysis.what {
            What::Ph { temperature_k } => Some((analysis.value, temperature_k)),
            _ => None,
        })
    }

    /// How far the bath has to be aged before it is what it is now.
    pub(crate) fn age(&self, model: &Model) -> Option<(Quantity, f64)> {
        let by_product = model.tank.bath.roles.by_product;
        let turnovers = self.all.iter().find(|analysis| analysis.what == What::Turnovers);
        let of_by_product = self.contents().into_iter().find(|(slot, _)| *slot == by_product);
        match (turnovers, of_by_product) {
            (Some(Analysis { value, .. }), _) => (*value > 0.0).then_some((Quantity::TURNOVERS, *value)),
            (None, Some((_, mol_l))) => (mol_l > model.fresh_totals_mol_l[by_product])
                .then_some((Quantity::component(by_product), mol_l)),
            (None, None) => None,
        }
    }
}

fn what(model: &Model, name: &str, value: f64) -> Result<What> {
    let ph = |temperature_k: f64| {
        if value > 14.0 {
            return Err(refuse(name, value, "a pH between 0 and 14", None));
        }
        Ok(What::Ph { temperature_k })
    };
    match name {
        "turnovers" => return Ok(What::Turnovers),
        "ph" => return ph(model.tank.operation.set_points.ph_temperature_k),
        "ph_25c" => return ph(REFERENCE_TEMPERATURE_K),
        _ => {}
    }
    let Some(content) = model.content_or_share(name, value) else {
        let place = Place { file: "now".to_owned(), line: None };
        return Err(Error::unknown_name(place, "analysis", name, valid(model).iter().map(String::as_str)));
    };
    let (slot, mol_l) =
        content.map_err(|unclear| refuse(name, value, &unclear.expected, Some(unclear.hint)))?;
    Ok(What::Content { slot, mol_l })
}

fn valid(model: &Model) -> Vec<String> {
    let components = model.tank.bath.equilibrium.component_names();
    let metal = &components[model.tank.bath.roles.metal];
    let mut valid: Vec<String> = ["ph", "ph_25c", "turnovers"].map(str::to_owned).to_vec();
    valid.push(format!("{metal}_g_l"));
    valid.extend(components.iter().map(|component| format!("{component}_mol_l")));
    // What was weighed out is what shops titrate as.
    valid.extend(model.make_up_g_l.iter().map(|(reagent, _)| format!("{reagent}_g_l")));
    valid
}

/// An error about an analysis.
pub(crate) fn refuse(name: &str, value: f64, expected: &str, hint: Option<String>) -> Error {
    Error::Recipe {
        place: Place { file: "now".to_owned(), line: None },
        key: name.to_owned(),
        value: short(value),
        expected: expected.to_owned(),
        hint,
    }
}
