"""A cost, and when the other limits come, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.core import dates, layout
from bathkin.core.layout import Column, number
from bathkin.life.outlook import outlook_rows

if TYPE_CHECKING:
    from bathkin.life.cost import LifeCost
    from bathkin.life.record import LifeRecord


def cost_text(cost: LifeCost) -> str:
    """A cost in words."""
    money = cost.currency
    parts = ", ".join(
        f"{name.replace('_', '-')} {100.0 * part / cost.cost:.0f} %"
        for name, part in sorted(cost.parts, key=lambda item: -item[1])
    )
    per_um_m2 = 100.0 * cost.cost_per_um_dm2
    text = (
        f"Cost: {number(cost.cost)} {money}, {number(cost.cost_per_um_dm2)} {money} per um dm2"
        f" ({number(per_um_m2, 3)} per um m2): {parts}."
    )
    waste = (
        f"Waste: {number(cost.waste.volume_l)} L with {number(cost.waste.metal_g)} g of"
        " metal; follow your permit and local codes."
    )
    return "\n".join(layout.wrapped(line, 0, 2) for line in (text, optimum_text(cost), waste))


def optimum_text(cost: LifeCost) -> str:
    """Where dumping is cheapest, in words."""
    best = cost.optimum
    end = "the first limit" if cost.limit_reached else "the end of the run"
    if best is None:
        looked = number(cost.looked_to_turnovers, 3)
        return f"The optimum lies beyond {end}: the cost still falls at {looked} turnovers."
    at = (
        f"{number(best.turnovers, 3)} turnovers ({number(best.cost_per_um_dm2)}"
        f" {cost.currency} per um dm2)"
    )
    if cost.optimum_beyond_first_limit:
        rules = ": the limit comes first" if cost.limit_reached else ""
        return f"The optimum lies beyond {end}, at {at}{rules}."
    if best.turnovers_plated == cost.curve[-1].turnovers_plated:
        return f"Dumping is cheapest at {at}, where the life ends."
    return f"Dumping is cheapest at {at}, before {end}."


def outlook_text(life: LifeRecord, past_limits: bool) -> str | None:
    """When the limits that did not end the life are reached; None where nothing is to be said."""
    first = life.dump.limit
    rows = [row for row in outlook_rows(life, past_limits) if row.name != first]
    if not past_limits:
        rows = [row for row in rows if not row.applies]
    if not rows:
        return None
    cells = []
    for row in rows:
        given = row.as_given
        at = row.reached
        when = (
            [number(getattr(at, key), 3) for key in ("turnovers", "clock_h", "area_m2")]
            if at
            else ["-"] * 3
        )
        bound = f"{number(given.bound)} {given.unit}".rstrip()
        note = "past the first limit" if row.past_first_limit and at else ""
        if not row.applies:
            note = "if this were plated" + (", " + note if note else "")
        if at is None:
            looked = number(row.looked_to_turnovers, 3)
            note = f"{note}, not by" if note else "not reached by"
            note += f" {looked} turnovers"
        if life.start is not None:
            when.insert(2, dates.spoken(life.start, at.clock_h if at else None))
        cells.append([given.words, bound, *when, note])
    by_date = ["date"] if life.start is not None else []
    heads = ["would be reached", "bound", "turnovers", "clock h", *by_date, "area m2", ""]
    columns = list(zip(*cells, strict=True))
    flush = [head in {"would be reached", "date", ""} for head in heads]
    return layout.render(
        [Column(h, list(c), left=f) for h, c, f in zip(heads, columns, flush, strict=True)]
    )
