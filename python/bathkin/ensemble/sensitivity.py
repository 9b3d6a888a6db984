"""Global sensitivity: which of the numbers that vary make an answer vary."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.arguments import MOST_MEMBERS, finite, whole, word
from bathkin.core.flags import Flag, warn
from bathkin.core.layout import Column, number
from bathkin.core.origin import origin
from bathkin.core.progress import Progress
from bathkin.core.result import plain
from bathkin.ensemble.call import Paths, computed, outputs_asked
from bathkin.ensemble.draws import Draws, read_spreads
from bathkin.ensemble.ensemble import Ensemble
from bathkin.ensemble.results import ElementaryEffects, VarianceShare
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe, as_recipe

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

METHODS = ("sobol", "morris")
OUTPUTS = ("dump.plating_h", "dump.area_m2", "make_up.deposition_um_h")
_SHOWN = 20


class GlobalSensitivity(Tabled):
    """Which numbers make each output vary. Made by `bathkin.global_sensitivity`.

    Attributes:
        method: "sobol" or "morris".
        ensemble: The members it follows from.
        rows: A record per output and path, the strongest first.
    """

    def __init__(self, method: str, found: Ensemble, level: float) -> None:
        self.method = method
        self.ensemble = found
        self.level = level
        self.rows: list[VarianceShare] | list[ElementaryEffects]
        if method == "sobol":
            shares, self._silent = found._core.variance_shares(level)
            self.rows = sorted(shares, key=lambda one: -one.total)
        else:
            effects, self._silent = found._core.elementary_effects()
            self.rows = sorted(effects, key=lambda one: -one.mean_size)

    @property
    def recipe(self) -> Recipe:
        """The recipe that members differ from."""
        return self.ensemble.recipe

    @property
    def outputs(self) -> list[str]:
        """The outputs that have an answer."""
        return [
            name for name in self.ensemble.outputs if any(one.output == name for one in self.rows)
        ]

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        silent = [Flag("sensitivity", f"{one.output}: {one.reason}") for one in self._silent]
        return [*self.ensemble.flags, *silent]

    def table(self) -> pd.DataFrame:
        """A row per output and path, outputs in order, the strongest path first.

        Of Sobol's method `first` and `total`, each with the ends of its interval (`first_low` ...):
        the part of the variance that would go if the number were known, and the part that would
        stay if it alone were not. Of Morris's `mean`, `mean_size` and `standard_deviation` of the
        effects, in the unit of the output over the whole range of the number, and their `count`.
        """
        import pandas as pd

        rows = [dict(one) for name in self.outputs for one in self.rows if one.output == name]
        table: pd.DataFrame = pd.DataFrame(rows)
        table.attrs = {"recipe": self.recipe.name, **origin(self.recipe)}
        return table

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, as `bathkin sensitivity --json` prints it."""
        return {
            "method": self.method,
            "level": self.level if self.method == "sobol" else None,
            "paths": self.ensemble.paths,
            "members": len(self.ensemble.members),
            "failed": sum(self.ensemble.failed_by_code.values()),
            "rows": [plain(one) for one in self.rows],
            "silent": [plain(one) for one in self._silent],
        }

    def summary(self) -> str:
        """The strongest numbers of each output, as a text."""
        count = len(self.ensemble.members)
        title = f"{self.method}, {count} members of {self.recipe.name}, seed {self.ensemble.seed}"
        return "\n\n".join([title, *(self._of_output(name) for name in self.outputs)])

    def _of_output(self, name: str) -> str:
        rows = [one for one in self.rows if one.output == name][:_SHOWN]
        columns = [Column(name, [one.path for one in rows], left=True)]
        for head, field in self._heads():
            if field is None:
                texts = [f"{one.total_low:.3f} to {one.total_high:.3f}" for one in rows]  # type: ignore[union-attr]
            elif self.method == "sobol":
                texts = [f"{getattr(one, field):.3f}" for one in rows]
            else:
                texts = [number(getattr(one, field)) for one in rows]
            columns.append(Column(head, texts))
        return layout.render(columns)

    def _heads(self) -> list[tuple[str, str | None]]:
        if self.method == "sobol":
            level = f"total\n{100.0 * self.level:g} % interval"
            return [("first", "first"), ("total", "total"), (level, None)]
        spread = "standard\ndeviation"
        return [
            ("mean\nsize", "mean_size"),
            ("mean\neffect", "mean"),
            (spread, "standard_deviation"),
        ]

    def _drawn(self) -> Figure:
        from bathkin.plots.sensitivity import plot_sensitivity

        return plot_sensitivity(self)

    def _sources(self) -> list[Path]:
        return self.ensemble._sources()

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.table().to_html()
        return html


def global_sensitivity(
    recipe: Recipe | str,
    draws: Draws,
    outputs: Sequence[str] = OUTPUTS,
    *,
    method: str = "sobol",
    points: int = 256,
    scrambles: int = 8,
    trajectories: int = 20,
    levels: int = 4,
    level: float = 0.95,
    seed: int = 0,
    checkpoint: Paths | Sequence[Paths] | None = None,
    executor: Any = None,
    progress: Progress = None,
) -> GlobalSensitivity:
    """Which of the numbers that vary make an answer vary, over all of their ranges at once.

    Morris's method screens many numbers by few members; Sobol's parts the variance of an answer
    among them. Members are computed as by `bathkin.ensemble`.

    Args:
        recipe: A recipe, or the name or path of one.
        draws: A distribution for each path, as of `bathkin.ensemble`.
        outputs: What is asked of each member, as there. An output that is the same everywhere has
            no answer, and is told.
        method: "sobol" or "morris".
        points: Points of each scrambling of Sobol's method, a power of two. It takes
            `points * scrambles * (paths + 2)` members.
        scrambles: How often it is repeated with other points, from which the intervals come.
        trajectories: Of Morris's method, which takes `trajectories * (paths + 1)` members.
        levels: Values of each number that its trajectories go over, an even number.
        level: Probability of the intervals.
        seed: Seed of the points.
        checkpoint: As of `bathkin.ensemble`.
        executor: As there.
        progress: As there.

    Returns:
        Indices or effects per output and path.

    Raises:
        RecipeError: As `bathkin.ensemble`; for points that are no power of two.
        KeyboardInterrupt: For Ctrl-C; a checkpoint keeps what was done.

    Warns:
        BathkinWarning: As `bathkin.ensemble`, and for an output without an answer.

    Example:
        >>> import bathkin as bk
        >>> draws = {"operation.ph": "uniform(4.6, 5.0)", "tank.volume_l": "uniform(90, 110)"}
        >>> outputs = ["make_up.deposition_um_h"]
        >>> found = bk.global_sensitivity("nickel-acid", draws, outputs, points=16, scrambles=4)
        >>> found.rows[0].path, bool(found.rows[0].total > 0.95), bool(found.rows[1].total < 0.01)
        ('operation.ph', True, True)
    """
    of = as_recipe(recipe)
    word("method", method, METHODS)
    level = finite("level", level, "a probability inside 0 and 1")
    if not 0.0 < level < 1.0:
        raise RecipeError(f"level = {level:g}: expected a probability inside 0 and 1")
    paths = len(draws) if isinstance(draws, Mapping) else 0
    if method == "sobol":
        sizes = [whole("points", points, 2, MOST_MEMBERS), whole("scrambles", scrambles, 2, 1000)]
        kind, members = "indices", sizes[0] * sizes[1] * (paths + 2)
    else:
        sizes = [
            whole("trajectories", trajectories, 2, MOST_MEMBERS),
            whole("levels", levels, 2, 1000),
        ]
        kind, members = "effects", sizes[0] * (paths + 1)
    asked = read_spreads(draws, kind, sizes, members)
    names = outputs_asked(outputs)
    found = computed(of, asked, names, seed, None, True, checkpoint, executor, progress)
    if not found.complete:
        # A part of the members has no answer.
        raise KeyboardInterrupt
    answer = GlobalSensitivity(method, found, level)
    warn(answer.flags)
    return answer
