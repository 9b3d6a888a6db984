//! Which partial current moved a mixed potential: each partial current changed alone.

use super::conditions::Conditions;
use super::mixed_potential::MixedPotential;

/// What one partial current does when it alone passes from one bath to another.
///
/// All other partial currents stay as they were, so the moves of a mixed potential are told apart the way the
/// factors of a law are. Their effects multiply to the whole only where they are small.
#[derive(Debug, Clone, PartialEq)]
pub struct PartialCurrentChange {
    /// Its current at the mixed potential of the first bath, A/m².
    pub before_a_m2: f64,
    /// Its current in the second bath at that same potential, A/m².
    pub after_a_m2: f64,
    /// Partial current of every partial current at the new mixed potential, A/m²; zero where there is none.
    pub currents_a_m2: Vec<f64>,
}

impl MixedPotential {
    /// The moves of the partial currents from this bath to that of `then`, in their order; `None` without a
    /// mixed potential here.
    ///
    /// ```
    /// use bathkin::surface::{PartialCurrent, Conditions, MixedPotential, RateLaw, ReferencePotential};
    /// let partial_current = |current| PartialCurrent {
    ///     current: RateLaw { value_at_reference: current, factors: vec![] },
    ///     transfer_coefficient: 0.5,
    ///     reference: ReferencePotential { at_25c_v: -0.4, slope_v_k: 0.0 },
    ///     back: None,
    ///     transport: None,
    /// };
    /// let of = |given| MixedPotential::new(vec![(partial_current(10.0), -2.0), (partial_current(given), 1.0)]);
    /// let at = Conditions {
    ///     temperature_k: 298.15, ph: 4.8, ionic_strength_mol_l: 1.0,
    ///     totals_mol_l: &[], dissolved_mol_l: &[],
    /// };
    /// // Four times the oxidation at equal Tafel slopes: twice the metal.
    /// let moves = of(10.0)?.moves(&at, &of(40.0)?, &at).expect("a mixed potential");
    /// assert!((moves[1].after_a_m2 / moves[1].before_a_m2 - 4.0).abs() < 1e-9);
    /// assert!((moves[1].currents_a_m2[0] + 20.0).abs() < 1e-9);
    /// assert!((moves[0].currents_a_m2[0] + 10.0).abs() < 1e-9);
    /// # Ok::<(), String>(())
    /// ```
    pub fn moves(
        &self,
        at: &Conditions,
        then: &MixedPotential,
        then_at: &Conditions,
    ) -> Option<Vec<PartialCurrentChange>> {
        let (before, after) = (self.freeze(at), then.freeze(then_at));
        let potential_v = self.root(&before, None)?;
        let count = self.partials.len();
        let alone = |moved: usize| {
            let mut frozen = before;
            frozen[moved] = after[moved];
            let root = self.root(&frozen, None);
            let current = |partial: usize| root.map_or(0.0, |root_v| frozen[partial].current_a_m2(root_v));
            PartialCurrentChange {
                before_a_m2: before[moved].current_a_m2(potential_v),
                after_a_m2: after[moved].current_a_m2(potential_v),
                currents_a_m2: (0..count).map(current).collect(),
            }
        };
        Some((0..count).map(alone).collect())
    }
}
