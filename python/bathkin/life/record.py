"""What a life came to: verdict, limits, columns, volumes, books."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.core.flags import Flag, from_dicts
from bathkin.life.verdict import Dump, Limit
from bathkin.recipe.document import RecipeDocument

if TYPE_CHECKING:
    from bathkin.life.cost import LifeCost


class LifeRecord:
    """The numbers of a life; `Life` adds its tables, pictures and files."""

    def __init__(self, recipe: RecipeDocument, core: _core.Life) -> None:
        self._recipe = recipe
        self._core = core
        self._columns = core.columns()
        for values in self._columns.values():
            values.flags.writeable = False
        self._document: dict[str, Any] = json.loads(core.document())

    @property
    def recipe(self) -> RecipeDocument:
        """The recipe that made it."""
        return self._recipe

    @property
    def dump(self) -> Dump:
        """When the bath has to be dumped, and which limit says so."""
        return Dump(self._document["verdict"])

    @property
    def limits(self) -> list[Limit]:
        """Where every limit stands at the end."""
        return [Limit(standing) for standing in self._document["limits"]]

    @property
    def solids(self) -> list[dict[str, Any]]:
        """How far each solid went towards falling out, seen at every stop.

        `name`, `title`, `largest_saturation_index`, `largest_at_h`, and `clouds_from_h`, the clock
        time from which the bath was oversaturated (None while it stayed clear).
        """
        return [dict(solid) for solid in self._document["solids"]]

    @property
    def film(self) -> dict[str, Any] | None:
        """What the film before the surface came to, seen at every stop; None without a film.

        `largest_ph_drop` and `largest_at_h`, `most_steady_states`, and the clock times from which
        the film could not supply the law (`starved_from_h`), could not supply the alkalinity
        (`acid_from_h`), and had several steady states (`several_from_h`); None where never.
        """
        film = self._document.get("film")
        return None if film is None else dict(film)

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Columns of the table by name, read-only: at make-up, each turnover, and the end."""
        return dict(self._columns)

    @property
    def volumes(self) -> dict[str, float]:
        """Where the liquid went over the life, L.

        `volume_l` of the bath at the end; `drag_out_l`, `bled_l` (with what was taken out by
        events), `overflow_l`, `evaporated_l` and `water_l` (made up; negative at a held level from
        which water had to leave) and `solutions_l` (everything else that came in) since make-up.
        """
        names = ["volume_l", "drag_out_l", "bled_l", "overflow_l", "evaporated_l", "water_l"]
        names.append("solutions_l")
        return {name: float(self._columns[name][-1]) for name in names}

    @property
    def stress(self) -> dict[str, dict[str, str]] | None:
        """Which way the stress of the deposit tends, `fresh` and at the `end`.

        Each with its `tendency` in words and the `evidence` for it: an indicator by class of
        composition and salt, never a value. None where nothing is known.
        """
        stress = self._document["stress"]
        return None if stress is None else {when: dict(of) for when, of in stress.items()}

    @property
    def balance(self) -> dict[str, Any]:
        """The books: `max_relative_residual`, `worst` (what it was of), `allowed`."""
        return dict(self._document["balance"])

    @property
    def reductant_feed(self) -> dict[str, float]:
        """Reductant fed and used, mol per mol metal; set-point and end, mol/L."""
        return dict(self._document["reductant_feed"])

    @property
    def hydrogen_l(self) -> float:
        """Hydrogen given off over the life, L at 25 degC and 1 atm."""
        return float(self._document["hydrogen_l"])

    @property
    def cost(self) -> LifeCost | None:
        """What it has cost, and where dumping is cheapest; None for a recipe without prices.

        Example:
            >>> import bathkin as bk
            >>> cost = bk.simulate_life("nickel-acid").cost
            >>> round(sum(cost.parts.values()) - cost.cost, 6)
            0.0
            >>> cost.currency
            'EUR'
        """
        from bathkin.life.cost import read_cost

        return read_cost(self._recipe._core, self._core, self.dump.limit != "none")

    @property
    def flags(self) -> list[Flag]:
        """Warnings that go with it."""
        return from_dicts(self._document["flags"])

    @property
    def cautions(self) -> list[str]:
        """Cautions of the recipe."""
        return self._recipe.cautions

    @property
    def cite(self) -> list[str]:
        """What to cite."""
        return self._recipe.cite
