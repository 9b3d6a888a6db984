"""The alloying element of a result, named after the recipe's."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Protocol


class _Named(Protocol):
    @property
    def alloy_column(self) -> str | None: ...
    @property
    def alloy_wt_pct(self) -> float: ...


class Alloyed:
    """Part of a result that shows its alloying element under the element's name."""

    __slots__ = ()

    @property
    def phosphorus_wt_pct(self: _Named) -> float:
        """Phosphorus in the deposit, wt%, of a bath whose alloying element it is."""
        return _share(self, "phosphorus_wt_pct")

    @property
    def boron_wt_pct(self: _Named) -> float:
        """Boron in the deposit, wt%, of a bath whose alloying element it is."""
        return _share(self, "boron_wt_pct")

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        values: dict[str, Any] = self._values()  # type: ignore[attr-defined]
        column = values.pop("alloy_column")
        for name, value in values.items():
            if name != "alloy_wt_pct":
                yield name, value
            elif column is not None:
                yield column, value


def _share(of: _Named, column: str) -> float:
    if of.alloy_column == column:
        return of.alloy_wt_pct
    has = f"its alloying element is {of.alloy_column}" if of.alloy_column else "the metal is pure"
    raise AttributeError(f"{type(of).__name__} has no '{column}': {has}")
