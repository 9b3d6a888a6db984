//! What counts as the metal and what as the alloy of a deposit.

use super::reader::Reader;
use crate::error::Result;
use crate::solution::Element;

/// Indices among `deposited` of the base metal and of the alloy, and the name of the alloy's column.
///
/// `deposit.alloy_element` says which element `deposit.alloy` means where the deposit holds others
/// as well (the sulfur of a stabilizer, a brightener's lead); else everything but the metal counts.
pub(super) fn read_deposit_elements(
    reader: &Reader,
    deposited: &[Element],
    metal: Option<&Element>,
) -> Result<(usize, Vec<usize>, String)> {
    const KEY: &str = "deposit.alloy_element";
    let place = |wanted: &Element| deposited.iter().position(|known| known == wanted);
    let metal = metal.and_then(place);
    let metal = metal.ok_or_else(|| reader.refuse("half_reaction", "a law that deposits the metal", None))?;
    let others: Vec<usize> = (0..deposited.len()).filter(|index| *index != metal).collect();
    let column = reader.optional_text("deposit.alloy")?;
    let symbols = || others.iter().map(|index| deposited[*index].symbol()).collect::<Vec<_>>().join(", ");
    let alloy = match reader.optional_text(KEY)? {
        Some(symbol) => {
            let index = Element::new(symbol).as_ref().and_then(place).filter(|index| *index != metal);
            let index = index.ok_or_else(|| reader.refuse(KEY, &format!("one of {}", symbols()), None))?;
            vec![index]
        }
        None if column.is_some() && others.len() > 1 => {
            let hint = format!("the deposit holds {} beside the metal", symbols());
            return Err(reader.refuse(KEY, "the symbol of the element deposit.alloy means", Some(hint)));
        }
        None => others,
    };
    Ok((metal, alloy, format!("{}_wt_pct", column.unwrap_or("alloy"))))
}
