//! A recipe as chemistry: its half-reactions, what they come to together, and its laws with their numbers.

mod expression;
mod law;
mod notation;
mod partial_current;
mod reaction;

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

use self::law::{Names, letters};
pub use self::notation::Notation;
use self::partial_current::partial_current_of;
use self::reaction::Balance;
use crate::error::Result;
use crate::model::Model;
use crate::recipe::Recipe;
use crate::solution::chemistry::{PROTON, WATER};
use crate::solution::{Element, Elements};
use crate::study::Bath;
use crate::surface::{Factor, HalfReaction};
use crate::tank::BulkReaction;

/// An equation under its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Equation {
    /// What it is of: a half-reaction, a law.
    pub name: String,
    /// The equation.
    pub equation: String,
}

fn by_name<S: Serializer>(equations: &[Equation], serializer: S) -> std::result::Result<S::Ok, S::Error> {
    serializer.collect_map(equations.iter().map(|one| (&one.name, &one.equation)))
}

/// The chemistry of a recipe in one notation.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct Equations {
    /// `text`, `markdown` or `latex`.
    pub notation: Notation,
    /// Half-reactions on the surface, each as the recipe writes it.
    #[serde(serialize_with = "by_name")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub half_reactions: Vec<Equation>,
    /// All of them together per mole of metal, at the rates of the fresh bath.
    pub overall: String,
    /// Reactions of the liquid.
    #[serde(serialize_with = "by_name")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub bulk_reactions: Vec<Equation>,
    /// Laws of the rates, with their numbers and units.
    #[serde(serialize_with = "by_name")]
    #[schemars(with = "std::collections::BTreeMap<String, String>")]
    pub laws: Vec<Equation>,
    /// The activation energy the bath shows as it is run, and the one its card states; empty where its
    /// temperature has no range.
    pub apparent_energy: String,
    /// What the letters are.
    pub letters: String,
}

impl Recipe {
    /// The half-reactions, the overall reaction of the fresh bath, and the laws with their numbers.
    ///
    /// ```
    /// use bathkin::Recipe;
    /// use bathkin::study::Notation;
    ///
    /// let equations = Recipe::built_in("nickel-acid")?.equations(Notation::Text)?;
    /// assert_eq!(equations.half_reactions[0].equation, "Ni+2 + 2 e- -> Ni");
    /// assert!(equations.laws[0].equation.starts_with("r_metal = "));
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Recipe::make_up`].
    pub fn equations(&self, notation: Notation) -> Result<Equations> {
        let bath = self.make_up()?;
        let model = self.model()?;
        let framed = |equation: String| match notation {
            Notation::Markdown => format!("${equation}$"),
            Notation::Text | Notation::Latex => equation,
        };
        let kinetics = &model.tank.bath.kinetics;
        let half_reactions: Vec<Equation> = kinetics
            .half_reactions()
            .iter()
            .map(|reaction| Equation {
                name: reaction.name.clone(),
                equation: framed(Balance::of(reaction, &model.chemistry).written(notation)),
            })
            .collect();
        let laws = laws(model, notation);
        Ok(Equations {
            notation,
            overall: framed(overall(model, &bath, notation)?),
            half_reactions,
            bulk_reactions: bulk_reactions(model, notation)
                .into_iter()
                .map(|(name, equation)| Equation { name, equation: framed(equation) })
                .collect(),
            laws: laws.into_iter().map(|(name, law)| Equation { name, equation: framed(law) }).collect(),
            apparent_energy: self
                .apparent_activation_energy()?
                .map_or_else(String::new, |energy| energy.to_string()),
            letters: letters(reference_temperature_k(model)),
        })
    }
}

/// The half-reactions at the rates of a bath, per mole of metal, to four decimals.
fn overall(model: &Model, bath: &Bath, notation: Notation) -> Result<String> {
    let rates = bath.rate()?.half_reactions_mol_m2_s;
    let kinetics = &model.tank.bath.kinetics;
    let metal = rates[kinetics.metal()].1;
    let mut together = Balance::default();
    for (reaction, (_, rate)) in kinetics.half_reactions().iter().zip(&rates) {
        together.add(reaction, &model.chemistry, rate / metal);
    }
    Ok(together.rounded().written(notation))
}

/// (name, the reaction).
fn bulk_reactions(model: &Model, notation: Notation) -> Vec<(String, String)> {
    let (chemistry, tank) = (&model.chemistry, &model.tank);
    let names = tank.bath.equilibrium.component_names().iter().map(String::as_str).chain([PROTON, WATER]);
    let components: Vec<Option<usize>> = names.map(|name| chemistry.component(name)).collect();
    let written = |reaction: &BulkReaction| {
        let mut balance = Balance::default();
        for (slot, moles) in &reaction.liquid {
            if let Some(component) = components[*slot] {
                balance.dissolved(chemistry, component, *moles);
            }
        }
        let atoms = |of: &[(usize, f64)], elements: &[Element]| -> Elements {
            of.iter().map(|(at, atoms)| (elements[*at], *atoms)).collect()
        };
        balance.settled(&atoms(&reaction.solid, &tank.bath.settled));
        balance.evolved(&atoms(&reaction.gas, &tank.bath.evolved), 1.0);
        (reaction.name.clone(), balance.written(notation))
    };
    tank.bath.bulk.iter().map(written).collect()
}

/// (what it is of, the law).
fn laws(model: &Model, notation: Notation) -> Vec<(String, String)> {
    let kinetics = &model.tank.bath.kinetics;
    let names = Names { chemistry: &model.chemistry, equilibrium: &model.tank.bath.equilibrium };
    let metal = &kinetics.half_reactions()[kinetics.metal()].name;
    let of = |name: &str, letter: &str| match notation {
        Notation::Text => format!("{letter}_{name}"),
        Notation::Markdown | Notation::Latex => format!("{letter}_\\mathrm{{{}}}", name.replace('_', "\\ ")),
    };
    let each = kinetics.half_reactions().iter().enumerate();
    let of_surface = each.map(|(at, reaction)| {
        let name = &reaction.name;
        let law = if let Some(mixed) = kinetics.mixed_potential() {
            format!(
                "{} = {}",
                of(name, "i"),
                partial_current_of(&names, mixed.partial(at), reaction.electrons > 0.0).written(notation)
            )
        } else if let Some(law) = kinetics.selectivity(at) {
            format!("{}/{} = {}", of(name, "r"), of(metal, "r"), names.law(law, 1.0, None).written(notation))
        } else if let Some(law) = kinetics.law().filter(|_| at == kinetics.metal()) {
            format!("{} = {}", of(name, "r"), names.law(law, 1.0, Some("mol/(m2 s)")).written(notation))
        } else {
            format!("{} = {}", of(name, "r"), closure(kinetics.half_reactions(), at, &of, notation))
        };
        (name.clone(), law)
    });
    let of_liquid = model.tank.bath.bulk.iter().map(|reaction| {
        let law = names.law(&reaction.law, 1.0, Some("mol/(L s)")).written(notation);
        (reaction.name.clone(), format!("{} = {law}", of(&reaction.name, "v")))
    });
    of_surface.chain(of_liquid).collect()
}

/// The electrons that the other half-reactions take, over those that this one gives.
fn closure(
    reactions: &[HalfReaction],
    closes: usize,
    of: &dyn Fn(&str, &str) -> String,
    notation: Notation,
) -> String {
    let times = if notation == Notation::Text { " " } else { "\\," };
    let number = |number: f64| expression::written_number(number, notation != Notation::Text);
    let others = reactions.iter().enumerate().filter(|(at, _)| *at != closes);
    let terms: Vec<String> = others
        .filter(|(_, reaction)| reaction.electrons != 0.0)
        .map(|(_, reaction)| {
            let electrons = -reaction.electrons;
            let factor =
                if electrons == 1.0 { String::new() } else { format!("{}{times}", number(electrons)) };
            format!("{factor}{}", of(&reaction.name, "r"))
        })
        .collect();
    if reactions[closes].electrons == 1.0 {
        return terms.join(" + ");
    }
    let gives = number(reactions[closes].electrons);
    match notation {
        Notation::Text => format!("({})/{gives}", terms.join(" + ")),
        Notation::Markdown | Notation::Latex => format!("\\frac{{{}}}{{{gives}}}", terms.join(" + ")),
    }
}

fn reference_temperature_k(model: &Model) -> Option<f64> {
    let kinetics = &model.tank.bath.kinetics;
    let partial = |at: usize| kinetics.mixed_potential().map(|mixed| &mixed.partial(at).current);
    let law = kinetics.law().or_else(|| partial(kinetics.metal()))?;
    law.factors.iter().find_map(|factor| match factor {
        Factor::Arrhenius(law) => Some(law.reference_temperature_k),
        _ => None,
    })
}
