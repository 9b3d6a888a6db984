"""The result of an ensemble."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.arguments import finite, whole, word
from bathkin.core.flags import Flag
from bathkin.core.frames import frame
from bathkin.core.layout import Column, number
from bathkin.core.origin import origin
from bathkin.core.result import plain
from bathkin.ensemble.results import OutputStatistics
from bathkin.errors import RecipeError

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    import pyarrow
    from matplotlib.figure import Figure

    from bathkin import _core
    from bathkin.recipe.recipe import Recipe

PARTS = (0.1, 0.5, 0.9)
_LIMIT = "dump.limit"
_MOST_BINS = 10_000


class Histogram(NamedTuple):
    """Counts of members between edges.

    Attributes:
        edges: Equal steps from the least to the greatest value, in the unit of the output.
        counts: Members in each step.
    """

    edges: NDArray[np.float64]
    counts: NDArray[np.uint64]


class Ensemble(Tabled):
    """Many members of one recipe. Made by `bathkin.ensemble`.

    Attributes:
        sampling: "random", "sobol", "grid" or "table".
        complete: False when it was ended before all members were done.
    """

    _INDEXED = True

    def __init__(
        self,
        recipe: Recipe,
        core: _core.Ensemble,
        sampling: str,
        complete: bool,
        flags: Sequence[Flag],
    ) -> None:
        self._recipe = recipe
        self._core = core
        self.sampling = sampling
        self.complete = complete
        self._said = list(flags)

    @property
    def recipe(self) -> Recipe:
        """The recipe that members differ from."""
        return self._recipe

    @property
    def members(self) -> range:
        """The members that are done."""
        start, _, done, _ = self._core.state()
        return range(start, start + done)

    @property
    def paths(self) -> list[str]:
        """Paths of the numbers that vary."""
        return self._core.paths()

    @property
    def outputs(self) -> list[str]:
        """What was asked of each member."""
        return self._core.outputs()

    @property
    def seed(self) -> int:
        """Seed of the draws."""
        return self._core.seed()

    @property
    def statistics(self) -> list[OutputStatistics]:
        """How each output that is a number is spread: a record per output."""
        return self._core.statistics()

    @property
    def first_limits(self) -> dict[str, int]:
        """Lives that each limit ended, the commonest first; empty unless `dump.limit` is asked."""
        counts = [(name, count) for name, count in self._core.limits() if name]
        return dict(sorted(counts, key=lambda one: -one[1]))

    @property
    def limit_at_recipe(self) -> str | None:
        """The first limit by the recipe's own numbers."""
        return self._core.limit_at_recipe() if _LIMIT in self.outputs else None

    @property
    def failed(self) -> pd.DataFrame:
        """The members that failed: the value of each path, `code` and `reason`.

        Where members are not kept, the first thousand of them; `failed_by_code` counts all.
        """
        import pandas as pd

        failed = [dict(one) for one in self._core.failed()[0]]
        rows = [{**one["values"], "code": one["code"], "reason": one["reason"]} for one in failed]
        index = pd.Index([one["member"] for one in failed], name="member", dtype="int64")
        columns = [*self.paths, "code", "reason"]
        table: pd.DataFrame = pd.DataFrame(rows, index=index, columns=columns)
        return table

    @property
    def failed_by_code(self) -> dict[str, int]:
        """How many members failed, by the kind of error."""
        return self._core.failed()[1]

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        start, to, done, failed = self._core.state()
        flags = [*self._said]
        if not self.complete:
            flags.append(Flag("ensemble", f"ended after {done} of {to - start} members"))
        if failed:
            records = self._core.failed()[0]
            first = f": the first, member {records[0].member}, by: {records[0].reason}"
            told = f"{failed} of {done} members failed and are in no statistics{first}"
            flags.append(Flag("ensemble.failed", told))
        endless = self.first_limits.get("none", 0)
        if endless:
            longest = self.recipe._core.solver().longest_clock_h
            told = f"{endless} of {done} lives reached no limit: they count with {longest:g} h"
            flags.append(Flag("ensemble.no-limit", told))
        return flags

    def table(self) -> pd.DataFrame:
        """A row per member: a column for each path, then for each output; NaN where there is none.

        Raises:
            RecipeError: Where members are not kept.
        """
        import pandas as pd

        table: pd.DataFrame = frame(self._kept(), self.recipe)
        if _LIMIT in self.outputs:
            names = np.array([name for name, _ in self._core.limits()], dtype=object)
            of_members = names[self._core.first_limits()]
            table[_LIMIT] = pd.Categorical(of_members, [name for name in names if name])
        table = table.loc[:, [*self.paths, *self.outputs]]
        table.index = pd.RangeIndex(self.members.start, self.members.stop, name="member")
        table.attrs["flags"] = [flag.to_dict() for flag in self.flags]
        return table

    def to_arrow(self) -> pyarrow.Table:
        """The same table for Arrow, from which polars, DuckDB and others read it; needs `pyarrow`.

        Columns of numbers are not copied.

        Raises:
            RecipeError: Where members are not kept, or pyarrow is not installed.
        """
        try:
            import pyarrow
        except ImportError as error:
            raise RecipeError("to_arrow: expected pyarrow: pip install pyarrow") from error
        columns: dict[str, Any] = {"member": np.arange(self.members.start, self.members.stop)}
        columns |= self._kept()
        if _LIMIT in self.outputs:
            columns[_LIMIT] = pyarrow.array(self.table()[_LIMIT])
        return pyarrow.table(
            {name: columns[name] for name in ("member", *self.paths, *self.outputs)}
        )

    def columns(self) -> dict[str, NDArray[np.float64]]:
        """The outputs that are numbers, an array of the members each, which may not be changed.

        Raises:
            RecipeError: Where members are not kept.
        """
        found = self._core.columns()
        if found is None:
            told = "members are not kept: use quantiles(), statistics and histogram()"
            raise RecipeError(f"ensemble: {told}, or ask for them with keep='members'")
        return found

    def quantiles(self, parts: Sequence[float] = PARTS) -> pd.DataFrame:
        """A row per output that is a number.

        Columns: `at_recipe` (by the recipe's own numbers), `mean`, `standard_deviation`, then a
        column for each part, `p10` what one of ten members lie below. Members that failed are left
        out. Exact where members are kept, else to 0.01 % of the value.

        Args:
            parts: Parts between 0 and 1.

        Raises:
            DataError: For a part that is none.
        """
        import pandas as pd

        asked = [finite("parts", part, "parts between 0 and 1") for part in parts]
        if any(not 0.0 <= part <= 1.0 for part in asked):
            raise RecipeError(f"quantiles: parts = {list(parts)}: expected parts between 0 and 1")
        names = [f"p{100.0 * part:g}" for part in asked]
        rows = {}
        for one in self.statistics:
            found = self._core.quantiles(one.output, asked)
            rows[one.output] = {
                "at_recipe": one.at_recipe,
                "mean": one.mean,
                "standard_deviation": one.standard_deviation,
                **dict(zip(names, found, strict=True)),
            }
        table: pd.DataFrame = pd.DataFrame.from_dict(rows, orient="index", dtype=float)
        table.index.name = "output"
        table.attrs = {"recipe": self.recipe.name, **origin(self.recipe)}
        return table

    def drivers(self, output: str, most: int | None = None) -> pd.DataFrame:
        """Which numbers an output goes with, the one that makes most of its width first.

        Columns: `rank_correlation` (Spearman's) of the number with the output over the members, and
        `share`, its square: the part of the spread that goes with the number alone. A number that
        acts both ways, or only with others, is not seen; `bathkin.global_sensitivity` sees it.

        Args:
            output: An output that is a number.
            most: Rows, all without.

        Raises:
            DataError: For an output that was not asked for or is no number.
            RecipeError: Where members are not kept.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> output = "make_up.free_metal_mol_l"
            >>> found = bk.ensemble(recipe, recipe.widths(), [output], members=200)
            >>> found.drivers(output).index[0]
            'species.nickel_lactate_1.log_k_25c'
        """
        word("output", output, [one.output for one in self.statistics])
        self.columns()
        import pandas as pd

        found = self._core.drivers(output)[:most]
        columns = ["path", "rank_correlation", "share"]
        rows = [dict(one) for one in found]
        table: pd.DataFrame = pd.DataFrame(rows, columns=columns).set_index("path")
        return table

    def histogram(self, output: str, bins: int = 30) -> Histogram:
        """Counts of the members between equal steps of an output.

        Raises:
            DataError: For an output that was not asked for or is no number.
            RecipeError: Where no member has it.
        """
        word("output", output, [one.output for one in self.statistics])
        found = self._core.histogram(output, whole("bins", bins, 1, _MOST_BINS))
        if found is None:
            raise RecipeError(f"histogram: {output}: no member has it")
        return Histogram(*found)

    def to_dict(self) -> dict[str, Any]:
        """Everything but the members in plain values, as `bathkin ensemble --json` prints it."""
        start, to, done, failed = self._core.state()
        quantiles = self.quantiles()
        parts = [str(name) for name in quantiles if str(name).startswith("p")]
        spread = [
            {**plain(one), **{name: _finite(quantiles[name][one.output]) for name in parts}}
            for one in self.statistics
        ]
        return {
            "sampling": self.sampling,
            "seed": self.seed,
            "paths": self.paths,
            "members": [start, to],
            "done": done,
            "complete": self.complete,
            "failed": failed,
            "failed_by_code": self.failed_by_code,
            "failed_members": [plain(one) for one in self._core.failed()[0]],
            "outputs": spread,
            "first_limits": self.first_limits,
        }

    def summary(self) -> str:
        """How the outputs are spread, and which limits come first, as a text."""
        _, to, done, failed = self._core.state()
        quantiles = self.quantiles()
        statistics = self.statistics
        title = f"{done} members of {self.recipe.name}, {self.sampling}"
        title += f", seed {self.seed}" if self.sampling in {"random", "sobol"} else ""
        title += f"; {failed} failed" if failed else ""
        title += "" if self.complete else f"; ended before member {to}"
        shown = ["at_recipe", "mean", "p10", "p50", "p90"]
        heads = ["recipe", "mean", "P10", "P50", "P90"]
        table = layout.render(
            [
                Column("output", [one.output for one in statistics], left=True),
                *(
                    Column(head, [number(_finite(value)) for value in quantiles[name]])
                    for head, name in zip(heads, shown, strict=True)
                ),
                Column("unit", [one.unit for one in statistics], left=True),
            ]
        )
        texts = [layout.wrapped(title, 0, 2), table if statistics else ""]
        if self.first_limits:
            counts = self.first_limits.items()
            lives = sum(self.first_limits.values())
            texts.append(
                layout.render(
                    [
                        Column(
                            "first limit",
                            [self.recipe.words(name)[0] for name, _ in counts],
                            left=True,
                        ),
                        Column("lives", [f"{100.0 * count / lives:.1f} %" for _, count in counts]),
                    ]
                )
            )
        return "\n\n".join(filter(None, texts))

    def _kept(self) -> dict[str, NDArray[np.float64]]:
        return {**self._core.drawn(), **self.columns()}

    def _drawn(self) -> Figure:
        from bathkin.plots.ensemble import plot_ensemble

        return plot_ensemble(self)

    def _sources(self) -> list[Path]:
        from pathlib import Path

        return [Path(name) for name in self.recipe.files()]

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.quantiles().to_html()
        return html


def _finite(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)
