"""What a recipe says: names, numbers with their paths, constants, laws."""

from __future__ import annotations

import difflib
import json
from functools import cached_property
from pathlib import Path, PurePath
from typing import Any

from bathkin import _core
from bathkin.core import layout
from bathkin.core.arguments import word
from bathkin.core.flags import Flag
from bathkin.core.origin import digest_of
from bathkin.errors import UnknownNameError
from bathkin.recipe.constants import SpeciesConstant
from bathkin.recipe.equations import Equations
from bathkin.recipe.results import (
    ApparentEnergy,
    Entry,
    Heading,
    Parameter,
    Quantity,
    Reagent,
    Substrate,
)
from bathkin.recipe.values import Value

# A calendar's path in a recipe, and the key of what a recipe stands on.
CALENDAR, _BASE = "work.calendar", "base"


class RecipeDocument:
    """What is read of a recipe; `Recipe` adds what is asked of it."""

    def __init__(self, core: _core.Recipe) -> None:
        self._core = core
        # Checks every value now, not when the bath is made.
        core.check()

    @cached_property
    def _heading(self) -> Heading:
        return self._core.heading()

    @property
    def name(self) -> str:
        """Name, as `load_recipe` takes it for a built-in one."""
        return self._heading.name

    @property
    def title(self) -> str:
        """A line on what it is."""
        return self._heading.title

    @property
    def metal(self) -> str:
        """The metal that is plated."""
        return self._heading.metal

    @property
    def reductant(self) -> str:
        """The reductant."""
        return self._heading.reductant

    @property
    def by_product(self) -> str:
        """What the reductant becomes."""
        return self._heading.by_product

    @property
    def backing(self) -> str:
        """How far it is backed by published data."""
        return self._heading.backing

    @property
    def disagreements(self) -> list[str]:
        """Where published laws and numbers of such baths disagree, with their sources."""
        return list(self._heading.disagreements)

    @property
    def cautions(self) -> list[str]:
        """Cautions to read before use."""
        return list(self._heading.cautions)

    @property
    def cite(self) -> list[str]:
        """What to cite."""
        return list(self._heading.cite)

    @property
    def flags(self) -> list[Flag]:
        """Warnings found when reading it, such as a value outside its range."""
        return self._core.flags()

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
        # A calendar counts by its name: its content has a digest of its own.
        values = {
            entry.path: PurePath(entry.value).name if entry.path == CALENDAR else entry.value
            for entry in self.numbers()
            if entry.path != _BASE
        }
        return digest_of(json.dumps(values, sort_keys=True, ensure_ascii=False).encode())

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
        return self._core.numbers()

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
        return self._core.roles()

    def quantities(self) -> list[Quantity]:
        """What can be read off its bath, in the order of the columns of a life.

        Example:
            >>> import bathkin as bk
            >>> known = {one.name: one for one in bk.load_recipe("nickel-acid").quantities()}
            >>> known["specific_gravity"].worse, known["orthophosphite_mol_l"].title
            ('rising', 'orthophosphite')
        """
        return self._core.quantities()

    def words(self, name: str) -> tuple[str, str]:
        """A column or a limit of its bath in words, and its unit; a name nobody knows is its own.

        Example:
            >>> import bathkin as bk
            >>> bk.load_recipe("nickel-acid").words("phosphorus_wt_pct_min")
            ('phosphorus (lowest)', 'wt%')
        """
        return self._core.words(name)

    @property
    def alloy(self) -> str | None:
        """Name of the alloying element; None for a pure metal."""
        return self.words(self.alloy_column)[0] if self.alloy_column else None

    def parameters(self) -> list[Parameter]:
        """The numbers that can be set, those that the recipe leaves out with their defaults too.

        Constants of the species of its bath come last.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> ph = {one.path: one for one in recipe.parameters()}["operation.ph"]
            >>> ph.value, ph.bounds, ph.scale, ph.role
            (4.8, '0 to 14', 'linear', 'operation')
        """
        return self._core.parameters()

    def schema(self) -> dict[str, Any]:
        """The JSON Schema (draft 2020-12) of recipes like this one and the built-in ones.

        An editor that reads it completes keys and shows their units, bounds and defaults.

        Example:
            >>> import bathkin as bk
            >>> schema = bk.load_recipe("nickel-acid").schema()
            >>> schema["properties"]["operation"]["properties"]["temperature_c"]["description"]
            'temperature of operation, degC: 0 to 100'
        """
        return self._core.schema()

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
        return self._core.constants()

    def solid_constants(self) -> list[SpeciesConstant]:
        """The formation constants of the solids that can fall out of this bath, in the same form.

        Example:
            >>> import bathkin as bk
            >>> recipe = bk.load_recipe("nickel-acid")
            >>> [(one.name, one.log_k_25c) for one in recipe.solid_constants()]
            [('nickel_phosphite', 4.389), ('nickel_hydroxide', -12.794)]
        """
        return self._core.solid_constants()

    def substrates(self) -> list[Substrate]:
        """The substrates of this metal and reductant, with what the recipe adds or changes.

        Example:
            >>> import bathkin as bk
            >>> known = {one.name: one for one in bk.load_recipe("nickel-acid").substrates()}
            >>> known["copper"].behaviour, [start.activation for start in known["copper"].starts]
            ('needs_contact', ['contact', 'nickel_strike', 'palladium'])
        """
        return self._core.substrates()

    def reagents(self) -> list[Reagent]:
        """Reagents and components it may be made of, with molar masses and spellings.

        Example:
            >>> import bathkin as bk
            >>> known = {one.name: one for one in bk.load_recipe("nickel-acid").reagents()}
            >>> known["nickel_hypophosphite_hexahydrate"].bought_for
            'nickel'
        """
        return self._core.reagents()

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
        return self._core.equations(notation)

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
        return self._core.apparent_activation_energy()

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
        value = self._core.value(path)
        if value is not None:
            return value
        values = [entry.path for entry in self.numbers()]
        near = difflib.get_close_matches(path, values, 3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        message = f"recipe {self.name} sets no value at '{path}'{hint}"
        raise UnknownNameError(message, name=path, valid=values)

    def make_up_components(self) -> list[str]:
        """Names of the components dissolved in the fresh bath."""
        return [name for name, _ in self._core.make_up().totals()]

    def _shown(self) -> list[tuple[str, str]]:
        rows = [
            ("metal", self.metal),
            ("reductant", self.reductant),
            ("by_product", self.by_product),
        ]
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
