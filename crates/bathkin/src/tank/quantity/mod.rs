//! The dictionary of what can be read off a bath.
//!
//! A new reading is one [`Entry`] in one of the lists below. Columns of a life, limits, warnings, columns of logs and runs,
//! costs, plots and words are views of the dictionary: the entry is enough for all of them.
//!
//! | view | name |
//! | --- | --- |
//! | column of a life, a log | the name itself, with its unit |
//! | limit | the name held from where it gets worse; `_min` and `_max` from either side |
//! | condition of a warning | `_above`, `_below` |

mod accounts;
mod contents;
mod entry;
mod liquid;
mod money;
mod piece;
mod pieces;
mod surface;
mod words;
mod work;

use crate::tank::{METAL, PH, REDUCTANT, Readings, Tank};

pub use entry::{Entry, Level, Needs, Range, Share, UsualError, Worse};
pub use piece::Piece;
pub use words::Described;

/// Every entry, in the order of the columns of a life.
const DICTIONARY: [&[&Entry]; 10] = [
    work::COUNTED,
    liquid::ANALYSED,
    surface::PLATING,
    liquid::SOLVED,
    accounts::FED,
    contents::COMPONENTS,
    liquid::FURTHER,
    accounts::VOLUMES,
    money::SPENT,
    pieces::OF_COUPONS,
];

/// What can be read off a bath: an entry of the dictionary, and which of its members.
#[derive(Clone, Copy)]
pub struct Quantity {
    entry: &'static Entry,
    member: usize,
}

impl PartialEq for Quantity {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.entry, other.entry) && self.member == other.member
    }
}

impl std::fmt::Debug for Quantity {
    fn fmt(&self, formatter: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(formatter, "Quantity({:?}, {})", self.entry.name, self.member)
    }
}

/// A reading at hand, for the functions of entries.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    /// The tank.
    pub tank: &'a Tank,
    /// Everything that was read.
    pub row: &'a Readings,
    /// Which member is asked for.
    pub member: usize,
    /// At the working level and temperature, as limits are judged; else as the bath stands. For [`Level::Solved`].
    pub judged: bool,
}

impl At<'_> {
    /// A dissolved substance by its place, mol/L; `NaN` where nobody looked at the liquid.
    pub fn dissolved_mol_l(&self, place: usize) -> f64 {
        self.row.dissolved_mol_l.get(place).copied().unwrap_or(f64::NAN)
    }
}

impl Quantity {
    /// Turnovers by metal replenished.
    pub const TURNOVERS: Quantity = Quantity::only(&work::TURNOVERS);
    /// Turnovers by metal plated.
    pub const TURNOVERS_PLATED: Quantity = Quantity::only(&work::TURNOVERS_PLATED);
    /// Clock time since make-up, h.
    pub const CLOCK_H: Quantity = Quantity::only(&work::CLOCK_H);
    /// Of that with work in the tank, h.
    pub const PLATING_H: Quantity = Quantity::only(&work::PLATING_H);
    /// Area plated, m².
    pub const AREA_M2: Quantity = Quantity::only(&work::AREA_M2);
    /// Metal, g/L.
    pub const METAL_G_L: Quantity = Quantity::only(&liquid::METAL_G_L);
    /// Thickness times area plated, um dm².
    pub const DEPOSIT_UM_DM2: Quantity = Quantity::only(&accounts::DEPOSIT_UM_DM2);
    /// Bath gone, L.
    pub const VOLUME_GONE_L: Quantity = Quantity::only(&accounts::VOLUME_GONE_L);
    /// Metal gone with it, g.
    pub const METAL_GONE_G: Quantity = Quantity::only(&accounts::METAL_GONE_G);
    /// Volume of the bath, L.
    pub const VOLUME_L: Quantity = Quantity::only(&accounts::VOLUME_L);
    /// Water evaporated, L.
    pub const EVAPORATED_L: Quantity = Quantity::only(&accounts::EVAPORATED_L);
    /// Water added, L.
    pub const WATER_L: Quantity = Quantity::only(&accounts::WATER_L);
    /// pH.
    pub const PH: Quantity = Quantity::only(&liquid::PH);
    /// pH of a sample cooled to 25 degC.
    pub const PH_25C: Quantity = Quantity::only(&liquid::PH_25C);
    /// Deposition rate, um/h.
    pub const DEPOSITION_UM_H: Quantity = Quantity::only(&surface::DEPOSITION_UM_H);
    /// Mass gained by a coupon, mg.
    pub const MASS_GAIN_MG: Quantity = Quantity::only(&pieces::MASS_GAIN_MG);
    /// Thickness, um.
    pub const THICKNESS_UM: Quantity = Quantity::only(&pieces::THICKNESS_UM);

    const fn only(entry: &'static Entry) -> Self {
        Quantity { entry, member: 0 }
    }

    /// The alloying element in the deposit, wt%; none of a pure metal.
    pub fn alloy(tank: &Tank) -> Option<Self> {
        tank.bath.alloy.as_ref().map(|_| Quantity::only(&surface::ALLOY_WT_PCT))
    }

    /// What was fed of a solution, by its place among [`crate::tank::Operation::replenishers`].
    pub fn fed(solution: usize) -> Self {
        match solution {
            METAL => Quantity::only(&accounts::METAL_REPLENISHER_ML_L),
            REDUCTANT => Quantity::only(&accounts::REDUCTANT_REPLENISHER_ML_L),
            PH => Quantity::only(&accounts::PH_CORRECTOR_G_L),
            further => Quantity { entry: &accounts::FURTHER_ML_L, member: further - PH - 1 },
        }
    }

    /// Total of a component, mol/L.
    pub fn component(slot: usize) -> Self {
        Quantity { entry: &contents::COMPONENT_MOL_L, member: slot }
    }

    /// Every quantity of a bath, in the order of the columns.
    pub fn all(tank: &Tank) -> Vec<Self> {
        let members = |entry: &&'static Entry| {
            let entry: &'static Entry = entry;
            (0..entry.members.of(tank).len()).map(move |member| Quantity { entry, member })
        };
        DICTIONARY.iter().flat_map(|entries| entries.iter()).flat_map(members).collect()
    }

    /// The columns of a life.
    pub fn columns(tank: &Tank) -> Vec<Self> {
        Quantity::all(tank).into_iter().filter(|of| (of.entry.column)(tank, of.member)).collect()
    }

    /// A quantity by its name.
    pub fn named(tank: &Tank, name: &str) -> Option<Self> {
        let in_entry = |entry: &'static Entry| {
            let member = match entry.name.split_once("{}") {
                // Most names rule an entry out before its members are listed.
                Some((before, after)) => {
                    let called = name.strip_prefix(before)?.strip_suffix(after)?;
                    entry.members.of(tank).iter().position(|member| member == called)?
                }
                None if name == entry.name && !entry.members.of(tank).is_empty() => 0,
                None => return None,
            };
            Some(Quantity { entry, member })
        };
        DICTIONARY.iter().flat_map(|entries| entries.iter().copied()).find_map(in_entry)
    }

    /// Name with unit, as columns, limits and logs have it.
    pub fn name(self, tank: &Tank) -> String {
        self.entry.name.replace("{}", &self.member(tank))
    }

    /// The name where it is the same in every bath; a pattern for one of several members.
    pub fn own_name(self) -> &'static str {
        self.entry.name
    }

    /// What distinguishes it from other members of its entry.
    fn member(self, tank: &Tank) -> String {
        self.entry.members.of(tank).into_iter().nth(self.member).unwrap_or_default()
    }

    /// As the bath stands.
    pub fn value(self, tank: &Tank, row: &Readings) -> f64 {
        (self.entry.value)(&At { tank, row, member: self.member, judged: false })
    }

    /// As limits are judged: contents, pH, ionic strength and specific gravity at the working level and temperature.
    pub fn judged(self, tank: &Tank, row: &Readings) -> f64 {
        let judged = self.entry.level == Level::Solved;
        let value = (self.entry.value)(&At { tank, row, member: self.member, judged });
        if self.entry.level == Level::PerLitre { row.working.share * value } else { value }
    }

    /// Slot of the component it is an amount of, and what it is for a mole of that per litre.
    pub fn content(self, tank: &Tank) -> Option<(usize, f64)> {
        self.entry.content.map(|of| of(tank, self.member))
    }

    /// What people head columns with in place of the names of the dictionary.
    pub fn spelled() -> impl Iterator<Item = Self> {
        let entries = DICTIONARY.iter().flat_map(|entries| entries.iter());
        let spelled =
            entries.filter(|entry| !entry.spellings.is_empty() || !entry.coupon_spellings.is_empty());
        spelled.map(|entry| Quantity::only(entry))
    }

    /// What it is on a piece that was plated.
    pub fn of_piece(self) -> Option<fn(&Piece) -> f64> {
        self.entry.of_piece
    }

    /// Whether it tells of the piece alone: of the time since the row before, not of a moment.
    pub fn is_of_piece_alone(self) -> bool {
        self.entry.of_piece.is_some() && !self.entry.of_bath
    }

    /// What can be measured on a coupon, by the name of its column.
    pub fn of_coupon(column: &str) -> Option<Self> {
        Quantity::of_coupons().into_iter().find(|known| known.own_name() == column)
    }

    /// What can be measured on a coupon, in the order in which a table is searched for it.
    pub fn of_coupons() -> [Self; 3] {
        [Quantity::MASS_GAIN_MG, Quantity::THICKNESS_UM, Quantity::DEPOSITION_UM_H]
    }

    /// The entry: title, unit, definition and the rest.
    pub fn entry(self) -> &'static Entry {
        self.entry
    }

    /// What conditions of warnings call it.
    pub fn warned_as(self, tank: &Tank) -> String {
        self.entry.warned_as.map_or_else(|| self.name(tank), str::to_owned)
    }

    /// Which way it gets worse.
    pub fn worse(self, tank: &Tank) -> Worse {
        (self.entry.worse)(tank, self.member)
    }
}
