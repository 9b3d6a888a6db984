//! Competitive adsorption: substances that share the sites of the surface.

use super::conditions::{Concentration, Conditions};
use crate::scalar::Scalar;

/// (D/D_ref)^-m with D = 1 + sum_j (K_j c_j)^p_j: one at the reference concentrations.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | D | sites in all over free sites | 1 |
/// | c_j, c_j,ref | substance j that takes sites, its reference | mol/L |
/// | K_j | adsorption constant | L/mol |
/// | p_j | power, one or more; 1 is Langmuir's isotherm | 1 |
/// | m | sites that the step needs side by side | 1 |
///
/// Beside an order n in a substance of its own list the rate has a maximum where that substance takes the
/// share n/m of the sites. A by-product in the list inhibits, a ligand slows beyond what it does to the
/// metal, and a stabilizer with p above one cuts the rate off. The K carry no temperature: an adsorption
/// enthalpy cannot be told from the activation energy by rates. With no adsorbate the factor is one, and the
/// law the power law. Regular at c = 0; a trial state a hair below zero counts as zero.
///
/// Source: Langmuir's isotherm of a mixture, J. Am. Chem. Soc. 40 (1918) 1361 (from memory); the
/// denominator to a power is the form of Hougen & Watson for steps that need several sites (from memory).
///
/// ```
/// use bathkin::surface::{Adsorbate, Adsorption, Concentration, Conditions};
/// // Half the sites free at the reference, a third of them with twice as much.
/// let adsorbate = Adsorbate { of: Concentration::Total(0), constant_l_mol: 2.0, power: 1.0, reference_mol_l: 0.5 };
/// let law = Adsorption { sites: 2.0, adsorbates: vec![adsorbate] };
/// let at = |c: f64| law.ln_factor(&Conditions {
///     temperature_k: 361.15, ph: 4.8, ionic_strength_mol_l: 0.9, totals_mol_l: &[c], dissolved_mol_l: &[],
/// }).exp();
/// assert!((at(0.5) - 1.0).abs() < 1e-14 && (at(1.0) - (2.0_f64 / 3.0).powi(2)).abs() < 1e-14);
/// assert!((at(0.0) - 4.0).abs() < 1e-14);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Adsorption<D = f64> {
    /// m.
    pub sites: D,
    /// What takes sites.
    pub adsorbates: Vec<Adsorbate<D>>,
}

/// A substance that takes sites of the surface; see [`Adsorption`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adsorbate<D = f64> {
    /// c_j.
    pub of: Concentration,
    /// K_j, L/mol.
    pub constant_l_mol: D,
    /// p_j.
    pub power: D,
    /// c_j,ref, mol/L.
    pub reference_mol_l: f64,
}

impl<D> Adsorption<D> {
    /// The same with each of its numbers turned into another.
    pub fn map<E>(&self, of: &mut impl FnMut(&D) -> E) -> Adsorption<E> {
        let mut adsorbate = |one: &Adsorbate<D>| Adsorbate {
            of: one.of,
            constant_l_mol: of(&one.constant_l_mol),
            power: of(&one.power),
            reference_mol_l: one.reference_mol_l,
        };
        let adsorbates = self.adsorbates.iter().map(&mut adsorbate).collect();
        Adsorption { sites: of(&self.sites), adsorbates }
    }
}

impl<D: Scalar> Adsorption<D> {
    /// ln of the factor.
    pub fn ln_factor(&self, at: &Conditions<D>) -> D {
        let here = self.sites_over_free(|adsorbate| adsorbate.of.of(at));
        -(self.sites * (here / self.sites_over_free_at_reference()).ln())
    }

    /// What each adsorbate does to ln of the factor; the parts add up to it.
    ///
    /// ln(D/D_ref) is shared out by how far each term moved: (t_j - t_j,ref) ln(D/D_ref)/(D - D_ref), the
    /// logarithmic mean, which leaves nothing over.
    pub fn ln_parts<'a>(&'a self, at: &'a Conditions<D>) -> impl Iterator<Item = (Concentration, D)> + 'a {
        let moved = |adsorbate: &Adsorbate<D>| {
            adsorbate.term(adsorbate.of.of(at)) - adsorbate.term(D::from(adsorbate.reference_mol_l))
        };
        let whole = self.adsorbates.iter().fold(D::from(0.0), |sum, adsorbate| sum + moved(adsorbate));
        let reference = self.sites_over_free_at_reference();
        let relative = whole / reference;
        // ln(1 + x)/x, which is one at nothing moved.
        const SMALL: f64 = 1e-8;
        let small = relative < D::from(SMALL) && relative > D::from(-SMALL);
        let mean = if small { D::from(1.0) } else { (relative + 1.0).ln() / relative };
        self.adsorbates
            .iter()
            .map(move |adsorbate| (adsorbate.of, -(self.sites * moved(adsorbate) * mean / reference)))
    }

    /// D at a concentration of each adsorbate.
    fn sites_over_free(&self, c: impl Fn(&Adsorbate<D>) -> D) -> D {
        self.adsorbates.iter().fold(D::from(1.0), |sum, adsorbate| sum + adsorbate.term(c(adsorbate)))
    }

    /// D_ref.
    fn sites_over_free_at_reference(&self) -> D {
        self.sites_over_free(|adsorbate| D::from(adsorbate.reference_mol_l))
    }
}

impl<D: Scalar> Adsorbate<D> {
    /// (K c)^p.
    fn term(&self, c: D) -> D {
        let ratio = self.constant_l_mol * c;
        // p >= 1: the power vanishes at c = 0, where its logarithm would not exist.
        if ratio > D::from(0.0) {
            if self.power == D::from(1.0) { ratio } else { (self.power * ratio.ln()).exp() }
        } else {
            D::from(0.0)
        }
    }
}
