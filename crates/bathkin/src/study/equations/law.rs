//! Rate laws as formulas: each factor as its own file in `surface` defines it, with the recipe's numbers.

use crate::constants::ZERO_CELSIUS_K;
use crate::solution::chemistry::PROTON;
use crate::solution::{Chemistry, Equilibrium};
use crate::study::equations::expression::Expression;
use crate::study::equations::expression::Expression::{
    Exponential, Negative, Number, Power, Product, Quantity, Sum, Symbol,
};
use crate::study::equations::reaction::formula_in_latex;
use crate::surface::{Adsorbate, Adsorption, Concentration, Factor, InhibitionForm, RateLaw, Stabilizer};

/// Names of what laws follow.
pub(crate) struct Names<'a> {
    pub(crate) chemistry: &'a Chemistry,
    pub(crate) equilibrium: &'a Equilibrium,
}

impl Names<'_> {
    /// `[nickel]` for all of it, `[Ni+2]` for the free ion or a formed species.
    pub(crate) fn concentration(&self, of: Concentration) -> Expression {
        match of {
            Concentration::Total(slot) => {
                let name = self.equilibrium.component_names()[slot].replace('_', " ");
                Symbol(format!("[{name}]"), format!("[\\text{{{name}}}]"))
            }
            Concentration::Dissolved(place) => {
                let name = self.equilibrium.substance_names().nth(place).unwrap_or(PROTON);
                let component = self.chemistry.components.iter().find(|known| known.name == name);
                let species = self.chemistry.species.iter().find(|known| known.name == name);
                let formula = component
                    .map(|known| &known.formula)
                    .or(species.map(|known| &known.formula))
                    .map_or_else(|| name.to_owned(), |formula| formula.text.clone());
                let latex = format!("[\\mathrm{{{}}}]", formula_in_latex(&formula));
                Symbol(format!("[{formula}]"), latex)
            }
        }
    }

    /// value x factor x factor ..., `unit` that of the value, `sign` in front of it.
    pub(crate) fn law(&self, law: &RateLaw, sign: f64, unit: Option<&'static str>) -> Expression {
        let value = sign * law.value_at_reference;
        let value = unit.map_or(Number(value), |unit| Quantity(value, unit));
        let factors = law.factors.iter().map(|factor| self.factor(factor));
        Product(std::iter::once(value).chain(factors).collect())
    }

    fn factor(&self, factor: &Factor) -> Expression {
        match factor {
            Factor::Arrhenius(law) => {
                let kelvin = Expression::symbol("T");
                let inverse = Number(1.0).over(kelvin);
                let reference = Number(1.0).over(Quantity(law.reference_temperature_k, "K"));
                let energy = Quantity(law.activation_energy_kj_mol, "kJ/mol").over(Expression::symbol("R"));
                Exponential(Box::new(Negative(Box::new(Product(vec![energy, inverse.less(reference)])))))
            }
            Factor::PhOrder(law) => {
                let ph = Symbol("pH".to_owned(), "\\mathrm{pH}".to_owned());
                let off = Product(vec![Number(law.decades_per_ph), ph.less(Number(law.reference_ph))]);
                Power(Box::new(Number(10.0)), Box::new(off))
            }
            Factor::Order(law) => {
                self.concentration(law.of).over(molar(law.reference_mol_l)).raised(law.order)
            }
            Factor::Saturation(law) => {
                let filled = |c: Expression| c.clone().over(Sum(vec![molar(law.constant_mol_l), c]));
                let here = filled(self.concentration(law.of));
                if law.reference_mol_l.is_finite() {
                    here.over(filled(molar(law.reference_mol_l)))
                } else {
                    here
                }
            }
            Factor::Inhibition(law) => {
                let ratio = self.concentration(law.of).over(molar(law.constant_mol_l));
                inhibited(law.form, ratio, law.exponent)
            }
            Factor::IonicStrength(law) => {
                let strength = Expression::symbol("I");
                let (constant, reference) = (law.constant_mol_l, law.reference_mol_l);
                match law.form {
                    InhibitionForm::Exponential => {
                        let risen = strength.less(molar(reference)).over(molar(constant));
                        inhibited(law.form, risen, law.exponent)
                    }
                    InhibitionForm::Hyperbolic => {
                        let here = strength.over(molar(constant)).plus_one();
                        let there = molar(reference).over(molar(constant)).plus_one();
                        here.over(there).raised(-law.exponent)
                    }
                }
            }
            Factor::Stabilizer(law) => {
                let here = stabilized(law, &self.concentration(law.of));
                if law.set_point_mol_l == 0.0 {
                    here
                } else {
                    here.over(stabilized(law, &molar(law.set_point_mol_l)))
                }
            }
            Factor::Accelerator(law) => {
                let gained = |c: Expression| {
                    let share = c.clone().over(Sum(vec![molar(law.constant_mol_l), c]));
                    Product(vec![Number(law.gain), share]).plus_one()
                };
                let here = gained(self.concentration(law.of));
                if law.reference_mol_l == 0.0 { here } else { here.over(gained(molar(law.reference_mol_l))) }
            }
            Factor::Suppression(law) => {
                let risen = self.concentration(law.of).less(molar(law.reference_mol_l));
                Exponential(Box::new(Negative(Box::new(risen.over(molar(law.constant_mol_l))))))
            }
            Factor::Adsorption(law) => self.shared_sites(law),
        }
    }

    fn shared_sites(&self, law: &Adsorption) -> Expression {
        let term = |adsorbate: &Adsorbate, c: Expression| {
            Product(vec![Quantity(adsorbate.constant_l_mol, "L/mol"), c]).raised(adsorbate.power)
        };
        let sites = |c: &dyn Fn(&Adsorbate) -> Expression| {
            let terms = law.adsorbates.iter().map(|adsorbate| term(adsorbate, c(adsorbate)));
            Sum(std::iter::once(Number(1.0)).chain(terms).collect())
        };
        sites(&|adsorbate| self.concentration(adsorbate.of))
            .over(sites(&|adsorbate| molar(adsorbate.reference_mol_l)))
            .raised(-law.sites)
    }
}

/// mol/L.
pub(crate) fn molar(mol_l: f64) -> Expression {
    Quantity(mol_l, "mol/L")
}

/// What the letters of a law are, for below it.
pub(crate) fn letters(reference_temperature_k: Option<f64>) -> String {
    let warm = reference_temperature_k
        .map(|kelvin| format!(" ({kelvin:.2} K is {:.0} degC)", kelvin - ZERO_CELSIUS_K))
        .unwrap_or_default();
    format!(
        "T temperature, K{warm}; R gas constant; pH hot, on the activity scale; I ionic strength; \
         [name] all of a component, [formula] one dissolved form, mol/L"
    )
}

fn inhibited(form: InhibitionForm, ratio: Expression, exponent: f64) -> Expression {
    match form {
        InhibitionForm::Exponential => {
            let power = if exponent == 1.0 {
                Negative(Box::new(ratio))
            } else {
                Product(vec![Number(-exponent), ratio])
            };
            Exponential(Box::new(power))
        }
        InhibitionForm::Hyperbolic => ratio.plus_one().raised(-exponent),
    }
}

fn stabilized(law: &Stabilizer, c: &Expression) -> Expression {
    let share = c.clone().over(Sum(vec![molar(law.trace_mol_l), c.clone()]));
    let gained = Product(vec![Number(law.gain), share]).plus_one();
    let power = |scale: f64| c.clone().over(molar(scale)).raised(law.steepness);
    let stopped = if law.stop_mol_l.is_finite() {
        Product(vec![gained, Number(1.0).less(power(law.stop_mol_l))])
    } else {
        gained
    };
    stopped.over(power(law.critical_mol_l).plus_one())
}
