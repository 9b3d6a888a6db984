//! Limits as a recipe writes them.
//!
//! The name of a quantity ([`crate::tank::quantity`]) limits it from the side it gets worse on, the name with `_min` or `_max`
//! from below or above.

use crate::document::Value;
use crate::document::reader::{Bounds, Reader};
use crate::error::{Place, Result};
use crate::life::{Limit, Wording};
use crate::model::caps::{Binds, Caps, SUBSTRATE};
use crate::model::substance::{content, worded};
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

/// What the keys of `[limits]` and of the caps of `[limits.substrate.NAME]`, which take the same keys, mean.
#[derive(Debug)]
pub(crate) struct LimitKeys {
    known: Vec<(String, Quantity)>,
    tables: Vec<Table>,
}

/// A table of limits: its keys by their paths, in the order of the dictionary.
#[derive(Debug)]
struct Table {
    substrate: Option<String>,
    keys: Vec<NamedKey>,
}

/// A key by its path, with the name and the words of the limit it makes.
#[derive(Debug)]
struct NamedKey {
    path: String,
    key: Key,
    name: String,
    wording: Wording,
}

impl LimitKeys {
    pub(crate) fn read(reader: &Reader, chemistry: &Chemistry, tank: &Tank) -> Result<Self> {
        let known: Vec<(String, Quantity)> =
            Quantity::all(tank).into_iter().map(|quantity| (quantity.name(tank), quantity)).collect();
        let of = |substrate: Option<String>| {
            let table =
                substrate.as_ref().map_or_else(|| "limits".to_owned(), |name| format!("{SUBSTRATE}.{name}"));
            let keys = Reading { reader, chemistry, tank, known: &known, table }.every()?;
            let named = |(path, key)| NamedKey::of(tank, &known, substrate.as_deref(), path, key);
            Ok(Table { keys: keys.into_iter().map(named).collect(), substrate })
        };
        let caps = reader.document().children(SUBSTRATE).into_iter().map(Some);
        let tables = [None].into_iter().chain(caps).map(of).collect::<Result<_>>()?;
        Ok(LimitKeys { known, tables })
    }

    /// The limits.
    ///
    /// NAME is a substrate or a material. A cap of what is plated ends the life like any limit; its name says
    /// whose it is.
    pub(crate) fn limits(
        &self,
        reader: &Reader,
        tank: &Tank,
        fresh: &BathState,
        caps: &Caps,
    ) -> Result<Read> {
        let mut read = Read::default();
        for table in &self.tables {
            let mut limits = Vec::with_capacity(table.keys.len());
            for named in &table.keys {
                if let Some(number) = reader.optional(&named.path, named.key.bounds)? {
                    let factor = named.key.scale.factor(tank, fresh);
                    let place = reader.place(&named.path);
                    limits.push(self.limit(table, named, place, (number, factor), tank));
                }
            }
            let limits = settled(limits);
            let Some(name) = &table.substrate else {
                read.ending = limits;
                continue;
            };
            let path = format!("{SUBSTRATE}.{name}");
            match caps.binds(name, reader.place(&path))? {
                Binds::AllWork => read.ending.extend(limits),
                Binds::OtherWork => read.of_other_work.extend(limits),
                Binds::Nothing => reader.flag(&path, caps.binds_nothing(name)),
            }
        }
        Ok(read)
    }

    fn limit(
        &self,
        table: &Table,
        named: &NamedKey,
        place: Place,
        (number, factor): (f64, f64),
        tank: &Tank,
    ) -> Limit {
        let NamedKey { path, key, name, wording } = named;
        let (_, quantity) = &self.known[key.quantity];
        let of_unit = if key.said.is_some() { factor } else { wording.factor };
        Limit {
            wording: Wording { factor: of_unit, ..wording.clone() },
            name: name.clone(),
            place,
            path: path.clone(),
            substrate: table.substrate.clone(),
            quantity: *quantity,
            floor: match key.ending {
                "" => quantity.worse(tank) == Worse::Falling,
                ending => ending == "_min",
            },
            bound: number * factor,
        }
    }
}

impl NamedKey {
    fn of(
        tank: &Tank,
        known: &[(String, Quantity)],
        substrate: Option<&str>,
        path: String,
        key: Key,
    ) -> NamedKey {
        let (own, _) = &known[key.quantity];
        let whose = substrate.map_or_else(String::new, |substrate| format!("{substrate}."));
        let name = format!("{whose}{own}{}", key.ending);
        let mut wording = Wording::of_name(tank, &name);
        if let Some(Said { weighed, unit }) = &key.said {
            if let Some(weighed) = weighed {
                // The side and the substrate behind the title stay.
                wording.words = wording.words.replacen(&Wording::of_name(tank, own).words, weighed, 1);
            }
            wording.unit = (*unit).to_owned();
        }
        NamedKey { path, key, name, wording }
    }
}

/// Bounds of a range.
pub(crate) fn bounds_of(range: Range) -> Bounds {
    match range {
        Range::Positive => Bounds::POSITIVE,
        Range::NotNegative => Bounds::NOT_NEGATIVE,
        Range::Between(low, high, words) => Bounds::between(low, high, words),
    }
}

/// What a key says: which of the known quantities, its ending, what the number is multiplied by, and the words for it.
#[derive(Debug, Clone)]
struct Key {
    quantity: usize,
    ending: &'static str,
    bounds: Bounds,
    scale: Scale,
    said: Option<Said>,
}

/// What a key limits where it is not the quantity in its own unit.
#[derive(Debug, Clone)]
struct Said {
    /// What it is weighed as, in words; none: the quantity.
    weighed: Option<String>,
    unit: &'static str,
}

/// What a number of a limit is multiplied by.
#[derive(Debug, Clone, Copy)]
enum Scale {
    Factor(f64),
    /// A hundredth of what it is a share of, from the tank and its fresh bath.
    Percent(fn(&Tank, &BathState) -> f64),
}

impl Scale {
    fn factor(self, tank: &Tank, fresh: &BathState) -> f64 {
        match self {
            Scale::Factor(factor) => factor,
            Scale::Percent(whole) => whole(tank, fresh) / 100.0,
        }
    }
}

/// A table being read.
struct Reading<'a> {
    reader: &'a Reader<'a>,
    chemistry: &'a Chemistry,
    tank: &'a Tank,
    known: &'a [(String, Quantity)],
    table: String,
}

impl Reading<'_> {
    /// Every key of the table, in the order of the dictionary.
    fn every(&self) -> Result<Vec<(String, Key)>> {
        let mut found: Vec<(String, Key)> = Vec::new();
        for key in self.reader.document().children(&self.table) {
            let path = self.path(&key);
            if path == SUBSTRATE {
                continue;
            }
            match self.named(&key).map_or_else(|| self.content(&key), |said| Ok(Some(said)))? {
                Some(said) => found.push((path, said)),
                // What is not known is reported with what is.
                None => self.known.iter().flat_map(|(name, of)| self.keys(name, *of)).for_each(|key| {
                    self.reader.entry(&self.path(&key));
                }),
            }
        }
        found.sort_by_key(|(_, key)| key.quantity);
        Ok(found)
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
            Key { quantity, ending, bounds, scale: Scale::Factor(1.0), said: None }
        };
        if let Some(quantity) = find(key) {
            return bare(&&self.known[quantity]).then(|| of(quantity, ""));
        }
        let share = self.known.iter().enumerate().find_map(|(quantity, (_, known))| {
            let share = known.entry().share.filter(|share| share.key == key)?;
            let bounds = if known.worse(self.tank) == Worse::Rising { MORE_PERCENT } else { PERCENT };
            let said = Some(Said { weighed: None, unit: share.unit });
            Some(Key { quantity, ending: "", bounds, scale: Scale::Percent(share.whole), said })
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
        let names = self.tank.bath.equilibrium.component_names();
        let roles = self.tank.bath.roles;
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
        let scale = Scale::Factor(factor);
        let said =
            worded(self.chemistry, name, found.component).map(|(weighed, unit)| Said { weighed, unit });
        Ok(Some(Key { quantity, ending, bounds: Bounds::NOT_NEGATIVE, scale, said }))
    }
}

/// A limit set from outside the file takes the place of the file's limit on the same reading.
fn settled(mut found: Vec<Limit>) -> Vec<Limit> {
    let from_outside = |limit: &Limit| limit.place.line.is_none();
    let outside: Vec<String> =
        found.iter().filter(|limit| from_outside(limit)).map(|limit| limit.name.clone()).collect();
    found.retain(|limit| from_outside(limit) || !outside.contains(&limit.name));
    found
}
