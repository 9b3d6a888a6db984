"""A recipe as chemistry: half-reactions, overall reaction, rate laws."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from bathkin import _core
from bathkin.core.layout import spoken


class ApparentEnergy(NamedTuple):
    """The activation energy a bath shows as it is run; see `Recipe.apparent_activation_energy`.

    Attributes:
        stated_kj_mol: What its card states, kJ/mol; None where it states nothing.
        as_run_kj_mol: What its rates at the two ends give, kJ/mol.
        low_c: Lower end of its temperatures, degC.
        high_c: Upper end, degC.
        held: What stays the same between the two.
    """

    stated_kj_mol: float | None
    as_run_kj_mol: float
    low_c: float
    high_c: float
    held: str


class Equations(NamedTuple):
    """The chemistry of a recipe, written in one notation.

    Prints as text, or as Markdown in a notebook.

    Attributes:
        notation: `text`, `markdown` or `latex`.
        half_reactions: Equation of each half-reaction on the surface by name.
        overall: All of them together per mole of metal, at the rates of the fresh bath.
        bulk_reactions: Equation of each reaction of the liquid by name.
        laws: Law of each rate by name, with its numbers and units.
        apparent_energy: The activation energy the bath shows between the ends of its range of
            temperature, in kJ/mol, what its card states, and what is held; empty without a range.
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
    apparent_energy: str
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
        if self.apparent_energy:
            yield self.apparent_energy
        yield self.letters


def equations_of(core: _core.Recipe, notation: str) -> Equations:
    """The equations of a recipe; see `Recipe.equations`."""
    found = json.loads(core.equations(notation))
    by_name = {
        key: {one["name"]: one["equation"] for one in found[key]}
        for key in ("half_reactions", "bulk_reactions", "laws")
    }
    return Equations(
        notation,
        overall=found["overall"],
        apparent_energy=found["apparent_energy"],
        letters=found["letters"],
        **by_name,
    )
