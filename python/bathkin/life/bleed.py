"""A steady bleed: where it ends, and the least that holds a limit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin import _core
from bathkin.core import layout
from bathkin.core.arguments import word
from bathkin.core.layout import number
from bathkin.core.units import to_number
from bathkin.life import results

if TYPE_CHECKING:
    from bathkin.recipe.document import RecipeDocument


class SteadyBleed(results.SteadyBleed):
    """Where a steady bleed ends."""

    __slots__ = ()
    _title = "Steady bleed"


class BleedForLimit(results.BleedForLimit):
    """The least bleed that holds a limit for ever, at the worst hour; its life confirms it.

    The levels of `steady` are those at whole turnovers: between them, in a tank that is filled up
    by hand or dumped in part, the reading rises and falls.
    """

    __slots__ = ()
    _title = "Bleed for a limit"


def steady_bleed(recipe: RecipeDocument, bleed_per_turnover: float) -> SteadyBleed:
    """Where a bleed ends; see `Recipe.steady_bleed`."""
    bleed = to_number("bleed_per_turnover", bleed_per_turnover, "steady_bleed")
    return _core.steady_bleed(recipe._core, bleed)


def bleed_for(recipe: RecipeDocument, limit: str) -> BleedForLimit:
    """The least bleed that holds a limit; see `Recipe.bleed_for`."""
    return _core.bleed_for_limit(recipe._core, word("limit", limit))


def bleed_text(needed: BleedForLimit, recipe: RecipeDocument) -> str:
    """A bleed in words."""
    given = needed.as_given
    levels = needed.steady.levels
    rows = [
        ("bleed", f"{number(needed.bleed_per_turnover)} of the bath per turnover of plated metal"),
        ("by what the fresh bath makes", number(needed.closed_form)),
        (recipe.by_product, f"{number(levels[f'{recipe.by_product}_mol_l'])} mol/L"),
        ("rate", f"{number(levels['deposition_um_h'])} um/h"),
    ]
    if needed.closed_form is None:
        rows.pop(1)
    if recipe.alloy_column and recipe.alloy:
        rows.append((recipe.alloy, f"{number(levels[recipe.alloy_column], 3)} wt%"))
    title = f"least bleed that holds {given.words} at {number(given.bound)} {given.unit} for ever"
    warnings = [layout.wrapped(f"! {warning}", 0, 2) for warning in needed.steady.warnings]
    return "\n".join([layout.card(title, rows), *warnings])
