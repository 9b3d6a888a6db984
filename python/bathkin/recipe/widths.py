"""How well the numbers of a recipe are known: widths of its constants, ranges of its laws."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from bathkin.recipe.document import RecipeDocument

# The name of a distribution with its numbers, as `bathkin.ensemble` draws it.
Width: TypeAlias = "tuple[str | float, ...]"


def widths(recipe: RecipeDocument, solids: bool) -> dict[str, Width]:
    """See `Recipe.widths`."""
    found = recipe._core.widths(solids)
    return {path: ("prior",) if normal is None else ("normal", *normal) for path, normal in found}
