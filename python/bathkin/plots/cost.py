"""The picture of a cost: what a um dm2 costs against the turnovers at which the bath is dumped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from bathkin.plots.picture import BLUE, GREEN, GREY, INK, RED, Picture, plain_axes, small_print

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.life.results import LifeCost

_COLOURS = {
    "line": "#7fa6cf",
    "replenishers": "#a9c7a0",
    "waste": "#d9a49a",
    "make_up": "#c9b98f",
    "dump": "#b9a6c9",
    "energy": "#cfcfcf",
}


def draw_cost(cost: LifeCost, table: pd.DataFrame, caution: str) -> Figure:
    """The picture."""
    table = table[table["turnovers"] > 0.5]
    x, work = table["turnovers"].to_numpy(), table["deposit_um_dm2"].to_numpy()
    figure = Picture(figsize=(7.2, 4.6), layout="constrained")
    axes = figure.add_subplot()
    plain_axes(axes)
    parts = [table[name].to_numpy() / work for name in _COLOURS]
    labels = [name.replace("_", "-") for name in _COLOURS]
    axes.stackplot(x, parts, labels=labels, colors=list(_COLOURS.values()), alpha=0.75)
    total = table["cost_per_um_dm2"].to_numpy()
    axes.plot(x, total, color=INK, linewidth=1.6, marker="o", markersize=3.5)
    end = max(point.turnovers for point in cost.curve)
    axes.axvline(end, color=RED, linestyle=(0, (5, 3)), linewidth=1.1)
    top = 1.28 * float(total.max())
    axes.set_ylim(0.0, top)
    axes.set_xlim(float(x.min()), float(x.max()) if x.size > 1 else float(x.min()) + 1.0)
    axes.annotate(
        "first limit" if cost.limit_reached else "end of the run",
        (end, top),
        xytext=(-4, -3),
        textcoords="offset points",
        fontsize=8,
        color=RED,
        ha="right",
        va="top",
        rotation=90,
    )
    if cost.optimum is not None:
        best = cost.optimum
        at = (best.turnovers, best.cost_per_um_dm2)
        axes.plot(*at, marker="D", color=GREEN, markersize=8, zorder=5)
        axes.annotate(
            f"cheapest: {at[1]:.4g} at {at[0]:.1f} turnovers",
            at,
            xytext=(0, 12),
            textcoords="offset points",
            fontsize=8,
            color=GREEN,
            ha="right" if at[0] > 0.5 * (x.min() + x.max()) else "left",
        )
    axes.set_xlabel("metal turnovers at the dump", fontsize=10, color=INK)
    axes.set_ylabel(f"{cost.currency} per µm dm²", fontsize=10, color=BLUE)
    axes.set_title("what a µm on a dm² costs", loc="left", fontsize=10, color=INK)
    handles, names = axes.get_legend_handles_labels()
    figure.legend(handles[::-1], names[::-1], loc="outside right center", frameon=False, fontsize=8)
    note = "past the first limit: what it would cost if the limit did not rule"
    small_print(figure, [note, "estimate", caution] if x.max() > end else ["estimate"])
    axes.tick_params(axis="both", colors=GREY)
    return figure
