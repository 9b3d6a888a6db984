"""A fresh bath, what it does to a surface, and one load plated in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.bath.grids import grid
from bathkin.bath.over_ph import OverPh, PhAdjustment
from bathkin.bath.plate import Plate
from bathkin.bath.polarisation import Polarisation
from bathkin.bath.rate import Rate
from bathkin.bath.saturation import Saturation
from bathkin.bath.sensitivities import BathSensitivities
from bathkin.core import layout
from bathkin.core.arguments import word
from bathkin.core.flags import Flag, of_rates, warn
from bathkin.core.result import made_from
from bathkin.core.units import to_number
from bathkin.recipe.recipe import Recipe

if TYPE_CHECKING:
    from bathkin.bath.grids import Points

_DM2_PER_M2 = 100.0


class Bath(OverPh, Saturation):
    """A bath made up from a recipe, before any work.

    Made by `Recipe.make_up`. Pickles as its recipe; equal when the recipes are.

    Example:
        >>> import bathkin as bk
        >>> bath = bk.load_recipe("nickel-acid").make_up()
        >>> round(bath.ph, 2)
        4.8
        >>> bath.ph_adjustment.reagent
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
        """pH at the bath temperature."""
        return self._core.ph

    def ph_at(self, temperature_c: float | str = 25.0) -> float:
        """pH of a sample brought to another temperature.

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
        """pH of a sample cooled to 25 degC."""
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
    def free_naoh_g_l(self) -> float | None:
        """Free hydroxide as sodium hydroxide, g/L; None unless held by alkali (pH above 10)."""
        return self._core.free_naoh_g_l()

    @property
    def ph_adjustment(self) -> PhAdjustment | None:
        """Reagent that set the pH and its amount; None if none did."""
        return self._core.ph_adjustment()

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with what this bath shows."""
        return self._core.flags()

    def rate(self) -> Rate:
        """Rates on a surface in this bath.

        Warns:
            BathkinWarning: For what was set in the bath and is in no law of the recipe.

        Example:
            >>> import bathkin as bk
            >>> rate = bk.load_recipe("nickel-acid").make_up().rate()
            >>> 15 < rate.deposition_um_h < 20
            True
            >>> 8 < rate.phosphorus_wt_pct < 11
            True
            >>> round(rate.factors["temperature"], 3)
            1.0
        """
        warn(of_rates(self._recipe.flags))
        return self._core.rate()

    def sensitivities(self) -> BathSensitivities:
        """Sensitivity of pH, ionic strength, free metal and every species.

        Exact derivatives with respect to each total, the temperature and each constant.

        Raises:
            ConvergenceError: When the equations are singular.

        Example:
            >>> import bathkin as bk
            >>> sensitivities = bk.load_recipe("nickel-acid").make_up().sensitivities()
            >>> list(sensitivities.table().columns)
            ['ph', 'ionic_strength_mol_l', 'free_metal_mol_l']
        """
        return BathSensitivities(self)

    def polarisation(
        self, potential_v: Points = (-0.9, -0.3), reference: str = "SHE"
    ) -> Polarisation:
        """Partial currents of the half-reactions over potentials, and the mixed potential.

        The bath is taken as it is: nothing is used up while the potential moves.

        Args:
            potential_v: A tuple of two for a range in steps of 2 mV, else the potentials, V
                against the reference electrode.
            reference: SHE, SCE (saturated calomel) or AgAgCl (saturated KCl), kept at 25 degC.

        Raises:
            RecipeError: For a recipe of rate laws, which knows no potential; outside -3 to 3 V SHE.
            UnknownNameError: For another electrode.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-mixed-potential").make_up()
            >>> curves = bath.polarisation((-0.8, -0.5), "SCE")
            >>> curves.reference, round(curves.mixed_potential_v, 2)
            ('SCE', -0.64)
        """
        points = grid("potential_v", potential_v, "polarisation", step=0.002)
        found = _core.polarisation(self._core, points, word("reference", reference))
        return made_from(found, self)

    def plate(
        self,
        minutes: float | str = 60.0,
        area_dm2: float | str = 20.0,
        substrate: str | None = None,
        activation: str | None = None,
    ) -> Plate:
        """One load, plated with nothing added.

        Args:
            minutes: Time in the bath, min, or a text with a unit.
            area_dm2: Area, dm2, or a text with a unit ("2 ft2").
            substrate: What is plated, as `Recipe.substrates` lists them; the recipe's
                `work.substrate` (steel) without it.
            activation: What is done to it so that it starts: "contact", "nickel strike",
                "copper strike", "palladium" or "none".

        Raises:
            RecipeError: For a time or an area that is not above zero, and for a substrate on which
                deposition does not start so; the message says what practice does.
            UnknownNameError: For a substrate or an activation that is not known.
            ConvergenceError: When the integration fails.

        Warns:
            BathkinWarning: When the load uses more of the bath than the laws were made for, or
                comes out before it is covered.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> load = bath.plate(minutes=30, area_dm2=10)
            >>> 7 < load.thickness_um < 10
            True
            >>> copper = bath.plate(30, 10, substrate="copper", activation="contact")
            >>> 1 < copper.induction_s < 10
            True
        """
        area_m2 = to_number("area_dm2", area_dm2, "plate") / _DM2_PER_M2
        on = None if substrate is None else word("substrate", substrate)
        by = None if activation is None else word("activation", activation)
        load = self._core.plate(area_m2, to_number("minutes", minutes, "plate"), on, by)
        known = self.flags
        warn(load.flags, known=[flag for flag in known if flag not in of_rates(known)])
        return load

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Bath) and self._recipe == other._recipe

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Bath, (self._recipe,)

    def _shown(self) -> list[tuple[str, str]]:
        rows = [
            ("temperature_c", layout.number(self.temperature_c)),
            ("ph", f"{self.ph:.2f}"),
            ("ph_25c", f"{self.ph_25c:.2f}"),
            ("ionic_strength_mol_l", layout.number(self.ionic_strength_mol_l)),
            ("specific_gravity", f"{self.specific_gravity:.3f}"),
            ("buffer_capacity_mol_l", layout.number(self.buffer_capacity_mol_l)),
        ]
        rows += [(f"{name}_g_l", layout.number(grams)) for name, grams in self.make_up().items()]
        adjustment = self.ph_adjustment
        if adjustment is not None:
            grams = layout.number(adjustment.g_l)
            rows.append((f"{adjustment.reagent}_g_l", f"{grams} for the pH"))
        return rows

    def __repr__(self) -> str:
        return layout.card(f"fresh bath of {self._recipe.name}", self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(f"fresh bath of {self._recipe.name}", self._shown())


def make_up(recipe: Recipe, *, stacklevel: int = 3) -> Bath:
    """The fresh bath of a recipe, with warnings for what is doubtful."""
    bath = Bath(recipe)
    flags = bath.flags
    # What no law contains matters once a rate is asked for.
    warn(flags, known=of_rates(flags), stacklevel=stacklevel)
    return bath
