"""The JSON documents of the commands: plain values whose keys carry their units."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin import _core
from bathkin.core import dates
from bathkin.core.flags import Flag
from bathkin.core.result import Result
from bathkin.reports.inputs import with_inputs

if TYPE_CHECKING:
    from bathkin.life.record import LifeRecord
    from bathkin.recipe.document import RecipeDocument


def document(
    command: str,
    recipe: RecipeDocument | None,
    flags: Sequence[Flag],
    *,
    depends_on: Mapping[str, Any] | None = None,
    **contents: Any,
) -> dict[str, Any]:
    """The keys every document has, and those of one command.

    Args:
        command: Its name.
        recipe: The recipe with every change, if there is one.
        flags: Warnings.
        depends_on: What the result depends on beside recipe, tables and options, such as a seed.
        contents: What it says.
    """
    values = {
        "command": command,
        "version": _core.VERSION,
        "recipe": recipe.name if recipe else None,
        **contents,
        "flags": flags,
        "cite": recipe.cite if recipe else [],
        "cautions": recipe.cautions if recipe else [],
    }
    return with_inputs(plain_values(values), recipe, **plain_values(depends_on or {}))


def life_document(life: LifeRecord, past_limits: bool = False) -> dict[str, Any]:
    """The document of `bathkin life`."""
    from bathkin.life.outlook import outlook_rows

    start = life.start
    made_up: dict[str, Any] = {} if start is None else {"start": dates.text(start)}

    def rows(found: Sequence[Result], **dates_of: str) -> list[dict[str, Any]]:
        return [dates.named(one.to_dict(), start, **dates_of) for one in found]

    outlook = [one.to_dict() for one in outlook_rows(life, past_limits)]
    for row in outlook:
        row["reached"] = row["reached"] and dates.named(row["reached"], start, date="clock_h")
    return document(
        "life",
        life.recipe,
        life.flags,
        **made_up,
        verdict=dates.named(life.dump.to_dict(), start, date="clock_h"),
        limits=life.limits,
        solids=life.solids,
        film=life.film,
        stress=life.stress,
        events=rows(life._found.events, date="clock_h"),
        loads=rows(life._found.loads, in_date="in_h", out_date="out_h"),
        volumes=life.volumes,
        table=dates.named(life.columns, start, date="clock_h"),
        balance=life.balance,
        reductant_feed=life.reductant_feed,
        hydrogen_l=life.hydrogen_l,
        ledger=rows(life._found.ledger, date="clock_h"),
        cost=life.cost,
        outlook=outlook,
    )


def plain_values(value: Any) -> Any:
    """Values as JSON has them: no arrays, and null for what is not a finite number."""
    if isinstance(value, Result):
        return plain_values(value.to_dict())
    if isinstance(value, Mapping):
        return {str(name): plain_values(inner) for name, inner in value.items()}
    if isinstance(value, np.ndarray):
        return plain_values(value.tolist())
    if isinstance(value, (list, tuple)):
        return [plain_values(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
