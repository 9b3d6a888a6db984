"""The life of a bath, from make-up to the first limit."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from bathkin.core import files
from bathkin.core.answer import Tabled
from bathkin.core.dates import Moment, with_dates
from bathkin.core.flags import warn
from bathkin.core.frames import frame, rows
from bathkin.core.progress import Progress, reporting
from bathkin.core.result import same
from bathkin.life.record import LifeRecord
from bathkin.life.results import Addition, EventRecord, LoadRecord
from bathkin.recipe.recipe import Recipe, as_recipe

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure


class Life(Tabled, LifeRecord):
    """A simulated life. Made by `simulate_life`.

    Pickles with its recipe and its numbers, and is not computed again when loaded; equal when
    recipe and numbers are.

    Example:
        >>> import bathkin as bk
        >>> life = bk.simulate_life("nickel-acid")
        >>> life.dump.limit
        'orthophosphite_mol_l'
        >>> life.columns["turnovers"].shape == life.columns["ph"].shape
        True
    """

    _recipe: Recipe

    @property
    def recipe(self) -> Recipe:
        """The recipe that made it."""
        return self._recipe

    def table(self) -> pd.DataFrame:
        """The table: a row at make-up, at every turnover, and at the end.

        Columns carry their unit: `turnovers`, `clock_h`, `plating_h`, `area_m2`, `metal_g_l`,
        `reductant_mol_l`, the by-product (`orthophosphite_mol_l`), `ph` in the bath, `ph_25c`,
        `deposition_um_h` and `phosphorus_wt_pct` (both at set-point metal and pH),
        `ionic_strength_mol_l`, additions, every component, `surface_ph` behind a film,
        `potential_v_she` where partial currents give a mixed potential, and the saturation index of
        the solids of the by-product (`saturation_index_nickel_phosphite`). Volumes as in `volumes`,
        and `temperature_c` where the temperature moves. With a start, `date` behind `clock_h`.

        Example:
            >>> import bathkin as bk
            >>> table = bk.simulate_life("nickel-acid").table()
            >>> bool(table["ph_25c"].lt(table["ph"]).all())
            True
        """
        table = frame(self._columns, self._recipe)
        return with_dates(table, self._start, date="clock_h")

    def ledger(self) -> pd.DataFrame:
        """Every addition, in order.

        `clock_h`, `turnovers` with the addition in, `replenisher`, `volume_ml`, the same as a
        `dose` in its `dose_unit` (`ml_l`, `pct_of_make_up` or `g_l`), and the `reason`. What a pump
        feeds is one line per turnover. The lines of a solution sum to what was fed, or the life is
        refused. With a start, `date` behind `clock_h`.
        """
        return with_dates(rows(self._found.ledger, Addition), self._start, date="clock_h")

    def loads(self) -> pd.DataFrame:
        """Every rack that came out, a row each; empty for steady work.

        `name`, `substrate`, `in_h`, `out_h`, `area_dm2`, `thickness_um`, `alloy_wt_pct`, `mass_g`,
        and `weighed_g`, what it gained on a balance where the calendar says. With a start,
        `in_date` and `out_date` behind the hours.

        Example:
            >>> import bathkin as bk
            >>> racks = {"load.lid.in_h": 0, "load.lid.minutes": 60, "load.lid.area_dm2": 40}
            >>> again = {"load.lid.every_h": 2, "load.lid.count": 99, "limits.turnovers": 0.2}
            >>> life = bk.simulate_life(bk.load_recipe("nickel-acid").set({**racks, **again}))
            >>> bool(life.loads()["thickness_um"].gt(12).all())
            True
        """
        racks = rows(self._found.loads, LoadRecord)
        return with_dates(racks, self._start, in_date="in_h", out_date="out_h")

    def events(self) -> pd.DataFrame:
        """Declared events as they happened.

        `clock_h`, `turnovers`, `event`, `what`, and `doubtful_after`, true for an addition that is
        not on the list of the bath: results after it are doubtful. With a start, `date` behind
        `clock_h`.
        """
        return with_dates(rows(self._found.events, EventRecord), self._start, date="clock_h")

    def outlook(self, *, past_limits: bool = False) -> pd.DataFrame:
        """When each limit is reached, and each cap of work that is not plated.

        Args:
            past_limits: Run the life on past its first limit, to see when the others come.

        Returns:
            A row per limit: `name`, `path`, `substrate`, `applies` (false for a cap of other
            work), `bound`, `turnovers`, `clock_h` and `area_m2` when it is reached (NaN when the
            table ends before; with a start its `date`), `past_first_limit`, and how far that was
            looked for, `looked_to_turnovers` and `looked_to_h`.

        Raises:
            ConvergenceError: When the life cannot be run on.

        Example:
            >>> import bathkin as bk
            >>> outlook = bk.simulate_life("nickel-acid").outlook(past_limits=True)
            >>> outlook.set_index("name")["past_first_limit"].to_dict()["deposition_um_h"]
            True
        """
        from bathkin.life.outlook import outlook

        return outlook(self, past_limits)

    def to_dict(self) -> dict[str, Any]:
        """The life as the JSON document of `bathkin life --json`."""
        from bathkin.reports.documents import life_document

        return life_document(self)

    def _drawn(self) -> Figure:
        from bathkin.plots.life import draw_life

        return draw_life(self)

    def _sources(self) -> list[Path]:
        return self._recipe.files()

    def ledger_to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the ledger as CSV.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.ledger(), keep=self._recipe.files())

    def loads_to_csv(self, path: str | os.PathLike[str]) -> None:
        """Writes the racks as CSV, a row each.

        Raises:
            OSError: When the file cannot be written.
        """
        files.write_table(path, self.loads(), keep=self._recipe.files())

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Life)
            and self._recipe == other._recipe
            and self._found == other._found
            and self._start == other._start
            and self._flags == other._flags
            and same(self._columns, other._columns)
        )

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Life, (self._recipe, self._core, self._found, self._flags, self._start)

    def __repr__(self) -> str:
        from bathkin.reports.life import life_text

        return life_text(self, short=True)

    def _repr_html_(self) -> str:
        from bathkin.reports.life_html import life_fragment

        return life_fragment(self)


def run(
    recipe: Recipe,
    progress: Progress = None,
    start: Moment | None = None,
    *,
    by: str = "start",
    stacklevel: int = 3,
) -> Life:
    """A life with its progress shown and its warnings raised."""
    recipe, begins = recipe._dated(start, by)
    with reporting(progress) as report:
        life = Life(recipe, *recipe._core.simulate_life(report), begins)
    warn(life.flags, stacklevel=stacklevel)
    return life


def simulate_life(
    recipe: Recipe | str, progress: Progress = None, *, start: Moment | None = None
) -> Life:
    """The life of a bath, from make-up through doses and corrections to the first limit.

    The interpreter lock is released meanwhile, and Ctrl-C stops it.

    Args:
        recipe: A recipe, or the name or path of one.
        progress: True for a progress bar on standard error, or a function that is called with the
            turnovers so far, now and then.
        start: When the bath is made up, a date or a text such as "2026-03-02 06:00": tables,
            pictures and documents then have dates beside hours. Without it that of a calendar of
            racks with dates, if there is one. A calendar keeps its dates: the bath has to be made
            up before its first rack.

    Raises:
        RecipeError: When a limit is already exceeded at make-up, or the pH cannot be held; for a
            start that is no date, or after the first rack.
        ConvergenceError: When the computation fails, with the time.

    Warns:
        BathkinWarning: For values outside the range the recipe was made for, or a reductant that
            drifts away from its set-point.

    Example:
        >>> import bathkin as bk
        >>> life = bk.simulate_life("nickel-acid")
        >>> 6 < life.dump.turnovers < 10
        True
        >>> life = bk.simulate_life("nickel-acid", start="2026-03-02 06:00")
        >>> life.table()["date"].dt.strftime("%d.%m.").tolist()[:3]
        ['02.03.', '03.03.', '04.03.']
    """
    return run(as_recipe(recipe), progress, start, stacklevel=4)
