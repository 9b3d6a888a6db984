"""The picture of a plan: metal and pH over the shift, and each dose where it goes in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from bathkin.core.layout import number
from bathkin.plots.picture import (
    BLUE,
    GREEN,
    GREY,
    INK,
    RED,
    Picture,
    headline,
    plain_axes,
    small_print,
)

if TYPE_CHECKING:
    from bathkin.life.results import Plan
    from bathkin.recipe.document import RecipeDocument

_COLOURS = (BLUE, GREEN, RED, "#8a6d1f", "#6a4c93")


def draw_plan(plan: Plan, recipe: RecipeDocument) -> Figure:
    """The picture."""
    figure = Picture(figsize=(9.6, 6.6), layout="constrained")
    metal, ph, doses = figure.subplots(3, 1, sharex=True)
    for axes in (metal, ph, doses):
        plain_axes(axes)
    panels = ((metal, "metal_g_l", f"{recipe.metal}, g/L"), (ph, "ph", "pH as it is read"))
    for axes, name, title in panels:
        hours, values = [0.0], [getattr(plan.start, name)]
        for addition in plan.additions:
            hours += [addition.at_h, addition.at_h]
            values += [getattr(addition.before, name), getattr(addition.after, name)]
        axes.plot(
            [*hours, plan.shift_h], [*values, getattr(plan.end, name)], color=BLUE, linewidth=1.6
        )
        axes.set_title(title, loc="left", fontsize=10, color=INK)
    names = list(dict.fromkeys(addition.replenisher for addition in plan.additions))
    for lane, name in enumerate(names):
        of_it = [one for one in plan.additions if one.replenisher == name]
        hours = [one.at_h for one in of_it]
        doses.plot(hours, [lane] * len(hours), "o", color=_COLOURS[lane % len(_COLOURS)])
        for one in of_it:
            doses.annotate(
                number(one.volume_ml),
                (one.at_h, lane),
                xytext=(0, 6),
                textcoords="offset points",
                ha="center",
                fontsize=7,
                color=GREY,
            )
    doses.set_title("to add, mL", loc="left", fontsize=10, color=INK)
    doses.set_yticks(range(len(names)), names, fontsize=8)
    doses.set_ylim(len(names) - 0.5, -0.7)
    doses.set_xlabel("hours of the shift", fontsize=9)
    # The first dose often stands at the start.
    doses.set_xlim(-0.02 * plan.shift_h, 1.02 * plan.shift_h)
    title = f"{recipe.name}: the coming {number(plan.shift_h)} h"
    headline(figure, title)
    notes = ["straight between the readings at each dose", *plan.notes, "estimate: analyse"]
    small_print(figure, notes, width=165)
    return figure
