"""Warnings that go with a result."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterable, Mapping, Sequence

from bathkin.core.results import Flag as Flag
from bathkin.errors import BathkinWarning

# Standing notices of a recipe, its prices, a substrate, the activity model or estimated
# enthalpies; they stay in `.flags` and in what is printed, but are not repeated as warnings.
_STANDING = frozenset(
    {
        "recipe",
        "solution.activity",
        "enthalpies.free_metal",
        "work.substrate",
        "cost",
    }
)


def from_dicts(flags: Iterable[Mapping[str, str]]) -> list[Flag]:
    """Flags as the attributes of a table hold them."""
    return [Flag(**flag) for flag in flags]


def warn(flags: Iterable[Flag], *, known: Sequence[Flag] = (), stacklevel: int = 3) -> None:
    """Raises a `BathkinWarning` for each flag that is neither standing nor known already."""
    for flag in flags:
        if flag.where not in _STANDING and flag not in known:
            warnings.warn(BathkinWarning(str(flag), flag.where), stacklevel=stacklevel)


def is_standing(flag: Flag) -> bool:
    """Whether it is a remark of the recipe as such, not one on this input or result.

    The backing, prices invented for the demo, and how well the free metal is known where nothing
    else depends on it.
    """
    return flag.where in {"recipe", "cost", "enthalpies.free_metal"}


# What no law contains and what changes nothing: for whoever asks for rates, pictures included.
_OF_RATES = ("laws.", "sweep.")


def of_rates(flags: Iterable[Flag]) -> list[Flag]:
    """What no law contains and what changes nothing."""
    return [flag for flag in flags if flag.where.startswith(_OF_RATES)]


def is_illustrative(flags: Iterable[Flag]) -> bool:
    """True when the recipe itself carries a notice."""
    return any(flag.where == "recipe" for flag in flags)


_NUMBER = re.compile(r"[-+]?\d[\d.]*(?:e[-+]?\d+)?")


def merge(of_points: Sequence[Sequence[Flag]], names: Sequence[str]) -> list[Flag]:
    """One flag per place and warning for many points.

    It says how many points it concerns, and what the first says; two warnings are the same where
    they differ by their numbers only.
    """
    found: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for name, flags in zip(names, of_points, strict=True):
        for flag in flags:
            warning = (flag.where, _NUMBER.sub("#", flag.what))
            found.setdefault(warning, []).append((name, flag.what))
    merged = []
    for (where, _), hits in found.items():
        name, what = hits[0]
        if len(hits) < len(of_points) or any(other != what for _, other in hits):
            what = f"{len(hits)} of {len(of_points)} points, first at {name}: {what}"
        merged.append(Flag(where, what))
    return merged
