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

use super::quantity::Quantity;

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
    /// What counts it.
    pub fed: Quantity,
    /// Litres fed per litre of bath for one of that.
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
#[derive(Debug, Clone, Copy, Default, PartialEq, schemars::JsonSchema, Serialize)]
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
#[derive(Debug, Clone, Copy, Default, PartialEq, schemars::JsonSchema, Serialize)]
pub struct Waste {
    /// Volume: the bath, and what was bled and dragged out, L.
    pub volume_l: f64,
    /// Metal in it, g.
    pub metal_g: f64,
}

/// What a bath has cost if it is dumped here.
#[derive(Debug, Clone, Copy, PartialEq, schemars::JsonSchema, Serialize)]
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

impl Cost {
    /// What the bath has cost if dumped where quantities are what `of` says.
    pub fn point(&self, of: impl Fn(Quantity) -> f64) -> CostPoint {
        let (mut replenishers, mut fed_cold_l) = (0.0, 0.0);
        for feed in &self.feeds {
            let litres = of(feed.fed) * feed.litres_per_bath_litre * self.volume_l;
            replenishers += litres * feed.per_l;
            if feed.warmed {
                fed_cold_l += litres;
            }
        }
        let warmed_l = self.volume_l + fed_cold_l + of(Quantity::WATER_L).max(0.0);
        let (plating, clock) = (of(Quantity::PLATING_H), of(Quantity::CLOCK_H));
        let losses_kwh = self.heat_loss_kw * plating + self.heat_loss_idle_kw * (clock - plating);
        let evaporated_kj = of(Quantity::EVAPORATED_L) * EVAPORATION_KJ_L;
        let warming_kwh = (warmed_l * WATER_KJ_L_K * self.warmed_by_k + evaporated_kj) / KJ_PER_KWH;
        let volume_l = of(Quantity::VOLUME_L);
        let waste = Waste {
            volume_l: volume_l + of(Quantity::VOLUME_GONE_L),
            metal_g: volume_l * of(Quantity::METAL_G_L) + of(Quantity::METAL_GONE_G),
        };
        let parts = CostParts {
            make_up: self.make_up,
            replenishers,
            energy: self.energy_per_kwh * (warming_kwh + losses_kwh),
            waste: self.waste_per_l * waste.volume_l + self.waste_per_kg_metal * waste.metal_g * 1e-3,
            line: self.line_per_h * plating,
            dump: self.labour_per_dump + self.line_per_h * self.downtime_h_per_dump,
        };
        let (cost, deposit_um_dm2) = (parts.total(), of(Quantity::DEPOSIT_UM_DM2));
        CostPoint {
            turnovers: of(Quantity::TURNOVERS),
            turnovers_plated: of(Quantity::TURNOVERS_PLATED),
            clock_h: clock,
            deposit_um_dm2,
            parts,
            cost,
            cost_per_um_dm2: if deposit_um_dm2 > 0.0 { cost / deposit_um_dm2 } else { f64::INFINITY },
            waste,
        }
    }
}
