"""What can be read off a bath: the dictionary of the core in Python."""

from __future__ import annotations

import json
from typing import NamedTuple


class Quantity(NamedTuple):
    """Something that can be read off a bath.

    It is a column of a life or of a log, a limit by its name (from the side it gets worse on) or
    with `_min` and `_max`, and a condition of a warning with `_above` and `_below`.

    Attributes:
        name: Name with unit.
        title: Words for it.
        symbol: Symbol.
        unit: Unit; empty for a pure number.
        worse: Which way it gets worse: `rising`, `falling` or `neither`.
        usual_error: Error of its analysis with its source; empty for what is counted.
        column: Whether every life of the recipe shows it.
        definition: One sentence that says what it is.
    """

    name: str
    title: str
    symbol: str
    unit: str
    worse: str
    usual_error: str
    column: bool
    definition: str


def read_quantities(text: str) -> list[Quantity]:
    """The quantities of a bath from the core's document."""
    return [Quantity(**one) for one in json.loads(text)]
