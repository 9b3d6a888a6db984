"""Dosing plans: what to add in the coming shift."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import files
from bathkin.core.arguments import named
from bathkin.core.flags import Flag, from_dicts, warn
from bathkin.core.numbers import shown
from bathkin.core.units import to_number
from bathkin.errors import RecipeError

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.recipe.recipe import Recipe

_OF_SET_POINT = "_pct_of_set_point"
_SHARE = re.compile(
    r"\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*(?:%|pct|per ?cent)(?: of (?:the )?set-?point)?\s*"
)
# The unit of a content at the end of its name.
_UNIT = re.compile(r"_(m?g_l|m?mol_l|mM)(_as_\w+)?$")


class Plan:
    """What to add in the coming shift, and what it does to the bath.

    Made by `Recipe.plan`. Pickles as its recipe and question and is computed again when loaded.

    Example:
        >>> import bathkin as bk
        >>> plan = bk.load_recipe("nickel-acid").plan(8, {"nickel_g_l": 5.6}, round_ml=50)
        >>> [total["volume_ml"] % 50 for total in plan.totals]
        [0.0, 0.0, 0.0]
    """

    def __init__(
        self,
        recipe: Recipe,
        shift_h: float,
        now: Mapping[str, float],
        round_ml: float | None,
        calendar: str | None,
        sure: bool = False,
    ) -> None:
        self._recipe = recipe
        self._asked = (shift_h, dict(now), round_ml, calendar, sure)
        text = _core.plan(recipe._core, shift_h, list(now.items()), round_ml, calendar, sure)
        self._document: dict[str, Any] = json.loads(text)

    @property
    def recipe(self) -> Recipe:
        """The recipe with its policies."""
        return self._recipe

    @property
    def shift_h(self) -> float:
        """Length of the shift, h."""
        return float(self._document["shift_h"])

    @property
    def round_ml(self) -> float | None:
        """Smallest step of the measure, mL; None: not rounded."""
        return self._asked[2]

    @property
    def start(self) -> dict[str, float]:
        """The bath at the start: `metal_g_l`, `reductant_mol_l`, `ph`, `volume_l`, `turnovers`."""
        return dict(self._document["start"])

    @property
    def end(self) -> dict[str, float]:
        """The bath at the end of the shift, as planned."""
        return dict(self._document["end"])

    @property
    def end_exact(self) -> dict[str, float]:
        """The bath at the end of the shift if nothing were rounded."""
        return dict(self._document["end_exact"])

    @property
    def additions(self) -> list[dict[str, Any]]:
        """What to add, in order.

        Each has `at_h`, `replenisher`, `exact_ml`, `volume_ml`, `dose`, `dose_unit`, `reason`, and
        the bath `before` and `after` it.
        """
        return [dict(addition) for addition in self._document["additions"]]

    @property
    def totals(self) -> list[dict[str, Any]]:
        """What the shift takes of each solution: `replenisher`, `exact_ml`, `volume_ml`."""
        return [dict(total) for total in self._document["totals"]]

    @property
    def notes(self) -> list[str]:
        """What has to be known with it; an empty plan says why."""
        return list(self._document["notes"])

    @property
    def flags(self) -> list[Flag]:
        """Warnings."""
        return from_dicts(self._document["flags"])

    @property
    def cautions(self) -> list[str]:
        """Cautions of the recipe."""
        return self._recipe.cautions

    def table(self) -> pd.DataFrame:
        """The additions as a table, with metal and pH before and after each."""
        import pandas as pd

        columns = ["at_h", "replenisher", "exact_ml", "volume_ml", "dose", "dose_unit", "reason"]
        readings = ["metal_g_l", "reductant_mol_l", "ph"]
        rows = [
            [addition[name] for name in columns]
            + [addition[when][name] for name in readings for when in ("before", "after")]
            for addition in self.additions
        ]
        heads = [f"{when}_{name}" for name in readings for when in ("before", "after")]
        table: pd.DataFrame = pd.DataFrame(rows, columns=[*columns, *heads])
        return table

    def to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the table as CSV.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.table(), keep=self._recipe.files())

    def plot(self, path: str | os.PathLike[str] | None = None) -> Figure:
        """Metal and pH over the shift, and each dose where it goes in.

        Args:
            path: Where to save the picture; without it, it is only returned.

        Raises:
            RecipeError: When the path names no picture format.
            OSError: When the file cannot be written.
        """
        from bathkin.plots.picture import saved
        from bathkin.plots.plan import draw_plan

        return saved(draw_plan(self), path)

    def contents(self) -> dict[str, Any]:
        """What the JSON document of `bathkin plan` says, but its doubts."""
        return {name: value for name, value in self._document.items() if name != "flags"}

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Plan)
            and self._recipe == other._recipe
            and self._document == other._document
        )

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Plan, (self._recipe, *self._asked)

    def __repr__(self) -> str:
        from bathkin.reports.plan import plan_text

        return plan_text(self)


def plan(
    recipe: Recipe,
    shift_h: float,
    now: Mapping[str, float | str],
    round_ml: float | None,
    calendar: str | os.PathLike[str] | None,
    by: str = "now",
    sure: bool = False,
    stacklevel: int = 4,
) -> Plan:
    """A plan; analyses may be texts with a unit of the trade, or per cent of the set-point."""
    analysed = named(by, now, "a dictionary of analyses")
    known = dict(_analysis(name, value, by) for name, value in analysed.items())
    hours = to_number("shift_h", shift_h, "plan")
    marks = None if round_ml is None else to_number("round_ml", round_ml, "plan")
    if calendar is not None and not isinstance(calendar, (str, os.PathLike)):
        raise RecipeError(f"plan: calendar = {shown(calendar)}: expected the path of a file")
    file = os.fspath(calendar) if calendar else None
    found = Plan(recipe, hours, known, marks, file, sure)
    warn(found.flags, known=recipe.flags, stacklevel=stacklevel)
    return found


def _analysis(name: str, value: float | str, by: str) -> tuple[str, float]:
    """An analysis in the unit its name ends with; per cent are of the set-point."""
    share = _SHARE.fullmatch(value) if isinstance(value, str) else None
    if share is None or name.endswith(_OF_SET_POINT) or name in {"ph", "ph_25c", "turnovers"}:
        return name, to_number(name, value, by)
    return _UNIT.sub("", name) + _OF_SET_POINT, float(share[1])
