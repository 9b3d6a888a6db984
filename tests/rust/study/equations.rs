//! A recipe as chemistry: half-reactions, overall reaction, laws with their numbers. That a printed law gives
//! the computed rate is tested in Python, which evaluates the text.

use bathkin::recipe::Recipe;
use bathkin::study::Notation;

use support::recipes::{fixed_selectivity, nickel_acid, power_law, set};
use support::stabilized::extended;

/// Producer: the textbook's half-reactions, by hand.
#[test]
fn half_reactions_are_written_as_a_textbook_does() {
    let text = nickel_acid().equations(Notation::Text).expect("equations");
    let lines: Vec<&str> = text.half_reactions.iter().map(|one| one.equation.as_str()).collect();
    assert_eq!(
        lines,
        [
            "Ni+2 + 2 e- -> Ni",
            "H2PO2- + 2 H+ + e- -> 2 H2O + P",
            "2 H+ + 2 e- -> H2(g)",
            "H2PO2- + H2O -> HPO3-2 + 3 H+ + 2 e-",
        ]
    );
    let latex = nickel_acid().equations(Notation::Latex).expect("equations");
    assert_eq!(
        latex.half_reactions[1].equation,
        "\\mathrm{H_{2}PO_{2}^{-}} + 2\\,\\mathrm{H^{+}} + \\mathrm{e^-} \\rightarrow 2\\,\\mathrm{H_{2}O} + \\mathrm{P}"
    );
    assert_eq!(text.laws[3].equation, "r_oxidation = (2 r_metal + r_phosphorus + 2 r_hydrogen)/2");
    let copper = Recipe::built_in("copper-tartrate").and_then(|recipe| recipe.equations(Notation::Text));
    let copper = copper.expect("equations");
    assert_eq!(copper.overall, "Cu+2 + 2 CH4O2 -> Cu + 2 CHO2- + 4 H+ + H2(g)");
    assert_eq!(copper.bulk_reactions[0].equation, "2 CH4O2 -> CHO2- + CH4O + H2O + H+");
}

/// Producer: electrons by hand. Per nickel 2, per phosphorus 1, per hydrogen 2, of which each hypophosphite
/// oxidised gives 2: with 0.2 P and 1.5 H2 that is (2 + 0.2 + 3)/2 = 2.6, and 0.2 more are built in.
#[test]
fn the_overall_reaction_follows_the_selectivities() {
    let recipe = fixed_selectivity(&power_law(), 0.2, 1.5);
    let equations = recipe.equations(Notation::Text).expect("equations");
    assert_eq!(
        equations.overall,
        "Ni+2 + 2.8 H2PO2- + 2.2 H2O -> Ni + 4.4 H+ + 0.2 P + 1.5 H2(g) + 2.6 HPO3-2"
    );
}

/// Every built-in recipe and every form of factor is written in every notation, with brackets that close.
#[test]
fn every_recipe_and_factor_is_written() {
    let table = "[deposition.adsorption]\nsites = 2\n\
                 [deposition.adsorption.adsorbate.hydroxide]\nconstant_l_mol = 1.24e6\nreference_mol_l = 0\n\
                 [deposition.ionic_strength]\nform = \"hyperbolic\"\nconstant_mol_l = 5\n\
                 [deposition.stabilizer.acetate]\ngain = 0.2\ntrace_mol_l = 0.3\ncritical_mol_l = 4.5\nsteepness = 3.5\n\
                 set_point_mol_l = 0.1\nstop_mol_l = 10\n\
                 [deposition.accelerator.lactate]\ngain = 0.3\nconstant_mol_l = 0.02\nreference_mol_l = 0.01\n\
                 [deposition.suppression.sulfate]\nconstant_mol_l = 3\nreference_mol_l = 0.1";
    let built_in = Recipe::built_in_names().map(|name| Recipe::built_in(name).expect("built in"));
    for recipe in built_in.chain([extended(&[], &[table])]) {
        for notation in [Notation::Text, Notation::Markdown, Notation::Latex] {
            let equations = recipe.equations(notation).unwrap_or_else(|error| panic!("{error}"));
            let laws = equations.laws.iter().map(|one| &one.equation);
            for line in laws.chain([&equations.overall]) {
                let count = |letter: char| line.matches(letter).count();
                for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
                    assert_eq!(count(open), count(close), "{line}");
                }
                assert_eq!(line.starts_with('$'), notation == Notation::Markdown, "{line}");
                assert!(!line.contains("NaN") && !line.contains("inf"), "{line}");
            }
        }
    }
    let law = extended(&[], &[table]).equations(Notation::Text).expect("equations").laws[0].equation.clone();
    assert!(law.contains("((1 + 1.24e6 L/mol x [OH-])/(1 + 1.24e6 L/mol x 0 mol/L))^(-2)"), "{law}");
}

#[test]
fn numbers_of_the_user_are_in_the_law() {
    let recipe = set(&nickel_acid(), &[("deposition.activation_energy_kj_mol", 71.25)]);
    let law = recipe.equations(Notation::Text).expect("equations").laws[0].equation.clone();
    assert!(law.contains("exp[-(71.25 kJ/mol)/R x (1/T - 1/(361.15 K))]"), "{law}");
}
