"""Draws of the posterior of a fit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bathkin.core import layout
from bathkin.core.answer import Tabled
from bathkin.core.remarks import messages
from bathkin.core.result import plain
from bathkin.fit import results
from bathkin.fit.samples import inference_data

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from matplotlib.figure import Figure
    from numpy.typing import NDArray


class Posterior(Tabled, results.Posterior):
    """Weighted draws of the posterior. Made by `Fit.posterior`."""

    __slots__ = ()

    @property
    def equal_draws(self) -> NDArray[np.float64]:
        """Draws of equal weight, a row each, as many as all of them are worth."""
        return self.draws[self.equal]

    def table(self) -> pd.DataFrame:
        """Draws of equal weight as a pandas table, a column for each number."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame(self.equal_draws, columns=self.paths)
        return frame

    def to_dict(self) -> dict[str, Any]:
        """What is known of each number and of the draws, in plain values, without the draws."""
        return {
            "marginals": plain(self.marginals),
            "effective": self.effective,
            "pareto_k": plain(self.pareto_k),
            "largest_trusted_k": self.largest_trusted_k,
            "trusted": self.trusted,
            "points": len(self.draws),
            "evaluations": self.evaluations,
            "messages": messages(self.remarks),
        }

    def summary(self) -> str:
        """Mean, deviation, median and interval of each number, and how good the draws are."""
        rows = self.marginals
        table = layout.render(
            [
                layout.Column("posterior", [one.path for one in rows], left=True),
                layout.Column("mean", [layout.number(one.mean) for one in rows]),
                layout.Column(
                    "std. dev.", [layout.number(one.standard_deviation, 2) for one in rows]
                ),
                layout.Column("median", [layout.number(one.median) for one in rows]),
                layout.Column("95 % from", [layout.number(one.interval95[0]) for one in rows]),
                layout.Column("to", [layout.number(one.interval95[1]) for one in rows]),
            ]
        )
        quality = (
            f"{len(self.draws)} points about the estimates are worth {self.effective:.0f}"
            f" independent draws; Pareto k = {self.pareto_k:.2f},"
            f" trusted up to {self.largest_trusted_k:.2f}"
        )
        said = layout.remarks(self.remarks)
        return "\n".join([table, "", quality, *([said] if said else [])])

    def to_arviz(self) -> Any:
        """Draws of equal weight as ArviZ takes them, in one chain.

        Raises:
            BathkinError: Without ArviZ (the extra `bayes`).
        """
        draws = self.equal_draws[None]
        posterior = {name: draws[:, :, place] for place, name in enumerate(self.paths)}
        return inference_data(posterior, {"lp": self.log_posterior[self.equal][None]})

    def _drawn(self) -> Figure:
        from bathkin.plots.posterior import plot_posterior

        return plot_posterior(self)

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        rows = [
            (one.path, f"{layout.number(one.mean)} ± {layout.number(one.standard_deviation, 2)}")
            for one in self.marginals
        ]
        return layout.html_card("Posterior", rows)
