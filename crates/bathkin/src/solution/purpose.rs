//! What a reagent is weighed out for: its own component, as against the ions that only come along.

use super::chemistry::{Chemistry, PROTON, Reagent, WATER};

/// Ions that come along with what a salt is for.
const COUNTER_IONS: [&str; 6] = ["sodium", "potassium", "calcium", "chloride", "sulfate", "nitrate"];
/// A counter-ion too, beside a metal or a ligand; in its plain salts it is what they are for.
const AMMONIA: &str = "ammonia";

impl Reagent {
    /// Moles of a component in one mole of it.
    pub fn moles_of(&self, component: usize) -> f64 {
        self.gives.iter().filter(|(given, _)| *given == component).map(|(_, moles)| moles).sum()
    }
}

impl Chemistry {
    /// Components that a reagent is weighed out for: its metal, or else its ligand, or ammonia; of a salt of
    /// counter-ions alone (sodium sulfate) all of them.
    ///
    /// ```
    /// let chemistry = bathkin::model::database::built_in()?.1.clone();
    /// let names = |reagent: &str| -> Vec<String> {
    ///     let of = chemistry.reagent(reagent).map(|reagent| chemistry.purpose(reagent));
    ///     of.unwrap_or_default().iter().map(|at| chemistry.components[*at].name.clone()).collect()
    /// };
    /// assert_eq!(names("nickel_sulfate_hexahydrate"), ["nickel"]);
    /// assert_eq!(names("potassium_cyanide"), ["cyanide"]);
    /// assert_eq!(names("ammonium_sulfate"), ["ammonia"]);
    /// assert_eq!(names("sodium_sulfate_anhydrous"), ["sodium", "sulfate"]);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn purpose(&self, reagent: &Reagent) -> Vec<usize> {
        let name = |at: usize| self.components[at].name.as_str();
        let parts =
            || reagent.gives.iter().map(|(at, _)| *at).filter(|at| ![PROTON, WATER].contains(&name(*at)));
        let own = |at: &usize| !COUNTER_IONS.contains(&name(*at));
        let metals: Vec<usize> =
            parts().filter(own).filter(|at| self.components[*at].formula.charge > 0.0).collect();
        let ligands: Vec<usize> = parts().filter(own).filter(|at| name(*at) != AMMONIA).collect();
        let ammonia: Vec<usize> = parts().filter(own).collect();
        let all: Vec<usize> = parts().collect();
        [metals, ligands, ammonia, all].into_iter().find(|found| !found.is_empty()).unwrap_or_default()
    }

    /// The same without counter-ions: what a reagent brings beside its acid or alkali.
    pub(crate) fn purpose_beyond_counter_ions(&self, reagent: &Reagent) -> Vec<usize> {
        let named = |at: &usize| !COUNTER_IONS.contains(&self.components[*at].name.as_str());
        self.purpose(reagent).into_iter().filter(named).collect()
    }

    /// The component that both of two reagents are weighed out for; of salts of counter-ions only where they
    /// are the same salt, as hydrates are.
    pub(crate) fn shared_purpose(&self, one: &Reagent, other: &Reagent) -> Option<usize> {
        let (mine, theirs) = (self.purpose(one), self.purpose(other));
        let shared = mine.iter().find(|at| theirs.contains(at)).copied()?;
        let plain = COUNTER_IONS.contains(&self.components[shared].name.as_str());
        (!plain || mine == theirs).then_some(shared)
    }
}
