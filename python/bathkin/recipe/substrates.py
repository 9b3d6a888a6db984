"""Substrates: where deposition starts by itself, and what makes it start on the others."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from bathkin import _core

_TEXTS = ("name", "title", "material", "family", "behaviour", "practice")


class Start(NamedTuple):
    """How deposition starts after an activation.

    Attributes:
        activation: `none`, `contact`, `nickel_strike`, `copper_strike` or `palladium`.
        induction_s: Induction time at the reference rate, s.
        range_s: Its range in practice, s, or None.
        reference_deposition_um_h: Growth on covered surface at which it holds, um/h.
        start_fraction: Part of the surface that is catalytic at the start.
        nucleation_1_s: Nucleation on bare surface, 1/s.
        spreading_1_s: Spreading from covered surface at the reference rate, 1/s.
    """

    activation: str
    induction_s: float
    range_s: tuple[float, float] | None
    reference_deposition_um_h: float
    start_fraction: float
    nucleation_1_s: float
    spreading_1_s: float


class Substrate(NamedTuple):
    """A substrate in baths of one metal and reductant.

    Attributes:
        name: Name, as in `work.substrate` and `Bath.plate`.
        title: What it is.
        material: What the part is made of; `limits.substrate.MATERIAL` binds all of its substrates.
        family: Metal and reductant, `nickel_hypophosphite`.
        behaviour: `starts_by_itself`, `needs_contact`, `needs_strike`, `poison` or `needs_seeding`.
        practice: What practice does about it.
        caution: What can go wrong, or None.
        starts: A start for each activation that makes it start.
        source: Where this comes from.
        kind: How far it is backed.
    """

    name: str
    title: str
    material: str
    family: str
    behaviour: str
    practice: str
    caution: str | None
    starts: list[Start]
    source: str
    kind: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values."""
        return {**self._asdict(), "starts": [start._asdict() for start in self.starts]}


def substrates() -> list[Substrate]:
    """The built-in substrates of all families; `Recipe.substrates` has those of one recipe.

    Example:
        >>> import bathkin as bk
        >>> [s.behaviour for s in bk.substrates() if s.name == "tin"]
        ['poison', 'poison']
    """
    return read_substrates(_core.built_in_substrates())


def read_substrates(text: str) -> list[Substrate]:
    """Substrates from the core's document."""
    return [
        Substrate(
            **{key: one[key] for key in _TEXTS},
            caution=one["caution"],
            starts=[_start(start) for start in one["starts"]],
            source=one["source"]["text"],
            kind=one["source"]["kind"],
        )
        for one in json.loads(text)
    ]


def _start(start: dict[str, Any]) -> Start:
    between = start["range_s"]
    return Start(
        activation=start["activation"],
        induction_s=start["induction_s"],
        range_s=None if between is None else (between[0], between[1]),
        reference_deposition_um_h=start["reference_deposition_um_h"],
        **start["coverage"],
    )
