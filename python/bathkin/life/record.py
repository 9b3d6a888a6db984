"""What a life came to: verdict, limits, columns, volumes, mass balance."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.core import dates
from bathkin.core.flags import Flag
from bathkin.recipe.document import RecipeDocument

if TYPE_CHECKING:
    from bathkin.life import results
    from bathkin.life.cost import LifeCost
    from bathkin.life.results import (
        Balance,
        Dump,
        FilmStatus,
        Limit,
        ReductantFeed,
        SolidStatus,
        StressStatus,
    )


class LifeRecord:
    """The numbers of a life; `Life` adds its tables, pictures and files."""

    def __init__(
        self,
        recipe: RecipeDocument,
        core: _core.Life,
        found: results.Life,
        flags: list[Flag],
        start: datetime | None = None,
    ) -> None:
        self._recipe = recipe
        self._core = core
        self._columns = core.columns()
        self._found = found
        self._flags = flags
        self._start = start

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe that made it."""
        return self._recipe

    @property
    def dump(self) -> Dump:
        """When the bath has to be dumped, and which limit says so."""
        return self._found.verdict

    @property
    def start(self) -> datetime | None:
        """When the bath is made up, or None; by it tables, pictures and documents have dates."""
        return self._start

    @property
    def dump_date(self) -> datetime | None:
        """When the bath has to be dumped, by date, to the minute; None without a start.

        Example:
            >>> import bathkin as bk
            >>> life = bk.simulate_life("nickel-acid", start="2026-03-02 06:00")
            >>> life.dump_date.isoformat(" ", "hours")
            '2026-03-17 09'
        """
        return None if self._start is None else dates.at(self._start, self.dump.clock_h)

    @property
    def limits(self) -> list[Limit]:
        """Where every limit stands at the end."""
        return list(self._found.limits)

    @property
    def solids(self) -> list[SolidStatus]:
        """How far each solid went towards falling out, seen at every stop."""
        return list(self._found.solids)

    @property
    def film(self) -> FilmStatus | None:
        """What the film before the surface came to, seen at every stop; None without a film."""
        return self._found.film

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Columns of the table by name, read-only: at make-up, each turnover, and the end."""
        return dict(self._columns)

    @property
    def volumes(self) -> dict[str, float]:
        """Where the liquid went over the life, L.

        `volume_l` of the bath at the end; `drag_out_l`, `bled_l` (with what was taken out by
        events), `overflow_l`, `evaporated_l` and `water_l` (made up; negative at a held level from
        which water had to leave) and `solutions_l` (everything else that came in) since make-up.
        """
        names = ["volume_l", "drag_out_l", "bled_l", "overflow_l", "evaporated_l", "water_l"]
        names.append("solutions_l")
        return {name: float(self._columns[name][-1]) for name in names}

    @property
    def stress(self) -> StressStatus | None:
        """Which way the stress of the deposit tends, fresh and at the end; None if nobody knows.

        An indicator by class of composition and salt, never a value.
        """
        return self._found.stress

    @property
    def balance(self) -> Balance:
        """The mass balance: the largest relative residual, what it was of, and what is allowed."""
        return self._found.balance

    @property
    def reductant_feed(self) -> ReductantFeed:
        """Reductant fed and used, mol per mol metal; set-point and end, mol/L."""
        return self._found.reductant_feed

    @property
    def hydrogen_l(self) -> float:
        """Hydrogen given off over the life, L at 25 degC and 1 atm."""
        return self._found.hydrogen_l

    @property
    def cost(self) -> LifeCost | None:
        """What it has cost, and where dumping is cheapest; None for a recipe without prices.

        Example:
            >>> import bathkin as bk
            >>> cost = bk.simulate_life("nickel-acid").cost
            >>> round(sum(value for _, value in cost.parts) - cost.cost, 6)
            0.0
            >>> cost.currency
            'EUR'
        """
        return _core.life_cost(self._recipe._core, self._core)

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        return list(self._flags)

    @property
    def cautions(self) -> list[str]:
        """Cautions of the recipe."""
        return self._recipe.cautions

    @property
    def cite(self) -> list[str]:
        """What to cite."""
        return self._recipe.cite
