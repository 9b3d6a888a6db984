"""A recipe as chemistry: what is printed is what is computed."""

import json
import math
import re
from collections.abc import Callable
from typing import Any

import bathkin as bk
import pytest
from support import POWER_LAW, ROOT

UNITS = r"(?<=[0-9]) (mol/\(m2 s\)|mol/\(L s\)|mol/L|L/mol|kJ/mol|K)"
# Formulas of what laws follow beyond totals.
FORMS = {"OH-": "hydroxide", "CH3O2-": "methylene_glycolate", "Ni+2": "nickel"}


def evaluated(law: str, bath: bk.Bath) -> float:
    """A printed law as a number, in mol, L, m2, s, K and kJ."""
    totals, species = bath.totals(), bath.species()

    def concentration(name: str) -> float:
        if name in FORMS:
            return species[FORMS[name]]
        return totals[name.replace(" ", "_")]

    text = re.sub(UNITS, "", law.partition(" = ")[2])
    text = text.replace(" x ", "*").replace("^", "**")
    python, open_brackets = "", []
    for at, letter in enumerate(text):
        if letter == "[":
            of_exp = text[:at].endswith("exp")
            open_brackets.append(of_exp)
            python += "(" if of_exp else 'c("'
        elif letter == "]":
            python += ")" if open_brackets.pop() else '")'
        else:
            python += letter
    names = {
        "exp": math.exp,
        "c": concentration,
        "T": bath.temperature_c + 273.15,
        "pH": bath.ph,
        "I": bath.ionic_strength_mol_l,
        "R": 8.314462618e-3,
    }
    return eval(python, {"__builtins__": {}}, names)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize(
    ("name", "settings"),
    [
        ("nickel-acid", {"operation.ph": 5.1, "operation.temperature_c": 82.0}),
        ("nickel-textbook", {}),
        ("copper-tartrate", {}),
        ("copper-edta", {}),
        ("palladium-hypophosphite", {}),
    ],
)
def test_the_printed_law_gives_the_computed_rate(name: str, settings: dict[str, float]) -> None:
    """Producer: the text itself, evaluated; numbers are printed with six digits: 1e-5."""
    recipe = bk.load_recipe(name).set(settings)
    bath = recipe.make_up()
    law = recipe.equations().laws["metal"]
    rates = bath.rate().half_reactions_mol_m2_s
    assert evaluated(law, bath) == pytest.approx(rates["metal"], rel=1e-5)


def test_equations_print_and_pass_through_the_command(bathkin: Callable[..., Any]) -> None:
    equations = bk.load_recipe(POWER_LAW).equations()
    assert "Together, per mole of metal" in str(equations)
    assert "r_metal = 5.7e-4 mol/(m2 s)" in str(equations)
    markdown = bk.load_recipe("nickel-acid").equations("markdown")
    assert "$\\mathrm{Ni^{2+}}" in markdown._repr_markdown_()
    shown = bathkin("show", "nickel-acid", "--equations")
    assert shown.code == 0
    assert "H2PO2- + H2O -> HPO3-2 + 3 H+ + 2 e-" in shown.out
    latex = bathkin("show", "nickel-acid", "--equations", "--notation", "latex", "--json")
    assert json.loads(latex.out)["equations"]["notation"] == "latex"
    both = bathkin("show", "nickel-acid", "--equations", "--constants")
    assert both.code == 2
    assert (
        "choose one of --constants, --equations, --parameters, --schema and --quantities"
        in both.err
    )


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_a_card_states_its_energy_and_where_laws_disagree(bathkin: Callable[..., Any]) -> None:
    """Producer: the rates of the card at both ends, by hand."""
    recipe = bk.load_recipe("copper-tartrate")
    energy = recipe.apparent_activation_energy()
    assert energy is not None
    rates = [
        recipe.set("operation.temperature_c", celsius).make_up().rate().deposition_um_h
        for celsius in (energy.low_c, energy.high_c)
    ]
    inverse = 1 / (energy.low_c + 273.15) - 1 / (energy.high_c + 273.15)
    by_hand = 8.314462618e-3 * math.log(rates[1] / rates[0]) / inverse
    assert energy.as_run_kj_mol == pytest.approx(by_hand, rel=1e-9)
    assert energy.stated_kj_mol == 60
    shown = bathkin("show", "copper-tartrate", "--equations")
    assert "Apparent activation energy: 60.0 kJ/mol from 20 to 35 degC" in shown.out
    card = " ".join(bathkin("show", "copper-tartrate").out.split())
    assert "published laws disagree: orders 1.33 in copper" in card
    assert "apparent_activation_energy_kj_mol 60" in card
    document = bathkin("show", "copper-tartrate", "--json").document()
    assert document["disagreements"] == recipe.disagreements
    assert bk.load_recipe("silver-tartrate").disagreements == []


def test_the_guide_shows_the_bath_as_it_is(bathkin: Callable[..., Any]) -> None:
    """The site prints the command of the guide as it stands there."""
    shown = "show nickel-acid --equations --quiet"
    guide = (ROOT / "docs" / "guide" / "python.md").read_text(encoding="utf-8")
    assert f"```{{bathkin}} {shown}\n" in guide
    printed = bathkin(*shown.split()).out
    equations = bk.load_recipe("nickel-acid").equations()
    for name, equation in equations.half_reactions.items():
        assert f"  {name}: {equation}\n" in printed
    assert f"  {equations.overall}\n" in printed


def test_unknown_notations_are_refused_with_the_known_ones() -> None:
    with pytest.raises(bk.UnknownNameError, match="markdown"):
        bk.load_recipe("nickel-acid").equations("mathml")
