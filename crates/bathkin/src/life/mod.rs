//! 5. Ageing: from dose to dose until a limit is reached.
//!
//! Between stops the right-hand side is smooth and is integrated to a stated tolerance; doses,
//! loads and limits are located and stopped at, never stepped over. The mass balance is checked at every
//! stop, and a run whose balances do not close fails.

pub mod additions;
mod assay_noise;
mod batch;
pub mod cost;
mod depletion;
pub mod film_status;
mod follow_ph;
mod laboratory;
pub mod ledger;
pub mod limits;
pub mod load_curve;
pub mod loads;
mod lockstep;
pub mod log_replay;
mod no_progress;
pub mod outlook;
pub mod plan;
mod pumps;
pub mod rest_of_life;
mod restoring;
mod rounding;
pub mod row_by_row;
mod run;
pub mod schedule;
pub mod segment;
pub mod settings;
pub(crate) mod shift;
pub mod simulate;
pub mod single_load;
pub mod solid_status;
mod stress;
pub mod surface_status;
pub mod table;
mod watch;

use schemars::JsonSchema;
use serde::Serialize;

use crate::deposit::StressStatus;
use crate::tank::Readings;

pub use additions::Operator;
pub use cost::Optimum;
pub(crate) use depletion::depleted_by_drag_out;
pub use film_status::FilmStatus;
pub use ledger::{Addition, Ledger};
pub use limits::{GivenLimit, Limit, LimitStatus, Wording};
pub use load_curve::{LoadCurve, load_curve};
pub use loads::LoadRecord;
pub use lockstep::{BareLoad, plate_in_lockstep};
pub use log_replay::{AtRow, LogReplay, LoggedPh, LoggedSegment, Plates, replay, replayed};
pub use outlook::{LimitCrossing, Outlook};
pub use plan::{PlannedAddition, ShiftTotal};
pub use rest_of_life::{RestOfLife, rest_of_life};
pub use row_by_row::{Member, RowByRow};
pub(crate) use run::{BATH_USED_UP, WATER_USED_UP};
pub use settings::Settings;
pub use shift::{ShiftRack, ShiftVolumes};
pub use simulate::{Used, simulate};
pub use single_load::SingleLoad;
pub use solid_status::SolidStatus;
pub use surface_status::SurfaceStatus;
pub use table::Table;
pub use watch::ShiftState;

/// What ended the life, and when.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename = "Dump")]
pub struct Verdict {
    /// Name of the first limit reached; `none` when the time ran out first.
    pub limit: String,
    /// Clock time since make-up, h.
    pub clock_h: f64,
    /// Time with work in the tank, h.
    pub plating_h: f64,
    /// Metal turnovers by metal replenished.
    pub turnovers: f64,
    /// Metal turnovers by metal plated.
    pub turnovers_plated: f64,
    /// Area plated, m².
    pub area_m2: f64,
}

/// How the reductant was fed against what was used.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ReductantFeed {
    /// Moles added per mole of metal added over the life.
    pub fed_per_metal_mol: f64,
    /// Moles used per mole of metal plated over the life.
    pub used_per_metal_mol: f64,
    /// Set-point, mol/L.
    pub set_point_mol_l: f64,
    /// At the end, mol/L.
    pub end_mol_l: f64,
}

/// The mass balance of a run.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Balance {
    /// Largest relative residual of any element or the charge at any stop.
    pub max_relative_residual: f64,
    /// What it was of.
    pub worst: String,
    /// Largest residual allowed.
    pub allowed: f64,
}

/// A declared event that took place.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct EventRecord {
    /// Clock time, h.
    pub clock_h: f64,
    /// Turnovers by metal replenished.
    pub turnovers: f64,
    /// Name of the event.
    pub event: String,
    /// What was done.
    pub what: String,
    /// True when what was added is not on the list of the bath: results after it are doubtful.
    pub doubtful_after: bool,
}

/// How much work the computation was.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SolverStatistics {
    /// Right-hand sides evaluated.
    pub right_hand_sides: u64,
    /// Stops: doses, corrections, loads, rows, the end.
    pub stops: u64,
}

/// The life of a bath.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Life {
    /// What ended it.
    pub verdict: Verdict,
    /// Where every limit stands at the end.
    pub limits: Vec<LimitStatus>,
    /// How far each solid went towards falling out.
    pub solids: Vec<SolidStatus>,
    /// What the film before the surface came to; none without a film.
    pub film: Option<FilmStatus>,
    /// What the surface came to beyond what is believed.
    pub surface: SurfaceStatus,
    /// What was read at the hottest moment, hotter than the bath works, between rows too; temperatures move along
    /// straight lines between stops, so that it is at one.
    #[serde(skip)]
    pub hottest: Option<Readings>,
    /// Which way the stress of the deposit tends; none where nothing is known of it.
    pub stress: Option<StressStatus>,
    /// A row at make-up, at every turnover and at the end.
    #[serde(skip)]
    pub rows: Vec<Readings>,
    /// The rows as columns.
    #[serde(skip)]
    pub table: Table,
    /// Every addition.
    pub ledger: Ledger,
    /// Every rack that came out, in order (racks on a calendar only).
    pub loads: Vec<LoadRecord>,
    /// Declared events, in order.
    pub events: Vec<EventRecord>,
    /// The mass balance.
    pub balance: Balance,
    /// Reductant fed against reductant used.
    pub reductant_feed: ReductantFeed,
    /// Hydrogen evolved over the life, L at 25 degC and 1 atm.
    pub hydrogen_l: f64,
    /// SolverStatistics.
    pub effort: SolverStatistics,
}

impl Life {
    /// Path of each limit, with the distance that was left to it at the end.
    pub fn margins(&self) -> Vec<(String, f64)> {
        self.limits.iter().map(|limit| (limit.path.clone(), limit.margin)).collect()
    }
}
