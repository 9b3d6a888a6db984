"""What a bath answers about another pH."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from bathkin import _core
from bathkin.bath import results
from bathkin.bath.distribution import Distribution
from bathkin.bath.grids import grid
from bathkin.bath.titration import Titration
from bathkin.core.arguments import word
from bathkin.core.flags import warn
from bathkin.core.units import to_number
from bathkin.errors import RecipeError

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.bath.bath import Bath
    from bathkin.bath.grids import Points

# Distance of the points of a range of pH, and of pL.
_STEP = 0.1


class HeldSolution(results.HeldSolution):
    """A bath whose pH is held by strong acid or base."""

    __slots__ = ()
    _title = "Held at a pH"


class PhAdjustment(results.PhAdjustment):
    """The amount of a reagent that sets a pH."""

    __slots__ = ()
    _title = "To set the pH"


class OverPh:
    """The part of `Bath` that asks what the bath would be at another pH."""

    _core: _core.Bath

    def complexed_fraction(self) -> dict[str, float]:
        """Share that is complexed, by component.

        Of the metal it is what is not its free ion; of each component that binds the metal, what
        the metal holds (a protonated ligand is free for the metal).

        Example:
            >>> import bathkin as bk
            >>> shares = bk.load_recipe("nickel-acid").make_up().complexed_fraction()
            >>> 0.7 < shares["nickel"] < 0.95
            True
        """
        return dict(_core.complexed_fractions(self._core))

    def distribution(
        self,
        component: str | None = None,
        ph: Points = (2.0, 8.0),
        temperature_c: float | str | None = None,
    ) -> Distribution:
        """How a component is shared among its species over pH.

        Args:
            component: Component (see `totals`); without one the metal.
            ph: A tuple of two for a range in steps of 0.1, or the values.
            temperature_c: Temperature, degC, or a text with a unit; without one that of the bath.

        Raises:
            UnknownNameError: For a component this bath has not.
            RecipeError: For a pH outside 0 to 14 or a temperature outside 0 to 100 degC.

        Warns:
            BathkinWarning: When some of the solutions are oversaturated with a solid.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> lactate = bath.distribution("lactate", ph=(2, 6))
            >>> lactate.ph.shape
            (41,)
            >>> table = lactate.table()
            >>> bool(table["lactic_acid"].is_monotonic_decreasing)
            True
        """
        points = grid("ph", ph, "distribution", step=_STEP)
        celsius = _celsius(temperature_c, "distribution")
        bath = self._as_bath()
        of = bath.recipe.metal if component is None else word("component", component)
        found = Distribution(bath, of, points, celsius)
        warn(found.flags, known=bath.flags)
        return found

    def titration(
        self,
        reagent: str,
        to_ph: Points | None = None,
        amounts_g_l: Points | None = None,
        temperature_c: float | str | None = None,
    ) -> Titration:
        """The bath titrated with a reagent.

        Args:
            reagent: Acid, base or salt, as recipes name it: `sodium_hydroxide`, `ammonia`.
            to_ph: pHs to reach: one to go there from the bath's own, a tuple of two for a range in
                steps of 0.1, or the values. What the reagent cannot reach is left out.
            amounts_g_l: In its place the amounts, g/L: a tuple of two for a range, or the values.
            temperature_c: Temperature, degC, or a text with a unit; without one that of the bath.

        Raises:
            UnknownNameError: For a reagent nobody knows.
            RecipeError: When no pH can be reached, or for impossible values.

        Warns:
            BathkinWarning: When pHs are left out, or some of the solutions are oversaturated.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> curve = bath.titration("sulfuric_acid", amounts_g_l=(0, 10))
            >>> bool((curve.table()["ph"].diff().dropna() < 0).all())
            True
        """
        if (to_ph is None) == (amounts_g_l is None):
            raise RecipeError("titration: expected either to_ph or amounts_g_l")
        celsius = _celsius(temperature_c, "titration")
        bath = self._as_bath()
        targets = amounts = None
        if amounts_g_l is not None:
            amounts = grid("amounts_g_l", amounts_g_l, "titration")
        elif to_ph is not None:
            if isinstance(to_ph, (int, float, str)):
                own = bath.ph if celsius is None else bath.ph_at(celsius)
                to_ph = (own, to_ph)
            targets = grid("to_ph", to_ph, "titration", step=_STEP)
        found = Titration(bath, word("reagent", reagent), targets, amounts, celsius)
        warn(found.flags, known=bath.flags)
        return found

    def amount_for_ph(
        self, reagent: str, ph: float | str, temperature_c: float | str | None = None
    ) -> PhAdjustment:
        """How much of a reagent brings the bath to a pH.

        Args:
            reagent: Acid or base, as recipes name it.
            ph: pH to reach.
            temperature_c: Temperature at which the pH is read, degC, or a text with a unit; without
                one that of the bath.

        Raises:
            UnknownNameError: For a reagent nobody knows.
            RecipeError: When the bath is past that pH already, or no amount reaches it.

        Example:
            >>> import bathkin as bk
            >>> bath = bk.load_recipe("nickel-acid").make_up()
            >>> 0 < bath.amount_for_ph("ammonia", 5.2).g_l < 2
            True
            >>> bath.amount_for_ph("ammonia", 4.2)
            Traceback (most recent call last):
            bathkin.errors.RecipeError: amount_for_ph: ph = 4.2: expected a pH to which ammonia \
brings this bath; it is at pH 4.80, and ammonia moves it away from 4.2
        """
        celsius = _celsius(temperature_c, "amount_for_ph")
        target = to_number("ph", ph, "amount_for_ph")
        return _core.amount_for_ph(self._core, word("reagent", reagent), target, celsius)

    def at_ph(self, ph: float | str, temperature_c: float | str | None = None) -> HeldSolution:
        """The bath with its pH held by strong acid or base; asked again, the answer is the same.

        Args:
            ph: pH to hold, on the scale that `ph_scale` of the answer names.
            temperature_c: Temperature, degC, or a text with a unit; without one that of the bath.

        Raises:
            RecipeError: For a pH outside 0 to 14 or a temperature outside 0 to 100 degC.

        Example:
            >>> import bathkin as bk
            >>> held = bk.load_recipe("nickel-acid").make_up().at_ph(4.8)
            >>> held.ph_scale
            'molal activity, hot (88 degC)'
            >>> abs(held.base_mol_l) < 1e-9
            True
        """
        celsius = _celsius(temperature_c, "at_ph")
        return _core.held_at_ph(self._core, to_number("ph", ph, "at_ph"), celsius)

    def formation_curve(
        self,
        ligand: str,
        pl: Points = (1.0, 5.0),
        ph: float | str | None = None,
        temperature_c: float | str | None = None,
    ) -> pd.DataFrame:
        """How many of a ligand the metal holds, against pL = -log10 of the free ligand in mol/L.

        Args:
            ligand: Component that binds the metal.
            pl: A tuple of two for a range in steps of 0.1, or the values.
            ph: pH that is held; without one that of the bath.
            temperature_c: Temperature, degC, or a text with a unit; without one that of the bath.

        Returns:
            Columns `pl`, `mean_ligand_number`, `ligand_mol_l` (total that leaves so much free) and
            `free_metal_mol_l`. Everything but the ligand stays as in the bath.

        Raises:
            UnknownNameError: For a component this bath has not.
            RecipeError: For a pL that no amount of the ligand leaves.

        Example:
            >>> import bathkin as bk
            >>> curve = bk.load_recipe("nickel-acid").make_up().formation_curve("lactate")
            >>> bool(curve["mean_ligand_number"].is_monotonic_decreasing)
            True
        """
        import pandas as pd

        call = "formation_curve"
        held = None if ph is None else to_number("ph", ph, call)
        celsius = _celsius(temperature_c, call)
        points = grid("pl", pl, call, step=_STEP)
        ligand = word("ligand", ligand)
        columns = _core.formation_curve(self._core, ligand, points, held, celsius)
        table: pd.DataFrame = pd.DataFrame(columns.to_dict())
        table.attrs = {"recipe": self._as_bath().recipe.name, "ligand": ligand}
        return table

    def _as_bath(self) -> Bath:
        return cast("Bath", self)


def _celsius(temperature_c: float | str | None, by: str) -> float | None:
    return None if temperature_c is None else to_number("temperature_c", temperature_c, by)
