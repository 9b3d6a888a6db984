//! Exchange with the air as a recipe writes it: `[gas_exchange.<gas>]`.

use crate::document::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::model::slots::Slots;
use crate::solution::{BathGas, Chemistry, Equilibrium, Gas};
use crate::tank::Exchange;

const TABLE: &str = "gas_exchange";

/// The gases a recipe exchanges. Their components join the bath even when nothing else brings
/// them: a carbonate-free bath takes up carbonate from the air.
pub(crate) fn exchanged_gases<'a>(reader: &Reader, chemistry: &'a Chemistry) -> Result<Vec<&'a Gas>> {
    reader
        .document()
        .children(TABLE)
        .iter()
        .map(|name| {
            chemistry.gas(name).ok_or_else(|| {
                let valid = chemistry.gases.iter().map(|gas| gas.name.as_str());
                Error::unknown_name(reader.place(&format!("{TABLE}.{name}")), "gas", name, valid)
            })
        })
        .collect()
}

/// The exchange of each gas, resolved to the slots of the liquid.
pub(crate) fn read_exchanges(
    reader: &Reader,
    slots: &Slots,
    equilibrium: &Equilibrium,
    gases: &[Gas],
) -> Result<Vec<Exchange>> {
    const PRESSURE: Bounds = Bounds::between(0.0, 10.0, "a partial pressure between 0 and 10 atm");
    gases
        .iter()
        .map(|gas| {
            let path = |key: &str| format!("{TABLE}.{}.{key}", gas.name);
            let resolved = BathGas::resolve(gas, equilibrium).ok_or_else(|| {
                let expected = format!("a bath that can hold {} as a dissolved substance", gas.dissolved);
                reader.refuse(&format!("{TABLE}.{}", gas.name), &expected, None)
            })?;
            Ok(Exchange {
                brings: gas.forms_from.iter().map(|(index, n)| (slots.liquid_slot(*index), *n)).collect(),
                gas: resolved,
                film_m_h: reader.number(&path("film_m_h"), Bounds::NOT_NEGATIVE)?,
                partial_pressure_atm: reader.number(&path("partial_pressure_atm"), PRESSURE)?,
                open_surface_m2: reader.number(&path("open_surface_m2"), Bounds::NOT_NEGATIVE)?,
            })
        })
        .collect()
}
