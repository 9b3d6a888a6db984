"""What a bath has cost, and when dumping is cheapest."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bathkin.core.answer import Tabled
from bathkin.life import results

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

WASTE_CAUTION = "waste is a volume and a mass of metal: follow your permit and local codes"


class LifeCost(Tabled, results.LifeCost):
    """What a life has cost, dumped at its end. Made by `Life.cost`."""

    __slots__ = ()
    _title = "Cost"

    @property
    def waste_caution(self) -> str:
        """What to mind about the waste."""
        return WASTE_CAUTION

    def to_dict(self) -> dict[str, Any]:
        """Plain values."""
        return {**super().to_dict(), "waste_caution": WASTE_CAUTION}

    def table(self) -> pd.DataFrame:
        """Cost if dumped at each row: parts, sum, per um dm2, and `past_first_limit`."""
        import pandas as pd

        rows = [
            {
                "turnovers": point.turnovers,
                "clock_h": point.clock_h,
                "deposit_um_dm2": point.deposit_um_dm2,
                **dict(point.parts),
                "cost": point.cost,
                "cost_per_um_dm2": point.cost_per_um_dm2,
                "waste_l": point.waste.volume_l,
                "waste_metal_g": point.waste.metal_g,
                "past_first_limit": past,
            }
            for points, past in ((self.curve, False), (self.past_first_limit, True))
            for point in points
        ]
        table: pd.DataFrame = pd.DataFrame(rows)
        table.attrs = {"currency": self.currency}
        return table

    def _drawn(self) -> Figure:
        from bathkin.plots.cost import draw_cost

        return draw_cost(self, self.table(), WASTE_CAUTION)
