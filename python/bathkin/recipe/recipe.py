"""Recipes: a bath as a document whose numbers all have a path."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import dates
from bathkin.core.dates import Moment
from bathkin.core.progress import Progress
from bathkin.errors import RecipeError
from bathkin.recipe.document import RecipeDocument
from bathkin.recipe.values import Value, with_values
from bathkin.recipe.widths import Width, widths

if TYPE_CHECKING:
    from bathkin.bath.bath import Bath
    from bathkin.life.bleed import BleedForLimit, SteadyBleed
    from bathkin.life.life import Life
    from bathkin.life.plan import Plan
    from bathkin.life.sensitivity import LifeSensitivity


class Recipe(RecipeDocument):
    """A bath described by a document; overriding a value gives a new recipe.

    Made by `load_recipe`. Two recipes are equal when they read the same; they pickle with their
    text and their overrides.

    Example:
        >>> import bathkin as bk
        >>> recipe = bk.load_recipe("nickel-acid")
        >>> hotter = recipe.set("operation.temperature_c", "190 degF")
        >>> round(hotter.get("operation.temperature_c"), 2)
        87.78
        >>> hotter == recipe
        False
    """

    def set(self, path: str | Mapping[str, Value], value: Value | None = None) -> Recipe:
        """A new recipe with one or more values changed.

        Args:
            path: Dotted path, or several paths with their values.
            value: A number in the unit that ends the path, a text with a unit of the trade
                ("190 degF", "3 ft2/gal"), a quantity of pint, a word, or true/false; "off" for a
                number that may be left out reads the recipe as if its line were not there.

        Raises:
            RecipeError: For an impossible value, a wrong type or unit.
            UnknownNameError: For a path, salt or component nobody knows.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> recipe.set({"tank.volume_l": "200 gal", "operation.ph": 4.6}).get("operation.ph")
            4.6
        """
        changes = path.items() if isinstance(path, Mapping) else [(path, value)]
        return self._changed(list(changes), "set")

    def written(self) -> Recipe:
        """The same recipe with every change in its `text`, which can be saved; comments stay.

        Raises:
            RecipeError: For a path that goes through a value that is no table.

        Example:
            >>> import bathkin as bk
            >>> hotter = bk.load_recipe("nickel-acid").set("operation.temperature_c", 90)
            >>> "value = 90.0" in hotter.written().text, "value = 90.0" in hotter.text
            (True, False)
        """
        return Recipe(self._core.written())

    def _dated(self, start: Moment | None, by: str = "start") -> tuple[Recipe, datetime | None]:
        """The recipe with its make-up at `start`, and when that is; None where nothing tells.

        The racks of a calendar stay at their dates, or get them: `start` is its
        `work.calendar_start`. Without a start it is that of the calendar, if its dates tell.
        """
        if start is None:
            zero = self._core.calendar_zero()
            return self, None if zero is None else dates.of_parts(zero)
        begins = dates.moment(by, start)
        if self._core.value("work.calendar") is None:
            return self, begins
        return self._changed([("work.calendar_start", begins.isoformat(" "))], by), begins

    def _changed(self, changes: list[tuple[str, Value | None]], by: str) -> Recipe:
        return Recipe(with_values(self._core, [(path, value, by) for path, value in changes]))

    def log_columns(self) -> dict[str, str]:
        """Headings of its logs as the shop writes them, each with the heading it is read as.

        The table `[log.columns]` of the recipe; `bathkin log check --write-map` makes it.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> recipe = recipe.set("log.columns.Ni %", "nickel_pct_of_set_point")
            >>> recipe.log_columns()
            {'Ni %': 'nickel_pct_of_set_point'}
        """
        return dict(self._core.log_columns())

    def log_file(self) -> str | None:
        """Path of its log, `log.file`, beside the recipe that names it; None where it names none.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").set("log.file", "tank-1.csv").log_file()
            'tank-1.csv'
        """
        return self._core.log_file()

    def log_files(self) -> list[str]:
        """Paths of all files of its log: `log.file`, or `log.files` of a bath that has several.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> recipe.log_files(), recipe.set("log.file", "tank-1.csv").log_files()
            ([], ['tank-1.csv'])
        """
        return self._core.log_files()

    def log_sheet(self) -> str | None:
        """Sheet of a workbook that holds its log, `log.sheet`; None where it names none."""
        return self._core.log_sheet()

    def widths(self, *, solids: bool = False) -> dict[str, Width]:
        """How well its numbers are known, as draws of `bathkin.ensemble`.

        Formation constants and enthalpies of the species of its bath, normal with their standard
        deviations, stated or by class; numbers of its laws that have a range, as a fit takes it for
        a prior (plus and minus two standard deviations), or the fitted value with its error.

        Args:
            solids: Those of the solids that can fall out, too.

        Example:
            >>> import bathkin as bk
            >>> known = bk.load_recipe("nickel-acid").widths()
            >>> known["species.nickel_lactate_1.log_k_25c"][0]
            'normal'
            >>> known["deposition.activation_energy_kj_mol"]
            ('prior',)
        """
        return widths(self, solids)

    def make_up(self) -> Bath:
        """The fresh bath: weighed out, its pH set.

        Raises:
            RecipeError: When the pH cannot be reached with the named reagent.

        Warns:
            BathkinWarning: For values outside the range the recipe was made for.
        """
        from bathkin.bath.bath import make_up

        return make_up(self, stacklevel=4)

    def simulate_life(self, progress: Progress = None, *, start: Moment | None = None) -> Life:
        """The life of the bath; see `bathkin.simulate_life`."""
        from bathkin.life.life import run

        return run(self, progress, start, stacklevel=4)

    def life_sensitivity(
        self, paths: Sequence[str] | None = None, *, by: str = "area"
    ) -> LifeSensitivity:
        """Sensitivity of the dump to each number of the recipe, by a shop's step of each unit.

        Args:
            paths: Numbers to move; without, all that a shop or a chemist can move.
            by: What they are ranked by: "area" plated until the dump, "money" (cost per um dm2), or
                "hours" of plating. None of them jumps across nights and weekends.

        Raises:
            UnknownNameError: For a path that holds no number, and another ranking.
            RecipeError: For a ranking by money without prices.

        Example:
            >>> import bathkin as bk
            >>> path = "limits.orthophosphite_g_l_as_hpo3"
            >>> found = bk.load_recipe("nickel-acid").life_sensitivity([path])
            >>> bool(0.9 < found.table()["turnovers"][path] < 1.1)
            True
        """
        from bathkin.life.sensitivity import life_sensitivity

        return life_sensitivity(self, paths, by)

    def steady_bleed(self, bleed_per_turnover: float) -> SteadyBleed:
        """Where a bleed of a part of the bath per turnover of plated metal ends.

        Example:
            >>> import bathkin as bk
            >>> steady = bk.load_recipe("nickel-acid").steady_bleed(0.2)
            >>> steady.levels["orthophosphite_mol_l"] < 1.5
            True
        """
        from bathkin.life.bleed import steady_bleed

        return steady_bleed(self, bleed_per_turnover)

    def bleed_for(self, limit: str) -> BleedForLimit:
        """The least bleed that holds a limit for ever, by the limit's name in a life.

        Example:
            >>> import bathkin as bk
            >>> needed = bk.load_recipe("nickel-acid").bleed_for("orthophosphite_mol_l")
            >>> 0.1 < needed.bleed_per_turnover < 0.2
            True
        """
        from bathkin.life.bleed import bleed_for

        return bleed_for(self, limit)

    def plan(
        self,
        shift_h: float = 8.0,
        now: Mapping[str, float | str] | None = None,
        round_ml: float | None = None,
        calendar: str | os.PathLike[str] | None = None,
        sure: bool = False,
        start: str | datetime | None = None,
    ) -> Plan:
        """What to add in the coming shift, from the policies of the recipe.

        Args:
            shift_h: Length of the shift, h; it begins where a day of the recipe's work begins.
            now: The bath as analysed: `ph` (`ph_25c` of a cooled sample), `turnovers`, contents
                such as `nickel_g_l` or `sodium_hypophosphite_monohydrate_g_l` (see
                `bathkin.reagents`), or "95 %" of the set-point. Turnovers (or else the by-product)
                age the bath by its life up to there. A fresh bath without.
            round_ml: Smallest step of the measure: doses are rounded to whole steps.
            calendar: Racks of the shift, a CSV file with hours from its start.
            sure: Take analyses far off their set-points as they stand.
            start: When it begins, "2026-03-02 06:00" by the clock on the wall: its racks are those
                of the recipe's calendar from then on.

        Raises:
            UnknownNameError: For an analysis of something nobody knows.
            RecipeError: For a value that cannot be, and, unless `sure`, for an analysis from twice
                its set-point up, below a fifth of it, or 1.5 pH off.

        Warns:
            BathkinWarning: For an analysis a quarter off its set-point, or half a pH.

        Example:
            >>> import bathkin as bk
            >>> plan = bk.load_recipe("nickel-acid").plan(8, {"nickel_g_l": 5.6}, round_ml=50)
            >>> plan.additions[0].replenisher, plan.additions[0].volume_ml
            ('nickel replenisher', 1600.0)
        """
        from bathkin.life.plan import plan

        return plan(
            self, shift_h, {} if now is None else now, round_ml, calendar, sure=sure, start=start
        )

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Recipe) and self._core == other._core

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Recipe, (self._core,)


def load_recipe(name_or_path: str | os.PathLike[str]) -> Recipe:
    """A built-in recipe by name, or a recipe from a TOML file.

    Args:
        name_or_path: A name from `recipes()`, or a path with a directory or an extension in it.

    Raises:
        UnknownNameError: For a name that is no built-in recipe, or an unknown key in the file.
        RecipeError: For a file that cannot be read or a value that cannot be used, with the line.

    Example:
        >>> import bathkin as bk
        >>> bk.load_recipe("nickel-acid").metal
        'nickel'
    """
    if not isinstance(name_or_path, (str, os.PathLike)):
        expected = "expected the name of a recipe, or the path of its file"
        raise RecipeError(f"load_recipe: got {type(name_or_path).__name__}: {expected}")
    return Recipe(_core.Recipe.load(os.fspath(name_or_path)))


def as_recipe(recipe: Recipe | str | os.PathLike[str]) -> Recipe:
    """A recipe, or the one of that name or path.

    Raises:
        RecipeError: For anything else; as `load_recipe`.
    """
    return recipe if isinstance(recipe, Recipe) else load_recipe(recipe)


def load_changed(
    name_or_path: str | os.PathLike[str], changes: Sequence[tuple[str, Value | None, str]]
) -> Recipe:
    """The same with changes (path, value, by whom), checked once all of them are made."""
    return Recipe(with_values(_core.Recipe.load(os.fspath(name_or_path)), changes))


def recipes() -> list[str]:
    """Names of the built-in recipes.

    Example:
        >>> import bathkin as bk
        >>> "nickel-acid" in bk.recipes()
        True
    """
    return _core.built_in_recipes()
