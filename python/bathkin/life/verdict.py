"""When a bath has to be dumped, and where its limits stand then."""

from __future__ import annotations

from bathkin.core.records import Record


class Dump(Record):
    """When a bath has to be dumped, and why.

    Attributes:
        limit: Name of the first limit reached; `none` when none was.
        clock_h: Time since make-up, h.
        plating_h: Time with work in the tank, h.
        turnovers: Metal turnovers by metal replenished.
        turnovers_plated: Metal turnovers by metal plated.
        area_m2: Area plated, m2.
    """

    _title = "Dump"

    limit: str
    clock_h: float
    plating_h: float
    turnovers: float
    turnovers_plated: float
    area_m2: float


class Limit(Record):
    """Where a limit stands at the end of a life.

    Attributes:
        name: Name with unit, as the columns of the table.
        path: Path it was set by.
        substrate: The substrate it caps, None for one that holds whatever is plated.
        bound: The bound.
        value: The reading at the end.
        margin: Distance left, in the unit of the name; zero or below when reached.
        used_pct: Share of the way from the fresh bath to the bound, %; negative when the bath
            moved away from it.
    """

    _title = "Limit"

    name: str
    path: str
    substrate: str | None
    bound: float
    value: float
    margin: float
    used_pct: float
