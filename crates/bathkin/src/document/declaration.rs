//! What a number of a document must be, and what it is to the bath: told where it is read.

use bathkin_numerics::short;

/// What a number must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// Whether the least value itself is excluded.
    pub low_open: bool,
    /// In words.
    pub what: &'static str,
    /// How it is moved.
    pub scale: ParameterScale,
    /// What it makes a law depend on; none for what is no slope.
    pub dependence: Option<Dependence>,
}

/// What a number of a law tells how much a rate moves with. Only data in which that varies determine it, and at zero it
/// does not matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dependence {
    /// An activation energy, kJ/mol.
    Temperature,
    /// Decades per pH.
    Ph,
    /// The order in the component that ends its path.
    Order,
    /// The exponent of a ratio.
    Exponent,
}

/// How a number is moved by fits and sensitivities.
#[derive(Debug, Clone, Copy, PartialEq, Eq, schemars::JsonSchema, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ParameterScale {
    /// By its logarithm, so that it stays positive and its unit does not matter.
    Log,
    /// As it is.
    Linear,
}

impl ParameterScale {
    /// From the recipe's number to the solver's.
    pub fn inside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.max(0.0).ln(),
            ParameterScale::Linear => value,
        }
    }

    /// And back.
    pub fn outside(self, value: f64) -> f64 {
        match self {
            ParameterScale::Log => value.exp(),
            ParameterScale::Linear => value,
        }
    }
}

impl Bounds {
    /// Any finite number.
    pub const ANY: Bounds = Bounds::between(f64::MIN, f64::MAX, "a number");
    /// Greater than zero.
    pub const POSITIVE: Bounds =
        Bounds { low_open: true, ..Bounds::between(0.0, f64::MAX, "a number above zero") };
    /// Hours between two of something: below a second nobody does anything, and a life would not come to its end.
    pub const INTERVAL_H: Bounds =
        Bounds::between(1.0 / 3600.0, f64::MAX, "a second or more: at least 0.000278 hours");
    /// Turnovers between two of something.
    pub const INTERVAL_TURNOVERS: Bounds =
        Bounds::between(1e-4, f64::MAX, "a ten-thousandth of a turnover or more");
    /// Zero or more.
    pub const NOT_NEGATIVE: Bounds = Bounds::between(0.0, f64::MAX, "zero or more");

    /// From `low` to `high`, both allowed.
    pub const fn between(low: f64, high: f64, what: &'static str) -> Self {
        Bounds { low, high, low_open: false, what, scale: ParameterScale::Log, dependence: None }
    }

    /// The same for what laws are straight in, or what may change its sign: energies, orders and exponents, pH,
    /// temperatures and potentials.
    pub const fn linear(self) -> Self {
        Bounds { scale: ParameterScale::Linear, ..self }
    }

    /// The same for a number that makes a law depend on something, straight in the logarithm of the rate.
    pub const fn slope(self, of: Dependence) -> Self {
        Bounds { dependence: Some(of), ..self.linear() }
    }

    /// Whether a number is within them.
    pub fn allow(&self, number: f64) -> bool {
        (if self.low_open { number > self.low } else { number >= self.low }) && number <= self.high
    }
}

impl std::fmt::Display for Bounds {
    /// `0 to 100`, `above 0`, `any`.
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let low = short(self.low);
        match (self.low == f64::MIN, self.high == f64::MAX) {
            (true, true) => to.write_str("any"),
            (true, false) => write!(to, "at most {}", short(self.high)),
            (false, true) if self.low_open => write!(to, "above {low}"),
            (false, true) => write!(to, "at least {low}"),
            (false, false) => write!(to, "{low} to {}", short(self.high)),
        }
    }
}

/// What a number is to the bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, schemars::JsonSchema, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Of the form of the document.
    Format,
    /// A constant of the chemistry.
    Constant,
    /// How deposition starts on a substrate.
    Substrate,
    /// What is weighed out for the fresh bath.
    MakeUp,
    /// What a solution holds that is added.
    Solution,
    /// Atoms, electrons and molecules of a reaction.
    Stoichiometry,
    /// How the bath is run: temperature, pH, volume.
    Operation,
    /// A number of a law of the surface or of plate-out.
    Law,
    /// The state at which a law has its reference value.
    Reference,
    /// A number of a law of the liquid.
    LawOfLiquid,
    /// Exchange with the air.
    GasExchange,
    /// How the tank is built and replenished.
    Tank,
    /// Racks and steady work.
    Work,
    /// Where a life ends.
    Limit,
    /// What something costs.
    Price,
    /// How a life is computed.
    Computation,
    /// Where a recipe warns.
    Warning,
    /// What a fit wrote down.
    FitRecord,
}

impl Role {
    /// Whether a shop or a chemist moves it: not stoichiometry, prices, reference states, or how a life is computed.
    pub fn is_movable(self) -> bool {
        matches!(
            self,
            Role::Constant
                | Role::MakeUp
                | Role::Solution
                | Role::Operation
                | Role::Law
                | Role::Tank
                | Role::Work
                | Role::Limit
        )
    }
}

/// What is told of a number where it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Declaration {
    /// Path.
    pub path: String,
    /// What it must be.
    pub bounds: Bounds,
    /// What stands for it where it is left out; none: nothing does, or it must be there.
    pub default: Option<f64>,
    /// What it is to the bath.
    pub role: Role,
}
