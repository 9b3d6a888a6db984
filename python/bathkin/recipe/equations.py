"""A recipe as chemistry: half-reactions, overall reaction, rate laws."""

from __future__ import annotations

from collections.abc import Iterator

from bathkin.core.layout import spoken
from bathkin.recipe import results


class Equations(results.Equations):
    """The chemistry of a recipe, written in one notation.

    Prints as text, or as Markdown in a notebook.

    Example:
        >>> import bathkin as bk
        >>> equations = bk.load_recipe("nickel-acid").equations()
        >>> equations.half_reactions["metal"]
        'Ni+2 + 2 e- -> Ni'
    """

    __slots__ = ()

    def __str__(self) -> str:
        return "\n".join(self._lines("", "  "))

    def _repr_html_(self) -> None:
        """None: a notebook prefers HTML to the Markdown that says more."""

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
