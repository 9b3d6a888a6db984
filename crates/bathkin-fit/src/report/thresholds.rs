//! From where on something is said.

/// p of a misfit that may be one, and of one that is.
pub(crate) const MAY_MISS: f64 = 0.01;
pub(crate) const MISSES: f64 = 0.001;

/// Bonferroni's p below which a row is called outlying: once in a hundred tables by chance.
pub(crate) const OUTLYING: f64 = 0.01;

/// Activation energies of baths, kJ/mol; estimated: an energy beyond is a slip in a unit.
pub(crate) const PLAUSIBLE_KJ_MOL: (f64, f64) = (5.0, 300.0);
