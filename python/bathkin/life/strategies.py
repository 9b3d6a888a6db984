"""Ways to run the same line: dump and remake, bleed and feed, dump a part, or any settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import dates
from bathkin.core.answer import Tabled
from bathkin.core.arguments import above_zero, word
from bathkin.core.dates import Moment
from bathkin.core.flags import Flag
from bathkin.core.numbers import several, shown
from bathkin.errors import RecipeError
from bathkin.life.cost import WASTE_CAUTION
from bathkin.recipe.recipe import Recipe, as_recipe
from bathkin.recipe.values import Value, read_value

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    from matplotlib.figure import Figure

    from bathkin.life.results import StrategyResult


Strategies = Mapping[str, Mapping[str, Value]]


def _read(recipe: Recipe, name: str, settings: Mapping[str, Value]) -> list[tuple[str, Value]]:
    """What a strategy sets, each value as the recipe takes it."""
    of_paths = isinstance(settings, Mapping) and all(isinstance(path, str) for path in settings)
    if not isinstance(name, str) or not of_paths:
        expected = "for each name of a strategy what it sets, path to value"
        raise RecipeError(f"compare: {shown(name)} = {shown(settings)}: expected {expected}")
    known = {entry.path: entry.value for entry in recipe.numbers()}
    by = f"compare: {name}"
    return [(path, read_value(path, one, known.get(path), by)) for path, one in settings.items()]


class Comparison(Tabled):
    """Strategies over the same horizon. Made by `compare`."""

    _INDEXED = True

    def __init__(
        self,
        recipe: Recipe,
        strategies: Strategies,
        hours: float | None,
        area_m2: float | None,
        start: datetime | None = None,
    ) -> None:
        asked = [(name, _read(recipe, name, one)) for name, one in strategies.items()]
        self._recipe = recipe
        self._start = start
        self.strategies: list[StrategyResult] = _core.compare(recipe._core, asked, hours, area_m2)

    @property
    def recipe(self) -> Recipe:
        """The recipe."""
        return self._recipe

    @property
    def start(self) -> datetime | None:
        """When the first bath is made up, or None."""
        return self._start

    @property
    def currency(self) -> str | None:
        """Currency of the costs, None without prices."""
        found = {entry.path: entry.value for entry in self._recipe.numbers()}
        return found.get("cost.currency")

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it, those of single strategies with their names."""
        of_recipe = [*self._recipe.flags, *_core.price_flags(self._recipe._core)]
        own = [
            Flag(flag.where, f"{one.name}: {flag.what}")
            for one in self.strategies
            for flag in one.flags
        ]
        return [*of_recipe, *own]

    def table(self) -> pd.DataFrame:
        """A row per strategy.

        `baths`, `ends_by`, `clock_h`, `downtime_h`, `area_m2`, `deposit_um_dm2`, `waste_l`,
        `waste_metal_g`, `waste_ml_per_um_dm2`, `cost_per_um_dm2`, the by-product and the rate at
        the end of a bath, the mean rate, `steady`. With a start `first_dump_h` and
        `first_dump_date`, of a bath that ends within the horizon.
        """
        import pandas as pd

        names = ["baths", "ends_by", "clock_h", "downtime_h", "area_m2", "deposit_um_dm2"]
        rows: dict[str, dict[str, Any]] = {}
        for one in self.strategies:
            row = {name: getattr(one, name) for name in names}
            if self._start is not None:
                row["first_dump_h"] = first_dump_h(one)
            row["waste_l"] = one.waste.volume_l
            row["waste_metal_g"] = one.waste.metal_g
            row["waste_ml_per_um_dm2"] = one.waste_ml_per_um_dm2
            row["cost_per_um_dm2"] = one.cost_per_um_dm2
            row[f"{self._recipe.by_product}_end_mol_l"] = one.by_product_end_mol_l
            row["deposition_end_um_h"] = one.deposition_end_um_h
            row["deposition_mean_um_h"] = one.deposition_mean_um_h
            if self._recipe.alloy_column:
                row[self._recipe.alloy_column] = one.alloy_end_wt_pct
            row["steady"] = one.steady
            rows[one.name] = row
        table: pd.DataFrame = pd.DataFrame.from_dict(rows, orient="index")
        table.index.name = "strategy"
        if self._start is None:
            return table
        table["first_dump_h"] = table["first_dump_h"].astype(float)
        return dates.with_dates(table, self._start, first_dump_date="first_dump_h")

    def to_dict(self) -> dict[str, Any]:
        """The keys of the JSON document."""
        strategies = [one.to_dict() for one in self.strategies]
        if self._start is not None:
            for row, one in zip(strategies, self.strategies, strict=True):
                hours = {"first_dump_h": first_dump_h(one)}
                row |= dates.named(hours, self._start, first_dump_date="first_dump_h")
        return {
            **({} if self._start is None else {"start": dates.text(self._start)}),
            "currency": self.currency,
            "strategies": strategies,
            "waste_caution": WASTE_CAUTION,
        }

    def _sources(self) -> list[Path]:
        return self._recipe.files()

    def _drawn(self) -> Figure:
        from bathkin.plots.strategies import draw_comparison

        return draw_comparison(self._recipe, self.strategies, self.currency)

    def __repr__(self) -> str:
        from bathkin.reports.strategies import comparison_text

        return comparison_text(self._recipe, self.strategies, self.currency, self._start)


def first_dump_h(strategy: StrategyResult) -> float | None:
    """Clock time of the first dump, h; None for a bath that outlives the horizon."""
    return None if strategy.ends_by == "horizon" else strategy.bath.clock_h


def usual_strategies(
    recipe: Recipe, names: Sequence[str] | None = None, bleed_per_turnover: float | None = None
) -> Strategies:
    """Usual strategies by name: dump and remake, a bleed, a partial dump; without names all three.

    Raises:
        RecipeError: For a name that is no usual one, and without a bleed where the recipe has no
            limit on its by-product.
    """
    listed = None if names is None else several(names, "compare: strategies")
    asked = None if listed is None else [word("compare: strategies", name) for name in listed]
    found = _core.usual_strategies(recipe._core, asked, bleed_per_turnover)
    return {name: dict(settings) for name, settings in found}


def compare(
    recipe: Recipe | str,
    strategies: Strategies | Sequence[str] | None = None,
    *,
    horizon_h: float | None = None,
    horizon_m2: float | None = None,
    start: Moment | None = None,
) -> Comparison:
    """Ways to run the same line over the same horizon.

    Args:
        recipe: A recipe, or the name or path of one.
        strategies: For each name what it sets, path to value; or names of the usual ones,
            "dump-and-remake", "bleed-and-feed" and "partial-dump" (all of them without it). The
            usual bleed keeps the by-product 5 % off its limit, and puts the limit on turnovers off;
            the partial dump takes out as much, at every second turnover. Only by its name:
            "phosphite-removal", as much orthophosphite at every half turnover and nothing else;
            its sodium stays as sulfate (chloride), so the ionic strength goes on growing.
        horizon_h: Clock hours to compare over.
        horizon_m2: Area to compare over; without either, that of five baths of the recipe.
        start: When the first bath is made up, as for `simulate_life`: first dumps have dates.

    Raises:
        RecipeError: For an unknown name, two horizons, or a setting that cannot be used.

    Example:
        >>> import bathkin as bk
        >>> found = bk.compare("nickel-acid").table()
        >>> found["baths"].to_dict()
        {'dump-and-remake': 5.0, 'bleed-and-feed': 1.0, 'partial-dump': 1.0}
        >>> bool(found["waste_l"]["bleed-and-feed"] > found["waste_l"]["dump-and-remake"])
        True
    """
    of, begins = as_recipe(recipe)._dated(start)
    if horizon_h is not None and horizon_m2 is not None:
        raise RecipeError("compare: expected one horizon, in hours or in m2")
    hours = None if horizon_h is None else above_zero("horizon_h", horizon_h)
    area_m2 = None if horizon_m2 is None else above_zero("horizon_m2", horizon_m2)
    if not isinstance(strategies, Mapping):
        strategies = usual_strategies(of, strategies)
    return Comparison(of, strategies, hours, area_m2, begins)
