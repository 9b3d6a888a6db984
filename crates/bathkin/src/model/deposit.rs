//! The deposit as a recipe writes it: its density, and what is alloyed with the metal.

use crate::deposit::DensityScale;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::solution::Element;
use crate::tank::{BathState, Tank};

/// `deposit.density_g_cm3` or a named scale.
pub(crate) fn read_density(reader: &Reader) -> Result<DensityScale> {
    let constant = reader.optional(
        "deposit.density_g_cm3",
        Bounds::between(0.5, 25.0, "a density between 0.5 and 25 g/cm3"),
    )?;
    let named = reader.choice(
        "deposit.density_scale",
        &DensityScale::NAMES.map(|name| (name, DensityScale::parse(name).unwrap_or(DensityScale::AreaTable))),
    )?;
    Ok(constant.map_or(named, DensityScale::Constant))
}

/// Indices among `deposited` of the base metal and of the alloy, and the name of the alloying element.
///
/// `deposit.alloy_element` says which element `deposit.alloy` means where the deposit holds others
/// as well (the sulfur of a stabilizer, a brightener's lead); else everything but the metal counts.
pub(crate) fn read_deposit_elements(
    reader: &Reader,
    deposited: &[Element],
    metal: Option<&Element>,
) -> Result<(usize, Vec<usize>, Option<String>)> {
    const KEY: &str = "deposit.alloy_element";
    let place = |wanted: &Element| deposited.iter().position(|known| known == wanted);
    let metal = metal.and_then(place);
    let metal = metal.ok_or_else(|| reader.refuse("half_reaction", "a law that deposits the metal", None))?;
    let others: Vec<usize> = (0..deposited.len()).filter(|index| *index != metal).collect();
    let named = reader.optional_text("deposit.alloy")?;
    if others.is_empty() {
        return match named {
            None => Ok((metal, others, None)),
            Some(_) => {
                Err(reader.refuse("deposit.alloy", "no alloying element: only the metal is deposited", None))
            }
        };
    }
    let symbols = || others.iter().map(|index| deposited[*index].symbol()).collect::<Vec<_>>().join(", ");
    let alloy = match reader.optional_text(KEY)? {
        Some(symbol) => {
            let index = Element::new(symbol).as_ref().and_then(place).filter(|index| *index != metal);
            let index = index.ok_or_else(|| reader.refuse(KEY, &format!("one of {}", symbols()), None))?;
            vec![index]
        }
        None if named.is_some() && others.len() > 1 => {
            let hint = format!("the deposit holds {} beside the metal", symbols());
            return Err(reader.refuse(KEY, "the symbol of the element deposit.alloy means", Some(hint)));
        }
        None => others,
    };
    Ok((metal, alloy, Some(named.unwrap_or("alloy").to_owned())))
}

/// The fresh bath must deposit its metal.
pub(crate) fn check_deposit(reader: &Reader, tank: &Tank, observed: &BathState) -> Result<()> {
    if !observed.dissolves(tank) {
        return Ok(());
    }
    let at = tank.bath.kinetics.potential_v(&observed.conditions()).unwrap_or_default();
    let hint = dissolving(at, "the fresh bath");
    Err(reader.refuse("half_reaction", "partial currents under which the metal deposits", Some(hint)))
}

/// Words for a surface that loses its metal.
pub(crate) fn dissolving(potential_v: f64, bath: &str) -> String {
    format!("at its mixed potential, {potential_v:.3} V SHE, {bath} dissolves the metal")
}
