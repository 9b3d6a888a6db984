"""The formation constants of a recipe as text."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin.core import layout
from bathkin.core.layout import number, spoken
from bathkin.recipe.constants import SpeciesConstant
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.results import Constant


def constants_text(recipe: Recipe) -> str:
    """Each species and solid with its reaction, its constant, and the others below it."""
    head = (
        "25 degC, infinite dilution; * in use; +- one standard deviation, stated or by the class "
        "in brackets; constants of one group belong together"
    )
    lines = [
        layout.wrapped(f"{recipe.name}: formation constants from the components", 0, 2),
        layout.wrapped(head, 2),
        *listed(recipe.constants()),
        "",
        "solids",
        *listed(recipe.solid_constants()),
    ]
    return "\n".join(lines)


def listed(constants: Sequence[SpeciesConstant]) -> list[str]:
    """Lines of species or solids."""
    lines: list[str] = []
    for one in constants:
        group = f"  (group {one.group})" if one.group else ""
        lines += ["", f"{one.name}  {reaction(one)}{group}"]
        lines += constant_lines(one.constant, "*")
        for other in one.alternatives:
            lines += constant_lines(other, " ")
    return lines


def reaction(species: SpeciesConstant) -> str:
    """The formation reaction in words."""
    left = [term(name, count) for name, count in species.forms_from.items() if count > 0.0]
    right = [term(name, -count) for name, count in species.forms_from.items() if count < 0.0]
    return f"{' + '.join(left)} = {' + '.join([species.formula, *right])}"


def term(name: str, count: float) -> str:
    """A component with its coefficient."""
    return spoken(name) if count == 1.0 else f"{number(count)} {spoken(name)}"


def constant_lines(constant: Constant, mark: str) -> list[str]:
    """Numbers of a constant on one line, source and note below."""
    start = f"  {mark} {constant.label}: log K {number(constant.log_k_25c, 6)}"
    start += width(constant.log_k_uncertainty, constant.log_k_class)
    if constant.enthalpy_kj_mol is not None and constant.enthalpy_uncertainty_kj_mol is not None:
        start += f", {number(constant.enthalpy_kj_mol)} kJ/mol"
        start += width(constant.enthalpy_uncertainty_kj_mol, constant.enthalpy_class or "")
    if constant.heat_capacity_j_mol_k:
        start += f", {number(constant.heat_capacity_j_mol_k)} J/(mol K)"
    texts = [f"{constant.kind}: {constant.source}"]
    if constant.enthalpy_source:
        how = f"{constant.enthalpy_kind}: " if constant.enthalpy_kind else ""
        texts.append(f"enthalpy {how}{constant.enthalpy_source}")
    texts += [constant.note] if constant.note else []
    return [start, *(layout.wrapped(text, 6, 8) for text in texts)]


def width(value: float, of_class: str) -> str:
    """A standard deviation, with its class where it is not stated with the number."""
    return f" +- {number(value)}" + ("" if of_class == "stated" else f" ({of_class})")
