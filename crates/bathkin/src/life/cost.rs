//! What a bath has cost when it is dumped, and when dumping it is cheapest.
//!
//! The cost of a bath dumped after some turnovers is
//!
//! C = make-up + feeds + energy + waste + line + dump, and per work done c = C/S,
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | make-up | reagents and water of the fresh bath | currency |
//! | feeds | volume fed from each solution times its price | currency |
//! | energy | heat for the fresh bath, the metal, reductant and pH corrector fed, the water and what evaporates, and losses over plating and idle hours | currency |
//! | waste | the dumped bath and what was bled and dragged out, by volume and by mass of metal | currency |
//! | line | plating hours times the price of the line | currency |
//! | dump | labour of dumping and remaking, and the line standing meanwhile | currency |
//! | S | thickness times area plated | um dm² |
//!
//! Make-up, waste of the bath and dump are paid once, so c falls at first; the rate falls with age and line
//! time rises, so c may rise again. The cheapest bath is dumped in between. Prices are inputs; a tank reheated
//! after a cold night, and evaporation nobody declared, are in the losses or not at all. A partial dump pays
//! for its waste, not for labour.

use serde::Serialize;

use super::table::Table;

/// Heat to warm a litre of water by a degree, kJ/(L K): 4.18 kJ/(kg K) at 1 kg/L. A bath holds less water
/// per litre and weighs more; the two nearly cancel.
pub const WATER_KJ_L_K: f64 = 4.18;
/// Heat to evaporate a litre of water, kJ/L: 2283 kJ/kg at 90 degC (steam tables, from memory), water counted
/// at 1 kg/L as above.
const EVAPORATION_KJ_L: f64 = 2283.0;
const KJ_PER_KWH: f64 = 3600.0;

/// A solution that is fed, with its price.
#[derive(Debug, Clone, PartialEq)]
pub struct PricedFeed {
    /// Column of the table that counts it.
    pub column: String,
    /// Litres fed per litre of bath for one in that column.
    pub litres_per_bath_litre: f64,
    /// Price of a litre.
    pub per_l: f64,
    /// Whether the heat to warm it is counted.
    pub warmed: bool,
}

/// Prices of a recipe, resolved against its bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// Currency of every price.
    pub currency: String,
    /// Reagents and water of a fresh bath.
    pub make_up: f64,
    /// Every solution that is fed, in the order the tank numbers them by.
    pub feeds: Vec<PricedFeed>,
    /// Energy, per kWh.
    pub energy_per_kwh: f64,
    /// Temperature that water and feeds are warmed by, K.
    pub warmed_by_k: f64,
    /// Heat lost with work in the tank, kW.
    pub heat_loss_kw: f64,
    /// Heat lost while idle, kW.
    pub heat_loss_idle_kw: f64,
    /// Waste, per L.
    pub waste_per_l: f64,
    /// Waste, per kg of metal in it.
    pub waste_per_kg_metal: f64,
    /// The line, per hour.
    pub line_per_h: f64,
    /// Labour of a dump and the make-up after it.
    pub labour_per_dump: f64,
    /// Time the line stands at a dump, h.
    pub downtime_h_per_dump: f64,
    /// Volume of the bath, L.
    pub volume_l: f64,
    /// Reagents in use that have no price: the cost leaves them out.
    pub unpriced: Vec<String>,
}

/// Parts of a cost.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct CostParts {
    /// Fresh bath.
    pub make_up: f64,
    /// What was fed.
    pub replenishers: f64,
    /// Heat.
    pub energy: f64,
    /// Waste.
    pub waste: f64,
    /// Line time while plating.
    pub line: f64,
    /// Labour and standing line of the dump.
    pub dump: f64,
}

impl CostParts {
    /// Their sum.
    pub fn total(&self) -> f64 {
        self.make_up + self.replenishers + self.energy + self.waste + self.line + self.dump
    }
}

/// Waste of a bath.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Waste {
    /// Volume: the bath, and what was bled and dragged out, L.
    pub volume_l: f64,
    /// Metal in it, g.
    pub metal_g: f64,
}

/// What a bath has cost if it is dumped here.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CostPoint {
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Clock time, h.
    pub clock_h: f64,
    /// Thickness times area plated, um dm².
    pub deposit_um_dm2: f64,
    /// Parts of the cost.
    pub parts: CostParts,
    /// Their sum.
    pub cost: f64,
    /// Cost per um dm²; infinite while nothing is plated.
    pub cost_per_um_dm2: f64,
    /// Waste.
    pub waste: Waste,
}

/// Where dumping is cheapest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Optimum {
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Clock time, h.
    pub clock_h: f64,
    /// Cost per um dm² there.
    pub cost_per_um_dm2: f64,
}

/// Columns of a table of which a cost is made.
struct Columns<'a> {
    turnovers: &'a [f64],
    plated: &'a [f64],
    clock_h: &'a [f64],
    plating_h: &'a [f64],
    um_dm2: &'a [f64],
    metal_g_l: &'a [f64],
    gone_l: &'a [f64],
    gone_g: &'a [f64],
    volume_l: &'a [f64],
    water_l: &'a [f64],
    evaporated_l: &'a [f64],
    /// A column for each of [`Cost::feeds`].
    fed: Vec<&'a [f64]>,
}

impl<'a> Columns<'a> {
    fn of(table: &'a Table, feeds: &[PricedFeed]) -> Option<Self> {
        Some(Columns {
            turnovers: table.column("turnovers")?,
            plated: table.column("turnovers_plated")?,
            clock_h: table.column("clock_h")?,
            plating_h: table.column("plating_h")?,
            um_dm2: table.column("deposit_um_dm2")?,
            metal_g_l: table.column("metal_g_l")?,
            gone_l: table.column("volume_gone_l")?,
            gone_g: table.column("metal_gone_g")?,
            volume_l: table.column("volume_l")?,
            water_l: table.column("water_l")?,
            evaporated_l: table.column("evaporated_l")?,
            fed: feeds.iter().map(|feed| table.column(&feed.column)).collect::<Option<_>>()?,
        })
    }
}

impl Cost {
    /// What the bath has cost if dumped at each row of its table.
    pub fn points(&self, table: &Table) -> Vec<CostPoint> {
        let Some(columns) = Columns::of(table, &self.feeds) else { return Vec::new() };
        (0..table.rows()).map(|row| self.point(&columns, row)).collect()
    }

    fn point(&self, columns: &Columns, row: usize) -> CostPoint {
        let (mut replenishers, mut fed_cold_l) = (0.0, 0.0);
        for (feed, column) in self.feeds.iter().zip(&columns.fed) {
            let litres = column[row] * feed.litres_per_bath_litre * self.volume_l;
            replenishers += litres * feed.per_l;
            if feed.warmed {
                fed_cold_l += litres;
            }
        }
        let evaporated_l = columns.evaporated_l[row];
        let warmed_l = self.volume_l + fed_cold_l + columns.water_l[row].max(0.0);
        let (plating, clock) = (columns.plating_h[row], columns.clock_h[row]);
        let losses_kwh = self.heat_loss_kw * plating + self.heat_loss_idle_kw * (clock - plating);
        let warming_kwh =
            (warmed_l * WATER_KJ_L_K * self.warmed_by_k + evaporated_l * EVAPORATION_KJ_L) / KJ_PER_KWH;
        let waste = Waste {
            volume_l: columns.volume_l[row] + columns.gone_l[row],
            metal_g: columns.volume_l[row] * columns.metal_g_l[row] + columns.gone_g[row],
        };
        let parts = CostParts {
            make_up: self.make_up,
            replenishers,
            energy: self.energy_per_kwh * (warming_kwh + losses_kwh),
            waste: self.waste_per_l * waste.volume_l + self.waste_per_kg_metal * waste.metal_g * 1e-3,
            line: self.line_per_h * plating,
            dump: self.labour_per_dump + self.line_per_h * self.downtime_h_per_dump,
        };
        let (cost, deposit_um_dm2) = (parts.total(), columns.um_dm2[row]);
        CostPoint {
            turnovers: columns.turnovers[row],
            turnovers_plated: columns.plated[row],
            clock_h: clock,
            deposit_um_dm2,
            parts,
            cost,
            cost_per_um_dm2: if deposit_um_dm2 > 0.0 { cost / deposit_um_dm2 } else { f64::INFINITY },
            waste,
        }
    }

    /// Writes the columns `cost` and `cost_per_um_dm2`.
    pub fn write(&self, table: &mut Table) {
        let points = self.points(table);
        table.add_column("cost", points.iter().map(|point| point.cost).collect());
        table.add_column("cost_per_um_dm2", points.iter().map(|point| point.cost_per_um_dm2).collect());
    }
}

/// Where the cost per work done is least; `None` when it still falls at the last point.
///
/// Cost and work are each interpolated by a cubic through the four points nearest the least of them, over
/// turnovers by metal plated, which unlike doses has no steps.
pub fn optimum(points: &[CostPoint]) -> Option<Optimum> {
    let least =
        (0..points.len()).min_by(|a, b| points[*a].cost_per_um_dm2.total_cmp(&points[*b].cost_per_um_dm2))?;
    const WINDOW: usize = 4;
    if least == 0 || least + 1 >= points.len() || points.len() < WINDOW {
        return None;
    }
    let from = (least - 1).min(points.len() - WINDOW);
    let near = &points[from..from + WINDOW];
    let at = |plated: f64| {
        let cost = through(near, plated, |point| point.cost);
        cost / through(near, plated, |point| point.deposit_um_dm2)
    };
    let plated = lowest(at, points[least - 1].turnovers_plated, points[least + 1].turnovers_plated);
    let after = points.partition_point(|point| point.turnovers_plated <= plated).clamp(1, points.len() - 1);
    let (a, b) = (&points[after - 1], &points[after]);
    let share = (plated - a.turnovers_plated) / (b.turnovers_plated - a.turnovers_plated);
    Some(Optimum {
        turnovers: a.turnovers + share * (b.turnovers - a.turnovers),
        turnovers_plated: plated,
        clock_h: a.clock_h + share * (b.clock_h - a.clock_h),
        cost_per_um_dm2: at(plated),
    })
}

/// Lagrange's polynomial through the points, over turnovers plated.
fn through(points: &[CostPoint], at: f64, value: impl Fn(&CostPoint) -> f64) -> f64 {
    let weight = |this: usize| -> f64 {
        let x = |index: usize| points[index].turnovers_plated;
        let others = (0..points.len()).filter(|other| *other != this);
        others.map(|other| (at - x(other)) / (x(this) - x(other))).product()
    };
    points.iter().enumerate().map(|(index, point)| weight(index) * value(point)).sum()
}

/// The least of a function with one valley, by golden section.
fn lowest(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    // Each step keeps 0.62 of the interval: 40 steps leave 4e-9 of it.
    for _ in 0..40 {
        let left = high - GOLDEN * (high - low);
        let right = low + GOLDEN * (high - low);
        if f(left) < f(right) { high = right } else { low = left }
    }
    0.5 * (low + high)
}
