"""The same fit for many tanks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.flags import Flag
from bathkin.core.layout import Column, number
from bathkin.errors import UnknownNameError

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.fit.fit import Fit

_SHOWN = 20


class Fleet(Tabled):
    """Fits of many tanks. Made by `bathkin.fit_many`.

    Attributes:
        names: Names of the tanks, in their order.
        fits: Fits by the name of the tank, as `bathkin.fit` gives them.
        failed: What was raised, by the name of the tank.
        complete: False when it was ended before all tanks were done.
    """

    _INDEXED = True

    def __init__(
        self,
        names: Iterable[str],
        fits: Mapping[str, Fit],
        failed: Mapping[str, Exception],
    ) -> None:
        self.names = list(names)
        self.fits = dict(fits)
        self.failed = dict(failed)

    @property
    def complete(self) -> bool:
        """Whether every tank is fitted or has failed."""
        return len(self.fits) + len(self.failed) == len(self.names)

    @property
    def paths(self) -> list[str]:
        """Paths of the numbers that were fitted in any of them."""
        found: dict[str, None] = {}
        for fit in self.fits.values():
            found |= {one.path: None for one in fit.estimates}
        return list(found)

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        flags, count = [], len(self.names)
        if not self.complete:
            done = len(self.fits) + len(self.failed)
            flags.append(Flag("fit_many", f"ended after {done} of {count} tanks"))
        if self.failed:
            name, error = next(iter(self.failed.items()))
            told = f"{len(self.failed)} of {count} tanks failed; the first, {name}, by: {error}"
            flags.append(Flag("fit_many.failed", told))
        missed = [name for name, fit in self.fits.items() if fit.misfit]
        if missed:
            told = f"in {len(missed)} of {len(self.fits)} tanks the model misses the data"
            some = ", ".join(missed[:5]) + (" ..." if len(missed) > 5 else "")
            flags.append(Flag("fit_many.misfit", f"{told}: {some}"))
        return flags

    def __getitem__(self, name: str) -> Fit:
        """The fit of a tank.

        Raises:
            UnknownNameError: For a name that no tank has, or none that was reached.
            BathkinError: What was raised for a tank that failed.
        """
        if name in self.failed:
            raise self.failed[name]
        if name not in self.fits:
            message = f"no tank that was fitted is called {name}: there are {len(self.fits)}"
            raise UnknownNameError(message, name=str(name), valid=list(self.fits))
        return self.fits[name]

    def table(self) -> pd.DataFrame:
        """A row per tank, in their order.

        `status`: `fitted`, `failed`, or `left` where Ctrl-C came first. For each number its value
        under its path, `PATH_standard_error` and `PATH_status` (`ok`, or why there is no
        uncertainty). `values` and `degrees_of_freedom`; `scatter` of the residuals in sigmas;
        `misfit`, the codes of remarks that say that the model misses the data, empty in a sound
        fit; `failure_code`, the kind of error, and `failure`, why, of a tank that failed.
        """
        import pandas as pd

        rows = {name: self._row(name) for name in self.names}
        table: pd.DataFrame = pd.DataFrame.from_dict(rows, orient="index")
        table.index.name = "tank"
        for name in self._columns():
            if name not in table:
                table[name] = np.nan
        table = table.loc[:, self._columns()]
        numbers = [name for name in self._columns() if not name.endswith(_WORDS)]
        table[numbers] = table[numbers].astype(float)
        table.attrs = {"flags": [flag.to_dict() for flag in self.flags]}
        return table

    def to_dict(self) -> dict[str, Any]:
        """The table in plain values."""
        return {
            "tanks": [
                {"tank": name, **{key: one for key, one in row.items() if one is not None}}
                for name, row in ((name, self._row(name)) for name in self.names)
            ],
            "fitted": len(self.fits),
            "failed": len(self.failed),
            "complete": self.complete,
        }

    def summary(self) -> str:
        """How the numbers are spread over the tanks, and which failed, as a text."""
        title = f"{len(self.names)} tanks: {len(self.fits)} fitted, {len(self.failed)} failed"
        title += "" if self.complete else "; ended before the others"
        table, paths = self.table(), self.paths
        parts = np.array([10.0, 50.0, 90.0])
        spread = [np.nanpercentile(table[path], parts) for path in paths]
        errors = [np.nanmedian(table[f"{path}_standard_error"]) for path in paths]
        texts = [title]
        if paths:
            columns = [Column("number", paths, left=True)]
            for place, head in enumerate(("P10", "P50", "P90")):
                columns.append(Column(head, [number(one[place]) for one in spread]))
            columns.append(Column("standard\nerror", [number(one, 2) for one in errors]))
            texts.append(layout.render(columns))
        doubted = [
            f"{name}: {', '.join(row['misfit'].split())}"
            for name, row in table.iterrows()
            if row["status"] == "fitted" and row["misfit"]
        ]
        for head, lines in (
            ("the model misses the data", doubted),
            ("failed", [f"{name}: {error}" for name, error in self.failed.items()]),
        ):
            if lines:
                shown = [layout.wrapped(f"- {line}", 2, 4) for line in lines[:_SHOWN]]
                more = [f"  and {len(lines) - _SHOWN} more"] if len(lines) > _SHOWN else []
                texts.append("\n".join([head, *shown, *more]))
        return "\n\n".join(texts)

    def _columns(self) -> list[str]:
        numbers = [f"{path}{end}" for path in self.paths for end in ("", *_OF_PATH)]
        return ["status", *numbers, *_OF_FIT, "misfit", "failure_code", "failure"]

    def _row(self, name: str) -> dict[str, Any]:
        if name in self.failed:
            error = self.failed[name]
            told = {"failure_code": type(error).__name__, "failure": str(error)}
            return {"status": "failed", "misfit": "", **told}
        if name not in self.fits:
            return {"status": "left", "misfit": "", "failure_code": "", "failure": ""}
        fit = self.fits[name]
        row: dict[str, Any] = {"status": "fitted"}
        for one in fit.estimates:
            row[one.path] = one.value
            row[f"{one.path}_standard_error"] = one.standard_error
            row[f"{one.path}_status"] = one.status
        row["values"] = fit.ndata
        row["degrees_of_freedom"] = fit.degrees_of_freedom
        row["scatter"] = fit.scatter
        row["misfit"] = " ".join(one.code for one in fit.misfit)
        return {**row, "failure_code": "", "failure": ""}

    def _drawn(self) -> Figure:
        from bathkin.plots.fleet import plot_fleet

        return plot_fleet(self)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Fleet):
            return False
        mine, theirs = (
            [(name, type(error), str(error)) for name, error in one.failed.items()]
            for one in (self, other)
        )
        return self.names == other.names and self.fits == other.fits and mine == theirs

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.table().to_html()
        return html


_OF_PATH = ("_standard_error", "_status")
_OF_FIT = ("values", "degrees_of_freedom", "scatter")
_WORDS = ("status", "misfit", "failure_code", "failure")
