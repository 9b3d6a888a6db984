"""Dosing plans: what to add in the coming shift."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import dates
from bathkin.core.answer import Tabled
from bathkin.core.arguments import named
from bathkin.core.flags import warn
from bathkin.core.numbers import shown
from bathkin.core.result import made_from
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.life import results

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.recipe.recipe import Recipe

_OF_SET_POINT = "_pct_of_set_point"
_SHARE = re.compile(
    r"\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*(?:%|pct|per ?cent)(?: of (?:the )?set-?point)?\s*"
)
# The unit of a content at the end of its name.
_UNIT = re.compile(r"_(m?g_l|m?mol_l|mM)(_as_\w+)?$")


class Plan(Tabled, results.Plan):
    """What to add in the coming shift, and what it does to the bath.

    Made by `Recipe.plan`.

    Example:
        >>> import bathkin as bk
        >>> plan = bk.load_recipe("nickel-acid").plan(8, {"nickel_g_l": 5.6}, round_ml=50)
        >>> [total.volume_ml % 50 for total in plan.totals]
        [0.0, 0.0, 0.0]
    """

    __slots__ = ("_of",)
    _of: Recipe

    @property
    def recipe(self) -> Recipe:
        """The recipe with its policies."""
        return self._of

    @property
    def cautions(self) -> list[str]:
        """Cautions of the recipe."""
        return self._of.cautions

    def table(self) -> pd.DataFrame:
        """The additions as a table, with metal and pH before and after each."""
        import pandas as pd

        columns = ["at_h", "replenisher", "exact_ml", "volume_ml", "dose", "dose_unit", "reason"]
        readings = ["metal_g_l", "reductant_mol_l", "ph"]
        rows = [
            [getattr(addition, name) for name in columns]
            + [
                getattr(bath, name)
                for name in readings
                for bath in (addition.before, addition.after)
            ]
            for addition in self.additions
        ]
        heads = [f"{when}_{name}" for name in readings for when in ("before", "after")]
        table: pd.DataFrame = pd.DataFrame(rows, columns=[*columns, *heads])
        return table

    def _drawn(self) -> Figure:
        from bathkin.plots.plan import draw_plan

        return draw_plan(self, self._of)

    def _sources(self) -> list[Path]:
        return self._of.files()

    def __repr__(self) -> str:
        from bathkin.reports.plan import plan_text

        return plan_text(self, self._of)


def plan(
    recipe: Recipe,
    shift_h: float,
    now: Mapping[str, float | str],
    round_ml: float | None,
    calendar: str | os.PathLike[str] | None,
    by: str = "now",
    sure: bool = False,
    start: str | datetime | None = None,
    stacklevel: int = 4,
) -> Plan:
    """A plan; analyses may be texts with a unit of the trade, or per cent of the set-point."""

    def of_recipe(*request: Any) -> Plan:
        return _core.plan(recipe._core, *request)

    return planned(
        recipe,
        of_recipe,
        shift_h,
        now,
        round_ml,
        calendar,
        by,
        sure=sure,
        start=start,
        stacklevel=stacklevel,
    )


def planned(
    recipe: Recipe,
    core: Callable[..., Plan],
    shift_h: float,
    now: Mapping[str, float | str],
    round_ml: float | None,
    calendar: str | os.PathLike[str] | None,
    by: str = "now",
    sure: bool = False,
    start: str | datetime | None = None,
    stacklevel: int = 4,
) -> Plan:
    """A plan that the core makes of a checked request."""
    analysed = named(by, now, "a dictionary of analyses")
    known = dict(_analysis(name, value, by) for name, value in analysed.items())
    hours = to_number("shift_h", shift_h, "plan")
    marks = None if round_ml is None else to_number("round_ml", round_ml, "plan")
    if calendar is not None and not isinstance(calendar, (str, os.PathLike)):
        raise RecipeError(f"plan: calendar = {shown(calendar)}: expected the path of a file")
    file = os.fspath(calendar) if calendar else None
    begins = None if start is None else dates.by_the_clock(start_of_shift(start))[0]
    found = made_from(core(hours, list(known.items()), marks, file, begins, sure), recipe)
    warn(found.flags, known=recipe.flags, stacklevel=stacklevel)
    return found


def start_of_shift(start: str | datetime) -> datetime:
    """The start of a shift by the clock on the wall.

    Raises:
        RecipeError: For a text that is no day with a time.
    """
    return dates.moment("start", start).replace(tzinfo=None)


def _analysis(name: str, value: float | str, by: str) -> tuple[str, float]:
    """An analysis in the unit its name ends with; per cent are of the set-point."""
    share = _SHARE.fullmatch(value) if isinstance(value, str) else None
    if share is None or name.endswith(_OF_SET_POINT) or name in {"ph", "ph_25c", "turnovers"}:
        return name, to_number(name, value, by)
    return _UNIT.sub("", name) + _OF_SET_POINT, float(share[1])
