"""Recipes: a bath as a document whose numbers all have a path."""

from __future__ import annotations

import difflib
import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core import layout
from bathkin.core.arguments import word
from bathkin.core.flags import Flag, read_flags
from bathkin.core.numbers import shown
from bathkin.core.progress import Progress
from bathkin.errors import RecipeError, UnknownNameError
from bathkin.recipe.constants import SpeciesConstant, read_constants
from bathkin.recipe.equations import ApparentEnergy, Equations, equations_of
from bathkin.recipe.reagents import Reagent, read_reagents
from bathkin.recipe.substrates import Substrate, read_substrates
from bathkin.recipe.values import Entry, Value, read_value

if TYPE_CHECKING:
    from bathkin.bath.bath import Bath
    from bathkin.life.life import Life
    from bathkin.life.plan import Plan
    from bathkin.life.sensitivity import LifeSensitivity
    from bathkin.life.strategies import BleedForLimit, SteadyBleed


class Recipe:
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

    def __init__(self, core: _core.Recipe) -> None:
        self._core = core
        # Checks every value now, not when the bath is made.
        self._heading: dict[str, Any] = json.loads(core.heading())

    @property
    def name(self) -> str:
        """Name, as `load_recipe` takes it for a built-in one."""
        return str(self._heading["name"])

    @property
    def title(self) -> str:
        """A line on what it is."""
        return str(self._heading["title"])

    @property
    def metal(self) -> str:
        """The metal that is plated."""
        return str(self._heading["metal"])

    @property
    def reductant(self) -> str:
        """The reductant."""
        return str(self._heading["reductant"])

    @property
    def by_product(self) -> str:
        """What the reductant becomes."""
        return str(self._heading["by_product"])

    @property
    def backing(self) -> str:
        """How far it is backed by published data."""
        return str(self._heading["backing"])

    @property
    def disagreements(self) -> list[str]:
        """Where published laws and numbers of such baths disagree, with their sources."""
        return list(self._heading["disagreements"])

    @property
    def cautions(self) -> list[str]:
        """Cautions to read before use."""
        return list(self._heading["cautions"])

    @property
    def cite(self) -> list[str]:
        """What to cite."""
        return list(self._heading["cite"])

    @property
    def flags(self) -> list[Flag]:
        """Warnings found when reading it, such as a value outside its range."""
        return read_flags(self._core.flags())

    @property
    def alloy_column(self) -> str | None:
        """Name of the alloying element's column, `phosphorus_wt_pct`; None for a pure metal."""
        return self._core.alloy_column()

    @property
    def file(self) -> str:
        """File it was read from, or the name of the built-in recipe."""
        return self._core.file

    def is_built_in(self) -> bool:
        """Whether it was read by a built-in name, whatever was changed since."""
        return self.file not in self._core.files()

    @property
    def digest(self) -> str:
        """SHA-256 of what every path holds: two recipes that compute the same have the same.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> recipe.set("tank.volume_l", 300).set("tank.volume_l", 400).digest == recipe.digest
            True
        """
        from bathkin.reports.inputs import recipe_digest

        return recipe_digest(self)

    @property
    def changed(self) -> dict[str, Value]:
        """What was changed since it was read, by path.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").set("tank.volume_l", "300 L").changed
            {'tank.volume_l': 300.0}
        """
        return dict(self._core.overrides())

    def files(self) -> list[Path]:
        """Files that it is read from: its own, unless it is built in, and the calendar it names.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").files()
            []
        """
        return [Path(name) for name in self._core.files()]

    @property
    def text(self) -> str:
        """The document it was read from, without later overrides."""
        return self._core.text

    def numbers(self) -> list[Entry]:
        """Every value with its path, source, kind, range and place, in the order of the document.

        Example:
            >>> import bathkin as bk
            >>> entries = {entry.path: entry for entry in bk.load_recipe("nickel-acid").numbers()}
            >>> entries["operation.temperature_c"].range
            (75.0, 95.0)
        """
        return [
            Entry(**{**entry, "range": tuple(entry["range"]) if entry["range"] else None})
            for entry in json.loads(self._core.numbers())
        ]

    @property
    def roles(self) -> dict[str, list[str]]:
        """What components are for beside metal, reductant and by-product.

        `complexant`, `buffer`, `stabilizer`, `accelerator`, one or several; `role.COMPONENT` sets
        them, or `none`. A life, a plan and a comparison say when one leaves 80 to 120 % of its
        make-up.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").roles
            {'acetate': ['buffer'], 'lactate': ['complexant']}
        """
        found: dict[str, list[str]] = json.loads(self._core.roles())
        return found

    def constants(self) -> list[SpeciesConstant]:
        """The formation constants of the species in this bath, each with what else there is for it.

        Each has its width, stated or by class, and says what its enthalpy rests on.
        `species.NAME.constant` chooses another by its label; `constants.set` chooses all of a
        label at once, solids too, and constants of one `group` belong together.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> disputed = {one.name: one for one in recipe.constants()}["dihydrogen_phosphite"]
            >>> disputed.log_k_25c, disputed.alternatives[0].label
            (6.7, 'hkf')
            >>> other = recipe.set("constants.set", "hkf")
            >>> {one.name: one.log_k_25c for one in other.constants()}["dihydrogen_phosphite"]
            6.121
        """
        return read_constants(self._core.constants())

    def solid_constants(self) -> list[SpeciesConstant]:
        """The formation constants of the solids that can fall out of this bath, in the same form.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> [(one.name, one.log_k_25c) for one in recipe.solid_constants()]
            [('nickel_phosphite', 4.389), ('nickel_hydroxide', -12.794)]
        """
        return read_constants(self._core.solid_constants())

    def substrates(self) -> list[Substrate]:
        """The substrates of this metal and reductant, with what the recipe adds or changes.

        Example:
            >>> import bathkin as bk
            >>> known = {one.name: one for one in bk.load_recipe("nickel-acid").substrates()}
            >>> known["copper"].behaviour, [start.activation for start in known["copper"].starts]
            ('needs_contact', ['contact', 'nickel_strike', 'palladium'])
        """
        return read_substrates(self._core.substrates())

    def reagents(self) -> list[Reagent]:
        """Reagents and components it may be made of, with molar masses and spellings.

        Example:
            >>> import bathkin as bk
            >>> known = {one.name: one for one in bk.load_recipe("nickel-acid").reagents()}
            >>> known["nickel_hypophosphite_hexahydrate"].bought_for
            'nickel'
        """
        return read_reagents(self._core.reagents())

    def equations(self, notation: str = "text") -> Equations:
        """Half-reactions, the overall reaction of the fresh bath, and the laws with their numbers.

        Args:
            notation: `text`, `markdown` (LaTeX between dollar signs) or `latex`.

        Raises:
            UnknownNameError: For another notation.
            RecipeError, ConvergenceError: As `make_up`.

        Example:
            >>> import bathkin as bk
            >>> equations = bk.load_recipe("copper-tartrate").equations()
            >>> equations.half_reactions["metal"]
            'Cu+2 + 2 e- -> Cu'
        """
        return equations_of(self._core, notation)

    def apparent_activation_energy(self) -> ApparentEnergy | None:
        """The activation energy the fresh bath shows between the ends of its range of temperature.

        Other than the one in its law: hydroxide, free metal and diffusion move with the
        temperature too. The bath is run as `operation.ph_reading` says.

        Returns:
            Energies in kJ/mol, temperatures in degC; None where `operation.temperature_c` has no
            range.

        Raises:
            RecipeError, ConvergenceError: As `make_up`, at the ends of the range.

        Example:
            >>> import bathkin as bk
            >>> energy = bk.load_recipe("silver-tartrate").apparent_activation_energy()
            >>> round(energy.as_run_kj_mol, 1), energy.stated_kj_mol
            (24.0, 24.0)
        """
        found = json.loads(self._core.apparent_activation_energy())
        return None if found is None else ApparentEnergy(**found)

    def get(self, path: str) -> Any:
        """The value at a path, a number in the unit that ends the path.

        Args:
            path: Dotted path.

        Raises:
            UnknownNameError: When the recipe sets no such value.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").get("tank.volume_l")
            400.0
        """
        path = word("get", path)
        values = {entry.path: entry.value for entry in self.numbers()}
        if path in values:
            return values[path]
        near = difflib.get_close_matches(path, values, 3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        message = f"recipe {self.name} sets no value at '{path}'{hint}"
        raise UnknownNameError(message, name=path, valid=list(values))

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

    def _changed(self, changes: list[tuple[str, Value | None]], by: str) -> Recipe:
        return Recipe(_with_values(self._core, [(path, value, by) for path, value in changes]))

    def make_up_components(self) -> list[str]:
        """Names of the components dissolved in the fresh bath."""
        return [name for name, _ in self._core.make_up().totals()]

    def make_up(self) -> Bath:
        """The fresh bath: weighed out, its pH set.

        Raises:
            RecipeError: When the pH cannot be reached with the named reagent.

        Warns:
            BathkinWarning: For values outside the range the recipe was made for.
        """
        from bathkin.bath.bath import make_up

        return make_up(self, stacklevel=4)

    def simulate_life(self, progress: Progress = None) -> Life:
        """The life of the bath; see `bathkin.simulate_life`."""
        from bathkin.life.life import run

        return run(self, progress, stacklevel=4)

    def life_sensitivity(self, paths: Sequence[str] | None = None) -> LifeSensitivity:
        """Sensitivity of the dump time to each number of the recipe.

        Args:
            paths: Numbers to move; without, all that a shop or a chemist can move.

        Raises:
            UnknownNameError: For a path that holds no number.

        Example:
            >>> import bathkin as bk
            >>> path = "limits.orthophosphite_g_l_as_hpo3"
            >>> found = bk.load_recipe("nickel-acid").life_sensitivity([path])
            >>> bool(0.9 < found.table()["turnovers"][path] < 1.1)
            True
        """
        from bathkin.life.sensitivity import LifeSensitivity

        return LifeSensitivity(self, paths)

    def steady_bleed(self, bleed_per_turnover: float) -> SteadyBleed:
        """Where a bleed of a part of the bath per turnover of plated metal ends.

        Example:
            >>> import bathkin as bk
            >>> steady = bk.load_recipe("nickel-acid").steady_bleed(0.2)
            >>> steady.levels["orthophosphite_mol_l"] < 1.5
            True
        """
        from bathkin.life.strategies import steady_bleed

        return steady_bleed(self, bleed_per_turnover)

    def bleed_for(self, limit: str) -> BleedForLimit:
        """The least bleed that holds a limit for ever, by the limit's name in a life.

        Example:
            >>> import bathkin as bk
            >>> needed = bk.load_recipe("nickel-acid").bleed_for("orthophosphite_mol_l")
            >>> 0.1 < needed.bleed_per_turnover < 0.2
            True
        """
        from bathkin.life.strategies import bleed_for

        return bleed_for(self, limit)

    def plan(
        self,
        shift_h: float = 8.0,
        now: Mapping[str, float | str] | None = None,
        round_ml: float | None = None,
        calendar: str | os.PathLike[str] | None = None,
        sure: bool = False,
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

        Raises:
            UnknownNameError: For an analysis of something nobody knows.
            RecipeError: For a value that cannot be, and, unless `sure`, for an analysis from twice
                its set-point up, below a fifth of it, or 1.5 pH off.

        Warns:
            BathkinWarning: For an analysis a quarter off its set-point, or half a pH.

        Example:
            >>> import bathkin as bk
            >>> plan = bk.load_recipe("nickel-acid").plan(8, {"nickel_g_l": 5.6}, round_ml=50)
            >>> plan.additions[0]["replenisher"], plan.additions[0]["volume_ml"]
            ('nickel replenisher', 1600.0)
        """
        from bathkin.life.plan import plan

        return plan(self, shift_h, {} if now is None else now, round_ml, calendar, sure=sure)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Recipe) and self._core == other._core

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Recipe, (self._core,)

    def _shown(self) -> list[tuple[str, str]]:
        rows = [(name, str(self._heading[name])) for name in ("metal", "reductant", "by_product")]
        wanted = {
            "operation.temperature_c": "temperature_c",
            "operation.ph": "ph",
            "tank.volume_l": "volume_l",
            "work.loading_dm2_l": "loading_dm2_l",
        }
        for entry in self.numbers():
            section, _, word = entry.path.partition(".")
            if entry.path in wanted:
                rows.append((wanted[entry.path], _shown_value(entry.value)))
            elif section == "make_up":
                rows.append((word, _shown_value(entry.value)))
        return [*rows, ("backing", self.backing)]

    def __repr__(self) -> str:
        return layout.card(f"{self.name}: {self.title}", self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(f"{self.name}: {self.title}", self._shown())


def _shown_value(value: Any) -> str:
    """A number, or the word that stands for it: off."""
    return value if isinstance(value, str) else layout.number(value)


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
    return Recipe(_with_values(_core.Recipe.load(os.fspath(name_or_path)), changes))


def _with_values(
    core: _core.Recipe, changes: Sequence[tuple[str, Value | None, str]]
) -> _core.Recipe:
    """A recipe, not checked yet, with changes (path, value, by whom)."""
    known = {entry["path"]: entry["value"] for entry in json.loads(core.numbers())}
    for path, value, by in changes:
        if not isinstance(path, str):
            raise RecipeError(f"{by}: {shown(path)}: expected a path, or paths with their values")
        if value is None:
            raise RecipeError(f"{by}: {path}: expected a value")
        core = core.with_value(path, read_value(path, value, known.get(path), by), by)
    return core


def recipes() -> list[str]:
    """Names of the built-in recipes.

    Example:
        >>> import bathkin as bk
        >>> "nickel-acid" in bk.recipes()
        True
    """
    return _core.built_in_recipes()
