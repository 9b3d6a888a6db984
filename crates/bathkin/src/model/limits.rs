//! Limits as a recipe writes them.

use crate::constants::SECONDS_PER_HOUR;
use crate::document::Value;
use crate::document::reader::{Bounds, Reader};
use crate::error::{Error, Result};
use crate::life::{Limit, LimitKind};
use crate::model::caps::{Binds, Caps, SUBSTRATE};
use crate::model::substance::content;
use crate::solution::Chemistry;
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
    by_product: &str,
    caps: &Caps,
) -> Result<Read> {
    let of = |substrate: Option<&str>| {
        let table = substrate.map_or_else(|| "limits".to_owned(), |name| format!("{SUBSTRATE}.{name}"));
        let mut limits = Limits { reader, table, substrate, found: Vec::new(), asked: Vec::new() };
        limits.every(chemistry, tank, fresh, by_product)?;
        Ok(limits.settled())
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

struct Limits<'a> {
    reader: &'a Reader<'a>,
    table: String,
    substrate: Option<&'a str>,
    found: Vec<Limit>,
    /// Keys of the table that were read.
    asked: Vec<String>,
}

impl Limits<'_> {
    /// Every limit this table may hold.
    fn every(
        &mut self,
        chemistry: &Chemistry,
        tank: &Tank,
        fresh: &BathState,
        by_product: &str,
    ) -> Result<()> {
        const PH: Bounds = Bounds::between(0.0, 14.0, "a pH between 0 and 14").linear();
        const GRAVITY: Bounds = Bounds::between(1.0, 3.0, "a specific gravity between 1 and 3");
        let by_product_name = format!("{by_product}_mol_l");
        self.named("turnovers", LimitKind::Turnovers, Bounds::POSITIVE)?;
        self.named("clock_h", LimitKind::Clock, Bounds::POSITIVE)?;
        self.named("area_m2", LimitKind::Area, Bounds::POSITIVE)?;
        self.named(&by_product_name, LimitKind::ByProduct, Bounds::NOT_NEGATIVE)?;
        for (slot, component) in tank.equilibrium.component_names().iter().enumerate() {
            let (low, high) = (format!("{component}_mol_l_min"), format!("{component}_mol_l_max"));
            self.named(&low, LimitKind::ComponentLow(slot), Bounds::NOT_NEGATIVE)?;
            self.named(&high, LimitKind::ComponentHigh(slot), Bounds::NOT_NEGATIVE)?;
        }
        self.named("ph_min", LimitKind::Ph, PH)?;
        self.named("specific_gravity", LimitKind::SpecificGravity, GRAVITY)?;
        self.named("ionic_strength_mol_l", LimitKind::IonicStrength, Bounds::POSITIVE)?;
        let (kind, of_fresh) = (LimitKind::IonicStrength, fresh.ionic_strength_mol_l);
        self.percent("ionic_strength_mol_l", kind, "ionic_strength_pct_of_fresh", MORE_PERCENT, of_fresh)?;
        self.saturation(tank)?;
        self.named("metal_g_l", LimitKind::Metal, Bounds::NOT_NEGATIVE)?;
        let set_point = tank.metal_g_l(tank.set_points.metal_mol_l);
        self.percent("metal_g_l", LimitKind::Metal, "metal_pct_of_set_point", PERCENT, set_point)?;
        let low = LimitKind::ComponentLow(tank.roles.reductant);
        self.named("reductant_mol_l", low, Bounds::NOT_NEGATIVE)?;
        let set_point = tank.set_points.reductant_mol_l;
        self.percent("reductant_mol_l", low, "reductant_pct_of_set_point", PERCENT, set_point)?;
        self.named("deposition_um_h", LimitKind::Deposition, Bounds::NOT_NEGATIVE)?;
        let of_fresh = fresh.growth_um_s * SECONDS_PER_HOUR;
        self.percent("deposition_um_h", LimitKind::Deposition, "deposition_pct_of_fresh", PERCENT, of_fresh)?;
        if let Some(alloy) = &tank.alloy_column {
            self.named(&format!("{alloy}_min"), LimitKind::AlloyLow, PERCENT)?;
            self.named(&format!("{alloy}_max"), LimitKind::AlloyHigh, PERCENT)?;
        }
        self.contents(chemistry, tank)
    }

    /// Limits on what the bath holds by any other name that says so: a salt, another unit, a by-product weighed
    /// as a formula. Metal and reductant alone are held from below, the by-product from above, and every other
    /// component by a name with `_min` or `_max`.
    fn contents(&mut self, chemistry: &Chemistry, tank: &Tank) -> Result<()> {
        let names = tank.equilibrium.component_names();
        let roles = tank.roles;
        let own = [roles.metal, roles.reductant, roles.by_product].map(|slot| names[slot].as_str());
        for key in self.reader.document().children(&self.table) {
            if self.asked.contains(&key) {
                continue;
            }
            let path = self.path(&key);
            let number = match self.reader.document().get(&path).map(|entry| &entry.value) {
                Some(Value::Number(number)) => *number,
                _ => 0.0,
            };
            let ends = |ending: &str| key.strip_suffix(ending);
            let (low, high) = (ends("_min"), ends("_max"));
            let name = low.or(high).unwrap_or(&key);
            let Some(found) = content(chemistry, &own, name, number) else { continue };
            let found = found.map_err(|unclear| {
                self.reader.entry(&path);
                self.reader.refuse(&path, &unclear.expected, Some(unclear.hint))
            })?;
            let component = &chemistry.components[found.component].name;
            let Some(slot) = names.iter().position(|known| known == component) else {
                let expected = format!("a component of this bath: {}", names.join(", "));
                return Err(self.reader.refuse(&path, &expected, None));
            };
            let in_mol_l = |end: &str| format!("{component}_mol_l{end}");
            let (name, kind, factor) = match (low.is_some(), high.is_some()) {
                (true, _) => (in_mol_l("_min"), LimitKind::ComponentLow(slot), found.mol_l),
                (_, true) => (in_mol_l("_max"), LimitKind::ComponentHigh(slot), found.mol_l),
                _ if slot == roles.by_product => (in_mol_l(""), LimitKind::ByProduct, found.mol_l),
                _ if slot == roles.metal => {
                    ("metal_g_l".to_owned(), LimitKind::Metal, tank.metal_g_l(found.mol_l))
                }
                _ if slot == roles.reductant => {
                    ("reductant_mol_l".to_owned(), LimitKind::ComponentLow(slot), found.mol_l)
                }
                _ => return Err(self.reader.refuse(&path, &format!("{key}_min or {key}_max"), None)),
            };
            self.plain(&name, kind, &key, Bounds::NOT_NEGATIVE, factor)?;
        }
        Ok(())
    }

    fn path(&self, key: &str) -> String {
        format!("{}.{key}", self.table)
    }

    /// A limit whose key is its name.
    fn named(&mut self, key: &str, kind: LimitKind, bounds: Bounds) -> Result<()> {
        self.plain(key, kind, key, bounds, 1.0)
    }

    /// A limit in per cent of a reading.
    fn percent(&mut self, name: &str, kind: LimitKind, key: &str, bounds: Bounds, whole: f64) -> Result<()> {
        self.plain(name, kind, key, bounds, whole / 100.0)
    }

    /// A limit at a key, if there and not `"off"`, times a factor to the unit of its name.
    fn plain(&mut self, name: &str, kind: LimitKind, key: &str, bounds: Bounds, factor: f64) -> Result<()> {
        let path = self.path(key);
        self.asked.push(key.to_owned());
        if let Some(number) = self.reader.optional(&path, bounds)? {
            let whose = |name: &str, substrate: &str| format!("{substrate}.{name}");
            self.found.push(Limit {
                name: self.substrate.map_or_else(|| name.to_owned(), |substrate| whose(name, substrate)),
                place: self.reader.place(&path),
                path,
                substrate: self.substrate.map(str::to_owned),
                kind,
                bound: number * factor,
            });
        }
        Ok(())
    }

    /// Limits on the saturation index of solids this bath can form.
    fn saturation(&mut self, tank: &Tank) -> Result<()> {
        const INDEX: Bounds = Bounds::between(-50.0, 50.0, "a saturation index between -50 and 50");
        for key in self.reader.document().children(&self.table) {
            let Some(name) = key.strip_prefix("saturation_index_") else { continue };
            let path = self.path(&key);
            let solid = tank.solids.iter().position(|solid| solid.name == name).ok_or_else(|| {
                let valid = tank.solids.iter().map(|solid| solid.name.as_str());
                Error::unknown_name(self.reader.place(&path), "solid of this bath", name, valid)
            })?;
            self.plain(&key, LimitKind::SaturationIndex(solid), &key, INDEX, 1.0)?;
        }
        Ok(())
    }

    /// A limit set from outside the file takes the place of the file's limit on the same reading.
    fn settled(self) -> Vec<Limit> {
        let from_outside = |limit: &Limit| limit.place.line.is_none();
        let replaced = |limit: &Limit| {
            !from_outside(limit)
                && self.found.iter().any(|other| other.name == limit.name && from_outside(other))
        };
        self.found.iter().filter(|limit| !replaced(limit)).cloned().collect()
    }
}
