"""A fresh bath, what it does to a surface, and one load plated in it."""

from __future__ import annotations

import json
from typing import Any

from bathkin import _core, tables
from bathkin.flags import Flag, read_flags, warn
from bathkin.over_ph import OverPh
from bathkin.recipe import Recipe
from bathkin.records import Record
from bathkin.saturation import Saturation
from bathkin.slopes import Slopes
from bathkin.units import to_number

_DM2_PER_M2 = 100.0


class Rate(Record):
    """What a surface does in a bath.

    Attributes:
        deposition_um_h: Growth of the deposit, um/h.
        deposition_mg_cm2_h: Mass of the deposit, mg/(cm2 h).
        phosphorus_wt_pct: Alloying element, wt%; named after the recipe's alloying element.
        hydrogen_l_m2_h: Hydrogen, L/(m2 h) at 25 degC and 1 atm.
        density_g_cm3: Density of the deposit, g/cm3.
        reductant_per_metal_mol: Reductant used per metal deposited, mol/mol.
        reductant_efficiency: Metal deposited per reductant used, mol/mol.
        by_product_per_metal_mol: By-product made per metal deposited, mol/mol.
        half_reactions_mol_m2_s: Rate of each half-reaction by name, mol/(m2 s).
        temperature_c: Bath temperature, degC.
        ph: pH in the bath.
        free_metal_mol_l: Uncomplexed metal, mol/L.
        ionic_strength_mol_l: Ionic strength, mol/L.
        surface_ph: pH at the surface; that of the bath without a film.
        surface_metal_mol_l: Metal at the surface in all forms, mol/L; the bath's without a film.
        steady_states: Number of steady states the surface may take behind its film; one without.
    """

    _title = "Rate"

    deposition_um_h: float
    deposition_mg_cm2_h: float
    hydrogen_l_m2_h: float
    density_g_cm3: float
    reductant_per_metal_mol: float
    reductant_efficiency: float
    by_product_per_metal_mol: float
    half_reactions_mol_m2_s: dict[str, float]
    temperature_c: float
    ph: float
    free_metal_mol_l: float
    ionic_strength_mol_l: float
    surface_ph: float
    surface_metal_mol_l: float
    steady_states: int


class Plate(Record):
    """One load, plated with nothing added.

    Attributes:
        thickness_um: Mean thickness, um.
        mass_g: Mass of the deposit, g.
        metal_g: Metal in it, g.
        phosphorus_wt_pct: Alloying element, wt%; named after the recipe's alloying element.
        density_g_cm3: Density of the deposit, g/cm3.
        minutes: Time in the bath, min.
        area_dm2: Area, dm2.
        deposition_start_um_h: Rate at the start, um/h.
        deposition_end_um_h: Rate at the end, um/h.
        metal_end_g_l: Metal left in the bath, g/L.
        reductant_end_mol_l: Reductant left, mol/L.
        by_product_end_mol_l: By-product made, mol/L.
        ph_end: pH at the end, in the bath.
        flags: Doubts.
    """

    _title = "Load"

    thickness_um: float
    mass_g: float
    metal_g: float
    density_g_cm3: float
    minutes: float
    area_dm2: float
    deposition_start_um_h: float
    deposition_end_um_h: float
    metal_end_g_l: float
    reductant_end_mol_l: float
    by_product_end_mol_l: float
    ph_end: float
    flags: list[Flag]


class Bath(OverPh, Saturation):
    """A bath made up from a recipe, before any work.

    Made by `Recipe.make_up`. Pickles as its recipe; equal when the recipes are.

    Example:
        >>> import bathkin as bk
        >>> bath = bk.load_recipe("nickel-acid").make_up()
        >>> round(bath.ph, 2)
        4.8
        >>> bath.ph_adjustment["reagent"]
        'sodium_hydroxide'
    """

    def __init__(self, recipe: Recipe) -> None:
        self._recipe = recipe
        self._core: _core.Bath = recipe._core.make_up()

    @property
    def recipe(self) -> Recipe:
        """The recipe that made it."""
        return self._recipe

    @property
    def ph(self) -> float:
        """PH at the bath temperature."""
        return self._core.ph

    def ph_at(self, temperature_c: float | str = 25.0) -> float:
        """PH of a sample brought to another temperature.

        Args:
            temperature_c: Temperature, degC, or a text with a unit.

        Raises:
            RecipeError: Outside 0 to 100 degC.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> bath.ph_at("77 degF") == bath.ph_25c
            True
        """
        return self._core.ph_at(to_number("temperature_c", temperature_c, "ph_at"))

    @property
    def ph_25c(self) -> float:
        """PH of a sample cooled to 25 degC."""
        return self.ph_at(25.0)

    @property
    def temperature_c(self) -> float:
        """Temperature, degC."""
        return self._core.temperature_c

    @property
    def ionic_strength_mol_l(self) -> float:
        """Ionic strength, mol/L."""
        return self._core.ionic_strength_mol_l

    @property
    def specific_gravity(self) -> float:
        """Mass of the liquid at 25 degC over that of as much water."""
        return self._core.specific_gravity

    def density_kg_m3(self, temperature_c: float | str = 25.0) -> float:
        """Density at a temperature, kg/m3, from apparent molar volumes.

        Good to 2 kg/m3 at 25 degC and 5 at 80 degC.

        Args:
            temperature_c: Temperature, degC, or a text with a unit.

        Raises:
            RecipeError: Outside 0 to 100 degC.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> round(bath.density_kg_m3(25) / 997.05, 3) == round(bath.specific_gravity, 3)
            True
        """
        return self._core.density_kg_m3(to_number("temperature_c", temperature_c, "density_kg_m3"))

    @property
    def buffer_capacity_mol_l(self) -> float:
        """Strong base per unit of pH, mol/L."""
        return self._core.buffer_capacity_mol_l

    def species(self) -> dict[str, float]:
        """Every dissolved substance by name, mol/L: free ions, complexes, acids."""
        return dict(self._core.species())

    def totals(self) -> dict[str, float]:
        """Every component by name, mol/L, free and bound together."""
        return dict(self._core.totals())

    def activity_coefficients(self) -> dict[str, float]:
        """The molal activity coefficient of every dissolved substance by name.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> bath.activity_coefficients()["sulfate"] < 0.3
            True
        """
        return dict(self._core.activity_coefficients())

    @property
    def water_activity(self) -> float:
        """Activity of the water, 1 for pure water."""
        return self._core.water_activity

    def make_up(self) -> dict[str, float]:
        """What was weighed out by name, g/L, without the pH adjustment."""
        return dict(self._core.make_up())

    @property
    def ph_adjustment(self) -> dict[str, Any] | None:
        """Reagent that set the pH and its amount (`reagent`, `mol_l`, `g_l`); None if none did."""
        adjustment: dict[str, Any] | None = json.loads(self._core.ph_adjustment())
        return adjustment

    @property
    def flags(self) -> list[Flag]:
        """Doubts that go with what this bath shows."""
        return read_flags(self._core.flags())

    def rate(self) -> Rate:
        """Rates on a surface in this bath.

        Example:
            >>> import bathkin as bk
            >>> rate = bk.load_recipe("nickel-acid").make_up().rate()
            >>> 15 < rate.deposition_um_h < 20
            True
            >>> 8 < rate.phosphorus_wt_pct < 11
            True
        """
        return Rate(rate_values(json.loads(self._core.rate()), self._recipe.alloy_column))

    def slopes(self) -> Slopes:
        """What pH, ionic strength, free metal and every species hang on.

        Exact derivatives with respect to each total, the temperature and each constant.

        Raises:
            ConvergenceError: When the equations are singular.

        Example:
            >>> import bathkin as bk
            >>> slopes = bk.load_recipe("nickel-acid").make_up().slopes()
            >>> list(slopes.table().columns)
            ['ph', 'ionic_strength_mol_l', 'free_metal_mol_l']
        """
        return Slopes(self)

    def plate(self, minutes: float | str = 60.0, area_dm2: float | str = 20.0) -> Plate:
        """One load, plated with nothing added.

        Args:
            minutes: Time in the bath, min, or a text with a unit.
            area_dm2: Area, dm2, or a text with a unit ("2 ft2").

        Raises:
            RecipeError: For a time or an area that is not above zero.
            ConvergenceError: When the integration fails.

        Warns:
            BathkinWarning: When the load uses more of the bath than the laws were made for.

        Example:
            >>> import bathkin as bk
            >>> load = bk.load_recipe("nickel-acid").make_up().plate(minutes=30, area_dm2=10)
            >>> 7 < load.thickness_um < 10
            True
        """
        area_m2 = to_number("area_dm2", area_dm2, "plate") / _DM2_PER_M2
        text = self._core.plate(area_m2, to_number("minutes", minutes, "plate"))
        document = json.loads(text)
        values = _with_alloy(document["load"], self._recipe.alloy_column)
        flags = [Flag(flag["where"], flag["what"]) for flag in document["flags"]]
        warn(flags, known=self.flags)
        return Plate({**values, "flags": flags})

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Bath) and self._recipe == other._recipe

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Bath, (self._recipe,)

    def _shown(self) -> list[tuple[str, str]]:
        rows = [
            ("temperature_c", tables.number(self.temperature_c)),
            ("ph", f"{self.ph:.2f}"),
            ("ph_25c", f"{self.ph_25c:.2f}"),
            ("ionic_strength_mol_l", tables.number(self.ionic_strength_mol_l)),
            ("specific_gravity", f"{self.specific_gravity:.3f}"),
            ("buffer_capacity_mol_l", tables.number(self.buffer_capacity_mol_l)),
        ]
        rows += [(f"{name}_g_l", tables.number(grams)) for name, grams in self.make_up().items()]
        adjustment = self.ph_adjustment
        if adjustment is not None:
            grams = tables.number(adjustment["g_l"])
            rows.append((f"{adjustment['reagent']}_g_l", f"{grams} for the pH"))
        return rows

    def __repr__(self) -> str:
        return tables.card(f"fresh bath of {self._recipe.name}", self._shown())

    def _repr_html_(self) -> str:
        return tables.html_card(f"fresh bath of {self._recipe.name}", self._shown())


def make_up(recipe: Recipe, *, stacklevel: int = 3) -> Bath:
    """The fresh bath of a recipe, with warnings for what is doubtful."""
    bath = Bath(recipe)
    warn(bath.flags, stacklevel=stacklevel)
    return bath


def rate_values(rate: dict[str, Any], alloy_column: str) -> dict[str, Any]:
    """The core's rate with the alloying element named and half-reactions by name."""
    values = _with_alloy(rate, alloy_column)
    values["half_reactions_mol_m2_s"] = dict(values["half_reactions_mol_m2_s"])
    return values


def _with_alloy(values: dict[str, Any], alloy_column: str) -> dict[str, Any]:
    return {alloy_column if name == "alloy_wt_pct" else name: v for name, v in values.items()}
