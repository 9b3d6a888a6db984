"""Substrates: where deposition starts by itself, and what makes it start on the others."""

from __future__ import annotations

from bathkin import _core
from bathkin.recipe.results import Substrate


def substrates() -> list[Substrate]:
    """The built-in substrates of all families; `Recipe.substrates` has those of one recipe.

    Example:
        >>> import bathkin as bk
        >>> [s.behaviour for s in bk.substrates() if s.name == "tin"]
        ['poison', 'poison']
    """
    return _core.built_in_substrates()
