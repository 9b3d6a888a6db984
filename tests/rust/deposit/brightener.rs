//! Brighteners: a trace of metal that is deposited with the nickel, as data alone.

use bathkin::Recipe;

use support::recipes::{last, live, power_law, pumped, set};
use support::stabilized::{extended, flags};
use support::{assert_relative, assert_within};

/// 1 mg/L of the metal, deposited in proportion: 0.1 % of the deposit's moles (invented).
fn brightened(component: &str, symbol: &str, salt: &str) -> Recipe {
    let selectivity = format!(
        "[half_reaction.brightener]\nliquid = {{ {component} = -1 }}\ndeposit = {{ {symbol} = 1 }}\n\
         electrons = -2\nselectivity = \"brightener\"\n\n\
         [brightener]\nper_metal_mol = 1e-3\n[brightener.order]\n{component} = 1\n\
         [brightener.reference_mol_l]\n{component} = 5e-6\n"
    );
    let sections = [
        ("make_up", format!("{salt}_mol_l = 5e-6")),
        // 1e-3 mol per mol of the 1.71 mol/L nickel.
        ("replenisher.metal", format!("{salt}_mol_l = 1.712e-3")),
        ("deposit", "alloy_element = \"P\"".to_owned()),
    ];
    let sections: Vec<(&str, &str)> = sections.iter().map(|(head, text)| (*head, text.as_str())).collect();
    extended(&sections, &[&selectivity])
}

#[test]
fn a_trace_of_metal_is_deposited_and_said_to_be_restricted() {
    for (component, symbol, salt) in
        [("lead", "Pb", "lead_acetate_trihydrate"), ("cadmium", "Cd", "cadmium_acetate_dihydrate")]
    {
        let recipe = brightened(component, symbol, salt);
        let rate = recipe.make_up().and_then(|bath| bath.rate()).expect("a rate");
        let plain = power_law().make_up().and_then(|bath| bath.rate()).expect("a rate");
        let of =
            |name: &str| rate.half_reactions_mol_m2_s.iter().find(|(known, _)| known == name).expect("it").1;
        assert_relative(component, of("brightener") / of("metal"), 1e-3, 1e-9);
        // Its two electrons come from the reductant, like those of the nickel.
        let more = rate.reductant_per_metal_mol - plain.reductant_per_metal_mol;
        assert_within(format!("{component}: reductant"), more, 1e-3, 1e-6);
        assert_relative(format!("{component}: phosphorus"), rate.alloy_wt_pct, plain.alloy_wt_pct, 5e-3);
        let said = flags(&recipe, &format!("components.{component}"));
        assert!(said.len() == 1 && said[0].contains("restricted substance"), "{said:?}");
    }
    assert!(flags(&power_law(), "components.").is_empty());
}

#[test]
fn a_life_with_a_brightener_keeps_its_books() {
    let recipe = brightened("lead", "Pb", "lead_acetate_trihydrate");
    let life = live(&set(&pumped(&recipe), &[("limits.turnovers", 2.0)]));
    assert_within("turnovers", last(&life, "turnovers"), 2.0, 1e-6);
    assert!(life.balance.max_relative_residual < 1e-9, "{:?}", life.balance);
}
