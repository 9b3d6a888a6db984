"""The picture of a plan: metal and pH over the shift, and each dose where it goes in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from bathkin.plots import BLUE, GREEN, GREY, INK, RED, Picture, plain_axes, small_print
from bathkin.tables import number

if TYPE_CHECKING:
    from bathkin.plan import Plan

_COLOURS = (BLUE, GREEN, RED, "#8a6d1f", "#6a4c93")


def draw_plan(plan: Plan) -> Figure:
    """The picture."""
    figure = Picture(figsize=(9.6, 6.6), layout="constrained")
    metal, ph, doses = figure.subplots(3, 1, sharex=True)
    for axes in (metal, ph, doses):
        plain_axes(axes)
    panels = ((metal, "metal_g_l", f"{plan.recipe.metal}, g/L"), (ph, "ph", "pH as it is read"))
    for axes, name, title in panels:
        hours, values = [0.0], [plan.start[name]]
        for addition in plan.additions:
            hours += [addition["at_h"], addition["at_h"]]
            values += [addition["before"][name], addition["after"][name]]
        axes.plot([*hours, plan.shift_h], [*values, plan.end[name]], color=BLUE, linewidth=1.6)
        axes.set_title(title, loc="left", fontsize=10, color=INK)
    names = list(dict.fromkeys(addition["replenisher"] for addition in plan.additions))
    for place, name in enumerate(names):
        of_it = [one for one in plan.additions if one["replenisher"] == name]
        hours, volumes = [one["at_h"] for one in of_it], [one["volume_ml"] for one in of_it]
        colour = _COLOURS[place % len(_COLOURS)]
        doses.vlines(hours, 0.0, volumes, color=colour, linewidth=1.6)
        doses.plot(hours, volumes, "o", color=colour, markersize=4.5, label=name)
        for hour, volume in zip(hours, volumes, strict=True):
            doses.annotate(
                number(volume),
                (hour, volume),
                xytext=(4, 2),
                textcoords="offset points",
                fontsize=7,
                color=GREY,
            )
    doses.set_title("to add, mL", loc="left", fontsize=10, color=INK)
    doses.set_ylim(bottom=0.0)
    doses.margins(y=0.2)
    doses.set_xlabel("hours of the shift", fontsize=9)
    doses.set_xlim(0.0, plan.shift_h)
    if names:
        figure.legend(loc="outside upper right", ncols=3, frameon=False, fontsize=8)
    title = f"{plan.recipe.name}: the coming {number(plan.shift_h)} h"
    figure.suptitle(title, fontsize=11, color=INK, x=0.01, ha="left")
    notes = ["straight between the readings at each dose", *plan.notes, "estimate: analyse"]
    small_print(figure, notes, width=165)
    return figure
