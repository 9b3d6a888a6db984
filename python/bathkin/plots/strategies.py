"""The picture of a comparison: how each bath ages, and what it costs and wastes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from bathkin.plots.picture import BLUE, GREEN, INK, RED, Picture, headline, plain_axes, small_print

if TYPE_CHECKING:
    from bathkin.life.results import StrategyResult
    from bathkin.recipe.document import RecipeDocument

_COLOURS = (BLUE, GREEN, RED, "#8a6d1f", "#6a4c93")


def draw_comparison(
    recipe: RecipeDocument, strategies: list[StrategyResult], currency: str | None
) -> Figure:
    """The picture."""
    by_product = recipe.by_product
    figure = Picture(figsize=(9.6, 6.4), layout="constrained")
    grid = figure.subplots(2, 2)
    for axes in grid.flat:
        plain_axes(axes)
    panels = (
        (grid[0][0], f"{by_product}_mol_l", f"{by_product}, mol/L"),
        (grid[0][1], "deposition_um_h", "deposition rate, µm/h"),
    )
    colours = [_COLOURS[place % len(_COLOURS)] for place in range(len(strategies))]
    for axes, column, title in panels:
        for one, colour in zip(strategies, colours, strict=True):
            x, y = one.columns["area_m2"], one.columns[column]
            axes.plot(x, y, color=colour, linewidth=1.6, label=one.name)
            if one.ends_by != "horizon":
                # What follows is the same bath again.
                axes.plot(x[-1], y[-1], marker="o", color=colour, markersize=5)
                for batch in range(1, min(int(one.baths + 0.999), 20)):
                    shifted = [batch * x[-1] + value for value in x]
                    shown = [value for value in shifted if value <= one.area_m2 * 1.001]
                    axes.plot(shown, y[: len(shown)], color=colour, linewidth=1.0, alpha=0.6)
        axes.set_ylim(bottom=0.0)
        axes.set_title(title, loc="left", fontsize=10, color=INK)
        axes.set_xlabel("area plated, m²", fontsize=9)
    handles, labels = grid[0][0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside upper right", ncols=3, frameon=False, fontsize=8)
    names = [one.name for one in strategies]
    bars = [
        (
            grid[1][1],
            [one.waste_ml_per_um_dm2 for one in strategies],
            "waste, mL per µm dm²",
        )
    ]
    if currency:
        costs = [cost for one in strategies if (cost := one.cost_per_um_dm2) is not None]
        bars.append((grid[1][0], costs, f"cost, {currency} per µm dm²"))
    else:
        grid[1][0].set_axis_off()
    for axes, values, title in bars:
        drawn = axes.barh(names, values, color=colours, height=0.55)
        axes.bar_label(drawn, labels=[f" {value:.3g}" for value in values], fontsize=8, color=INK)
        axes.set_xlim(0.0, 1.18 * max(values))
        axes.invert_yaxis()
        axes.set_title(title, loc="left", fontsize=10, color=INK)
    title = f"{recipe.name}: the same horizon, run in {len(names)} ways"
    headline(figure, title)
    notes = ["dot: dumped and remade", "waste: follow your permit and local codes", "estimate"]
    small_print(figure, notes, width=165)
    return figure
