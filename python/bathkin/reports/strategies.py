"""A comparison of strategies as text."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from bathkin.core import dates, layout, naming
from bathkin.core.layout import Column, aligned, number
from bathkin.life.cost import WASTE_CAUTION

if TYPE_CHECKING:
    from bathkin.life.results import StrategyResult
    from bathkin.recipe.document import RecipeDocument


def comparison_text(
    recipe: RecipeDocument,
    rows: list[StrategyResult],
    currency: str | None,
    start: datetime | None = None,
) -> str:
    """A row per strategy."""
    names = [one.name for one in rows]
    ends = [recipe.words(one.ends_by)[0] for one in rows]
    columns = [
        Column("strategy", names, left=True),
        Column("baths", aligned([one.baths for one in rows], 3)),
        Column("ends by", ends, left=True),
        Column("clock\nh", aligned([one.clock_h for one in rows])),
        Column("down\nh", aligned([one.downtime_h for one in rows], 3)),
        Column("area\nm2", aligned([one.area_m2 for one in rows])),
        Column("waste\nL", aligned([one.waste.volume_l for one in rows])),
        Column("waste\nmetal g", aligned([one.waste.metal_g for one in rows])),
        Column(
            f"{naming.broken(recipe.by_product)}\nmol/L",
            aligned([one.by_product_end_mol_l for one in rows], 3),
        ),
        Column("mean\num/h", aligned([one.deposition_mean_um_h for one in rows])),
    ]
    if start is not None:
        ended = [None if one.ends_by == "horizon" else one.bath.clock_h for one in rows]
        columns.insert(
            3,
            Column(
                "first dump",
                ["-" if at is None else f"{dates.at(start, at):%Y-%m-%d}" for at in ended],
                left=True,
            ),
        )
    if currency:
        cost = [number(one.cost_per_um_dm2) for one in rows]
        columns.append(Column(f"{currency}\n/um dm2", cost))
    lines = [f"strategies for {recipe.name} over the same horizon", "", layout.render(columns)]
    for one in rows:
        if one.settings:
            changes = ", ".join(f"{path} = {_short(value)}" for path, value in one.settings.items())
            lines.append(layout.wrapped(f"{one.name}: {changes}", 0, 2))
    lines.append(
        layout.wrapped(
            f"baths: used up over the horizon; levels at the end of a bath; {WASTE_CAUTION}", 0, 2
        )
    )
    return "\n".join(lines)


def _short(value: str) -> str:
    try:
        return number(float(value))
    except ValueError:
        return value.strip('"')
