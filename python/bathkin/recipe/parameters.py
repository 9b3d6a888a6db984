"""The numbers of a recipe that can be set."""

from __future__ import annotations

import json
from typing import NamedTuple


class Parameter(NamedTuple):
    """A number of a recipe that can be set.

    Attributes:
        path: Dotted path, with the unit at its end.
        value: Value, or None where the recipe leaves it out.
        unit: Unit, empty for a number without one.
        default: What stands for it where it is left out, or None.
        bounds: What it may be, in words.
        least: Least value, or None without one.
        greatest: Greatest value, or None without one.
        scale: How fits move it: `log` or `linear`.
        role: What it is to the bath: `law`, `constant`, `make_up`, `operation`, `price`, ...
        range: Range the author vouches for, or None.
        source: Where the value comes from, or None.
        kind: How far it is backed, or None.
        text: What it is called.
    """

    path: str
    value: float | None
    unit: str
    default: float | None
    bounds: str
    least: float | None
    greatest: float | None
    scale: str
    role: str
    range: tuple[float, float] | None
    source: str | None
    kind: str | None
    text: str


def read_parameters(text: str) -> list[Parameter]:
    """Parameters from the core."""
    read = json.loads(text)
    return [
        Parameter(**{**one, "range": None if one["range"] is None else tuple(one["range"])})
        for one in read
    ]
