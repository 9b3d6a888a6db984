"""What a bath has cost, when dumping is cheapest, and when each limit is reached."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import layout
from bathkin.core.arguments import truth
from bathkin.core.layout import Column, number
from bathkin.core.records import Record

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.life.life import Life

WASTE_CAUTION = "waste is a volume and a mass of metal: follow your permit and local codes"


class LifeCost(Record):
    """What a life has cost, dumped at its end. Made by `Life.cost`.

    Attributes:
        currency: Currency of every price.
        cost: Cost of the life.
        deposit_um_dm2: Thickness times area plated, um dm2.
        cost_per_um_dm2: Cost per um dm2.
        parts: `make_up`, `replenishers`, `energy`, `waste`, `line` and `dump`.
        waste: `volume_l` and `metal_g` of the dumped bath and what was bled and dragged out.
        optimum: `turnovers`, `turnovers_plated`, `clock_h`, `cost_per_um_dm2` where dumping is
            cheapest; None where the cost still fell at `looked_to_turnovers`.
        limit_reached: Whether a limit ended the life, and not the end of the run.
        optimum_beyond_first_limit: Whether that comes first.
        looked_to_turnovers: How far the optimum was looked for.
        curve: A dictionary per row of the table: the cost if dumped there.
        past_first_limit: The same past the first limit, where it was looked at.
        waste_caution: What to mind about the waste.
    """

    _title = "Cost"

    currency: str
    cost: float
    deposit_um_dm2: float
    cost_per_um_dm2: float
    parts: dict[str, float]
    waste: dict[str, float]
    optimum: dict[str, float] | None
    limit_reached: bool
    optimum_beyond_first_limit: bool
    looked_to_turnovers: float
    curve: list[dict[str, Any]]
    past_first_limit: list[dict[str, Any]]
    waste_caution: str

    def table(self) -> pd.DataFrame:
        """Cost if dumped at each row: parts, sum, per um dm2, and `past_first_limit`."""
        import pandas as pd

        rows = [
            {
                "turnovers": point["turnovers"],
                "clock_h": point["clock_h"],
                "deposit_um_dm2": point["deposit_um_dm2"],
                **point["parts"],
                "cost": point["cost"],
                "cost_per_um_dm2": point["cost_per_um_dm2"],
                "waste_l": point["waste"]["volume_l"],
                "waste_metal_g": point["waste"]["metal_g"],
                "past_first_limit": past,
            }
            for points, past in ((self.curve, False), (self.past_first_limit, True))
            for point in points
        ]
        table: pd.DataFrame = pd.DataFrame(rows)
        table.attrs = {"currency": self.currency}
        return table

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """Cost per um dm2 against turnovers at the dump, its parts stacked, the optimum marked.

        Raises:
            RecipeError: For a picture format that is not known.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.cost import draw_cost
        from bathkin.plots.picture import saved

        return saved(draw_cost(self), path)


def read_cost(life: Life) -> LifeCost | None:
    """The cost of a life."""
    found = _core.life_cost(life.recipe._core, life._core)
    if found is None:
        return None
    more = {"limit_reached": life.dump.limit != "none", "waste_caution": WASTE_CAUTION}
    return LifeCost({**json.loads(found), **more})


def outlook_rows(life: Life, past_limits: bool) -> list[dict[str, Any]]:
    """When each limit is reached, a dictionary per limit."""
    found = _core.life_outlook(life.recipe._core, life._core, truth("past_limits", past_limits))
    rows: list[dict[str, Any]] = json.loads(found)
    return rows


def outlook(life: Life, past_limits: bool) -> pd.DataFrame:
    """When each limit is reached, as a table."""
    import pandas as pd

    rows = []
    for row in outlook_rows(life, past_limits):
        moment = row.pop("reached") or dict.fromkeys(("turnovers", "clock_h", "area_m2"))
        rows.append({**row, **moment})
    table: pd.DataFrame = pd.DataFrame(rows)
    when = ["turnovers", "clock_h", "area_m2"]
    table[when] = table[when].astype(float)
    return table


def cost_text(cost: LifeCost) -> str:
    """A cost in words."""
    money = cost.currency
    parts = ", ".join(
        f"{name.replace('_', '-')} {100.0 * part / cost.cost:.0f} %"
        for name, part in sorted(cost.parts.items(), key=lambda item: -item[1])
    )
    per_um_m2 = 100.0 * cost.cost_per_um_dm2
    text = (
        f"Cost: {number(cost.cost)} {money}, {number(cost.cost_per_um_dm2)} {money} per um dm2"
        f" ({number(per_um_m2, 3)} per um m2): {parts}."
    )
    waste = (
        f"Waste: {number(cost.waste['volume_l'])} L with {number(cost.waste['metal_g'])} g of"
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
        f"{number(best['turnovers'], 3)} turnovers ({number(best['cost_per_um_dm2'])}"
        f" {cost.currency} per um dm2)"
    )
    if cost.optimum_beyond_first_limit:
        rules = ": the limit comes first" if cost.limit_reached else ""
        return f"The optimum lies beyond {end}, at {at}{rules}."
    if best["turnovers_plated"] == cost.curve[-1]["turnovers_plated"]:
        return f"Dumping is cheapest at {at}, where the life ends."
    return f"Dumping is cheapest at {at}, before {end}."


def outlook_text(life: Life, past_limits: bool) -> str | None:
    """When the limits that did not end the life are reached; None where nothing is to be said."""
    first = life.dump.limit
    rows = [row for row in outlook_rows(life, past_limits) if row["name"] != first]
    if not past_limits:
        rows = [row for row in rows if not row["applies"]]
    if not rows:
        return None
    from bathkin.core.naming import limit_words

    cells = []
    for row in rows:
        words, unit = limit_words(row["name"], life.recipe.metal)
        at = row["reached"]
        when = (
            [number(at[key], 3) for key in ("turnovers", "clock_h", "area_m2")] if at else ["-"] * 3
        )
        bound = f"{number(row['bound'])} {unit}".rstrip()
        note = "past the first limit" if row["past_first_limit"] and at else ""
        if not row["applies"]:
            note = "if this were plated" + (", " + note if note else "")
        if at is None:
            looked = number(row["looked_to_turnovers"], 3)
            note = f"{note}, not by" if note else "not reached by"
            note += f" {looked} turnovers"
        cells.append([words, bound, *when, note])
    heads = ["would be reached", "bound", "turnovers", "clock h", "area m2", ""]
    columns = list(zip(*cells, strict=True))
    flush = [True, False, False, False, False, True]
    return layout.render(
        [Column(h, list(c), left=f) for h, c, f in zip(heads, columns, flush, strict=True)]
    )
