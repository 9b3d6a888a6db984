"""How well the numbers of a recipe are known: widths of its constants, ranges of its laws."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from bathkin.recipe.document import RecipeDocument
    from bathkin.recipe.results import SpeciesConstant

# The name of a distribution with its numbers, as `bathkin.ensemble` draws it.
Width: TypeAlias = "tuple[str | float, ...]"


def widths(recipe: RecipeDocument, solids: bool) -> dict[str, Width]:
    """See `Recipe.widths`."""
    known = {one.path for one in recipe.parameters()}
    found: dict[str, Width] = {}
    for one in recipe.constants():
        # The law of water has no such numbers.
        found |= {path: width for path, width in _of("species", one).items() if path in known}
    if solids:
        for one in recipe.solid_constants():
            found |= _of("solids", one)
    for number in recipe.parameters():
        if number.role == "law" and number.range is not None:
            found[number.path] = ("prior",)
    return found


def _of(table: str, one: SpeciesConstant) -> dict[str, Width]:
    """Widths of a formation constant and its enthalpy."""
    constant, path = one.constant, f"{table}.{one.name}"
    found: dict[str, Width] = {}
    if constant.log_k_uncertainty > 0.0:
        width = ("normal", constant.log_k_25c, constant.log_k_uncertainty)
        found[f"{path}.log_k_25c"] = width
    enthalpy, spread = constant.enthalpy_kj_mol, constant.enthalpy_uncertainty_kj_mol
    if enthalpy is not None and spread is not None and spread > 0.0:
        found[f"{path}.enthalpy_kj_mol"] = ("normal", enthalpy, spread)
    return found
