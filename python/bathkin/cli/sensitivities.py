"""Sensitivity of pH and free metal: `bathkin solution --sensitivities`."""

from __future__ import annotations

from typing import Any

from bathkin.bath.bath import Bath
from bathkin.bath.sensitivities import BathSensitivities, change_text
from bathkin.core import layout
from bathkin.core.layout import Column, number
from bathkin.core.naming import symbol

SENSITIVITIES_HELP = "What moves the pH and the free metal: totals, temperature, constants."

_STRONGEST = 15


def sensitivities_text(bath: Bath) -> str:
    """The parameters that move pH and free metal most, a row each."""
    sensitivities = bath.sensitivities()
    strongest = sensitivities.changes(_STRONGEST)
    names = [str(name) for name in strongest.index]
    columns = [
        Column("parameter", names, left=True),
        Column("change", [change_text(name) for name in names], left=True),
        Column("pH", [f"{value:+.4f}" for value in strongest["ph"]]),
        Column(
            f"free {symbol(bath.recipe.metal)}\n%",
            [f"{value:+.3f}" for value in strongest["free_metal_pct"]],
        ),
        Column(
            "ionic str.\nmol/L", [f"{value:+.5f}" for value in strongest["ionic_strength_mol_l"]]
        ),
    ]
    title = (
        f"what moves the pH and the free {bath.recipe.metal} of {bath.recipe.name} most, at pH"
        f" {bath.ph:.2f} and {number(bath.temperature_c)} degC: what 1 % more of a total, 1 degC"
        " more, or 0.1 more in a log10 K does"
    )
    notes = (
        "one parameter moves and the rest stays, the acid or base that set the pH too; a total"
        " brings its charge with protons, so that more sodium is more caustic and more sulfate"
        f" more sulfuric acid; the strongest {len(names)} of {len(sensitivities.parameters)},"
        " which --json gives in full"
    )
    return (
        f"{layout.wrapped(title, 0, 2)}\n\n{layout.render(columns)}\n{layout.wrapped(notes, 0, 2)}"
    )


def sensitivities_contents(sensitivities: BathSensitivities) -> dict[str, Any]:
    """What the JSON document says: a value per parameter."""
    return {
        "ph": sensitivities.bath.ph,
        "temperature_c": sensitivities.bath.temperature_c,
        "sensitivities": {
            "parameter": sensitivities.parameters,
            "kind": sensitivities.kinds,
            **sensitivities.columns,
            "species": sensitivities.species,
        },
    }
