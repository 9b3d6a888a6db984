"""The picture of a posterior: every number by itself, and every two together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from bathkin.plots.picture import (
    BLUE,
    GREY,
    INK,
    Picture,
    headline,
    named,
    plain_axes,
    small_print,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure
    from numpy.typing import NDArray

# More numbers than this are too small to read; the first ones are drawn.
_MOST = 8


class Draws(Protocol):
    """What is drawn of a posterior; see `bathkin.fit.posterior.Posterior`."""

    @property
    def paths(self) -> Sequence[str]:
        """The numbers."""

    @property
    def effective(self) -> float:
        """How many independent draws all are worth."""

    @property
    def marginals(self) -> Sequence[Any]:
        """What is known of each number."""

    @property
    def remarks(self) -> Sequence[Any]:
        """What is to be said."""

    @property
    def equal_draws(self) -> NDArray[np.float64]:
        """Draws of equal weight."""


def plot_posterior(found: Draws) -> Figure:
    """See `Posterior.plot`."""
    draws = found.equal_draws
    count = min(len(found.paths), _MOST)
    side = 1.6 + 1.7 * count
    figure = Picture(figsize=(side, side), layout="constrained")
    panels = figure.subplots(count, count, squeeze=False)
    for row in range(count):
        for column in range(count):
            axes = panels[row, column]
            if column > row:
                axes.set_visible(False)
                continue
            plain_axes(axes)
            if row == column:
                _alone(axes, draws[:, row], found.marginals[row])
            else:
                axes.plot(
                    draws[:, column], draws[:, row], ".", color=BLUE, markersize=2.5, alpha=0.35
                )
            _labelled(axes, found.paths, row, column, count)
    headline(figure, f"Posterior, {found.effective:.0f} independent draws")
    left = len(found.paths) - count
    notes = ["dashed: median and 95 % interval"]
    notes += [f"{left} more numbers not drawn"] if left else []
    small_print(figure, [*notes, *(one.text for one in found.remarks)], width=int(14 * side))
    return figure


def _alone(axes: Any, values: NDArray[np.float64], marginal: Any) -> None:
    """How often each value comes, with its interval."""
    bins = max(10, min(40, int(np.sqrt(len(values)))))
    axes.hist(values, bins=bins, color=BLUE, alpha=0.55)
    for end in (*marginal.interval95, marginal.median):
        axes.axvline(end, color=GREY, linewidth=0.9, linestyle="--")
    axes.set_yticks([])
    axes.grid(False)


def _labelled(axes: Any, paths: Sequence[str], row: int, column: int, count: int) -> None:
    """Names along the foot and the left side alone."""
    axes.tick_params(labelsize=7)
    axes.locator_params(axis="x", nbins=3)
    if row != column:
        axes.locator_params(axis="y", nbins=3)
    if row == count - 1:
        axes.set_xlabel(_short(paths[column]), fontsize=8, color=INK)
        axes.tick_params(axis="x", labelrotation=30)
    else:
        axes.tick_params(axis="x", labelbottom=False)
    if column == 0 and row > 0:
        axes.set_ylabel(_short(paths[row]), fontsize=8, color=INK)
    elif row != column:
        axes.tick_params(axis="y", labelleft=False)


def _short(path: str) -> str:
    r"""The words of a path without its law, and the unit below; the label of a group stays.

    Example:
        >>> from bathkin.plots.posterior import _short
        >>> _short("deposition.saturation.nickel.constant_mol_l")
        'saturation nickel\nconstant\nmol/L'
    """
    whole, _, group = path.partition("@")
    words, unit = named(whole.rpartition(".")[2])
    tables = " ".join(whole.split(".")[1:-1]).replace("_", " ")
    return "\n".join(filter(None, [tables, words, unit, group]))
