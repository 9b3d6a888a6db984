"""A recipe as chemistry: half-reactions, overall reaction, rate laws."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from bathkin import _core
from bathkin.tables import spoken


class Equations(NamedTuple):
    """The chemistry of a recipe, written in one notation.

    Prints as text, or as Markdown in a notebook.

    Attributes:
        notation: `text`, `markdown` or `latex`.
        half_reactions: Equation of each half-reaction on the surface by name.
        overall: All of them together per mole of metal, at the rates of the fresh bath.
        bulk_reactions: Equation of each reaction of the liquid by name.
        laws: Law of each rate by name, with its numbers and units.
        letters: What the letters are.

    Example:
        >>> import bathkin as bk
        >>> equations = bk.load_recipe("nickel-acid").equations()
        >>> equations.half_reactions["metal"]
        'Ni+2 + 2 e- -> Ni'
    """

    notation: str
    half_reactions: dict[str, str]
    overall: str
    bulk_reactions: dict[str, str]
    laws: dict[str, str]
    letters: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values."""
        return self._asdict()

    def __str__(self) -> str:
        return "\n".join(self._lines("", "  "))

    def _repr_markdown_(self) -> str:
        return "\n\n".join(self._lines("**", ""))

    def _lines(self, strong: str, indent: str) -> Iterator[str]:
        sections = [
            ("Half-reactions on the surface", self.half_reactions),
            ("Together, per mole of metal in the fresh bath", {"": self.overall}),
            ("Reactions of the liquid", self.bulk_reactions),
            ("Rates", self.laws),
        ]
        for title, equations in sections:
            if equations:
                yield f"{strong}{title}{strong}"
                for name, equation in equations.items():
                    # A law begins with the name of its rate.
                    named = name and equations is not self.laws
                    yield f"{indent}{spoken(name)}: {equation}" if named else f"{indent}{equation}"
        yield self.letters


def equations_of(core: _core.Recipe, notation: str) -> Equations:
    """The equations of a recipe; see `Recipe.equations`."""
    found = json.loads(core.equations(notation))
    by_name = {
        key: {one["name"]: one["equation"] for one in found[key]}
        for key in ("half_reactions", "bulk_reactions", "laws")
    }
    return Equations(notation, overall=found["overall"], letters=found["letters"], **by_name)
