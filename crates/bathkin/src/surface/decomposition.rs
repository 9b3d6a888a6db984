//! Plate-out: metal that deposits on particles, tank and heater instead of the work.

use super::conditions::Conditions;
use super::rate_law::RateLaw;

/// The rate at which the whole bath plates out, q = q_ref × factors, beside what is wanted.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | q, q_ref | metal plated out, at the reference state | mol/(L s) |
/// | r | wanted rate on the work | mol/(m² s) |
/// | L | area of the work per litre, the loading | m²/L |
///
/// share = q/(L r). A stabilizer's [`super::Suppression`] makes q rise steeply when it runs low, an
/// Arrhenius factor and an order in pH when the bath is hot or alkaline; a lean load leaves q as it
/// is and makes the share larger. Source: a form of our own, no published constant: calibrate it to
/// the metal found on filters and walls. It says how near decomposition a bath is; it takes nothing
/// from the balances and is no safety limit.
///
/// ```
/// use bathkin::surface::{Conditions, Decomposition, RateLaw};
/// let law = Decomposition {
///     law: RateLaw { value_at_reference: 1e-7, factors: Vec::new() },
///     flag_above_pct: 5.0,
/// };
/// let at = Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[], dissolved_mol_l: &[],
/// };
/// // 5e-4 mol/(m² s) on 0.5 dm²/L.
/// let share: Option<f64> = law.share_pct(&at, 5e-4, 5e-3);
/// assert!((share.unwrap() - 4.0).abs() < 1e-12);
/// assert_eq!(law.share_pct(&at, 0.0, 5e-3), None);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Decomposition<D = f64> {
    /// q, mol/(L s).
    pub law: RateLaw<D>,
    /// Share of the wanted rate above which the bath is called near decomposition, %.
    pub flag_above_pct: f64,
}

impl<D> Decomposition<D> {
    /// The same with each number of its law turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Decomposition<E> {
        Decomposition { law: self.law.map(of), flag_above_pct: self.flag_above_pct }
    }
}

impl Decomposition {
    /// Plate-out as a share of the wanted rate, %; `None` where nothing is wanted or plates.
    pub fn share_pct(&self, at: &Conditions, wanted_mol_m2_s: f64, loading_m2_l: f64) -> Option<f64> {
        let wanted = wanted_mol_m2_s * loading_m2_l;
        (wanted > 0.0).then(|| self.law.value(at) / wanted * 100.0)
    }
}
