"""What a bath has cost, and when dumping is cheapest."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core.records import Record

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

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


def read_cost(recipe: _core.Recipe, life: _core.Life, limited: bool) -> LifeCost | None:
    """The cost of a life; `limited` where a limit ended it."""
    found = _core.life_cost(recipe, life)
    if found is None:
        return None
    more = {"limit_reached": limited, "waste_caution": WASTE_CAUTION}
    return LifeCost({**json.loads(found), **more})
