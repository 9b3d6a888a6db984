"""Sensitivity of a bath's pH and free metal to totals, temperature and constants."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin import _core
from bathkin.core import layout
from bathkin.errors import UnknownNameError

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.bath.bath import Bath

_ANSWERS = ("ph", "ionic_strength_mol_l", "free_metal_mol_l")
_FEW = 8


class BathSensitivities:
    """Derivatives of a bath's answers, exact, with respect to one parameter each.

    Made by `Bath.sensitivities`. Pickles as its bath and is computed again when loaded. The
    parameters:

    - `total.<component>`: per mol/L. A total brings its charge with protons: more sodium is more
      caustic, more sulfate more sulfuric acid;
    - `temperature_c`: per degC, the composition per litre staying the same;
    - `species.<name>.log_k_25c`: per unit of log10 K.

    One parameter moves and everything else stays, the acid or base that set the pH too.

    Example:
        >>> import bathkin as bk
        >>> sensitivities = bk.load_recipe("nickel-acid").make_up().sensitivities()
        >>> table = sensitivities.table(of="nickel_lactate_2")
        >>> bool(table["ph"]["total.sodium"] > 0 > table["ph"]["total.sulfate"])
        True
        >>> bool(table["nickel_lactate_2"]["total.lactate"] > 0)
        True
    """

    def __init__(self, bath: Bath) -> None:
        self._bath = bath
        self._whole, self._species, self._parameters, self._kinds = _core.sensitivities(bath._core)

    @property
    def bath(self) -> Bath:
        """The bath they are of."""
        return self._bath

    @property
    def parameters(self) -> list[str]:
        """Names of the parameters: totals, the temperature, constants."""
        return list(self._parameters)

    @property
    def kinds(self) -> list[str]:
        """What each parameter is: `total`, `temperature` or `constant`."""
        return list(self._kinds)

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Sensitivities of the whole solution by name, read-only, a value per parameter.

        Beside them `value`, that of the parameter, and `usual_change`, a change of everyday size:
        1 % of a total, 1 degC, 0.1 in log10 K.
        """
        return dict(self._whole)

    @property
    def species(self) -> dict[str, NDArray[np.float64]]:
        """Sensitivities of every dissolved substance by name, mol/L per unit, read-only."""
        return dict(self._species)

    def table(self, of: str | Sequence[str] = ()) -> pd.DataFrame:
        """Sensitivities as a table, a row per parameter.

        Args:
            of: Dissolved substances (see `Bath.species`) to show as well, mol/L.

        Returns:
            Columns `ph`, `ionic_strength_mol_l`, `free_metal_mol_l` and what was asked for.

        Raises:
            UnknownNameError: For a substance this bath has not.
        """
        import pandas as pd

        asked = [of] if isinstance(of, str) else list(of)
        for name in asked:
            if name not in self._species:
                raise _unknown(name, list(self._species))
        columns = {name: self._whole[name] for name in _ANSWERS}
        columns |= {name: self._species[name] for name in asked}
        table: pd.DataFrame = pd.DataFrame(
            {name: values.copy() for name, values in columns.items()},
            index=pd.Index(self._parameters, name="parameter"),
        )
        table.attrs = {"recipe": self._bath.recipe.name}
        return table

    def changes(self, count: int | None = None) -> pd.DataFrame:
        """What a change of everyday size does to pH and free metal, the strongest first.

        Args:
            count: How many parameters; without one all.

        Returns:
            A row per parameter: `change` (1 % of a total in mol/L, 1 degC, 0.1 in log10 K), `ph`,
            `free_metal_pct`, `ionic_strength_mol_l`. Ordered by the larger of the relative changes
            of proton activity and free metal.

        Example:
            >>> import bathkin as bk
            >>> strongest = bk.load_recipe("nickel-acid").make_up().sensitivities().changes(5)
            >>> list(strongest.columns)
            ['change', 'ph', 'free_metal_pct', 'ionic_strength_mol_l']
        """
        import pandas as pd

        change = self._whole["usual_change"]
        free = self._bath.species()[self._bath.recipe.metal]
        ph = change * self._whole["ph"]
        relative = change * self._whole["free_metal_mol_l"] / free if free > 0.0 else 0.0 * ph
        table: pd.DataFrame = pd.DataFrame(
            {
                "change": change,
                "ph": ph,
                "free_metal_pct": 100.0 * relative,
                "ionic_strength_mol_l": change * self._whole["ionic_strength_mol_l"],
            },
            index=pd.Index(self._parameters, name="parameter"),
        )
        strength = np.maximum(np.log(10.0) * np.abs(ph), np.abs(relative))
        ordered: pd.DataFrame = table.iloc[np.argsort(-strength, kind="stable")[:count]]
        return ordered

    def __eq__(self, other: object) -> bool:
        return isinstance(other, BathSensitivities) and self._bath == other._bath

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return BathSensitivities, (self._bath,)

    def _title(self) -> str:
        return f"strongest on {self._bath.recipe.name}, of {len(self._parameters)} parameters"

    def _shown(self) -> list[tuple[str, str]]:
        return [
            (
                str(name),
                f"{change_text(str(name))}: pH {row['ph']:+.4f},"
                f" free {self._bath.recipe.metal} {row['free_metal_pct']:+.2f} %",
            )
            for name, row in self.changes(_FEW).iterrows()
        ]

    def __repr__(self) -> str:
        return layout.card(self._title(), self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(self._title(), self._shown())


def change_text(parameter: str) -> str:
    """A change of everyday size in words.

    Example:
        >>> from bathkin.bath.sensitivities import change_text
        >>> change_text("total.nickel")
        '+1 %'
    """
    if parameter.startswith("total."):
        return "+1 %"
    return "+1 degC" if parameter == "temperature_c" else "+0.1 log K"


def _unknown(name: str, valid: list[str]) -> UnknownNameError:
    near = get_close_matches(name, valid, 3)
    hint = f"did you mean {' or '.join(near)}?" if near else f"it has {', '.join(valid)}"
    message = f"sensitivities: no dissolved substance of this bath is called '{name}': {hint}"
    return UnknownNameError(message, name=name, valid=valid)
