//! Limits as a recipe writes them.
//!
//! The name of a quantity ([`crate::tank::quantity`]) limits it from the side it gets worse on, the name with `_min` or `_max`
//! from below or above.

use crate::document::Value;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::life::Limit;
use crate::model::caps::{Binds, Caps, SUBSTRATE};
use crate::model::substance::content;
use crate::solution::Chemistry;
use crate::tank::quantity::{Quantity, Range, Worse};
use crate::tank::{BathState, Tank};

const PERCENT: Bounds = Bounds::between(0.0, 100.0, "a percentage between 0 and 100");
const MORE_PERCENT: Bounds = Bounds::between(100.0, 1e5, "a percentage from 100 up, of what only grows");

/// The limits of a bath.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Read {
    /// Those that end the life of what is plated.
    pub(crate) ending: Vec<Limit>,
    /// Caps of other substrates.
    pub(crate) of_other_work: Vec<Limit>,
}

/// The limits of `[limits]`, and the caps of `[limits.substrate.NAME]`, which take the same keys.
///
/// NAME is a substrate or a material. A cap of what is plated ends the life like any limit; its name says
/// whose it is.
pub(crate) fn read_limits(
    reader: &Reader,
    chemistry: &Chemistry,
    tank: &Tank,
    fresh: &BathState,
    caps: &Caps,
) -> Result<Read> {
    let known: Vec<(String, Quantity)> =
        Quantity::all(tank).into_iter().map(|quantity| (quantity.name(tank), quantity)).collect();
    let of = |substrate: Option<&str>| {
        let table = substrate.map_or_else(|| "limits".to_owned(), |name| format!("{SUBSTRATE}.{name}"));
        let limits = Limits { reader, chemistry, tank, fresh, known: &known, table, substrate };
        limits.every()
    };
    let mut read = Read { ending: of(None)?, ..Read::default() };
    for name in reader.document().children(SUBSTRATE) {
        let path = format!("{SUBSTRATE}.{name}");
        let limits = of(Some(&name))?;
        match caps.binds(&name, reader.place(&path))? {
            Binds::AllWork => read.ending.extend(limits),
            Binds::OtherWork => read.of_other_work.extend(limits),
            Binds::Nothing => reader.flag(&path, caps.binds_nothing(&name)),
        }
    }
    Ok(read)
}

/// Bounds of a range.
pub(crate) fn bounds_of(range: Range) -> Bounds {
    match range {
        Range::Positive => Bounds::POSITIVE,
        Range::NotNegative => Bounds::NOT_NEGATIVE,
        Range::Between(low, high, words) => Bounds::between(low, high, words),
    }
}

struct Limits<'a> {
    reader: &'a Reader<'a>,
    chemistry: &'a Chemistry,
    tank: &'a Tank,
    fresh: &'a BathState,
    known: &'a [(String, Quantity)],
    table: String,
    substrate: Option<&'a str>,
}

/// What a key says: which of the known quantities, its ending, and what the number is multiplied by.
#[derive(Clone, Copy)]
struct Key {
    quantity: usize,
    ending: &'static str,
    bounds: Bounds,
    factor: f64,
}

impl Limits<'_> {
    /// Every limit of the table, in the order of the dictionary.
    fn every(&self) -> Result<Vec<Limit>> {
        let mut found: Vec<(usize, Limit)> = Vec::new();
        for key in self.reader.document().children(&self.table) {
            let path = self.path(&key);
            if path == SUBSTRATE {
                continue;
            }
            let Some(said) = self.named(&key).map_or_else(|| self.content(&key), |said| Ok(Some(said)))?
            else {
                // What is not known is reported with what is.
                self.known.iter().flat_map(|(name, of)| self.keys(name, *of)).for_each(|key| {
                    self.reader.entry(&self.path(&key));
                });
                continue;
            };
            if let Some(number) = self.reader.optional(&path, said.bounds)? {
                found.push((said.quantity, self.limit(&path, &said, number)));
            }
        }
        found.sort_by_key(|(quantity, _)| *quantity);
        Ok(settled(found.into_iter().map(|(_, limit)| limit).collect()))
    }

    fn path(&self, key: &str) -> String {
        format!("{}.{key}", self.table)
    }

    /// The keys that limit a quantity.
    fn keys(&self, name: &str, quantity: Quantity) -> Vec<String> {
        let bare = (quantity.worse(self.tank) != Worse::Neither).then(|| name.to_owned());
        let share = quantity.entry().share.map(|share| share.key.to_owned());
        let sides = ["_min", "_max"].map(|ending| format!("{name}{ending}"));
        bare.into_iter().chain(share).chain(sides).collect()
    }

    /// A key that names a quantity.
    fn named(&self, key: &str) -> Option<Key> {
        let bare = |(_, quantity): &&(String, Quantity)| quantity.worse(self.tank) != Worse::Neither;
        let find = |wanted: &str| self.known.iter().position(|(name, _)| name == wanted);
        let of = |quantity: usize, ending| {
            let bounds = bounds_of(self.known[quantity].1.entry().range);
            Key { quantity, ending, bounds, factor: 1.0 }
        };
        if let Some(quantity) = find(key) {
            return bare(&&self.known[quantity]).then(|| of(quantity, ""));
        }
        let share = self.known.iter().enumerate().find_map(|(quantity, (_, known))| {
            let share = known.entry().share.filter(|share| share.key == key)?;
            let bounds = if known.worse(self.tank) == Worse::Rising { MORE_PERCENT } else { PERCENT };
            let factor = (share.whole)(self.tank, self.fresh) / 100.0;
            Some(Key { quantity, ending: "", bounds, factor })
        });
        let side = || {
            let sides = ["_min", "_max"].into_iter();
            sides.filter_map(|ending| Some(of(find(key.strip_suffix(ending)?)?, ending))).next()
        };
        share.or_else(side)
    }

    /// A key that says by any other name what the bath holds: a salt, another unit, a by-product weighed as a formula.
    /// Metal and reductant alone are held from below, the by-product from above, and every other component by a name
    /// with `_min` or `_max`.
    fn content(&self, key: &str) -> Result<Option<Key>> {
        let names = self.tank.equilibrium.component_names();
        let roles = self.tank.roles;
        let own = [roles.metal, roles.reductant, roles.by_product].map(|slot| names[slot].as_str());
        let path = self.path(key);
        let number = match self.reader.document().get(&path).map(|entry| &entry.value) {
            Some(Value::Number(number)) => *number,
            _ => 0.0,
        };
        let side = ["_min", "_max"].into_iter().find_map(|ending| Some((key.strip_suffix(ending)?, ending)));
        let (name, ending) = side.unwrap_or((key, ""));
        let Some(found) = content(self.chemistry, &own, name, number) else { return Ok(None) };
        let found = found.map_err(|unclear| {
            self.reader.entry(&path);
            self.reader.refuse(&path, &unclear.expected, Some(unclear.hint))
        })?;
        let component = &self.chemistry.components[found.component].name;
        let Some(slot) = names.iter().position(|known| known == component) else {
            let expected = format!("a component of this bath: {}", names.join(", "));
            return Err(self.reader.refuse(&path, &expected, None));
        };
        let meant = self.known.iter().enumerate().find_map(|(at, (_, quantity))| {
            let (of, per_mol_l) = quantity.content(self.tank)?;
            let bare = quantity.worse(self.tank) != Worse::Neither;
            let meant =
                if ending.is_empty() { of == slot && bare } else { *quantity == Quantity::component(slot) };
            meant.then_some((at, found.mol_l * per_mol_l))
        });
        let Some((quantity, factor)) = meant else {
            return Err(self.reader.refuse(&path, &format!("{key}_min or {key}_max"), None));
        };
        Ok(Some(Key { quantity, ending, bounds: Bounds::NOT_NEGATIVE, factor }))
    }

    fn limit(&self, path: &str, said: &Key, number: f64) -> Limit {
        let (name, quantity) = &self.known[said.quantity];
        let whose = self.substrate.map_or_else(String::new, |substrate| format!("{substrate}."));
        Limit {
            name: format!("{whose}{name}{}", said.ending),
            place: self.reader.place(path),
            path: path.to_owned(),
            substrate: self.substrate.map(str::to_owned),
            quantity: *quantity,
            floor: match said.ending {
                "" => quantity.worse(self.tank) == Worse::Falling,
                ending => ending == "_min",
            },
            bound: number * said.factor,
        }
    }
}

/// A limit set from outside the file takes the place of the file's limit on the same reading.
fn settled(found: Vec<Limit>) -> Vec<Limit> {
    let from_outside = |limit: &Limit| limit.place.line.is_none();
    let replaced = |limit: &Limit| {
        !from_outside(limit) && found.iter().any(|other| other.name == limit.name && from_outside(other))
    };
    found.iter().filter(|limit| !replaced(limit)).cloned().collect()
}
