"""The formation constants of a recipe as text."""

from __future__ import annotations

from bathkin import tables
from bathkin.constants import Constant, SpeciesConstant
from bathkin.recipe import Recipe
from bathkin.tables import number, spoken


def constants_text(recipe: Recipe) -> str:
    """Each species with its reaction, its constant, and the others below it."""
    lines = [
        tables.wrapped(f"{recipe.name}: formation constants from the components", 0, 2),
        tables.wrapped("25 degC, infinite dilution; * in use", 2),
    ]
    for one in recipe.constants():
        lines += ["", f"{one.name}  {reaction(one)}"]
        lines += constant_lines(one.constant, "*")
        for other in one.alternatives:
            lines += constant_lines(other, " ")
    return "\n".join(lines)


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
    plus_minus = constant.log_k_uncertainty
    spread = f" +- {number(plus_minus)}" if plus_minus is not None else ""
    start = f"  {mark} {constant.label}: log K {number(constant.log_k_25c, 6)}{spread}"
    if constant.enthalpy_kj_mol is not None:
        start += f", {number(constant.enthalpy_kj_mol)} kJ/mol"
    if constant.heat_capacity_j_mol_k:
        start += f", {number(constant.heat_capacity_j_mol_k)} J/(mol K)"
    texts = [f"{constant.kind}: {constant.source}"]
    texts += [constant.note] if constant.note else []
    return [start, *(tables.wrapped(text, 6, 8) for text in texts)]
