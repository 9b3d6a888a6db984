"""A dosing plan in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.core.layout import Column, aligned, number
from bathkin.core.naming import symbol

if TYPE_CHECKING:
    from bathkin.life.results import Plan, ShiftState
    from bathkin.recipe.document import RecipeDocument

_UNITS = {"ml_l": "mL/L", "pct_of_make_up": "% of make-up", "g_l": "g/L"}


def plan_text(plan: Plan, recipe: RecipeDocument) -> str:
    """Where the bath stands, what to add and when, totals, and what rounding does."""
    title = (
        f"dosing plan of {recipe.name} for {number(plan.shift_h)} h, {_bath(recipe, plan.start)}"
    )
    parts = [layout.wrapped(title, 0, 2)]
    if plan.additions:
        parts += [_additions(plan, recipe), _totals(plan)]
    end = f"at the end: {_bath(recipe, plan.end)}"
    if plan.round_ml is not None:
        end += (
            f"; doses are rounded to {number(plan.round_ml)} mL, exact ones would leave"
            f" {number(plan.end_exact.metal_g_l)} g/L and pH {plan.end_exact.ph:.3f}"
        )
    parts.append(layout.wrapped(end, 0, 2))
    if plan.notes:
        parts.append("\n".join(layout.wrapped(note, 0, 2) for note in plan.notes))
    return "\n\n".join(parts)


def _bath(recipe: RecipeDocument, state: ShiftState) -> str:
    return (
        f"{number(state.metal_g_l)} g/L {recipe.metal},"
        f" {number(state.reductant_mol_l)} mol/L {recipe.reductant},"
        f" pH {state.ph:.3f}, {number(state.turnovers, 3)} turnovers"
    )


def _additions(plan: Plan, recipe: RecipeDocument) -> str:
    rows = plan.additions
    metal = symbol(recipe.metal)
    columns = [
        Column("at\nh", [f"{row.at_h:.2f}" for row in rows]),
        Column("add", [row.replenisher for row in rows], left=True),
        Column("volume\nmL", aligned([row.volume_ml for row in rows])),
    ]
    if plan.round_ml is not None:
        columns.append(Column("exact\nmL", aligned([row.exact_ml for row in rows])))
    for name, head, digits in (("metal_g_l", f"{metal}, g/L", 3), ("ph", "pH", 2)):
        for when in ("before", "after"):
            cells = [f"{getattr(getattr(row, when), name):.{digits}f}" for row in rows]
            columns.append(Column(f"{head}\n{when}", cells))
    columns.append(Column("why", [row.reason for row in rows], left=True))
    columns.append(
        Column(
            "dose",
            [f"{number(row.dose, 3)} {_UNITS[row.dose_unit]}" for row in rows],
            left=True,
        )
    )
    return layout.render(columns)


def _totals(plan: Plan) -> str:
    totals = plan.totals
    columns = [
        Column("in the shift", [total.replenisher for total in totals], left=True),
        Column("volume\nmL", aligned([total.volume_ml for total in totals])),
    ]
    if plan.round_ml is not None:
        columns.append(Column("exact\nmL", aligned([total.exact_ml for total in totals])))
    return layout.render(columns)
